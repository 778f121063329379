"""Judges the marks that a recogniser wrote: each is a hint of what was said, and can be wrong.

Recognisers write commas where sentences end, inside slow or garbled speech, and now and then a
stop where the sentence goes on. How far a mark is to be trusted is told by the words around it,
by how sure the recogniser was of the two words beside it and of all, and by how many stops and
commas it wrote where the words call for so many; ``bench/marks_heard.py`` fits the weights.
``marks`` decides, and where no mark was written, or next to none in all, as it does for a text.
A mark in the midst of a term or of a grade goes before that.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from ...lexicon.files import read_rows
from .evidence import Scores, scores_before
from .gaps import Gap, Line
from .mentions import Mention
from .segments import Segment

_FILE = "marks/heard.csv"
_LEAST_SURE = 0.02  # words less sure than that are as good as it
_MOST_SCORE = 8.0
_WORDS_A_MARK = 6  # words and names
#: The weights are so much too sure of talk that they were not fitted on.
_SURER = 0.7
#: Where so little speaks for a mark by the classes beside a gap, and by them and the sentence
#: so far, nothing else is looked at.
_PAIR_CUT, _CUT = -2.0, -3.0
#: With fewer marks for what is usual the recogniser writes none to speak of.
_FEW = 0.25
#: Sorts of mentions that no mark parts.
_WHOLE = frozenset(["target", "grade"])


class Rates(NamedTuple):
    """How many stops and commas were written, and how sure all words are.

    Natural logarithms: of what the words call for, and of probabilities.
    """

    stops: float
    commas: float
    sure: float


def sureness(probability: float | None) -> float:
    """Natural logarithm of a word's probability, bounded; a word without one is sure."""
    return 0.0 if probability is None else math.log(min(max(probability, _LEAST_SURE), 1.0))


def rates_of(line: Line, gaps: Sequence[Gap], sure: Sequence[float]) -> Rates | None:
    """What a narration says of its marks; None where it has too few to say anything.

    ``sure`` is the logarithm of each atom's probability.
    """
    stops, commas = (sum(written(g) == mark for g in gaps) for mark in (".", ","))
    if stops + commas < _FEW * len(gaps) / _WORDS_A_MARK:
        return None
    after = [sure[t.start] for t in line.tokens[1:]]
    due, due_commas = _expected(line, gaps)
    return Rates(
        math.log((stops + 1) / (due + 1)),
        math.log((commas + 1) / (due_commas + 1)),
        sum(after) / len(after),
    )


def _expected(line: Line, gaps: Sequence[Gap]) -> tuple[float, float]:
    """How many stops and commas the words of a narration call for."""
    stops = commas = 0.0
    segment = Segment()
    for i, token in enumerate(line.tokens):
        if i:
            scores = scores_before(line, i, segment, pair_cut=_PAIR_CUT, cut=_CUT)
            ends = written(gaps[i - 1]) == "."
            if scores is not None:
                stop, comma, colon = (math.exp(_SURER * s) for s in scores)
                total = 1 + stop + comma + colon
                stops += (stop + colon) / total
                commas += comma / total
                ends = ends or 2 * (stop + colon) > total
            if ends:
                segment = segment.ended()
        segment = segment.with_token(token.kind, token.first, line.sorts[i], line.cues[i])
    return stops, commas


def written(gap: Gap) -> str:
    """A stop, a comma or nothing, as the recogniser wrote it."""
    return gap.mark if gap.mark in ("", ",") else "."


def features(scores: Scores, rates: Rates, before: float, after: float) -> tuple[float, ...]:
    """What a written mark is judged by, in the order of ``FEATURES``.

    ``before`` and ``after``: how sure the words beside it are.
    """
    most = max(scores.stop, scores.colon)
    stop = most + math.log(math.exp(scores.stop - most) + math.exp(scores.colon - most))
    own = (max(-_MOST_SCORE, min(_MOST_SCORE, s)) / 2 for s in (stop, scores.comma))
    return (1.0, *own, before, after, rates.sure, rates.stops, rates.commas)


#: Names of the features in ``heard.csv``.
FEATURES = ("always", "stop", "comma", "before", "after", "sure", "stops", "commas")


@cache
def _weights() -> Mapping[str, tuple[tuple[float, ...], tuple[float, ...]]]:
    """For each written mark the weights of a stop and of a comma, against no mark."""
    rows = {(r["written"], r["feature"]): r for _, r in read_rows(_FILE)}
    names = {",": "comma", ".": "stop"}
    stop, comma = (
        {mark: tuple(float(rows[name, f][said]) for f in FEATURES) for mark, name in names.items()}
        for said in ("stop", "comma")
    )
    return {mark: (stop[mark], comma[mark]) for mark in names}


def chances(gap: Gap, values: Sequence[float]) -> tuple[float, float]:
    """How probable a stop and a comma are where a mark was written; ``values`` by ``features``."""
    stop, comma = (
        math.exp(sum(w * v for w, v in zip(row, values, strict=True)))
        for row in _weights()[written(gap)]
    )
    total = 1 + stop + comma
    return stop / total, comma / total


def parted(
    texts: Sequence[str],
    breaks: Collection[int],
    kept: Sequence[int],
    joined: Sequence[Mention],
    own: Sequence[Mention],
) -> set[int]:
    """Marks in the midst of a term or a grade ("elbow, flexion", "four, minus").

    ``joined`` are the mentions of the atoms ``kept``, which are no marks, and ``own`` those of
    all atoms. A stop goes only before what is nothing without it ("abductor. Pollicis brevis").
    """
    begun = {m.start: m.sort for m in own if m.sort in ("target", "grade", "place", "side")}
    out: set[int] = set()
    for m in joined:
        if m.sort not in _WHOLE:
            continue
        for k in range(m.start + 1, m.end):
            low, high = kept[k - 1] + 1, kept[k]
            if low == high or any(i in breaks for i in range(low, high + 1)):
                continue
            follows = begun.get(high)
            soft = all(texts[i] == "," for i in range(low, high))
            if follows is None or (soft and m.sort == "target" and follows != "grade"):
                out.update(range(low, high))
    return out
