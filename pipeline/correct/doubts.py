"""Asks the recogniser about its own words: which readings are worth a second hearing.

While the sound of a window is at hand, the recogniser can say how well other words fit it
(``weighing.py``). Here the lattice of the words just written tells which readings to ask
about; the answers come back with the transcript and weigh in when ``correct`` decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from ..transcript import Weighed, Wording
from .candidates import said
from .changes import Edge
from .distance import distance
from .lattice import Lattice
from .units import Unit

_WORTH = -5.0  # a reading that gains less than this without the sound is not asked about
_READINGS = 3  # readings of words that begin at one place
_UNLIKELY = -3.0  # nats from which on "an abnormal" may well have been said,
_LIKELIER = 0.0  # and from which on another opposite may
_NORMAL = frozenset(("normal", "abnormal"))
_ALIKE = 1.7  # phonemes by which opposites that are easily misheard differ
_SURE = 0.9  # and the recogniser hears these right when it is so sure
_QUESTIONS = 24  # readings of one window, the most promising ones: each costs its time


def readings(lattice: Lattice, words: Sequence[str]) -> list[Wording]:
    """The readings to ask about, in order, each as it would be written in ``words``."""
    found: list[tuple[float, Wording]] = []
    for edges in lattice.edges.values():
        gains = {
            wording(lattice.units, words, e): lattice.judge(e).gain
            for e in edges
            if e.size and e.kind != "own"
        }
        best = sorted(gains.items(), key=lambda pair: (-pair[1], pair[0]))[:_READINGS]
        found.extend((gain, w) for w, gain in best if gain >= _WORTH)
    promising = sorted(found, key=lambda pair: (-pair[0], pair[1]))[:_QUESTIONS]
    asked = {w for _, w in promising}
    asked.update(wording(lattice.units, words, edge) for edge in reversals(lattice))
    return sorted(asked)


def reversals(lattice: Lattice) -> Iterator[Edge]:
    """What would turn a finding round and sounds nearly the same.

    That is "a normal" and "an abnormal", of which a recogniser that knows more English than
    medicine prefers the first, and words such as "abduction" and "adduction" where it was not
    sure. No change is made of it, for the two cannot be told apart by context; but a person is
    told.
    """
    units = lattice.units
    for i, (one, other) in enumerate(pairwise(units)):
        if (one.text, other.text) == ("a", "normal") and not one.mark:
            far = distance(said(("a", "normal"))[0], said(("an", "abnormal"))[0])
            yield Edge(i, i + 2, ("an", "abnormal"), "abnormal", far, 0.0, size=8)
    for i, (unit, sure) in enumerate(zip(units, lattice.probabilities, strict=True)):
        for word in sorted(lattice.hearing.opposites.get(unit.text, ())) if sure < _SURE else ():
            if word in _NORMAL:
                continue
            far = min(distance(a, b) for a in said((unit.text,)) for b in said((word,)))
            if far <= _ALIKE:
                yield Edge(i, i + 1, (word,), word, far, 0.0, size=len(said((word,))[0]))


def turned_round(lattice: Lattice, words: Sequence[str], weighed: Iterable[Weighed]) -> list[Edge]:
    """The reversals that the sound bears out about as well as what was written."""
    told = dict(weighed)
    out = []
    for edge in reversals(lattice):
        nats = told.get(wording(lattice.units, words, edge))
        least = _UNLIKELY if edge.term in _NORMAL else _LIKELIER
        if nats is not None and nats > least:
            out.append(replace(edge, nats=nats))
    return out


def listen(lattice: Lattice, words: Sequence[str], weighed: Iterable[Weighed] | None) -> None:
    """Tell the edges of ``lattice`` what the sound says of them; None: it was not asked."""
    lattice.listened = weighed is not None
    told = {(w.first, w.last, w.text.lower()): nats for w, nats in weighed or ()}
    if not told:
        return
    for edges in lattice.edges.values():
        for k, edge in enumerate(edges):
            w = wording(lattice.units, words, edge)
            nats = told.get((w.first, w.last, w.text.lower()))
            if nats is not None:
                edges[k] = lattice.weights.heard(edge, nats)


def wording(units: Sequence[Unit], words: Sequence[str], edge: Edge) -> Wording:
    """What would stand in ``words`` after ``edge``, with what else its first and last hold."""
    first, last = units[edge.first], units[edge.last - 1]
    lead, rest = words[first.word][: first.start], words[last.word][last.end :]
    text = " ".join(t.upper() if t in _LETTERS else t for t in edge.tokens)
    if not lead and words[first.word][:1].isupper():
        text = text[:1].upper() + text[1:]
    if lead[-1:].isalnum():
        lead += " "
    if rest[:1].isalnum():
        rest = " " + rest
    return Wording(first.word, last.word, lead + text + rest)


_LETTERS = frozenset("ctls")
