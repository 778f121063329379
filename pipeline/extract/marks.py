"""Puts the marks back that were written as commas, or not at all, and takes out stray ones.

Whether a sentence ends in a gap is judged by the words around it and by how the sentence
began (``gaps``, ``segments``), with fitted weights. A comma or nothing is a weak hint only;
how weak is taken from the narration itself: where stops are rarer than anybody would speak,
they were lost, as commas if there are more of these than usual. Well-marked talk keeps its
own marks, and a stop that stands in a text always counts. One that a recogniser wrote may be
none, and so may its commas (``heard``).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ...lexicon import Atom
from .evidence import Missing, Scores, known_words, scores_before
from .gaps import MARKS, Gap, Line, tokens_of
from .heard import Rates, chances, features, rates_of
from .mentions import Mention
from .segments import Segment

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
#: How probable a stop must be where a recogniser wrote a mark, and no mark where it wrote a comma.
_SAID, _IDLE = 0.5, 0.6
_GONE = 2.0  # so much likelier than a comma must no mark be where a stop is none
_NEVER = 1e-6
#: How sure a heading must be ("left leg hip flexion four").
_HEADS, _LISTED = 0.5, 0.1
#: And a stop before a side that may be said of what follows, or of what was said before it.
_SIDE_AHEAD = 0.2
#: Where so little speaks for a mark by the classes beside a gap, and by them and the sentence
#: so far, nothing else is looked at: in a well-marked narration, and in another.
_PAIR_CUT, _CUT = {True: -0.9, False: -2.4}, {True: -2.0, False: -3.0}


class _Rates(NamedTuple):
    """How often marks are lost: a comma for a stop, nothing for a stop, nothing for a comma."""

    comma_for_stop: float
    none_for_stop: float
    none_for_comma: float

    def penalties(self, mark: str) -> tuple[float, Scores]:
        """Logarithms of how often ``mark`` is written for no mark, stop, comma and colon."""
        log = math.log
        if mark == ",":
            stop, colon = self.comma_for_stop, max(self.comma_for_stop, _LOST_COLON)
            comma = 1 - self.none_for_comma
            return log(_IDLE_COMMA), Scores(log(stop), log(comma), log(colon))
        stop, colon = self.none_for_stop, max(self.none_for_stop, _LOST_COLON)
        return log(1 - _IDLE_COMMA), Scores(log(stop), log(self.none_for_comma), log(colon))


@dataclass(frozen=True)
class Marked:
    """Atoms with the marks put back; ``soft`` are those that follow a mark nobody wrote."""

    atoms: tuple[Atom, ...]
    breaks: frozenset[int]
    soft: frozenset[int]


def missing_marks(
    texts: Sequence[str],
    mentions: Sequence[Mention],
    cues_at: Mapping[int, str],
    breaks: Collection[int],
    sure: Sequence[float] | None = None,
) -> list[Missing]:
    """The marks that should stand in a narration and do not, in order.

    ``cues_at``: the kinds of talk whose cues begin at an atom. A break ends a sentence. ``sure``:
    how sure a recogniser was of each atom (logarithm); None for a text, whose stops all count.
    """
    tokens, gaps = tokens_of(texts, mentions, known_words())
    if not gaps:
        return []
    ends_marked = texts[-1] in MARKS and texts[-1] != ","
    line = Line(tokens, cues_at)
    rates = None if sure is None else rates_of(line, gaps, sure)
    hearing = None if sure is None or rates is None else _Hearing(sure, rates)
    return _read(line, gaps, breaks, hearing, ends_marked=ends_marked)


class _Hearing(NamedTuple):
    """How sure a recogniser was of each atom, and how it set its marks."""

    sure: Sequence[float]
    rates: Rates


def _read(
    line: Line,
    gaps: Sequence[Gap],
    breaks: Collection[int],
    hearing: _Hearing | None,
    *,
    ends_marked: bool,
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
        heard = hearing is not None and i > 0 and _is_hint(gaps[i - 1], breaks)
        if heard and hearing and i not in repairs:
            gap = gaps[i - 1]
            mark = _said(line, i, segment, gap, hearing, penalties[","])
            if mark != gap.mark:
                out.append(Missing(gap.low, gap.high, mark))
            segment = segment if mark in ("", ",") else segment.ended()
        elif i and ended[i - 1]:
            segment = segment.ended()
        elif i and line.turns(i):
            out.append(Missing(gaps[i - 1].low, gaps[i - 1].high, "."))
            segment = Segment()
        elif i and i not in repairs:
            gap = gaps[i - 1]
            pair_cut = None if gap.mark else _PAIR_CUT[dense]
            scores = scores_before(line, i, segment, pair_cut=pair_cut, cut=_CUT[dense])
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


def _is_hint(gap: Gap, breaks: Collection[int]) -> bool:
    """Whether a recogniser wrote a mark and nothing else ends the sentence there."""
    return gap.mark != "" and not any(i in breaks for i in range(gap.low, gap.high + 1))


def _said(
    line: Line,
    i: int,
    segment: Segment,
    gap: Gap,
    hearing: _Hearing,
    penalties: tuple[float, Scores],
) -> str:
    """The mark that was said before token ``i``, where the recogniser wrote one.

    Whether a comma was a stop is judged as in a text, too; the mean of both log odds counts.
    """
    scores = scores_before(line, i, segment, pair_cut=None, cut=0)
    assert scores is not None
    before, after = hearing.sure[line.tokens[i - 1].end - 1], hearing.sure[line.tokens[i].start]
    stop, comma = chances(gap, features(scores, hearing.rates, before, after))
    if gap.mark != ",":
        return gap.mark if stop > _SAID else "" if 1 - stop - comma > _GONE * comma else ","
    read, _, colon = _probabilities(scores, penalties)
    wanted = _log_odds(_wanted(line, i, segment, _SAID))
    if line.turns(i) or _log_odds(stop) + _log_odds(read + colon) > 2 * wanted:
        return "." if read >= colon else ":"
    return "" if 1 - stop - comma > _IDLE else ","


def _log_odds(p: float) -> float:
    return math.log(max(p, _NEVER) / max(1 - p, _NEVER))


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


def _probabilities(scores: Scores, penalties: tuple[float, Scores]) -> tuple[float, float, float]:
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
        if i in at and at[i].mark:
            out.append(Atom(at[i].mark, atoms[i - 1].word))
            if at[i].mark != ",":
                soft.append(len(out))
        if i in breaks:
            new_breaks.append(len(out))
        if i not in dropped:
            out.append(atom)
    return Marked(tuple(out), frozenset(new_breaks), frozenset(soft))


def without(marked: Marked, dropped: Collection[int]) -> Marked:
    """The atoms without those ``dropped``."""
    kept = [i for i in range(len(marked.atoms)) if i not in dropped]
    number = {i: k for k, i in enumerate(kept)}
    breaks, soft = (
        frozenset(number[i] for i in own if i in number) for own in (marked.breaks, marked.soft)
    )
    return Marked(tuple(marked.atoms[i] for i in kept), breaks, soft)
