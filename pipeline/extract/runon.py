"""Cuts talk that runs on without punctuation where a new statement begins.

Recognisers drop stops, and telegraphic dictation has none: "tone normal power five
throughout reflexes two plus right leg tone increased". A target that follows a finished
statement opens a new one, with the grade or negation that leads it; a limb with a side, or a
side said of all that follows, is a heading.
"""

from __future__ import annotations

from collections.abc import Sequence

from .mentions import Mention

_LIMB_CODES = frozenset(["upper_limb", "lower_limb", "hand", "foot"])
_LEADS = ("negation", "there_is", "none")
_HEADING_FILLERS = frozenset(
    "now first next then and so okay right well um uh on in at the for to of starting beginning "
    "start begin with coming moving turning over exam examination testing his her , . ; ? ! as is again "
    "finally by root looking".split()
)
#: How far into a piece a target, and a cue, may stand to open it.
_LEAD_WORDS = 4
_TALK_WORDS = 3
_ADJECTIVES = frozenset(["left", "right", "both", "either", "bilateral", "l", "r"])
_SIDED_WORDS = frozenset(["left", "right", "both", "either", "the", "a", "his", "her", "on", "in"])


def run_on_cuts(
    texts: Sequence[str],
    start: int,
    end: int,
    mentions: Sequence[Mention],
    opened: Sequence[int],
) -> list[tuple[int, int]]:
    """The parts of atoms ``start`` to ``end``; ``opened`` are where other talk begins."""
    cuts: set[int] = set(opened)
    complete, open_target, heading = True, False, False
    for k, m in enumerate(mentions):
        after = mentions[k + 1] if k + 1 < len(mentions) else None
        if m.sort == "target":
            if heading:
                cuts.add(_lead(texts, mentions, k, with_side=False))
            elif complete and not open_target:
                cuts.add(_lead(texts, mentions, k, with_side=True))
            led = _led_by_grade(mentions, k)
            complete, open_target, heading = led, not led, False
        elif m.sort == "grade":
            leads = after is not None and after.sort == "target" and _adjacent(m, after)
            if not (complete and leads):
                complete, open_target = True, False
        elif m.sort == "place" and _is_limb(m) and _sided(texts, m):
            if complete and after is not None and not _follows_preposition(texts, m, after):
                cuts.add(_phrase_start(texts, m, start))
                heading, complete, open_target = True, True, False
        elif m.sort == "side" and open_target and k and after is not None:
            if after.sort == "target" and _generic(mentions[k - 1]):
                heading = True  # "power both sides hip flexion five"
    edges = sorted({start, *(c for c in cuts if start < c < end), end})
    return list(zip(edges, edges[1:], strict=False))


def comma_cuts(
    texts: Sequence[str],
    start: int,
    end: int,
    mentions: Sequence[Mention],
    talk: Sequence[tuple[int, str]],
) -> list[tuple[int, int]]:
    """The parts of an utterance whose stops may have been heard as commas.

    Cut where a heading stands between commas ("…, left leg first, tone increased"), and where
    talk of another kind begins; ``talk`` holds where each cue stands and its kind.
    """
    pieces = _pieces(texts, start, end)
    if len(pieces) < 2:
        return [(start, end)]
    by_piece = [[m for m in mentions if a <= m.start < b] for a, b in pieces]
    cuts: set[int] = set()
    low, open_target = start, False
    for k, (a, b) in enumerate(pieces):
        own = by_piece[k]
        if k and _begins_other_talk(texts, pieces, by_piece, k, low, talk):
            cuts.add(a)
            low = a
        elif not open_target and _heads(texts, pieces, by_piece, k):
            cuts.update((a, b))
            low = b
        open_target = _leaves_open(own, open_target)
    edges = sorted({start, *(c for c in cuts if start < c < end), end})
    return list(zip(edges, edges[1:], strict=False))


def _pieces(texts: Sequence[str], start: int, end: int) -> list[tuple[int, int]]:
    out: list[tuple[int, int]] = []
    low = start
    for i in range(start, end):
        if texts[i] == ",":
            out.append((low, i + 1))
            low = i + 1
    if low < end:
        out.append((low, end))
    return out


def _leaves_open(own: Sequence[Mention], before: bool) -> bool:
    """Whether a target still waits for its grade after these mentions."""
    waiting = before
    for k, m in enumerate(own):
        if m.sort == "target":
            waiting = not _led_by_grade(own, k)
        elif m.sort == "grade" or m.marker in ("none", "same"):
            waiting = False
    return waiting


def _heads(
    texts: Sequence[str],
    pieces: Sequence[tuple[int, int]],
    by_piece: Sequence[Sequence[Mention]],
    k: int,
) -> bool:
    """Whether a piece only says what comes next, and a target does come next."""
    own = by_piece[k]
    if not own or any(m.sort in ("grade", "level", "trade") for m in own):
        return False
    if any(m.sort == "marker" and m.marker not in ("heading", "that_side") for m in own):
        return False
    targets = [m for m in own if m.sort == "target"]
    places = [m for m in own if m.sort == "place"]
    sides = [m for m in own if m.sort == "side"]
    if targets and not (len(targets) == 1 and _generic(targets[0]) and (k == 0 or sides or places)):
        return False
    if not targets and not sides and not all(_is_limb(p) for p in places):
        return False
    if places and not targets and not (sides or any(p.plural or p.side for p in places)):
        return False
    covered = {i for m in own for i in range(m.start, m.end)}
    loose = [
        texts[i] for i in range(*pieces[k]) if i not in covered and texts[i] not in _HEADING_FILLERS
    ]
    if loose:
        return False
    if k + 1 == len(pieces):  # "…, left leg first."
        return k > 0 and any(m.marker == "heading" for m in own)
    return _opens_with_target(texts, pieces[k + 1], by_piece[k + 1])


def _opens_with_target(
    texts: Sequence[str], piece: tuple[int, int], own: Sequence[Mention]
) -> bool:
    first = next((m for m in own if not (m.sort == "marker" and m.marker in _LEADS)), None)
    if first is None:
        return False
    if first.sort == "grade":
        k = own.index(first) + 1
        return k < len(own) and own[k].sort == "target" and _adjacent(first, own[k])
    return first.sort == "target" and first.start - piece[0] <= _LEAD_WORDS


def _begins_other_talk(
    texts: Sequence[str],
    pieces: Sequence[tuple[int, int]],
    by_piece: Sequence[Sequence[Mention]],
    k: int,
    low: int,
    talk: Sequence[tuple[int, str]],
) -> bool:
    a, b = pieces[k]
    before = [m for own, (x, _) in zip(by_piece, pieces, strict=True) if low <= x < a for m in own]
    kinds_before = {kind for at, kind in talk if low <= at < a}
    opening = [kind for at, kind in talk if a <= at <= a + _TALK_WORDS]
    stated = {"target", "grade"} <= {m.sort for m in before}
    if opening and "explanation" not in opening and not kinds_before and stated:
        return True
    told = kinds_before and kinds_before <= {"history", "another_patient", "plan"}
    named = any(m.sort in ("target", "grade") for m in before)
    past = {"was", "were", "had", "could"} & set(texts[a:b])
    own = by_piece[k]
    asserts = any(m.sort == "target" for m in own) and (
        any(m.sort == "grade" for m in own)
        or any(m.marker in _LEADS for m in own if m.sort == "marker")
    )
    return bool(told) and not named and not past and asserts and not opening


def _lead(texts: Sequence[str], mentions: Sequence[Mention], k: int, *, with_side: bool) -> int:
    """Where the phrase of target ``k`` begins, with the words that lead it."""
    at = mentions[k].start
    j = k - 1
    while j >= 0 and mentions[j].end >= at - 1:
        m = mentions[j]
        leads = (m.sort == "marker" and m.marker in _LEADS) or (
            m.sort == "grade" and _led_by_grade(mentions, k)
        )
        side = with_side and m.sort == "side" and m.end == at and is_adjective(texts, m)
        if not (leads or side):
            break
        at = m.start
        j -= 1
    while at > 0 and texts[at - 1] in ("the", "a", "an", "his", "her", "there", "is"):
        at -= 1
    return at


def is_adjective(texts: Sequence[str], side: Mention) -> bool:
    """Whether a side word belongs to the noun after it, and not to "on the left"."""
    before = tuple(texts[max(side.start - 2, 0) : side.start])
    return (
        texts[side.start] in _ADJECTIVES
        and side.end - side.start == 1
        and (before[-1:] != ("on",) and before != ("on", "the"))
    )


def _led_by_grade(mentions: Sequence[Mention], k: int) -> bool:
    """Whether a grade or a negation right before target ``k`` is the target's own."""
    if k == 0:
        return False
    before = mentions[k - 1]
    if before.sort == "side" and k > 1:
        before = mentions[k - 2]
    if before.sort == "marker":
        return before.marker in _LEADS
    if before.sort != "grade":
        return False
    earlier = [m for m in mentions[:k] if m.sort in ("target", "grade") and m is not before]
    return not earlier or earlier[-1].sort == "grade" or _only_presence(before)


def _only_presence(m: Mention) -> bool:
    codes = [c for t in m.terms for c in t.codes if t.kind == "grade"]
    return bool(codes) and all(c.startswith("presence:") for c in codes)


def _adjacent(m: Mention, after: Mention) -> bool:
    return after.start - m.end <= 1


def _generic(m: Mention) -> bool:
    return any(
        t.kind == "modality" and t.code in ("power", "reflex", "tone", "sensation") for t in m.terms
    )


def _is_limb(m: Mention) -> bool:
    return any(set(t.codes) & _LIMB_CODES for t in m.terms if t.kind == "segment")


def _sided(texts: Sequence[str], m: Mention) -> bool:
    before = texts[m.start - 1] if m.start else ""
    return bool(m.side) or before in ("left", "right") or m.end - m.start == 1


def _follows_preposition(texts: Sequence[str], m: Mention, after: Mention) -> bool:
    i = m.start - 1
    while i >= 0 and texts[i] in ("left", "right", "both", "the", "either", "his", "her"):
        i -= 1
    if i >= 0 and texts[i] == "throughout":
        # "five throughout left leg tone …": the limb heads what follows
        sided = bool(m.side) or texts[m.start - 1] in ("left", "right")
        heads = after.sort == "side" or (sided and after.sort == "target")
        return not (heads and _adjacent(m, after))
    return i >= 0 and texts[i] in ("in", "of", "at", "and", "over", "or", "to")


def _phrase_start(texts: Sequence[str], m: Mention, start: int) -> int:
    at = m.start
    while at > start and texts[at - 1] in _SIDED_WORDS:
        at -= 1
    return at
