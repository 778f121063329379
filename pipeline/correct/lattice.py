"""Decides which heard stretches become trade words.

A noisy-channel decision. Every reading of the words is a path through a lattice: keep a
word, or replace a window of one to five words by a candidate. A path's score is a sum of
natural logarithms, so each part can be told apart and shown: how near the sounds are, how
well the words fit their neighbours (``context.py``) or how ordinary they are, and how sure
the recogniser was. The best path is found by Viterbi search over pairs of word classes; the
gain of a change is the difference to keeping what was heard, between the same neighbours.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from .changes import Change, Edge, Weights
from .context import START, is_number, surroundings
from .targets import Hearing
from .units import Unit
from .words import LEVELS, commonness, is_trade

_NOBODY = 1e-8  # the frequency under which a word is nobody's
_HELP = 4.0  # how much a change may add to the fit of its neighbours

#: A word on a path: its text, the unit it stands at, whether it is the first to stand there.
_Step = tuple[str, int, bool]


@dataclass(slots=True)
class _State:
    score: float
    before: tuple[int, tuple[str, str]] | None
    edge: Edge | None


@dataclass
class Lattice:
    """The units of a transcript with every replacement that is worth a thought.

    ``listened``: the sound was asked about what seemed worth it.
    """

    units: Sequence[Unit]
    probabilities: Sequence[float]
    hearing: Hearing
    weights: Weights
    listened: bool = False
    edges: dict[int, list[Edge]] = field(default_factory=dict)
    trade_weight: list[float] = field(default_factory=list)
    fresh: list[float] = field(default_factory=list)
    _plain: dict[str, float] = field(default_factory=dict)
    _keep: list[float] = field(default_factory=list)
    _worth: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        w = self.weights
        flags = [u.text in self.hearing.trade_words or u.text in LEVELS for u in self.units]
        whole = sum(flags) / max(1, len(flags))
        self.trade_weight = [
            min(w.trade_most, max(w.trade_least, w.trade_rise * (s - 0.08)))
            for s in (near + w.whole * whole for near in surroundings(flags))
        ]

        self.fresh = [w.fresh_stop]
        for u in self.units[:-1]:
            stop = bool(u.mark) and u.mark in ".?!"
            self.fresh.append(w.fresh_stop if stop else w.fresh_comma if u.mark else w.fresh)

        self._keep = [
            w.keep + w.sure * p + (w.valid if is_trade(u.text, self.hearing) else 0.0)
            for u, p in zip(self.units, self.probabilities, strict=True)
        ]
        self._worth = [
            keep + math.log((1 - talk) * self.plain(u.text))
            for keep, talk, u in zip(self._keep, self.trade_weight, self.units, strict=True)
        ]

    def add(self, edge: Edge, *, always: bool = False) -> None:
        """Put one more replacement into the lattice, unless it can hardly win.

        At its best every word of it is certain after its neighbour, while what was heard is
        judged as ordinary English; ``_HELP`` is left for what it does for its neighbours.
        """
        best = edge.cost + sum(self._most(t, edge.first) for t in edge.tokens)
        if always or best + _HELP > sum(self._worth[edge.first : edge.last]):
            self.edges.setdefault(edge.first, []).append(edge)

    def _most(self, token: str, place: int) -> float:
        w = self.trade_weight[place]
        return math.log(w * self.hearing.context.most(token) + (1 - w) * self.plain(token))

    def word_score(
        self, history: tuple[str, str], token: str, place: int, opens: bool = True
    ) -> float:
        """The log probability of ``token`` after ``history``, trade and ordinary together.

        ``opens`` when it is the first word to stand at ``place``: a new sentence is likely there
        if the recogniser set a mark before.
        """
        w = self.trade_weight[place]
        fresh = self.fresh[place] if opens else self.weights.fresh
        trade = self.hearing.context.trade(*history, token, fresh)
        return math.log(w * trade + (1 - w) * self.plain(token) + 1e-30)

    def plain(self, token: str) -> float:
        """The chance of ``token`` in ordinary English.

        The longer a word that nobody knows, the less likely it is one.
        """
        found = self._plain.get(token)
        if found is None:
            found = math.pow(commonness(token), self.weights.fluent)
            if found < _NOBODY:
                less = self.weights.letters * max(0, len(token) - 6)
                found = self.weights.nonword * math.exp(-less)
            self._plain[token] = found
        return found

    def keep_score(self, i: int) -> float:
        """What keeping unit ``i`` is worth beside how well it fits."""
        return self._keep[i]

    def best(self) -> list[Edge]:
        """The replacements on the best path, in order.

        Units that no edge touches are the same on every path; after two of them the history
        is the same too, so each stretch between such gaps is searched by itself.
        """
        out: list[Edge] = []
        for first, last in self._islands():
            out.extend(self._search(first, last))
        return out

    def _islands(self) -> Iterator[tuple[int, int]]:
        first, last = -1, -1
        for i in sorted(self.edges):
            if last >= 0 and i > last + 2:
                yield first, last
                first = -1
            if first < 0:
                first = i
            last = max(last if first < i else -1, max(e.last for e in self.edges[i]))
        if first >= 0:
            yield first, last

    def _search(self, first: int, last: int) -> list[Edge]:
        kind = self.hearing.context.kind
        before = [START, START, *(kind(u.text) for u in self.units[max(0, first - 2) : first])]
        end = min(len(self.units), last + 2)
        beams: list[dict[tuple[str, str], _State]] = [{} for _ in range(end - first + 1)]
        beams[0][before[-2], before[-1]] = _State(0.0, None, None)
        for i in range(first, end):
            here = beams[i - first]
            if len(here) > self.weights.beam:
                top = sorted(here.items(), key=lambda kv: -kv[1].score)[: self.weights.beam]
                here = beams[i - first] = dict(top)
            token = self.units[i].text
            keep = self.keep_score(i)
            token_kind = kind(token)
            for key, state in here.items():
                score = state.score + keep + self.word_score(key, token, i)
                _offer(beams[i - first + 1], (key[1], token_kind), score, (i, key), None)
            for edge in self.edges.get(i, ()):
                for key, state in here.items():
                    score, after = state.score + edge.cost, key
                    for k, t in enumerate(edge.tokens):
                        score += self.word_score(after, t, i, not k)
                        after = (after[1], kind(t))
                    _offer(beams[edge.last - first], after, score, (i, key), edge)
        at, key = end, max(beams[-1], key=lambda k: beams[-1][k].score)
        out: list[Edge] = []
        while (state := beams[at - first][key]).before is not None:
            if state.edge is not None:
                out.append(state.edge)
            at, key = state.before
        return out[::-1]

    def changes(self) -> list[Change]:
        """The replacements on the best path, each judged between its neighbours on that path."""
        edges = self.best()
        path: list[_Step] = []
        at = 0
        places: list[int] = []
        for edge in edges:
            path += [(self.units[i].text, i, True) for i in range(at, edge.first)]
            places.append(len(path))
            path += [(t, edge.first, not k) for k, t in enumerate(edge.tokens)]
            at = edge.last
        path += [(u.text, at + k, True) for k, u in enumerate(self.units[at : at + 2])]
        out = []
        for edge, place in zip(edges, places, strict=True):
            after = place + len(edge.tokens)
            if after + 2 > len(path) or path[-1][1] < edge.last + 1:
                path += [
                    (u.text, edge.last + k, True)
                    for k, u in enumerate(self.units[edge.last : edge.last + 2])
                    if len(path) < after + 2
                ]
            out.append(self.judge(edge, path[max(0, place - 2) : place], path[after : after + 2]))
        return out

    @staticmethod
    def is_number(token: str) -> bool:
        """Whether ``token`` is a number or the sign of a grade."""
        return is_number(token) or token in ("plus", "minus")

    def judge(
        self,
        edge: Edge,
        before: Sequence[_Step] | None = None,
        after: Sequence[_Step] | None = None,
    ) -> Change:
        """The gain of ``edge`` over keeping what was heard, between the same neighbours.

        ``before`` and ``after`` are the two steps of the path on either side; without them the
        words as heard stand there.
        """
        if before is None:
            before = [(u.text, 0, True) for u in self.units[max(0, edge.first - 2) : edge.first]]
        if after is None:
            rest = self.units[edge.last : edge.last + 2]
            after = [(u.text, edge.last + k, True) for k, u in enumerate(rest)]
        kinds = [START, START, *(self.hearing.context.kind(t) for t, _, _ in before)]
        start = (kinds[-2], kinds[-1])
        made = [(t, edge.first, not k) for k, t in enumerate(edge.tokens)]
        kept = [(self.units[i].text, i, True) for i in range(edge.first, edge.last)]
        fit = self._run(start, [*made, *after]) - self._run(start, [*kept, *after])
        return Change(
            edge,
            sound=edge.cost,
            fit=fit,
            doubt=-sum(self.keep_score(i) for i in range(edge.first, edge.last)),
            before=tuple(t for t, _, _ in before),
            after=tuple(t for t, _, _ in after),
        )

    def _run(self, history: tuple[str, str], tokens: Sequence[tuple[str, int, bool]]) -> float:
        total = 0.0
        for token, place, opens in tokens:
            total += self.word_score(history, token, place, opens)
            history = (history[1], self.hearing.context.kind(token))
        return total


def _offer(
    beam: dict[tuple[str, str], _State],
    key: tuple[str, str],
    score: float,
    before: tuple[int, tuple[str, str]],
    edge: Edge | None,
) -> None:
    state = beam.get(key)
    if state is None or score > state.score:
        beam[key] = _State(score, before, edge)
