"""Cuts talk that runs on without punctuation where a new statement begins.

Recognisers drop stops, and telegraphic dictation has none: "tone normal power five
throughout reflexes two plus right leg tone increased". A target that follows a finished
statement opens a new one, with the grade or negation that leads it; a limb with a side, or a
side said of all that follows, is a heading.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Sequence
from itertools import pairwise

from ...lexicon.words import load_words
from .joins import (
    LEADS,
    NEAR,
    adjacent,
    answers_side,
    is_general,
    is_graded,
    is_led_by_grade,
    is_limb,
    is_repeated,
    is_sign,
    is_tied,
    lead,
    leads_target,
    phrase_start,
    shares_lead,
)
from .mentions import Mention

OPPOSITE = {"left": "right", "right": "left"}
#: Kinds of talk between which findings are called out.
_ASIDES = ("instruction", "question", "plan")


def run_on_cuts(
    texts: Sequence[str],
    start: int,
    end: int,
    mentions: Sequence[Mention],
    talk: Sequence[tuple[int, str]],
) -> list[tuple[int, int]]:
    """The parts of atoms ``start`` to ``end``; ``talk`` is where talk of a kind begins.

    ``mentions`` hold what was not done or could not be judged as markers named ``status``.
    """
    cuts = {at for at, _ in talk}
    turns = [at for at, _ in talk]
    complete, open_target, heading, since, last = True, False, False, start, start
    latest = start
    named: Mention | None = None
    opened = ""  # the side that the talk in hand is about
    for k, m in enumerate(mentions):
        after = mentions[k + 1] if k + 1 < len(mentions) else None
        if _any_between(turns, last, m.start + 1):
            complete, open_target = False, True
        last = m.end
        if m.sort == "target":
            named = m
            aside = _is_aside(talk, since, m.start) and _asserts(texts, mentions, k)
            if heading:
                latest = lead(texts, mentions, k, with_side=False)
                cuts.add(latest)
            elif (
                is_tied(texts, m)
                or (complete and shares_lead(texts, mentions, k))
                or _goes_on_telling(texts, mentions, k, talk, latest)
            ):
                continue
            elif (complete and not open_target) or aside:
                latest = lead(texts, mentions, k, with_side=True)
                cuts.add(latest)
            elif _is_aside(talk, since, m.start):
                continue
            led = is_led_by_grade(texts, mentions, k)
            complete, open_target, heading, since = led, not led, False, m.end
        elif m.sort == "grade":
            rest = k > 0 and mentions[k - 1].marker == "otherwise"
            leads = leads_target(texts, mentions, k) and not rest
            if not (complete and leads) or is_repeated(mentions, k):
                complete, open_target = True, False
        elif m.marker == "status":
            near = after is not None and after.sort == "target" and after.start - m.end <= NEAR
            own = near and is_graded(texts, mentions, k + 1)
            if near and not own and not open_target:
                if complete:
                    latest = phrase_start(texts, m, start, load_words().subjects)
                    cuts.add(latest)
                complete, open_target = False, True
            else:
                complete, open_target = True, False
        elif m.marker in ("none", "same", "symmetric"):
            complete, open_target = True, False
        elif m.sort == "place" and is_limb(m) and _sided(texts, m):
            ready = complete or (named is not None and is_general(named))
            if ready and _opens_limb(texts, mentions, k, talk, since):
                latest = phrase_start(texts, m, start, load_words().limb_phrase_words)
                cuts.add(latest)
                heading, complete, open_target = True, True, False
        elif (
            m.sort in ("side", "place")
            and open_target
            and named is not None
            and is_sign(named)
            and after is not None
            and after.marker in LEADS
        ):
            complete, open_target = True, False  # "calf hypertrophy both sides no …"
        elif m.sort == "side" and after is not None and after.sort == "target":
            if open_target or k == 0:
                opened = m.side
            if open_target:  # "power both sides hip flexion five"
                heading = heading or is_general(mentions[k - 1])
            elif _opens_side(texts, mentions, k) or (
                m.side == OPPOSITE.get(opened) and not answers_side(mentions, k)
            ):
                latest = phrase_start(texts, m, start, load_words().limb_phrase_words)
                cuts.add(latest)
                complete, open_target = False, True
    return cut_at(start, end, cuts)


def _any_between(places: Sequence[int], low: int, high: int) -> bool:
    """Whether one of some ordered places lies from ``low`` to before ``high``."""
    at = bisect_left(places, low)
    return at < len(places) and places[at] < high


def _asserts(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
    """Whether something is said of target ``k`` at once ("theres no drift")."""
    before = mentions[k - 1] if k else None
    denied = before is not None and before.marker in LEADS and adjacent(before, mentions[k])
    there = k > 1 and mentions[k - 2].marker in LEADS and denied
    words, lead = load_words(), texts[mentions[k].start - 1] if mentions[k].start else ""
    if is_general(mentions[k]) and (lead in words.openers or lead in words.anaphora):
        return True  # "we'll leave that power in the right arm …"
    return there or is_graded(texts, mentions, k)


def _goes_on_telling(
    texts: Sequence[str],
    mentions: Sequence[Mention],
    k: int,
    talk: Sequence[tuple[int, str]],
    latest: int,
) -> bool:
    """ "If the deltoid is weak and the biceps jerk gone …": still no observation."""
    at = bisect_left(talk, (mentions[k].start, "")) - 1
    if at < 0 or talk[at][1] in _ASIDES or talk[at][0] < latest:
        return False
    words, i = load_words(), mentions[k].start - 1
    while i >= 0 and texts[i] in words.determiners:
        i -= 1
    return i >= 0 and texts[i] in words.joining


def _opens_limb(
    texts: Sequence[str],
    mentions: Sequence[Mention],
    k: int,
    talk: Sequence[tuple[int, str]],
    since: int,
) -> bool:
    """Whether limb ``k`` is a heading: what follows is said of it."""
    words, m = load_words(), mentions[k]
    at = k + 1
    while at < len(mentions) and _is_place_phrase(mentions, at):
        at += 1  # "left arm and left leg"
    if at == len(mentions) or _follows_preposition(texts, m, mentions[k + 1]):
        return False
    if mentions[at].sort == "grade" and not leads_target(texts, mentions, at):
        return False
    if any(t.code in words.sideless_modalities for t in mentions[at].terms):
        return False  # "reduced right arm and right leg gait not assessed"
    low = phrase_start(texts, m, 0, words.limb_phrase_words)
    # "make big strong arms like a superhero"
    return not _is_aside(talk, since, m.start) or (low > 0 and texts[low - 1] in words.openers)


def _is_place_phrase(mentions: Sequence[Mention], k: int) -> bool:
    if mentions[k].sort == "side" and k + 1 < len(mentions):
        return mentions[k + 1].sort == "place" and mentions[k + 1].start == mentions[k].end
    return mentions[k].sort == "place"


def _is_aside(talk: Sequence[tuple[int, str]], low: int, high: int) -> bool:
    """Whether the talk that began last, from ``low`` to before ``high``, is an aside."""
    at = bisect_left(talk, (high, "")) - 1
    return at >= 0 and talk[at][0] >= low and talk[at][1] in _ASIDES


def _opens_side(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
    """ "… on the left and on the right hip flexion four": the side of what follows."""
    words, side, after = load_words(), mentions[k], mentions[k + 1]
    before = mentions[k - 1] if k else None
    asserts = is_graded(texts, mentions, k + 1) or any(t.implies for t in after.terms)
    return (
        before is not None
        and before.sort == "side"
        and asserts
        and words.subjects.issuperset(texts[side.end : after.start])
        and not words.joining.isdisjoint(texts[before.end : side.start])
    )


def cut_at(start: int, end: int, cuts: Collection[int]) -> list[tuple[int, int]]:
    """The parts of atoms ``start`` to ``end`` between some cuts."""
    return list(pairwise(sorted({start, *(c for c in cuts if start < c < end), end})))


def _sided(texts: Sequence[str], m: Mention) -> bool:
    before = texts[m.start - 1] if m.start else ""
    return bool(m.side) or m.plural or before in ("left", "right") or m.end - m.start == 1


def _follows_preposition(texts: Sequence[str], m: Mention, after: Mention) -> bool:
    """Whether a preposition ties a limb to what was said before it."""
    words, i = load_words(), m.start - 1
    while i >= 0 and texts[i] in words.limb_qualifiers:
        i -= 1
    if i >= 0 and texts[i] == "throughout":
        # "five throughout left leg tone …": the limb heads what follows
        sided = bool(m.side) or texts[m.start - 1] in ("left", "right")
        heads = after.sort == "side" or (sided and after.sort == "target")
        return not (heads and adjacent(m, after))
    return i >= 0 and texts[i] in words.limb_prepositions
