"""Puts the marks back that the recogniser wrote as commas, or did not write.

Whether a sentence ends in a gap is judged by the words around it and by how the sentence
began (``gaps``, ``segments``), with fitted weights. A comma or nothing is a weak hint only;
how weak is taken from the narration itself: where stops are rarer than anybody would speak,
they were lost, as commas if there are more of these than usual. Well-marked talk keeps its
own marks, and a stop that was written always counts.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import NamedTuple

from ...lexicon import Atom
from ...lexicon.files import read_text
from .gaps import MARKS, Gap, Line, pair_features, tokens_of
from .mentions import Mention
from .segments import Segment

_FILE = "marks/weights.tsv"
_WORDS = "marks/words.txt"
#: A sentence's end must be so probable, where a comma stands and where nothing does.
_ENOUGH: Mapping[str, float] = {",": 0.5, "": 0.4}
#: ``bench/marks.py`` shows what other values of these would do.
_WORDS_A_STOP = 12  # words and names; a comma is as frequent
_COMMA_FOR_STOP, _NONE_FOR_STOP, _NONE_FOR_COMMA = 0.02, 0.01, 0.15  # lost by anybody
_MOST_LOST = 0.95
_LOST_COLON = 0.3  # by recognisers, which hardly write any; as a comma, and as nothing
_IDLE_COMMA = 0.02  # how often one stands where nobody would write a mark
#: A narration shorter than this, or with a stop in so many words, is marked well enough that only
#: a gap which is this sure to end a sentence does so without a mark.
_SHORT, _DENSE, _SURE = 12, 25, 0.95
_BRIEF = 0.8  # for a comma where there is no more than a sentence
#: How sure a heading must be ("left leg hip flexion four").
_HEADS, _LISTED = 0.5, 0.1
#: And a stop before a side that may be said of what follows, or of what was said before it.
_SIDE_AHEAD = 0.2
#: Where so little speaks for a mark by the classes beside a gap, and by them and the sentence
#: so far, nothing else is looked at: in a well-marked narration, and in another.
_PAIR_CUT, _CUT = {True: -0.9, False: -2.4}, {True: -2.0, False: -3.0}


class _Scores(NamedTuple):
    """How much speaks for a stop, a comma and a colon, against no mark."""

    stop: float
    comma: float
    colon: float


class _Rates(NamedTuple):
    """How often marks are lost: a comma for a stop, nothing for a stop, nothing for a comma."""

    comma_for_stop: float
    none_for_stop: float
    none_for_comma: float

    def penalties(self, mark: str) -> tuple[float, _Scores]:
        """Logarithms of how often ``mark`` is written for no mark, stop, comma and colon."""
        log = math.log
        if mark == ",":
            stop, colon = self.comma_for_stop, max(self.comma_for_stop, _LOST_COLON)
            comma = 1 - self.none_for_comma
            return log(_IDLE_COMMA), _Scores(log(stop), log(comma), log(colon))
        stop, colon = self.none_for_stop, max(self.none_for_stop, _LOST_COLON)
        return log(1 - _IDLE_COMMA), _Scores(log(stop), log(self.none_for_comma), log(colon))


class Missing(NamedTuple):
    """A mark that should stand before atom ``low``; commas from there to ``high`` go."""

    low: int
    high: int
    mark: str


@dataclass(frozen=True)
class Marked:
    """Atoms with the marks put back; ``soft`` are those that follow a mark nobody wrote."""

    atoms: tuple[Atom, ...]
    breaks: frozenset[int]
    soft: frozenset[int]


@cache
def _weights() -> Mapping[str, _Scores]:
    out: dict[str, _Scores] = {}
    for line in read_text(_FILE).splitlines():
        feature, *values = line.split("\t")
        out[feature] = _Scores(*map(float, values))
    return out


@cache
def known_words() -> frozenset[str]:
    """The words that count as themselves."""
    return frozenset(read_text(_WORDS).split())


@lru_cache(maxsize=65_536)
def _segment_scores(
    segment: Segment, kind: str, word: str, sort: str, cue: str, state: str
) -> _Scores:
    return _sum(segment.features(kind, word, sort, cue, state))


@lru_cache(maxsize=65_536)
def _pair_scores(left: str, right: str) -> _Scores:
    return _sum(pair_features(left, right))


def _sum(features: Sequence[str]) -> _Scores:
    weights = _weights()
    stop = comma = colon = 0.0
    for feature in features:
        found = weights.get(feature)
        if found is not None:
            stop += found[0]
            comma += found[1]
            colon += found[2]
    return _Scores(stop, comma, colon)


def missing_marks(
    texts: Sequence[str],
    mentions: Sequence[Mention],
    cues_at: Mapping[int, str],
    breaks: Collection[int],
) -> list[Missing]:
    """The marks that should stand in a narration and do not, in order.

    ``cues_at``: the kinds of talk whose cues begin at an atom. A break ends a sentence.
    """
    tokens, gaps = tokens_of(texts, mentions, known_words())
    if not gaps:
        return []
    ends_marked = texts[-1] in MARKS and texts[-1] != ","
    return _read(Line(tokens, cues_at), gaps, breaks, ends_marked=ends_marked)


def _read(
    line: Line, gaps: Sequence[Gap], breaks: Collection[int], *, ends_marked: bool
) -> list[Missing]:
    """Goes from gap to gap with what was said since the last stop."""
    ended = [
        g.mark not in ("", ",") or any(i in breaks for i in range(g.low, g.high + 1)) for g in gaps
    ]
    stops, commas = sum(ended) + ends_marked, sum(g.mark == "," for g in gaps)
    dense = len(gaps) < _SHORT or stops * _DENSE >= len(gaps)
    enough: Mapping[str, float] = {**_ENOUGH, "": _SURE} if dense else _ENOUGH
    if dense and len(gaps) < _DENSE:
        enough = {",": _BRIEF, "": _SURE}
    rates = _rates(len(gaps), stops, commas)
    penalties = {mark: rates.penalties(mark) for mark in _ENOUGH}
    repairs = _repairs(line, gaps)
    out: list[Missing] = []
    segment = Segment()
    for i, token in enumerate(line.tokens):
        if i and ended[i - 1]:
            segment = segment.ended()
        elif i and line.turns(i):
            out.append(Missing(gaps[i - 1].low, gaps[i - 1].high, "."))
            segment = Segment()
        elif i and i not in repairs:
            gap = gaps[i - 1]
            scores = _scores(line, i, segment, dense=dense, marked=gap.mark != "")
            if scores is not None:
                stop, comma, colon = _probabilities(scores, penalties[gap.mark])
                ends = stop + colon
                if ends > _wanted(line, i, segment, enough[gap.mark]):
                    out.append(Missing(gap.low, gap.high, "." if stop >= colon else ":"))
                    segment = segment.ended()
                elif not (dense or gap.mark) and ends + comma > _ENOUGH[","]:
                    out.append(Missing(gap.low, gap.high, ","))
        segment = segment.with_token(token.kind, token.first, line.sorts[i], line.cues[i])
    return out


def _wanted(line: Line, i: int, segment: Segment, enough: float) -> float:
    """How probable a sentence's end must be before token ``i``."""
    if segment.heads:
        return _LISTED if segment.sides and line.lists(i) else _HEADS
    if enough < _SURE and (side := line.side_ahead(i)):
        other = segment.led_by not in ("", side) and segment.targets >= segment.grades
        return 0.0 if other else _SIDE_AHEAD  # "on the left grip is three, on the right …"
    return enough


def _repairs(line: Line, gaps: Sequence[Gap]) -> set[int]:
    """Tokens with no stop before them: what takes a word back and what is said instead.

    "T six, no, T eight".
    """
    alone = (
        i
        for i, token in enumerate(line.tokens)
        if token.first == "no" and 0 < i < len(gaps) and gaps[i - 1].mark == gaps[i].mark == ","
    )
    return {j for i in alone for j in (i, i + 1)}


def _scores(line: Line, i: int, segment: Segment, *, dense: bool, marked: bool) -> _Scores | None:
    """What speaks for marks before token ``i``; None where nothing does."""
    pair = _pair_scores(*line.pair(i))
    if not marked and max(pair) < _PAIR_CUT[dense]:
        return None
    token, state = line.tokens[i], line.waiting(i)[0]
    own = _segment_scores(segment, token.kind, token.first, line.sorts[i], line.cues[i], state)
    so_far = [a + b for a, b in zip(pair, own, strict=True)]
    if not marked and max(so_far) < _CUT[dense]:
        return None
    around = _sum(line.features(i))
    return _Scores(*(a + b for a, b in zip(so_far, around, strict=True)))


def _probabilities(scores: _Scores, penalties: tuple[float, _Scores]) -> tuple[float, float, float]:
    """How probable a stop, a comma and a colon are."""
    none, marks = penalties
    stop, comma, colon = (math.exp(a + b - none) for a, b in zip(scores, marks, strict=True))
    total = 1 + stop + comma + colon
    return stop / total, comma / total, colon / total


def _rates(gaps: int, stops: int, commas: int) -> _Rates:
    """What a narration of so many gaps with so many marks seems to have lost."""
    usual = gaps / _WORDS_A_STOP + 1
    lost = max(0.0, 1 - stops / usual)
    as_commas = min(lost, max(0.0, commas / usual - 1))
    bare = max(0.0, 1 - commas / usual)
    return _Rates(
        max(_COMMA_FOR_STOP, as_commas),
        max(_NONE_FOR_STOP, min(lost - as_commas, _MOST_LOST)),
        max(_NONE_FOR_COMMA, min(bare, _MOST_LOST)),
    )


def with_marks(
    atoms: Sequence[Atom], breaks: Collection[int], missing: Sequence[Missing]
) -> Marked:
    """The atoms with the missing marks; a mark belongs to the word before it."""
    at = {m.low: m for m in missing}
    dropped = {i for m in missing for i in range(m.low, m.high) if atoms[i].text in MARKS}
    out: list[Atom] = []
    new_breaks: list[int] = []
    soft: list[int] = []
    for i, atom in enumerate(atoms):
        if i in at:
            out.append(Atom(at[i].mark, atoms[i - 1].word))
            if at[i].mark != ",":
                soft.append(len(out))
        if i in breaks:
            new_breaks.append(len(out))
        if i not in dropped:
            out.append(atom)
    return Marked(tuple(out), frozenset(new_breaks), frozenset(soft))
