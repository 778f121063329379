"""Asks the recogniser about its own words: which readings are worth a second hearing.

While the sound of a window is at hand, the recogniser can say how well other words fit it
(``weighing.py``). Here the lattice of the words just written tells which readings to ask
about; the answers come back with the transcript and weigh in when ``correct`` decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..transcript import Weighed, Wording
from .changes import Edge
from .lattice import Lattice
from .units import Unit

_WORTH = -1.0  # a reading that gains less than this without the sound is not asked about
_READINGS = 3  # readings of words that begin at one place


def readings(lattice: Lattice, words: Sequence[str]) -> list[Wording]:
    """The readings to ask about, in order, each as it would be written in ``words``."""
    out: list[Wording] = []
    for place in sorted(lattice.edges):
        edges = [e for e in lattice.edges[place] if e.size]
        gains = sorted(((lattice.judge(e).gain, k) for k, e in enumerate(edges)), reverse=True)
        for gain, k in gains[:_READINGS]:
            if gain >= _WORTH:
                out.append(wording(lattice.units, words, edges[k]))
    return list(dict.fromkeys(out))


def listen(lattice: Lattice, words: Sequence[str], weighed: Iterable[Weighed]) -> None:
    """Tell the edges of ``lattice`` what the sound says of them."""
    told = {(w.first, w.last, w.text.lower()): nats for w, nats in weighed}
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
