"""What a statement is made of: the targets examined, and everything said of them.

An utterance is read as statements, each one assertion whose parts are still as spoken. The
parser fills them; what they leave unsaid is settled later, from the context in force.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ...lexicon import Term, load
from .units import Unit


@dataclass(frozen=True, eq=False)
class Target:
    """What is examined: a modality, and the segment that its own name gives."""

    modality: str
    segment: str | None
    term: Term
    unit: Unit
    muscle: bool = False

    @property
    def generic(self) -> bool:
        """Whether it names a modality without a place ("power", "reflexes")."""
        return self.segment is None

    @property
    def is_sign(self) -> bool:
        """Whether naming it can assert it: something that is there or not."""
        return load().vocabulary.modalities[self.modality].scale in ("presence", "sign")

    @property
    def own(self) -> str | None:
        """The scale of its own that the term has."""
        return self.term.scale


@dataclass(eq=False)
class Statement:
    """One assertion, its parts still as spoken.

    ``grade_first`` says that the grade led its target, ``own_targets`` that the targets were
    named here and not taken over from ``inherited``; ``part`` is ``proximal`` or ``distal``.
    The other marks each stand for one steering word.
    """

    targets: list[Target] = field(default_factory=list)
    places: list[Unit] = field(default_factory=list)
    sides: list[Unit] = field(default_factory=list)
    grade: Unit | None = None
    status: Unit | None = None
    grade_first: bool = False
    throughout: bool = False
    symmetric: bool = False
    otherwise: bool = False
    exception: bool = False
    same: bool = False
    doubled: bool = False
    pronoun: bool = False
    part: str = ""
    all_those: bool = False
    heading: bool = False
    inherited: Statement | None = None
    own_targets: bool = True
    units: list[Unit] = field(default_factory=list)

    @property
    def headed(self) -> bool:
        """Whether something is asserted already."""
        if self.grade is not None or self.status is not None:
            return True
        return self.own_targets and any(t.unit.negated or t.term.implies for t in self.targets)

    @property
    def empty(self) -> bool:
        """Whether nothing was said yet."""
        return not (
            self.targets or self.places or self.sides or self.headed or self.same or self.all_those
        )

    @property
    def last(self) -> Unit | None:
        """The last unit that belongs to it."""
        return self.units[-1] if self.units else None

    @property
    def located(self) -> bool:
        """Whether it ends with a place or a side."""
        return bool(self.units) and self.units[-1].sort in ("place", "side", "level")

    @property
    def self_sufficient(self) -> bool:
        """Whether a target asserts something by its name or its negation alone."""
        return any(t.unit.negated or t.unit.there_is or t.term.implies for t in self.targets)

    @property
    def generic_only(self) -> bool:
        """Whether it names modalities only, none of them with a place."""
        return bool(self.targets) and all(t.generic for t in self.targets)

    @property
    def sided(self) -> bool:
        """Whether a place or a target of it carries a side."""
        return any(p.side for p in self.places) or any(t.unit.side for t in self.targets)

    @property
    def is_about_topic(self) -> bool:
        """Whether "it" was said of the heading in force ("I could not grade it in any limb")."""
        return not self.targets and self.status is not None and self.pronoun

    @property
    def span(self) -> tuple[int, int]:
        """First atom and end of its own units, of which it must have one."""
        return min(u.start for u in self.units), max(u.end for u in self.units)
