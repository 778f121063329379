"""How well a word fits its neighbours: a small model of how examinations are spoken.

Counts of one to three word classes in a row (``bench/phrases.py`` makes them from invented
narrations) give the probability of a word after two others: "elbow flexion ___" expects a
number, "no ankle ___" a sign. Ordinary English, which is spoken between findings, is judged
by word frequency alone (wordfreq). How much each side weighs depends on how much trade talk
surrounds the word, so that ordinary prose never attracts trade words.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import cache, lru_cache

from ...lexicon.files import read_rows, read_text
from .units import NUMBERS

START = "<s>"
OTHER = "<other>"
_DISCOUNT = 0.7
_FLOOR = 1e-9
_MIXED = 0.2  # the share of trade words in a text of prose and findings ...
_WORTH = 5  # ... and the number of words that this guess is worth
_NEW = 0.01  # the chance that a word is one of the lexicon's that the counts lack


@lru_cache(maxsize=65_536)
def ordinary(token: str) -> float:
    """The frequency of ``token`` in English at large (0 when it is not a word)."""
    from wordfreq import word_frequency

    return float(word_frequency(token, "en", wordlist="large", minimum=0.0))


class Context:
    """Class trigrams with absolute discounting, and the members of each class."""

    def __init__(
        self,
        runs: Mapping[tuple[str, ...], int],
        members: Mapping[tuple[str, str], int],
        extra_words: Iterable[str] = (),
    ) -> None:
        self.class_of: dict[str, str] = {word: kind for kind, word in members}
        self._share: dict[str, float] = {}
        totals: dict[str, int] = defaultdict(int)
        for (kind, _), n in members.items():
            totals[kind] += n
        for (kind, word), n in members.items():
            self._share[word] = math.log((n + 1) / (totals[kind] + _members_of(kind, members)))
        new = [w for w in dict.fromkeys(extra_words) if w not in self.class_of]
        self._new = {word: _NEW / max(300, len(new)) for word in new}
        for word in new:
            self.class_of[word] = OTHER
            self._share[word] = math.log(self._new[word])
        self._runs = runs
        self._after: dict[tuple[str, ...], tuple[int, int]] = {}
        after: dict[tuple[str, ...], list[int]] = defaultdict(lambda: [0, 0])
        for run, n in runs.items():
            slot = after[run[:-1]]
            slot[0] += n
            slot[1] += 1
        self._after = {k: (v[0], v[1]) for k, v in after.items()}
        self._judged: dict[tuple[str, str, str, float], float] = {}
        self._cache: dict[tuple[str, str, str], tuple[float, float]] = {}

    def kind(self, token: str) -> str:
        """The class of ``token``; ``OTHER`` when the trade's talk does not hold it."""
        if token in self.class_of:
            return self.class_of[token]
        return OTHER

    def seen(self, first: str, second: str) -> bool:
        """Whether trade talk puts class ``second`` straight after ``first``."""
        return (first, second) in self._runs

    def trade_share(self, token: str) -> float:
        """How common ``token`` is in trade talk, whatever stands before it."""
        if token not in self._share:
            return 0.0
        total = self._after[()][0]
        if token in self._new:
            return self._new[token]
        return self._runs.get((self.class_of[token],), 0) / total * math.exp(self._share[token])

    def class_probability(self, first: str, second: str, third: str, fresh: float) -> float:
        """The probability of class ``third`` after ``first`` and ``second``.

        ``fresh`` is the chance that a new sentence starts here.
        """
        key = (first, second, third)
        found = self._cache.get(key)
        if found is None:
            found = self._smooth((first, second), third), self._smooth((START, START), third)
            self._cache[key] = found
        return (1 - fresh) * found[0] + fresh * found[1]

    def _smooth(self, history: tuple[str, ...], kind: str) -> float:
        total, types = self._after.get(history, (0, 0))
        if not history:
            if not total:
                return _FLOOR
            rest = _DISCOUNT * types / total
            own = max(0.0, self._runs.get((kind,), 0) - _DISCOUNT) / total
            return own + rest * (0.2 if kind == OTHER else 1 / 2000)
        lower = self._smooth(history[1:], kind)
        if not total:
            return lower
        own = max(0.0, self._runs.get((*history, kind), 0) - _DISCOUNT) / total
        return own + (_DISCOUNT * types / total) * lower

    def trade(self, first: str, second: str, token: str, fresh: float) -> float:
        """The probability of ``token`` after two classes, in trade talk.

        ``fresh`` is the chance that a new sentence starts here.
        """
        key = (first, second, token, fresh)
        found = self._judged.get(key)
        if found is None:
            found = self._judged[key] = self._trade(first, second, token, fresh)
        return found

    def most(self, token: str) -> float:
        """The share of ``token`` in its class: the most that any history can make it."""
        if token in self._new:
            return self._new[token]
        share = self._share.get(token)
        return math.exp(share) if share is not None else ordinary(token)

    def _trade(self, first: str, second: str, token: str, fresh: float) -> float:
        uncounted = self._new.get(token)
        if uncounted is not None:
            return uncounted
        kind = self.kind(token)
        p = self.class_probability(first, second, kind, fresh)
        share = self._share.get(token)
        if share is None:
            return p * (ordinary(token) if kind == OTHER else 1 / 29)
        return p * math.exp(share)


def _members_of(kind: str, members: Mapping[tuple[str, str], int]) -> int:
    return _sizes(tuple(sorted(k for k, _ in members))).get(kind, 1)


@lru_cache(maxsize=4)
def _sizes(kinds: tuple[str, ...]) -> dict[str, int]:
    out: dict[str, int] = defaultdict(int)
    for kind in kinds:
        out[kind] += 1
    return out


def read_context(extra_words: Iterable[str] = ()) -> Context:
    """The model of the installed package, with the lexicon's further words added."""
    runs, members = _tables()
    return Context(runs, members, extra_words)


@cache
def _tables() -> tuple[dict[tuple[str, ...], int], dict[tuple[str, str], int]]:
    runs: dict[tuple[str, ...], int] = {}
    for line in read_text("sounds/phrases.txt").splitlines():
        run, _, n = line.partition("\t")
        runs[tuple(run.split(" "))] = int(n)
    members: dict[tuple[str, str], int] = {}
    for line in read_text("sounds/members.txt").splitlines():
        pair, n, _ = line.split("\t")
        kind, _, word = pair.partition(" ")
        members[kind, word] = int(n)
    for _, row in read_rows("sounds/classes.csv"):
        members.setdefault((row["class"], row["word"]), 0)
    return runs, members


@cache
def formal_words() -> Mapping[str, int]:
    """Words of the grammar's formulas, with how often they occur in its sentences."""
    rows = (line.split("\t") for line in read_text("sounds/members.txt").splitlines())
    return {pair.partition(" ")[2]: int(n) for pair, _, n in rows if n != "0"}


def is_number(token: str) -> bool:
    """Whether ``token`` is a number, as a word or in digits."""
    return token in NUMBERS or token.isdigit()


def surroundings(flags: Sequence[bool], reach: int = 14) -> list[float]:
    """For each place the share of trade words within ``reach`` places to either side.

    A short text says little about itself, so the share starts from that of a mixed text.
    """
    sums = [0]
    for flag in flags:
        sums.append(sums[-1] + flag)
    n = len(flags)
    out = []
    for i in range(n):
        a, b = max(0, i - reach), min(n, i + reach + 1)
        out.append((sums[b] - sums[a] - flags[i] + _MIXED * _WORTH) / (b - a - 1 + _WORTH))
    return out
