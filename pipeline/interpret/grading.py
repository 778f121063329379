"""What a grade means beside another: order, size of a difference, and whether it is a finding.

Grades are put on the line of their scale (``rules/grades.toml``). A word without a number
covers a stretch of that line, so "reduced" and "4" are not called different.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from ...lexicon import AgeNorm, Lexicon, load
from ...lexicon.places import Places, load_places
from ...lexicon.rules import Accepted, CautionRule, Rules, Scale, Step, load_rules
from ..record import Finding, Record
from .base import DataRow
from .measures import Size
from .models import Relation

OTHER_SIDE = {"left": "right", "right": "left"}


@dataclass(frozen=True)
class Case:
    """A record with the data that it is read with."""

    record: Record
    lexicon: Lexicon
    places: Places
    rules: Rules

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The findings of the record."""
        return self.record.findings

    @cached_property
    def observed(self) -> tuple[int, ...]:
        """The indices of the findings that have a grade."""
        return tuple(i for i, f in enumerate(self.findings) if f.grade is not None)

    def scale(self, modality: str) -> Scale:
        """The comparable grades of ``modality``."""
        return self.rules.scales[self.lexicon.vocabulary.modalities[modality].scale]

    def norms(self, sign: str | None) -> tuple[AgeNorm, ...]:
        """The age norms of ``sign`` that hold at the age of the record."""
        age = self.record.age_months
        if sign is None or age is None:
            return ()
        return tuple(n for n in self.lexicon.tables.age_norms if n.sign == sign and n.holds_at(age))

    def is_within_age(self, from_months: int | None, below_months: int | None) -> bool:
        """Whether the age lies between the two; an unknown age lies between no bounds."""
        age = self.record.age_months
        if age is None:
            return from_months is None and below_months is None
        return (from_months is None or from_months <= age) and (
            below_months is None or age < below_months
        )


def open_case(record: Record) -> Case:
    """``record`` with the installed lexicon, places and rules."""
    return Case(record, load(), load_places(), load_rules())


def rule_row(table: str, rule: Step | Scale | Accepted | CautionRule) -> DataRow:
    """The data row of one rule."""
    return DataRow(table=table, row=rule.id, source=rule.source, source_kind=rule.source_kind)


def norm_row(norm: AgeNorm) -> DataRow:
    """The data row of one age norm: its sign and its months."""
    end = "" if norm.to_months is None else norm.to_months
    return DataRow(
        table="reference/age_norms.csv",
        row=f"{norm.sign} {norm.from_months}-{end}",
        source=norm.source,
        source_kind=norm.source_kind,
    )


def compare(scale: Scale, left: str, right: str) -> tuple[Relation, Size]:
    """How the grade of the left stands to that of the right, and by how much."""
    if left == right:
        return "same", "none"
    a, b = scale.values.get(left), scale.values.get(right)
    if a is None or b is None:
        return "differs", "not_sized"
    if a == b:
        return "same", "none"
    if a[0] <= b[1] and b[0] <= a[1]:
        return "unclear", "not_sized"
    return ("left_less" if a[1] < b[0] else "right_less"), size_of(scale, a, b)


def size_of(scale: Scale, one: tuple[float, float], other: tuple[float, float]) -> Size:
    """How many steps lie between two stretches of the scale that do not overlap."""
    smallest, largest = sorted((abs(one[0] - other[1]), abs(one[1] - other[0])))
    if scale.step is None or smallest <= scale.step < largest:
        return "not_sized"
    return "one_step" if largest <= scale.step else "more_than_one_step"


def excludes(scale: Scale, one: str, other: str) -> bool:
    """Whether the same thing cannot have both grades."""
    if not scale.exclusive:
        return (one in scale.normal) != (other in scale.normal)
    return compare(scale, one, other)[0] not in ("same", "unclear")


Place = tuple[str, str]  # modality and segment


def graded_places(case: Case, side: str) -> dict[Place, list[int]]:
    """The observed findings of one side by modality and segment, in the order spoken."""
    places: dict[Place, list[int]] = {}
    for index in case.observed:
        finding = case.findings[index]
        if finding.side == side:
            places.setdefault((finding.modality, finding.segment), []).append(index)
    return places


def nearest_graded(case: Case, place: Place, graded: Collection[Place]) -> Place | None:
    """``place``, or the nearest region around it, that was graded."""
    modality, segment = place
    around = ((modality, code) for code in case.places.chain(segment))
    return next((at for at in around if at in graded), None)


def is_torn(case: Case, indices: Sequence[int]) -> bool:
    """Whether one thing was given grades that exclude each other."""
    scale = case.scale(case.findings[indices[0]].modality)
    grades = [case.findings[i].grade or "" for i in indices]
    return any(excludes(scale, a, b) for a in grades for b in grades)


def differs_from_other_side(case: Case, index: int) -> bool:
    """Whether the other side has, at the same place, a grade that excludes this one."""
    here = case.findings[index]
    other = OTHER_SIDE.get(here.side)
    scale = case.scale(here.modality)
    return any(
        excludes(scale, here.grade or "", there.grade or "")
        for there in _observed(case)
        if (there.modality, there.segment, there.side) == (here.modality, here.segment, other)
    )


def is_abnormal(case: Case, index: int) -> bool:
    """Whether the finding is one: an observed grade neither normal nor accepted at this age."""
    finding = case.findings[index]
    if finding.grade is None:
        return False
    accepted = [a for a in case.rules.accepted if _accepts(case, a, finding)]
    if not accepted:
        return finding.grade not in case.scale(finding.modality).normal
    return all(a.even_sides for a in accepted) and differs_from_other_side(case, index)


def _accepts(case: Case, entry: Accepted, finding: Finding) -> bool:
    return (
        entry.modality == finding.modality
        and finding.grade in entry.grades
        and (not entry.segments or finding.segment in entry.segments)
        and case.is_within_age(entry.from_months, entry.below_months)
    )


def _observed(case: Case) -> Iterable[Finding]:
    return (case.findings[i] for i in case.observed)
