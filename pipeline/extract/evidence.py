"""How much the words speak for a stop, a comma or a colon in the gaps between them.

The weights are those that ``bench/marks_fit.py`` fits; ``gaps`` and ``segments`` name the
features. What the recogniser wrote in a gap is not among them: ``marks`` and ``heard`` add it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from typing import NamedTuple

from ...lexicon.files import read_text
from .gaps import Line, pair_features
from .segments import Segment

_FILE = "marks/weights.tsv"
_WORDS = "marks/words.txt"


class Scores(NamedTuple):
    """How much speaks for a stop, a comma and a colon, against no mark (log odds)."""

    stop: float
    comma: float
    colon: float


class Missing(NamedTuple):
    """The mark that should stand before atom ``low``, "" for none; those up to ``high`` go."""

    low: int
    high: int
    mark: str


@cache
def _weights() -> Mapping[str, Scores]:
    out: dict[str, Scores] = {}
    for line in read_text(_FILE).splitlines():
        feature, *values = line.split("\t")
        out[feature] = Scores(*map(float, values))
    return out


@cache
def known_words() -> frozenset[str]:
    """The words that count as themselves."""
    return frozenset(read_text(_WORDS).split())


@lru_cache(maxsize=65_536)
def _segment_scores(
    segment: Segment, kind: str, word: str, sort: str, cue: str, state: str
) -> Scores:
    return summed(segment.features(kind, word, sort, cue, state))


@lru_cache(maxsize=65_536)
def _pair_scores(left: str, right: str) -> Scores:
    return summed(pair_features(left, right))


def summed(features: Sequence[str]) -> Scores:
    """The weights of some features, added."""
    weights = _weights()
    stop = comma = colon = 0.0
    for feature in features:
        found = weights.get(feature)
        if found is not None:
            stop += found[0]
            comma += found[1]
            colon += found[2]
    return Scores(stop, comma, colon)


def scores_before(
    line: Line, i: int, segment: Segment, *, pair_cut: float | None, cut: float
) -> Scores | None:
    """What speaks for marks before token ``i`` after a segment; None where nothing does.

    Where the classes beside the gap speak less than ``pair_cut`` for a mark, or they and the
    segment less than ``cut``, nothing else is looked at; None looks at everything.
    """
    pair = _pair_scores(*line.pair(i))
    if pair_cut is not None and max(pair) < pair_cut:
        return None
    token, state = line.tokens[i], line.waiting(i)[0]
    own = _segment_scores(segment, token.kind, token.first, line.sorts[i], line.cues[i], state)
    so_far = [a + b for a, b in zip(pair, own, strict=True)]
    if pair_cut is not None and max(so_far) < cut:
        return None
    around = summed(line.features(i))
    return Scores(*(a + b for a, b in zip(so_far, around, strict=True)))
