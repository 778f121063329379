"""Of the wordings that fit one place, the one that is most probably right.

The best path through the lattice tells how the trade would speak there; which of several such
wordings was said, the marks of ``marks.py`` tell better, the sound among them: "is normal" reads
best for "tonormal", and "tone normal" is what it sounds like.
"""

from __future__ import annotations

from collections.abc import Iterator

from .changes import Change
from .lattice import Lattice
from .marks import chance, marks_of

_REACH = 2  # units before a change at which a rival may begin


def likeliest(lattice: Lattice) -> list[Change]:
    """The changes of the best path, each given way to a likelier one in its place, in order."""
    path, heard = lattice.changes(), lattice.listened
    out: list[Change] = []
    for k, change in enumerate(path):
        low = max(change.first - _REACH, out[-1].last if out else 0)
        high = path[k + 1].first if k + 1 < len(path) else len(lattice.units)
        rivals = _rivals(lattice, change, low, high) if _weighed(change) else ()
        out.append(max((change, *rivals), key=lambda c: chance(marks_of(c, lattice), heard)))
    return out


def _weighed(change: Change) -> bool:
    """Whether chance decides: not over a house spelling or a person's own variant."""
    return change.edge.size > 0 and change.edge.kind != "own"


def _rivals(lattice: Lattice, change: Change, low: int, high: int) -> Iterator[Change]:
    """What else could stand where ``change`` does, between units ``low`` and ``high``."""
    for first in range(low, change.last):
        for edge in lattice.edges.get(first, ()):
            if edge.size and edge != change.edge and change.first < edge.last <= high:
                found = lattice.judge(edge)
                if found.gain >= 0:
                    yield found
