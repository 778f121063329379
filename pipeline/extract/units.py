"""The phrases that a statement is built of, in the order they were spoken.

A unit is a target, place, side, grade, level, status or steering word with the side that
its own phrase carries ("the left ankle jerk", "both great toes"), the words that stood
before it, and whether it was negated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from ...lexicon import Term
from ...lexicon.words import load_words
from .kinds import OBSERVED

UnitSort = Literal[
    "target", "place", "side", "grade", "level", "status", "none", "throughout", "except",
    "otherwise", "same", "correction", "retract", "other_way", "symmetric", "part", "all_those",
]  # fmt: skip


@dataclass(eq=False)
class Unit:
    """One phrase: atoms ``start`` (included) to ``end`` (not included).

    ``gap`` holds the atoms between the unit before and this one. ``readings`` is what a grade
    says on each scale, ``number`` a spoken grade with its sign, ``codes`` levels or a part,
    ``status`` why there is no grade, ``kind`` the kind of talk. ``origin`` is where the phrase
    that it replaced began, when the speaker corrected it.
    """

    sort: UnitSort
    start: int
    end: int
    gap: tuple[str, ...] = ()
    terms: tuple[Term, ...] = ()
    side: str | None = None
    plural: bool = False
    negated: bool = False
    there_is: bool = False
    readings: dict[str, str] = field(default_factory=dict)
    number: str = ""
    codes: tuple[str, ...] = ()
    status: str = ""
    kind: str = OBSERVED
    origin: int = -1

    def gap_has(self, words: frozenset[str]) -> bool:
        """Whether one of ``words`` parts it from the unit before."""
        return not words.isdisjoint(self.gap)

    @property
    def comma(self) -> bool:
        """Whether a comma parts it from the unit before."""
        return "," in self.gap

    @property
    def joined(self) -> bool:
        """Whether "and" or "or" joins it to the unit before."""
        return not load_words().joining.isdisjoint(self.gap)

    @property
    def colon(self) -> bool:
        """Whether a colon parts it from the unit before."""
        return ":" in self.gap


def next_at(units: Sequence[Unit], i: int, *, skip: tuple[str, ...] = ()) -> int | None:
    """The number of the unit after ``i`` whose sort is not in ``skip``; None at the end."""
    j = i + 1
    while j < len(units) and units[j].sort in skip:
        j += 1
    return j if j < len(units) else None


def following(units: Sequence[Unit], i: int) -> Unit | None:
    """The unit after ``i``; None at the end."""
    return units[i + 1] if i + 1 < len(units) else None
