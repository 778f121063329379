"""What ties the mentions of run-on talk: a grade to its target, a lead to what follows it.

Without marks, the words between two mentions and the sorts of those around them are all
there is to tell whether "absent right ankle" goes on with what stands or begins anew.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...lexicon import load
from ...lexicon.words import load_words
from .mentions import Mention

#: Markers that lead a target as a grade does.
LEADS = ("negation", "there_is", "none")
#: How many targets a list may have.
_LISTED = 16
#: Numbers that only power can have.
_POWER_ONLY = ("5", "5-", "4-")
#: How far from a status its target, and from a grade its side, may stand.
NEAR = 4


def is_tied(texts: Sequence[str], m: Mention, *, listed: bool = False) -> bool:
    """Whether a preposition ties something to what was said before ("wasting of the deltoid").

    ``listed``: or whether it is joined to what was said before.
    """
    words, i = load_words(), m.start - 1
    while i >= 0 and (texts[i] in words.determiners or texts[i] in words.hesitations):
        i -= 1
    if listed:
        while i >= 0 and texts[i] in words.limb_qualifiers:
            i -= 1
    elif i >= 0 and texts[i] in words.side_adjectives and texts[i - 1 : i] != ["the"]:
        i -= 1
    elif i >= 1 and texts[i] in words.side_adjectives and texts[i - 2 : i] == ["of", "the"]:
        i -= 2
    return i >= 0 and (texts[i] in words.tying or (listed and texts[i] in words.joining))


def shares_lead(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
    """Whether a target goes on with a list that a grade leads ("normal tone and power")."""
    if k < 2 or mentions[k - 1].sort != "target" or not adjacent(mentions[k - 1], mentions[k]):
        return False
    first = k - 1
    while first > max(k - _LISTED, 0) and mentions[first - 1].sort == "target":
        first -= 1
    last = k
    while last + 1 < min(len(mentions), k + _LISTED) and mentions[last + 1].sort == "target":
        last += 1
    led = (
        first > 0
        and mentions[first - 1].sort == "grade"
        and is_led_by_grade(texts, mentions, first)
    )
    return led and not is_graded(texts, mentions, last)


def is_graded(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
    """Whether a grade follows target ``k`` at once ("knee jerks are brisk")."""
    after = mentions[k + 1] if k + 1 < len(mentions) else None
    if after is None or after.sort != "grade":
        return False
    between = texts[mentions[k].end : after.start]
    return load_words().before_own_grade.issuperset(between)


def leads_target(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
    """Whether grade ``k`` stands right before a target that has no other one."""
    after = mentions[k + 1] if k + 1 < len(mentions) else None
    if after is None or after.sort != "target" or not adjacent(mentions[k], after):
        return False
    if mentions[k].number in _POWER_ONLY and is_general(after) and not _is_power(after):
        return False  # "left arm all five reflexes …"
    return _only_presence(mentions[k]) or not is_graded(texts, mentions, k + 1)


def _is_power(m: Mention) -> bool:
    return any(t.code == "power" for t in m.terms)


def is_repeated(mentions: Sequence[Mention], k: int) -> bool:
    """ "Four minus, no, four": the grade takes the place of the one before."""
    return (
        k > 1
        and mentions[k - 1].marker in ("correction", "negation")
        and mentions[k - 2].sort == "grade"
        and adjacent(mentions[k - 2], mentions[k - 1])
        and adjacent(mentions[k - 1], mentions[k])
    )


def is_sign(m: Mention) -> bool:
    """Whether naming it can assert it: something that is there or not."""
    modalities = load().vocabulary.modalities
    return any(
        t.kind == "modality" and modalities[t.code].scale in ("presence", "sign") for t in m.terms
    )


def lead(texts: Sequence[str], mentions: Sequence[Mention], k: int, *, with_side: bool) -> int:
    """Where the phrase of target ``k`` begins, with the words that lead it."""
    words, at = load_words(), mentions[k].start
    graded = not is_led_by_grade(texts, mentions, k)
    able = False
    j = k - 1
    if j >= 0 and _is_listed_joint(texts, mentions[j], mentions[k]):
        at = mentions[j].start  # "knee and ankle jerks"
        j -= 1
    while j >= 0 and mentions[j].end >= at - 1:
        m = mentions[j]
        if m.sort == "side" and answers_side(mentions, j):
            break
        marker = m.sort == "marker" and m.marker in (*LEADS, "able", "correction")
        grade = m.sort == "grade" and not graded
        side = with_side and m.sort == "side" and m.end == at and is_adjective(texts, m)
        own = (
            j - 2
            if j and mentions[j - 1].sort == "side" and mentions[j - 1].end == m.start
            else j - 1
        )
        before = mentions[own] if own >= 0 else None
        located = before is None or before.sort in ("place", "side", "marker")
        place = m.sort == "place" and m.end == at and with_side and located
        place = place and not is_tied(texts, m, listed=True)
        if not (marker or grade or side or place):
            break
        graded = graded or grade or m.marker in ("negation", "able", "correction")
        able = able or m.marker == "able"
        at = m.start
        j -= 1
    while at > 0 and (
        texts[at - 1] in words.target_openers or (able and texts[at - 1] in words.subjects)
    ):
        at -= 1
    return at


def _is_listed_joint(texts: Sequence[str], m: Mention, target: Mention) -> bool:
    joints = load_words().reflex_of_place
    jerk = any(t.code in joints.values() for t in target.terms)
    return (
        jerk
        and any(t.code in joints for t in m.terms)
        and tuple(texts[m.end : target.start]) in (("and",), (",",), ("or",))
    )


def answers_side(mentions: Sequence[Mention], k: int) -> bool:
    """ "Absent left two plus right": the side of the grade before, not of the target after."""
    if k and mentions[k - 1].marker == "none":
        return True  # "mild, none in the left"
    if k < 3 or mentions[k - 1].sort != "grade" or mentions[k].start - mentions[k - 1].end > NEAR:
        return False
    return (
        mentions[k - 2].sort == "side"
        and mentions[k - 3].sort == "grade"
        and ({mentions[k].side, mentions[k - 2].side} == {"left", "right"})
    )


def is_adjective(texts: Sequence[str], side: Mention) -> bool:
    """Whether a side word belongs to the noun after it, and not to "on the left"."""
    before = tuple(texts[max(side.start - 2, 0) : side.start])
    return (
        texts[side.start] in load_words().side_adjectives
        and side.end - side.start == 1
        and (before[-1:] != ("on",) and before != ("on", "the"))
    )


def is_led_by_grade(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
    """Whether a grade or a negation right before target ``k`` is the target's own."""
    if k == 0:
        return False
    before = mentions[k - 1]
    if before.sort == "side" and k > 1 and is_adjective(texts, before):
        before = mentions[k - 2]
    if before.sort == "marker":
        able = before.marker == "able" and adjacent(before, mentions[k])
        return able or before.marker in LEADS
    general = is_general(mentions[k]) and not _is_power(mentions[k])
    if general and before.number in _POWER_ONLY:
        return False
    if before.sort != "grade" or (is_graded(texts, mentions, k) and not _only_presence(before)):
        return False
    at = k - 1 if mentions[k - 1] is before else k - 2
    at -= 1
    if at >= 0 and mentions[at].marker == "otherwise":
        return False  # "everything else five"
    while at >= 0 and mentions[at].sort not in ("target", "grade"):
        at -= 1
    return at < 0 or mentions[at].sort == "grade" or _only_presence(before)


def _only_presence(m: Mention) -> bool:
    codes = [c for t in m.terms for c in t.codes if t.kind == "grade"]
    return bool(codes) and all(c.startswith("presence:") for c in codes)


def adjacent(m: Mention, after: Mention) -> bool:
    """Whether one word at most parts two mentions."""
    return after.start - m.end <= 1


def is_general(m: Mention) -> bool:
    """Whether it names a part of the examination ("power")."""
    general = load_words().general_modalities
    return any(t.kind == "modality" and t.code in general for t in m.terms)


def is_limb(m: Mention) -> bool:
    """Whether it names a limb that a heading may name."""
    limbs = load_words().heading_limbs
    return any(t.kind == "segment" and not limbs.isdisjoint(t.codes) for t in m.terms)


def phrase_start(texts: Sequence[str], m: Mention, start: int, own: frozenset[str]) -> int:
    """Where the words of ``own`` before a mention begin."""
    at = m.start
    while at > start and texts[at - 1] in own:
        at -= 1
    return at
