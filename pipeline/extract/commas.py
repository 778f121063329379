"""Cuts an utterance whose stops may have been heard as commas.

A heading between commas ("…, left leg first, tone increased") and a turn to talk of another
kind, or back to this child, begin an utterance of their own; in a breathless stretch so does
every piece that would be a sentence.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ...lexicon.words import load_words
from .joins import LEADS, adjacent, is_general, is_led_by_grade, is_limb
from .mentions import Mention
from .runon import cut_at

#: How far into a piece a target, and a cue, may stand to open it.
_LEAD_WORDS = 4
_TALK_WORDS = 3
#: So long a sentence is not one: the stops in it were heard as commas.
_BREATHLESS_ATOMS = 60
#: Words that tie a piece to the one before.
_GOES_ON = ("otherwise", "none", "same", "correction", "retract", "other_way", "except")
#: Kinds of talk that tell of another time or another child.
_TALES = frozenset(["history", "another_patient", "plan"])


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
        open_target = _leaves_open(texts, piece.mentions, open_target)
    return cut_at(start, end, cuts)


def _restarts(
    texts: Sequence[str], pieces: Sequence[_Piece], k: int, talk: Sequence[tuple[int, str]]
) -> bool:
    """Whether a piece of a breathless stretch is a sentence of its own."""
    piece, before = pieces[k], pieces[k - 1]
    if any(m.marker == "except" for m in before.mentions):
        return False
    first = next((m for m in piece.mentions if m.marker not in LEADS), None)
    if first is None:
        return piece.end - piece.start > _TALK_WORDS
    if first.sort == "marker" and first.marker in _GOES_ON:
        return False
    if _kinds(talk, piece.start, piece.start + _TALK_WORDS):
        return True
    return _opens_with_target(piece) and (
        piece.names("grade") or any(m.marker in LEADS for m in piece.mentions)
    )


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


def _leaves_open(texts: Sequence[str], own: Sequence[Mention], before: bool) -> bool:
    """Whether a target still waits for its grade after these mentions."""
    waiting = before
    for k, m in enumerate(own):
        if m.sort == "target":
            waiting = not is_led_by_grade(texts, own, k)
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
    if targets and not (
        len(targets) == 1 and is_general(targets[0]) and (k == 0 or sides or places)
    ):
        return False
    if targets and k + 1 < len(pieces) and _opens_generally(pieces[k + 1]):
        return False  # "tone, power and reflexes are normal"
    if not targets and not sides and not all(is_limb(p) for p in places):
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
    own = [m for m in piece.mentions if m.marker not in LEADS]
    if not own:
        return False
    first = own[0]
    if first.sort == "grade":
        k = piece.mentions.index(first) + 1
        after = piece.mentions[k : k + 1]
        return bool(after) and after[0].sort == "target" and adjacent(first, after[0])
    return first.sort == "target" and first.start - piece.start <= _LEAD_WORDS


def _opens_generally(piece: _Piece) -> bool:
    first = next((m for m in piece.mentions if m.sort == "target"), None)
    return first is not None and is_general(first)


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
    asserts = piece.names("grade") or any(m.marker in LEADS for m in piece.mentions)
    past = not load_words().past_verbs.isdisjoint(texts[piece.start : piece.end])
    return piece.names("target") and asserts and not past
