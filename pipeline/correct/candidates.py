"""Which trade words a stretch of heard words could have been.

All targets (lexicon forms, the words of trade talk, their common runs) stand in one index,
in order of length. The windows of a whole transcript are measured together, by length, so
that rapidfuzz compares many at once and only with targets whose length lets them be near;
what was measured once is remembered, since dictation repeats itself.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import cdist

from .distance import FULL, features
from .phonemes import pronounce

_FAR = 0.42  # greatest distance as a share of the longer feature string
_CLOSE = 3  # features by which even the shortest words may differ
_KEPT = 24  # candidates kept for a window, of which the neighbours choose
_BLOCK = 64  # windows measured at once, of about one length
_REMEMBERED = 200_000


@dataclass(frozen=True, slots=True)
class Target:
    """What a window may become: its tokens, one way of saying them, the term they belong to.

    A ``plain`` target holds no word of the trade ("is", "both sides").
    """

    tokens: tuple[str, ...]
    phones: str
    term: str
    plain: bool = False


@dataclass(frozen=True, slots=True)
class Candidate:
    """A target for a window, with their distance in phonemes."""

    target: Target
    distance: float


def said(tokens: Sequence[str], ways: int = 2) -> list[str]:
    """The ways of saying ``tokens`` in a row, the likeliest first, at most four."""
    parts = [pronounce(t)[:ways] for t in tokens]
    out = ("".join(p) for p in itertools.product(*parts))
    return list(dict.fromkeys(itertools.islice(out, 4)))


class Index:
    """Targets, ready to be searched."""

    def __init__(self, targets: Iterable[Target]) -> None:
        unique = {(t.tokens, t.phones): t for t in targets if len(t.phones) > 1}.values()
        found = sorted(
            ((features(t.phones), t) for t in unique),
            key=lambda pair: (len(pair[0]), pair[1].phones, pair[1].tokens),  # always one order
        )
        self.targets: tuple[Target, ...] = tuple(t for _, t in found)
        self._features = [f for f, _ in found]
        self._lengths = np.array([len(f) for f in self._features])
        self._known: dict[str, tuple[Candidate, ...]] = {}

    def search(self, windows: Iterable[str]) -> Mapping[str, tuple[Candidate, ...]]:
        """For each phoneme string its candidates, nearest first."""
        new = [w for w in dict.fromkeys(windows) if w not in self._known]
        if len(self._known) > _REMEMBERED:
            self._known.clear()
        heard = sorted(((features(w), w) for w in new), key=lambda pair: len(pair[0]))
        for at in range(0, len(heard), _BLOCK):
            self._measure(heard[at : at + _BLOCK])
        return self._known

    def _measure(self, block: Sequence[tuple[str, str]]) -> None:
        low, high = self._band(len(block[0][0]), len(block[-1][0]))
        found: list[list[Candidate]] = [[] for _ in block]
        if low < high:
            apart = cdist(
                [f for f, _ in block],
                self._features[low:high],
                scorer=Levenshtein.distance,
                score_cutoff=max(_CLOSE, int(_FAR * self._lengths[high - 1])),
                dtype=np.uint8,
            )
            heard = np.array([len(f) for f, _ in block])
            longest = np.maximum(heard[:, None], self._lengths[None, low:high])
            near = apart <= np.maximum(_CLOSE, _FAR * longest)
            rows, columns = np.nonzero(near)
            distances = apart[rows, columns] / FULL
            order = np.lexsort((distances, rows))
            for k in order.tolist():
                if len(found[rows[k]]) < _KEPT:
                    target = self.targets[low + columns[k]]
                    found[rows[k]].append(Candidate(target, float(distances[k])))
        for (_, phones), candidates in zip(block, found, strict=True):
            self._known[phones] = tuple(candidates)

    def _band(self, shortest: int, longest: int) -> tuple[int, int]:
        """The places of the targets whose length lets them be near enough."""
        least = min((1 - _FAR) * shortest, shortest - _CLOSE)
        most = max(longest / (1 - _FAR), longest + _CLOSE)
        low = int(np.searchsorted(self._lengths, least))
        return low, int(np.searchsorted(self._lengths, most, "right"))
