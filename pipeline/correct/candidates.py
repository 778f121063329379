"""Which trade words a stretch of heard words could have been.

All targets (lexicon forms, the words of trade talk, their common runs) stand in one index: a
vector a target counting its sound classes and their neighbours. The windows of a whole
transcript are compared with all targets in one matrix product, which keeps the cost of a
growing lexicon small, and only the few that are near are measured by ``distance.py``.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import cpdist

from .distance import FULL, features
from .phonemes import pronounce

_GROUPS = ("pb", "tdTD", "kg", "fv", "szSZCJ", "mnN", "l", "rRw")
_GROUP_OF = {c: i for i, g in enumerate(_GROUPS) for c in g}
_VOWEL_OF = {c: i for i, g in enumerate(("iIeEy", "@aWY", "^cRoO", "uU")) for c in g}
_SIZE = 64 + 8 + 4
_NEAR = 0.60  # least cosine; chosen on bench/correction.py so that few true pairs are lost
_FAR = 0.42  # greatest distance as a share of the longer feature string


@dataclass(frozen=True, slots=True)
class Target:
    """What a window may become: its tokens, one way of saying them, the term they belong to."""

    tokens: tuple[str, ...]
    phones: str
    term: str


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


def vector(phones: str) -> np.ndarray:
    """Counts of sound classes, consonant pairs first; float32, shape (76,), length one."""
    v = np.zeros(_SIZE, dtype=np.float32)
    before = -1
    for c in phones:
        g = _GROUP_OF.get(c, -1)
        if g >= 0:
            v[64 + g] += 1.0
            if before >= 0:
                v[before * 8 + g] += 1.0
            before = g
        if c in _VOWEL_OF:
            v[72 + _VOWEL_OF[c]] += 0.7
    np.sqrt(v, out=v)
    norm = float(np.sqrt(v @ v))
    return v / norm if norm else v


class Index:
    """Targets, ready to be searched."""

    def __init__(self, targets: Iterable[Target]) -> None:
        found = sorted(
            {(t.tokens, t.phones): t for t in targets if len(t.phones) > 1}.values(),
            key=lambda t: len(t.phones),
        )
        self.targets: tuple[Target, ...] = tuple(found)
        self._features = [features(t.phones) for t in found]
        self._lengths = np.array([len(f) for f in self._features])
        order = np.argsort(self._lengths, kind="stable")
        self.targets = tuple(found[i] for i in order)
        self._features = [self._features[i] for i in order]
        self._lengths = self._lengths[order]
        self._matrix = np.stack([vector(t.phones) for t in self.targets])

    def search(self, windows: Sequence[str]) -> list[list[Candidate]]:
        """For each phoneme string its candidates, nearest first."""
        out: list[list[Candidate]] = [[] for _ in windows]
        if not windows:
            return out
        heard = [features(w) for w in windows]
        lengths = np.array([len(f) for f in heard])
        order = np.argsort(lengths, kind="stable")
        step = 256
        for at in range(0, len(order), step):
            block = order[at : at + step]
            low = int(np.searchsorted(self._lengths, 0.62 * lengths[block[0]]))
            high = int(np.searchsorted(self._lengths, 1.6 * lengths[block[-1]] + 1, "right"))
            if high <= low:
                continue
            vectors = np.stack([vector(windows[i]) for i in block])
            near = vectors @ self._matrix[low:high].T
            rows, columns = np.nonzero(near >= _NEAR)
            if not len(rows):
                continue
            a = [heard[block[r]] for r in rows]
            b = [self._features[low + c] for c in columns]
            shares = cpdist(a, b, scorer=Levenshtein.normalized_distance, dtype=np.float32)
            for k in np.nonzero(shares <= _FAR)[0]:
                i, j = int(block[rows[k]]), low + int(columns[k])
                longest = max(len(heard[i]), len(self._features[j]))
                d = float(shares[k]) * longest / FULL
                out[i].append(Candidate(self.targets[j], d))
        for found in out:
            found.sort(key=lambda c: c.distance)
        return out
