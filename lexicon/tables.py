"""The reference tables: anatomy, scales and age norms, each row with its source.

Typed views of ``data/reference/*.csv``; ``data/reference/SOURCES.md`` explains the columns
and where sources disagree.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from .files import listed, reference_rows


@dataclass(frozen=True)
class Movement:
    """One row of ``movements.csv``: a movement, its muscles and its roots (main one first)."""

    code: str
    muscles: tuple[str, ...]
    nerves: tuple[str, ...]
    roots: tuple[str, ...]
    isncsci_level: str | None
    umn_weak: int
    variants: tuple[str, ...]
    source: str
    source_kind: str


@dataclass(frozen=True)
class Reflex:
    """One row of ``reflexes.csv``: a reflex and its roots (main one first)."""

    code: str
    roots: tuple[str, ...]
    nerves: tuple[str, ...]
    variants: tuple[str, ...]
    source: str
    source_kind: str


@dataclass(frozen=True)
class Dermatome:
    """One row of ``dermatomes.csv``: a site of skin and a level that supplies it.

    ``rank`` 1 is the main level of the site, 2 a second one that it also carries.
    """

    site: str
    site_kind: str
    level: str
    rank: int
    key_point: str
    variants: tuple[str, ...]
    source: str
    source_kind: str


@dataclass(frozen=True)
class ScaleGrade:
    """One row of ``scales.csv``: a grade of a published scale and the record's grade for it."""

    scale: str
    grade: str
    record_grade: str
    meaning: str
    source: str
    source_kind: str


@dataclass(frozen=True)
class AgeNorm:
    """One row of ``age_norms.csv``: what is expected of a sign between two ages.

    ``from_months`` is included, ``to_months`` is not; None means no upper end.
    """

    sign: str
    from_months: int
    to_months: int | None
    expected: str
    note: str
    source: str
    source_kind: str

    def holds_at(self, age_months: float) -> bool:
        """Whether the row speaks of a child of this age."""
        return self.from_months <= age_months and (
            self.to_months is None or age_months < self.to_months
        )


@dataclass(frozen=True)
class HpoTerm:
    """One row of ``hpo.csv``: an abnormal finding and the HPO term that names it.

    A ``note`` that begins with "When" asks for words that the record has no code for.
    """

    modality: str
    segment_scope: str
    segment: str
    grade: str
    hp_id: str
    hp_label: str
    note: str
    source: str
    source_kind: str


@dataclass(frozen=True)
class Tables:
    """All reference tables."""

    movements: Mapping[str, Movement]
    reflexes: Mapping[str, Reflex]
    dermatomes: tuple[Dermatome, ...]
    scales: tuple[ScaleGrade, ...]
    age_norms: tuple[AgeNorm, ...]
    hpo: tuple[HpoTerm, ...]


def read_tables() -> Tables:
    """Read the reference tables of the installed package."""
    return Tables(
        movements=MappingProxyType(
            {m.code: m for m in map(_movement, reference_rows("movements"))}
        ),
        reflexes=MappingProxyType({r.code: r for r in map(_reflex, reference_rows("reflexes"))}),
        dermatomes=tuple(map(_dermatome, reference_rows("dermatomes"))),
        scales=tuple(map(_scale_grade, reference_rows("scales"))),
        age_norms=tuple(map(_age_norm, reference_rows("age_norms"))),
        hpo=tuple(map(_hpo, reference_rows("hpo"))),
    )


def _movement(row: Mapping[str, str]) -> Movement:
    return Movement(
        code=row["code"],
        muscles=listed(row["muscles"]),
        nerves=listed(row["nerve"]),
        roots=listed(row["roots"]),
        isncsci_level=row["isncsci_level"] or None,
        umn_weak=int(row["umn_weak"] or 0),
        variants=listed(row["variants"]),
        source=row["source"],
        source_kind=row["source_kind"],
    )


def _reflex(row: Mapping[str, str]) -> Reflex:
    return Reflex(
        code=row["code"],
        roots=listed(row["roots"]),
        nerves=listed(row["nerve"]),
        variants=listed(row["variants"]),
        source=row["source"],
        source_kind=row["source_kind"],
    )


def _dermatome(row: Mapping[str, str]) -> Dermatome:
    return Dermatome(
        site=row["site"],
        site_kind=row["site_kind"],
        level=row["level"],
        rank=int(row["rank"]),
        key_point=row["key_point"],
        variants=listed(row["variants"]),
        source=row["source"],
        source_kind=row["source_kind"],
    )


def _scale_grade(row: Mapping[str, str]) -> ScaleGrade:
    fields = ("scale", "grade", "record_grade", "meaning", "source", "source_kind")
    return ScaleGrade(**{name: row[name] for name in fields})


def _age_norm(row: Mapping[str, str]) -> AgeNorm:
    return AgeNorm(
        sign=row["sign"],
        from_months=int(row["from_months"]),
        to_months=int(row["to_months"]) if row["to_months"] else None,
        expected=row["expected"],
        note=row["note"],
        source=row["source"],
        source_kind=row["source_kind"],
    )


def _hpo(row: Mapping[str, str]) -> HpoTerm:
    fields = (
        "modality", "segment_scope", "segment", "grade", "hp_id", "hp_label", "note",
        "source", "source_kind",
    )  # fmt: skip
    return HpoTerm(**{name: row[name] for name in fields})
