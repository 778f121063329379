"""What localisation reasons from: nerves, parts of a plexus, patterns of signs, conditions.

Typed views of ``data/reference/nerves.csv``, ``plexus.csv``, ``patterns.csv`` and
``conditions.csv``; ``data/reference/SOURCES.md`` explains the columns and where sources
disagree. They are read apart from the other tables, since only localisation needs them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal, cast

from .checks import unknown, unsourced
from .errors import DataError
from .files import listed, reference_rows
from .load import Lexicon, load

Strength = Literal["strong", "moderate", "weak"]
STRENGTHS: tuple[Strength, ...] = ("strong", "moderate", "weak")
_WASTING = re.compile(r"Wasting at: ([a-z_;]+)\.")


@dataclass(frozen=True)
class Supply:
    """What a nerve or a part of a plexus supplies.

    ``full`` is plainly weak in a complete lesion, ``partial`` weakened but shared; ``skin``
    and ``reflexes`` are lost; ``spared`` speaks against the lesion when it is abnormal.
    """

    code: str
    roots: tuple[str, ...]
    full: tuple[str, ...]
    partial: tuple[str, ...]
    skin: tuple[str, ...]
    reflexes: tuple[str, ...]
    spared: tuple[str, ...]
    source: str
    source_kind: str


@dataclass(frozen=True)
class Nerve(Supply):
    """One row of ``nerves.csv``.

    ``lesion_levels`` maps the place of a lesion to what is lost by it (movements, reflexes
    and skin together); ``wasting`` are the regions where wasting shows.
    """

    scope: str
    muscles: tuple[str, ...]
    lesion_levels: Mapping[str, tuple[str, ...]]
    wasting: tuple[str, ...]


@dataclass(frozen=True)
class PlexusPart(Supply):
    """One row of ``plexus.csv``; ``nerves`` take nearly all their fibres through the part."""

    plexus: str
    nerves: tuple[str, ...]
    nerves_partial: tuple[str, ...]


@dataclass(frozen=True)
class PatternRow:
    """One row of ``patterns.csv``: a sign that speaks for or against a pattern.

    ``site`` is a code of the vocabulary's sites, "" for the two general patterns;
    ``supports`` is False for a sign that speaks against.
    """

    pattern: str
    site: str
    modality: str
    segment: str
    grade: str
    distribution: str
    supports: bool
    strength: Strength
    source: str
    source_kind: str

    @property
    def name(self) -> str:
        """The row's name: pattern, sign, grade and distribution."""
        what = (
            self.modality if self.segment in ("none", "any") else f"{self.modality} {self.segment}"
        )
        return f"{self.pattern}: {what} {self.grade} {self.distribution}"


@dataclass(frozen=True)
class Condition:
    """One row of ``conditions.csv``: a condition, its usual site and its key signs.

    A sign is modality, segment, side and grade; the side is both, one_side, same_side or
    other_side (as the lesion), midline, none or any.
    """

    code: str
    name: str
    site: str
    which: str | None
    pattern: str
    key_signs: tuple[tuple[str, str, str, str], ...]
    against: tuple[tuple[str, str, str, str], ...]
    age: str
    urgent: str
    disease_ids: tuple[str, ...]
    hpo_ids: tuple[str, ...]
    source: str
    source_kind: str


@dataclass(frozen=True)
class Anatomy:
    """The four tables."""

    nerves: Mapping[str, Nerve]
    plexus: Mapping[str, PlexusPart]
    patterns: tuple[PatternRow, ...]
    conditions: Mapping[str, Condition]

    def rows_of(self, pattern: str) -> tuple[PatternRow, ...]:
        """The rows of one pattern, in the order of the table."""
        return tuple(row for row in self.patterns if row.pattern == pattern)


@cache
def load_anatomy() -> Anatomy:
    """The anatomy of the installed package, read and checked once.

    Raises ``DataError``, listing every fault with its file and row.
    """
    anatomy = Anatomy(
        nerves=MappingProxyType({n.code: n for n in map(_nerve, reference_rows("nerves"))}),
        plexus=MappingProxyType({p.code: p for p in map(_plexus, reference_rows("plexus"))}),
        patterns=tuple(map(_pattern, reference_rows("patterns"))),
        conditions=MappingProxyType(
            {c.code: c for c in map(_condition, reference_rows("conditions"))}
        ),
    )
    faults = list(anatomy_faults(anatomy, load()))
    if faults:
        raise DataError(
            f"The anatomy has {len(faults)} fault(s); mend the rows named:\n" + "\n".join(faults)
        )
    return anatomy


def anatomy_faults(anatomy: Anatomy, lexicon: Lexicon) -> Iterator[str]:
    """Every unknown code and missing source, each as ``file: row: what``."""
    vocabulary = lexicon.vocabulary
    levels = {*vocabulary.levels, "C1"}
    movements, regions = vocabulary.segments["movement"], vocabulary.segments["region"]
    reflexes = {*vocabulary.segments["reflex"], *vocabulary.modalities}
    tables: tuple[tuple[str, Iterable[Supply]], ...] = (
        ("nerves.csv", anatomy.nerves.values()),
        ("plexus.csv", anatomy.plexus.values()),
    )
    for table, supplies in tables:
        for row in supplies:
            place = f"reference/{table}: {row.code}"
            yield from unknown(place, row.roots, levels)
            yield from unknown(place, (*row.full, *row.partial), movements)
            yield from unknown(place, row.skin, regions)
            yield from unknown(place, row.reflexes, reflexes)
            yield from unknown(place, row.spared, {*movements, *regions, *reflexes})
            yield from unsourced(place, row.source, row.source_kind)
    for nerve in anatomy.nerves.values():
        lost = (code for codes in nerve.lesion_levels.values() for code in codes)
        place = f"reference/nerves.csv: {nerve.code}"
        yield from unknown(place, lost, {*movements, *regions, *reflexes})
        yield from unknown(place, nerve.wasting, regions)
    for part in anatomy.plexus.values():
        named = (*part.nerves, *part.nerves_partial)
        yield from unknown(f"reference/plexus.csv: {part.code}", named, anatomy.nerves)
    for number, sign in enumerate(anatomy.patterns, start=2):
        place = f"reference/patterns.csv:{number}"
        yield from unknown(place, [sign.site] if sign.site else [], vocabulary.sites)
        yield from unknown(place, [sign.modality], vocabulary.modalities)
        where = [] if sign.segment in ("any", "level") else [sign.segment]
        yield from unknown(place, where, vocabulary.segment_kinds)
        yield from unknown(place, [sign.strength], STRENGTHS)
        yield from unsourced(place, sign.source, sign.source_kind)
    for condition in anatomy.conditions.values():
        place = f"reference/conditions.csv: {condition.code}"
        yield from unknown(place, [condition.site], vocabulary.sites)
        which = {*levels, *anatomy.nerves, *anatomy.plexus}
        yield from unknown(place, [condition.which] if condition.which else [], which)
        yield from unknown(
            place, (s[0] for s in (*condition.key_signs, *condition.against)), vocabulary.modalities
        )
        yield from unsourced(place, condition.source, condition.source_kind)


def _nerve(row: Mapping[str, str]) -> Nerve:
    wasting = _WASTING.search(row["note"])
    places = (place.split("=") for place in listed(row["lesion_levels"], "|"))
    return Nerve(
        code=row["code"],
        roots=listed(row["roots"]),
        full=listed(row["movements"]),
        partial=listed(row["movements_partial"]),
        skin=listed(row["skin"]),
        reflexes=listed(row["reflexes"]),
        spared=listed(row["spared"]),
        source=row["source"],
        source_kind=row["source_kind"],
        scope=row["scope"],
        muscles=listed(row["muscles"]),
        lesion_levels=MappingProxyType({place: listed(codes, ",") for place, codes in places}),
        wasting=listed(wasting[1]) if wasting else (),
    )


def _plexus(row: Mapping[str, str]) -> PlexusPart:
    return PlexusPart(
        code=row["code"],
        roots=listed(row["roots"]),
        full=listed(row["movements"]),
        partial=listed(row["movements_partial"]),
        skin=listed(row["skin"]),
        reflexes=listed(row["reflexes"]),
        spared=listed(row["spared"]),
        source=row["source"],
        source_kind=row["source_kind"],
        plexus=row["plexus"],
        nerves=listed(row["nerves"]),
        nerves_partial=listed(row["nerves_partial"]),
    )


def _pattern(row: Mapping[str, str]) -> PatternRow:
    return PatternRow(
        pattern=row["pattern"],
        site=row["site"],
        modality=row["modality"],
        segment=row["segment"],
        grade=row["grade"],
        distribution=row["distribution"],
        supports=row["direction"] == "+",
        strength=cast(Strength, row["strength"]),
        source=row["source"],
        source_kind=row["source_kind"],
    )


def _condition(row: Mapping[str, str]) -> Condition:
    return Condition(
        code=row["code"],
        name=row["name"],
        site=row["site"],
        which=row["which"] or None,
        pattern=row["pattern"],
        key_signs=_signs(row["key_signs"]),
        against=_signs(row["against"]),
        age=row["age"],
        urgent=row["urgent"],
        disease_ids=listed(row["disease_ids"]),
        hpo_ids=listed(row["hpo_ids"]),
        source=row["source"],
        source_kind=row["source_kind"],
    )


def _signs(cell: str) -> tuple[tuple[str, str, str, str], ...]:
    parts = (sign.split(":") for sign in listed(cell))
    return tuple((part[0], part[1], ":".join(part[2:-1]), part[-1]) for part in parts)
