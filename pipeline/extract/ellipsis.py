"""What is named across other words: motions without their joint, places without their noun.

"Elbow flexion and extension", "extension of the elbow", "the dorsum of the left, sorry,
right hand", "the right upper and right lower limbs".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ...lexicon import Term
from ...lexicon.words import load_words
from .mentions import Mention, uncovered

#: How far the noun of a place may stand from its first word.
_ELLIPSIS = 9
#: How far before a motion the joint that heads its list may stand.
_HEADING_REACH = 24
_LIMB_HEADS = ("upper", "lower")
_LIMBS = ("upper_limb", "lower_limb")
_WALKS = ("heel_walking", "toe_walking")
_FEET: Mapping[str, str] = {
    "heel": "heel_walking",
    "heels": "heel_walking",
    "toe": "toe_walking",
    "toes": "toe_walking",
    "tiptoe": "toe_walking",
    "tiptoes": "toe_walking",
}


def elliptic_places(
    texts: Sequence[str], mentions: Sequence[Mention], places: Mapping[str, Term]
) -> list[Mention]:
    """The mentions, with places that are named across other words put together.

    ``places`` are the place terms by code. The mentions must be in order.
    """
    words = load_words()
    out = list(mentions)
    free = uncovered(mentions, len(texts))
    nouns = [k for k, m in enumerate(mentions) if m.sort == "place"]
    at = 0
    for i, text in enumerate(texts):
        if not free[i] or not (text in words.place_heads or text in words.aspects):
            continue
        while at < len(nouns) and mentions[nouns[at]].start <= i:
            at += 1
        if at == len(nouns):
            break
        k = nouns[at]
        noun = out[k]
        between = texts[i + 1 : noun.start]
        if noun.start - i > _ELLIPSIS or not words.within_place.issuperset(between):
            continue
        code = next((t.code for t in noun.terms if t.kind == "segment"), "")
        if text in _LIMB_HEADS:
            if code in _LIMBS:
                limb = places[f"{text}_limb"]
                out.append(Mention("place", i, i + 1, (limb,), plural=noun.plural))
        elif text in words.aspects:
            base = words.aspect_of.get(code, code)
            whole = places.get(f"{words.aspects[text]}_{base}")
            if whole is not None and between[:1] != ["and"]:
                out[k] = replace(noun, terms=(whole,))
        elif between[:1] == ["of"]:
            whole = places.get(f"dorsum_of_{code}")
            if whole is not None:
                out[k] = replace(noun, terms=(whole,))
    out.sort(key=lambda m: (m.start, m.end))
    return out


def bare_walks(
    texts: Sequence[str], mentions: Sequence[Mention], tests: Mapping[str, Term]
) -> list[Mention]:
    """The second of two walks named in one ("heel and toe walk", "on her toes and heels").

    ``tests`` are the walking tests by the part of the foot that they are named after.
    """
    found: list[Mention] = []
    for m in mentions:
        own = next((t.code for t in m.terms if t.code in _WALKS), None)
        if own is None or m.sort != "target":
            continue
        before, after = tuple(texts[max(m.start - 2, 0) : m.start]), m.end
        if len(before) == 2 and before[0] in _FEET and before[1] in ("and", "or"):
            found.append(Mention("target", m.start - 2, m.start - 1, (tests[_FEET[before[0]]],)))
        if texts[after : after + 1] not in (["and"], ["or"]):
            continue
        after += 1
        while after < len(texts) and texts[after] in ("on", *load_words().determiners):
            after += 1
        if after < len(texts) and texts[after] in _FEET and _FEET[texts[after]] != own:
            found.append(Mention("target", after, after + 1, (tests[_FEET[texts[after]]],)))
    return found


def bare_motions(
    texts: Sequence[str], mentions: Sequence[Mention], movements: Mapping[str, Term]
) -> list[Mention]:
    """Motions whose joint is named beside them ("elbow flexion and extension").

    ``movements`` are the movement terms by code. A motion takes the joint of the movement
    that it is listed after, or of the joint that follows it ("extension of the elbow").
    """
    by_start = {m.start: m for m in mentions}
    by_end = {m.end: m for m in mentions}
    free = uncovered(mentions, len(texts))
    motions = load_words().motion_of_word
    found: list[Mention] = []
    for i, text in enumerate(texts):
        motion = motions.get(text)
        if motion is None or not free[i]:
            continue
        joint = (
            _joint_before(texts, by_end, i)
            or _joint_after(texts, by_start, i)
            or _joint_heading(texts, by_end, i)
        )
        term = movements.get(f"{joint}_{motion}") if joint else None
        if term is not None:
            mention = Mention("target", i, i + 1, (term,), plural=False)
            found.append(mention)
            by_end[i + 1] = mention
    return found


def _joint_before(texts: Sequence[str], by_end: Mapping[int, Mention], i: int) -> str | None:
    """The joint of the movement that the motion at ``i`` is listed after."""
    words, at = load_words(), i
    while at > 0 and texts[at - 1] in words.between_joint_and_motion:
        at -= 1
    before = by_end.get(at)
    if at == i or before is None or before.sort != "target":
        return None
    for term in before.terms:
        joint, _, motion = term.code.rpartition("_")
        if term.kind == "segment" and motion in words.motion_of_word.values():
            return joint
    return None


def _joint_heading(texts: Sequence[str], by_end: Mapping[int, Mention], i: int) -> str | None:
    """The joint under which a motion is listed ("elbows: flexion four, extension five")."""
    for at in range(i, max(i - _HEADING_REACH, 0), -1):
        if texts[at] in (".", ";", "?", "!"):
            return None
        if texts[at] == ":":
            named = by_end.get(at)
            terms = () if named is None or named.sort != "place" else named.terms
            return next((t.code for t in terms if t.kind == "segment"), None)
    return None


def _joint_after(texts: Sequence[str], by_start: Mapping[int, Mention], i: int) -> str | None:
    """The joint that the motion at ``i`` is said to be of."""
    words, at = load_words(), i + 1
    while at < len(texts) and (
        texts[at] in words.between_motions or texts[at] in words.motion_of_word
    ):
        at += 1
    if texts[at - 1] not in words.before_joint:
        return None
    while at < len(texts) and texts[at] in words.joint_qualifiers:
        at += 1
    after = by_start.get(at)
    if after is None or after.sort != "place":
        return None
    return next((t.code for t in after.terms if t.kind == "segment"), None)
