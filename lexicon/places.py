"""Which place lies within which: the limb of a movement, the parts of a region.

A finding at a region speaks for its parts, and a finding at a part counts towards the
region; coverage, cautions and terms all need that one question answered. The tree is data
(``data/reference/places.csv``); modalities that take no place stand in it under their own
code, so that a plantar response belongs to the leg as a knee jerk does.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from types import MappingProxyType

from .errors import DataError
from .files import read_rows
from .load import load
from .terms import SOURCE_KINDS
from .vocabulary import Vocabulary

_FILE = "reference/places.csv"
LIMBS = ("upper_limb", "lower_limb")


@dataclass(frozen=True)
class Place:
    """One row of ``places.csv``: a code and the place that contains it ("" for the root)."""

    code: str
    within: str
    source: str
    source_kind: str


@dataclass(frozen=True)
class Places:
    """The tree of places; codes that are not in it lie within nothing."""

    rows: Mapping[str, Place]

    @cached_property
    def _chains(self) -> Mapping[str, tuple[str, ...]]:
        return {code: tuple(self._climb(code)) for code in self.rows}

    def _climb(self, code: str) -> Iterator[str]:
        while code in self.rows:
            yield code
            code = self.rows[code].within

    def chain(self, code: str) -> tuple[str, ...]:
        """``code`` and every place that contains it, the nearest first."""
        return self._chains.get(code, (code,))

    def within(self, code: str, region: str) -> bool:
        """Whether ``code`` is ``region`` or a part of it."""
        return region in self.chain(code)

    def overlap(self, code: str, other: str) -> bool:
        """Whether one of the two is, or is a part of, the other."""
        return self.within(code, other) or self.within(other, code)

    def limbs(self, code: str) -> tuple[str, ...]:
        """The limbs that ``code`` is a part of or contains: none, one or both."""
        return tuple(limb for limb in LIMBS if self.overlap(code, limb))


@cache
def load_places() -> Places:
    """The places of the installed package, read and checked once.

    Raises ``DataError``, listing every fault with its code.
    """
    rows = [
        Place(row["code"], row["within"], row["source"], row["source_kind"])
        for _, row in read_rows(_FILE)
    ]
    faults = list(place_faults(rows, load().vocabulary))
    if faults:
        raise DataError(f"{_FILE} has {len(faults)} fault(s):\n" + "\n".join(faults))
    return Places(MappingProxyType({row.code: row for row in rows}))


def place_faults(rows: list[Place], vocabulary: Vocabulary) -> Iterator[str]:
    """Every fault of the tree: unknown, missing or repeated codes, rings, missing sources."""
    wanted = {code for kind in vocabulary.segments.values() for code in kind}
    wanted |= {m.code for m in vocabulary.modalities.values() if not m.takes_place}
    parents: dict[str, str] = {}
    for row in rows:
        place = f"{_FILE}: {row.code}"
        if row.code not in wanted:
            yield f"{place}: unknown code"
        if row.code in parents:
            yield f"{place}: stands there twice"
        parents[row.code] = row.within
        if not row.source or row.source_kind not in SOURCE_KINDS:
            yield f"{place}: no source"
    for code in sorted(wanted - parents.keys()):
        yield f"{_FILE}: {code}: is missing"
    for code, parent in parents.items():
        if parent and parent not in parents:
            yield f"{_FILE}: {code}: lies within “{parent}”, which is not in the table"
        seen = {code}
        while parent in parents and parent not in seen:
            seen.add(parent)
            parent = parents[parent]
        if parent in seen:
            yield f"{_FILE}: {code}: lies within itself"
