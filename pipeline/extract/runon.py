"""Cuts talk that runs on without punctuation where a new statement begins.

Recognisers drop stops, and telegraphic dictation has none: "tone normal power five
throughout reflexes two plus right leg tone increased". A target that follows a finished
statement opens a new one, with the grade or negation that leads it; a limb with a side, or a
side said of all that follows, is a heading.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ...lexicon.words import load_words
from .mentions import Mention

#: Markers that lead a target as a grade does.
_LEADS = ("negation", "there_is", "none")
#: How far into a piece a target, and a cue, may stand to open it.
_LEAD_WORDS = 4
_TALK_WORDS = 3
#: So long a sentence is not one: the stops in it were heard as commas.
_BREATHLESS_ATOMS = 60
#: Words that tie a piece to the one before.
_GOES_ON = ("otherwise", "none", "same", "correction", "retract", "other_way", "except")
#: Kinds of talk that tell of another time or another child.
_TALES = frozenset(["history", "another_patient", "plan"])


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
        elif m.sort == "side" and open_target and after is not None and after.sort == "target":
            heading = heading or _general(mentions[k - 1])  # "power both sides hip flexion five"
    return _cut(start, end, cuts)


@dataclass(frozen=True)
class _Piece:
    """What stands between two commas, the second one included."""

    start: int
    end: int
    mentions: Sequence[Mention]

    def names(self, sort: str) -> bool:
        return any(m.sort == sort for m in self.mentions)


def comma_cuts(
    texts: Sequence[str],
    start: int,
    end: int,
    mentions: Sequence[Mention],
    talk: Sequence[tuple[int, str]],
) -> list[tuple[int, int]]:
    """The parts of an utterance whose stops may have been heard as commas.

    Cut where a heading stands between commas ("…, left leg first, tone increased"), and where
    talk of another kind begins; ``talk`` holds where each cue stands and its kind, in order.
    """
    pieces = _pieces(texts, start, end, mentions)
    if len(pieces) < 2:
        return [(start, end)]
    cuts: set[int] = set()
    open_target = False
    breathless = end - start >= _BREATHLESS_ATOMS
    said: set[str] = set()  # sorts of mentions since the last cut
    told: set[str] = set()  # kinds of talk since the last cut
    for k, piece in enumerate(pieces):
        turns = k > 0 and (
            _begins_other_talk(texts, piece, said, told, talk)
            or (breathless and not open_target and _restarts(texts, pieces, k, talk))
        )
        if turns:
            cuts.add(piece.start)
            said, told = set(), set()
        if not turns and not open_target and _heads(texts, pieces, k):
            cuts.update((piece.start, piece.end))
            said, told = set(), set()
        else:
            said.update(m.sort for m in piece.mentions)
            told.update(_kinds(talk, piece.start, piece.end))
        open_target = _leaves_open(piece.mentions, open_target)
    return _cut(start, end, cuts)


def _restarts(
    texts: Sequence[str], pieces: Sequence[_Piece], k: int, talk: Sequence[tuple[int, str]]
) -> bool:
    """Whether a piece of a breathless stretch is a sentence of its own."""
    piece, before = pieces[k], pieces[k - 1]
    if any(m.marker == "except" for m in before.mentions):
        return False
    first = next((m for m in piece.mentions if m.marker not in _LEADS), None)
    if first is None:
        return piece.end - piece.start > _TALK_WORDS
    if first.sort == "marker" and first.marker in _GOES_ON:
        return False
    if _kinds(talk, piece.start, piece.start + _TALK_WORDS):
        return True
    return _opens_with_target(piece) and (
        piece.names("grade") or any(m.marker in _LEADS for m in piece.mentions)
    )


def _cut(start: int, end: int, cuts: Collection[int]) -> list[tuple[int, int]]:
    return list(pairwise(sorted({start, *(c for c in cuts if start < c < end), end})))


def _kinds(talk: Sequence[tuple[int, str]], low: int, high: int) -> set[str]:
    """The kinds of talk whose cues stand from ``low`` to before ``high``."""
    return {kind for _, kind in talk[bisect_left(talk, (low, "")) : bisect_left(talk, (high, ""))]}


def _pieces(
    texts: Sequence[str], start: int, end: int, mentions: Sequence[Mention]
) -> list[_Piece]:
    edges = [start, *(i + 1 for i in range(start, end) if texts[i] == ",")]
    if edges[-1] < end:
        edges.append(end)
    starts = [m.start for m in mentions]
    at = [bisect_left(starts, edge) for edge in edges]
    return [
        _Piece(a, b, mentions[i:j])
        for (a, b), (i, j) in zip(pairwise(edges), pairwise(at), strict=True)
    ]


def _leaves_open(own: Sequence[Mention], before: bool) -> bool:
    """Whether a target still waits for its grade after these mentions."""
    waiting = before
    for k, m in enumerate(own):
        if m.sort == "target":
            waiting = not _led_by_grade(own, k)
        elif m.sort == "grade" or m.marker in ("none", "same"):
            waiting = False
    return waiting


def _heads(texts: Sequence[str], pieces: Sequence[_Piece], k: int) -> bool:
    """Whether a piece only says what comes next, and a target does come next."""
    piece = pieces[k]
    own = piece.mentions
    if not own or any(m.sort in ("grade", "level", "trade") for m in own):
        return False
    if any(m.sort == "marker" and m.marker not in ("heading", "that_side") for m in own):
        return False
    targets = [m for m in own if m.sort == "target"]
    places = [m for m in own if m.sort == "place"]
    sides = piece.names("side")
    if targets and not (len(targets) == 1 and _general(targets[0]) and (k == 0 or sides or places)):
        return False
    if not targets and not sides and not all(_is_limb(p) for p in places):
        return False
    if places and not targets and not (sides or any(p.plural or p.side for p in places)):
        return False
    covered = {i for m in own for i in range(m.start, m.end)}
    fillers = load_words().piece_heading_fillers
    if any(i not in covered and texts[i] not in fillers for i in range(piece.start, piece.end)):
        return False
    if k + 1 == len(pieces):  # "…, left leg first."
        return k > 0 and any(m.marker == "heading" for m in own)
    return _opens_with_target(pieces[k + 1])


def _opens_with_target(piece: _Piece) -> bool:
    own = [m for m in piece.mentions if m.marker not in _LEADS]
    if not own:
        return False
    first = own[0]
    if first.sort == "grade":
        k = piece.mentions.index(first) + 1
        after = piece.mentions[k : k + 1]
        return bool(after) and after[0].sort == "target" and _adjacent(first, after[0])
    return first.sort == "target" and first.start - piece.start <= _LEAD_WORDS


def _begins_other_talk(
    texts: Sequence[str],
    piece: _Piece,
    said: Collection[str],
    told: Collection[str],
    talk: Sequence[tuple[int, str]],
) -> bool:
    """Whether a piece turns to other talk, or from a tale back to this child.

    ``said`` and ``told`` are the sorts of mentions and the kinds of talk since the last cut.
    """
    opening = _kinds(talk, piece.start, piece.start + _TALK_WORDS + 1)
    if opening:
        stated = "target" in said and "grade" in said
        return stated and not told and "explanation" not in opening
    tale = bool(told) and _TALES.issuperset(told)
    if not tale or "target" in said or "grade" in said:
        return False
    asserts = piece.names("grade") or any(m.marker in _LEADS for m in piece.mentions)
    past = not load_words().past_verbs.isdisjoint(texts[piece.start : piece.end])
    return piece.names("target") and asserts and not past


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
    openers = load_words().target_openers
    while at > 0 and texts[at - 1] in openers:
        at -= 1
    return at


def is_adjective(texts: Sequence[str], side: Mention) -> bool:
    """Whether a side word belongs to the noun after it, and not to "on the left"."""
    before = tuple(texts[max(side.start - 2, 0) : side.start])
    return (
        texts[side.start] in load_words().side_adjectives
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
    at = k - 1 if mentions[k - 1] is before else k - 2
    at -= 1
    while at >= 0 and mentions[at].sort not in ("target", "grade"):
        at -= 1
    return at < 0 or mentions[at].sort == "grade" or _only_presence(before)


def _only_presence(m: Mention) -> bool:
    codes = [c for t in m.terms for c in t.codes if t.kind == "grade"]
    return bool(codes) and all(c.startswith("presence:") for c in codes)


def _adjacent(m: Mention, after: Mention) -> bool:
    return after.start - m.end <= 1


def _general(m: Mention) -> bool:
    general = load_words().general_modalities
    return any(t.kind == "modality" and t.code in general for t in m.terms)


def _is_limb(m: Mention) -> bool:
    limbs = load_words().heading_limbs
    return any(t.kind == "segment" and not limbs.isdisjoint(t.codes) for t in m.terms)


def _sided(texts: Sequence[str], m: Mention) -> bool:
    before = texts[m.start - 1] if m.start else ""
    return bool(m.side) or before in ("left", "right") or m.end - m.start == 1


def _follows_preposition(texts: Sequence[str], m: Mention, after: Mention) -> bool:
    """Whether a preposition ties a limb to what was said before it."""
    words, i = load_words(), m.start - 1
    while i >= 0 and texts[i] in words.limb_qualifiers:
        i -= 1
    if i >= 0 and texts[i] == "throughout":
        # "five throughout left leg tone …": the limb heads what follows
        sided = bool(m.side) or texts[m.start - 1] in ("left", "right")
        heads = after.sort == "side" or (sided and after.sort == "target")
        return not (heads and _adjacent(m, after))
    return i >= 0 and texts[i] in words.limb_prepositions


def _phrase_start(texts: Sequence[str], m: Mention, start: int) -> int:
    own, at = load_words().limb_phrase_words, m.start
    while at > start and texts[at - 1] in own:
        at -= 1
    return at
