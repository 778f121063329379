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

from ...lexicon import load
from ...lexicon.words import load_words
from .mentions import Mention

#: Markers that lead a target as a grade does.
LEADS = ("negation", "there_is", "none")
#: How many targets a list may have.
_LISTED = 16
#: Numbers that only power can have.
_POWER_ONLY = ("5", "5-", "4-")
OPPOSITE = {"left": "right", "right": "left"}
#: Kinds of talk between which findings are called out.
_ASIDES = ("instruction", "question", "plan")
#: How far from a status its target may stand.
_NEAR = 4


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
                latest = _lead(texts, mentions, k, with_side=False)
                cuts.add(latest)
            elif (
                _is_tied(texts, m)
                or (complete and _shares_lead(texts, mentions, k))
                or _goes_on_telling(texts, mentions, k, talk, latest)
            ):
                continue
            elif (complete and not open_target) or aside:
                latest = _lead(texts, mentions, k, with_side=True)
                cuts.add(latest)
            elif _is_aside(talk, since, m.start):
                continue
            led = is_led_by_grade(texts, mentions, k)
            complete, open_target, heading, since = led, not led, False, m.end
        elif m.sort == "grade":
            rest = k > 0 and mentions[k - 1].marker == "otherwise"
            leads = _leads_target(texts, mentions, k) and not rest
            if not (complete and leads) or _is_repeated(mentions, k):
                complete, open_target = True, False
        elif m.marker == "status":
            near = after is not None and after.sort == "target" and after.start - m.end <= _NEAR
            own = near and _is_graded(texts, mentions, k + 1)
            if near and not own and not open_target:
                if complete:
                    latest = _phrase_start(texts, m, start, load_words().subjects)
                    cuts.add(latest)
                complete, open_target = False, True
            else:
                complete, open_target = True, False
        elif m.marker in ("none", "same", "symmetric"):
            complete, open_target = True, False
        elif m.sort == "place" and is_limb(m) and _sided(texts, m):
            ready = complete or (named is not None and is_general(named))
            if ready and _opens_limb(texts, mentions, k, talk, since):
                latest = _phrase_start(texts, m, start, load_words().limb_phrase_words)
                cuts.add(latest)
                heading, complete, open_target = True, True, False
        elif (
            m.sort in ("side", "place")
            and open_target
            and named is not None
            and _is_sign(named)
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
                m.side == OPPOSITE.get(opened) and not _answers_side(mentions, k)
            ):
                latest = _phrase_start(texts, m, start, load_words().limb_phrase_words)
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
    return there or _is_graded(texts, mentions, k)


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
    if mentions[at].sort == "grade" and not _leads_target(texts, mentions, at):
        return False
    if any(t.code in words.sideless_modalities for t in mentions[at].terms):
        return False  # "reduced right arm and right leg gait not assessed"
    low = _phrase_start(texts, m, 0, words.limb_phrase_words)
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


def _is_tied(texts: Sequence[str], m: Mention, *, listed: bool = False) -> bool:
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


def _shares_lead(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
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
    return led and not _is_graded(texts, mentions, last)


def _is_graded(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
    """Whether a grade follows target ``k`` at once ("knee jerks are brisk")."""
    after = mentions[k + 1] if k + 1 < len(mentions) else None
    if after is None or after.sort != "grade":
        return False
    between = texts[mentions[k].end : after.start]
    return load_words().before_own_grade.issuperset(between)


def _leads_target(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
    """Whether grade ``k`` stands right before a target that has no other one."""
    after = mentions[k + 1] if k + 1 < len(mentions) else None
    if after is None or after.sort != "target" or not adjacent(mentions[k], after):
        return False
    if mentions[k].number in _POWER_ONLY and is_general(after) and not _is_power(after):
        return False  # "left arm all five reflexes …"
    return _only_presence(mentions[k]) or not _is_graded(texts, mentions, k + 1)


def _is_power(m: Mention) -> bool:
    return any(t.code == "power" for t in m.terms)


def _is_repeated(mentions: Sequence[Mention], k: int) -> bool:
    """ "Four minus, no, four": the grade takes the place of the one before."""
    return (
        k > 1
        and mentions[k - 1].marker in ("correction", "negation")
        and mentions[k - 2].sort == "grade"
        and adjacent(mentions[k - 2], mentions[k - 1])
        and adjacent(mentions[k - 1], mentions[k])
    )


def _opens_side(texts: Sequence[str], mentions: Sequence[Mention], k: int) -> bool:
    """ "… on the left and on the right hip flexion four": the side of what follows."""
    words, side, after = load_words(), mentions[k], mentions[k + 1]
    before = mentions[k - 1] if k else None
    asserts = _is_graded(texts, mentions, k + 1) or any(t.implies for t in after.terms)
    return (
        before is not None
        and before.sort == "side"
        and asserts
        and words.subjects.issuperset(texts[side.end : after.start])
        and not words.joining.isdisjoint(texts[before.end : side.start])
    )


def _is_sign(m: Mention) -> bool:
    """Whether naming it can assert it: something that is there or not."""
    modalities = load().vocabulary.modalities
    return any(
        t.kind == "modality" and modalities[t.code].scale in ("presence", "sign") for t in m.terms
    )


def cut_at(start: int, end: int, cuts: Collection[int]) -> list[tuple[int, int]]:
    """The parts of atoms ``start`` to ``end`` between some cuts."""
    return list(pairwise(sorted({start, *(c for c in cuts if start < c < end), end})))


def _lead(texts: Sequence[str], mentions: Sequence[Mention], k: int, *, with_side: bool) -> int:
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
        if m.sort == "side" and _answers_side(mentions, j):
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
        place = place and not _is_tied(texts, m, listed=True)
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


def _answers_side(mentions: Sequence[Mention], k: int) -> bool:
    """ "Absent left two plus right": the side of the grade before, not of the target after."""
    if k and mentions[k - 1].marker == "none":
        return True  # "mild, none in the left"
    if k < 3 or mentions[k - 1].sort != "grade" or mentions[k].start - mentions[k - 1].end > _NEAR:
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
    if before.sort != "grade" or (_is_graded(texts, mentions, k) and not _only_presence(before)):
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


def _phrase_start(texts: Sequence[str], m: Mention, start: int, own: frozenset[str]) -> int:
    """Where the words of ``own`` before a mention begin."""
    at = m.start
    while at > start and texts[at - 1] in own:
        at -= 1
    return at
