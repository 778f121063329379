"""What the body outline shows, before it is drawn: each part or spot, on each side, and its look.

A mark is ``found`` when something other than normal at this age was observed there, ``normal``
when something was observed and nothing of it abnormal, else ``unexamined``. Which findings are
abnormal is the interpretation's word; which shape a finding means is decided by the tree of
places. The drawings, as SVG and on paper, differ in nothing but how they draw these marks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from ...lexicon import load
from ...lexicon.labels import name, place_name
from ...lexicon.places import load_places
from ...lexicon.rules import load_rules
from ..interpret import Interpretation
from ..record import Finding, Record
from .body import HIDDEN_SKIN, MUSCLES, SKIN, SPOTS, Part, Spot

Look = Literal["found", "normal", "unexamined"]
SIDES = ("right", "left")  # as seen: the right of the person is on the left of the page
_GLYPHS = {
    "reflex": {"absent": "0", "reduced": "−", "normal": "N", "increased": "+"},
    "plantar": {"flexor": "↓", "extensor": "↑", "equivocal": "?", "absent": "0"},
    "sign": {"absent": "0", "present": "+"},
}
#: The legend: each look in words, and what the signs at the reflexes mean.
LEGEND: tuple[tuple[Look, str], ...] = (
    ("found", "other than normal at this age"),
    ("normal", "examined, nothing abnormal"),
    ("unexamined", "not examined, or without a side"),
)
SIGNS = (
    "Reflexes: 0 absent, − reduced, N normal, + increased or present; plantar: ↓ flexor, "
    "↑ extensor, ? equivocal. Seen from the front."
)


@dataclass(frozen=True)
class Mark:
    """A part of the body or a reflex, on one side: how it looks, and what is said of it.

    ``label`` is written on it: the lowest grade of power, or the sign of a reflex.
    """

    shape: Part | Spot
    side: str
    look: Look
    told: str
    label: str = ""


@dataclass(frozen=True)
class Panel:
    """One figure: ``has_spots`` means that the body is only the ground for spots."""

    heading: str
    marks: tuple[Mark, ...]
    has_spots: bool = False


@dataclass(frozen=True)
class _Exam:
    record: Record
    abnormal: frozenset[int]

    def observed(self, group: Callable[[str], bool]) -> list[int]:
        """The observed findings whose group of modalities is wanted."""
        groups = load().vocabulary.group
        return [
            i
            for i, f in enumerate(self.record.findings)
            if f.grade is not None and group(groups(f.modality))
        ]

    def look(self, found: Sequence[int]) -> Look:
        if not found:
            return "unexamined"
        return "found" if any(i in self.abnormal for i in found) else "normal"

    def said(self, found: Sequence[int]) -> str:
        return "; ".join(_words(self.record.findings[i]) for i in found) or "not examined"


def outline_panels(record: Record, interpretation: Interpretation) -> tuple[Panel, ...]:
    """The four figures: power, sensation, reflexes, and tone with what was seen."""
    exam = _Exam(record, frozenset(interpretation.abnormal))
    power = exam.observed(lambda group: group == "power")
    sensation = exam.observed(lambda group: group == "sensation")
    tone = exam.observed(lambda group: group in ("tone", "inspection"))
    return (
        Panel("Power", tuple(_areas(exam, MUSCLES, power, has_grades=True))),
        Panel("Sensation", tuple(_areas(exam, (*SKIN, *HIDDEN_SKIN), sensation))),
        Panel("Reflexes", tuple(_spots(exam)), has_spots=True),
        Panel("Tone and inspection", tuple(_areas(exam, MUSCLES, tone))),
    )


def outline_told(record: Record, interpretation: Interpretation) -> str:
    """Every abnormal finding in words, for those who do not see the drawing."""
    said = [
        f"{f.side} {_words(f)}" if f.side in ("left", "right") else _words(f)
        for f in (record.findings[i] for i in sorted(interpretation.abnormal))
    ]
    found = f"Abnormal: {'; '.join(said)}." if said else "Nothing abnormal was recorded."
    return f"{found} What is hatched was not examined."


def _areas(
    exam: _Exam, parts: Sequence[Part], indices: Sequence[int], *, has_grades: bool = False
) -> Iterator[Mark]:
    for part in parts:
        for side in SIDES:
            found = [i for i in indices if _means(exam.record.findings[i], part, side)]
            told = f"{side} {part.name}: {exam.said(found)}"
            label = _lowest(exam, found) if found and has_grades else ""
            yield Mark(part, side, exam.look(found), told, label)


def _lowest(exam: _Exam, found: Sequence[int]) -> str:
    values = load_rules().scales["mrc"].values
    worst = min((exam.record.findings[i].grade or "" for i in found), key=values.__getitem__)
    return {"absent": "0", "reduced": "weak", "normal": "N"}.get(worst, worst)


def _spots(exam: _Exam) -> Iterator[Mark]:
    vocabulary = load().vocabulary
    for spot in SPOTS:
        for side in ("midline",) if spot.is_midline else SIDES:
            found = [
                i
                for i, f in enumerate(exam.record.findings)
                if f.grade is not None and f.modality == spot.modality and _hits(f, spot, side)
            ]
            if found or spot.usual:
                glyphs = _GLYPHS[vocabulary.modalities[spot.modality].scale]
                glyph = glyphs[exam.record.findings[found[-1]].grade or ""] if found else ""
                where = "" if side == "midline" else f"{side} "
                told = f"{where}{spot.name}: {exam.said(found)}"
                yield Mark(spot, side, exam.look(found), told, glyph)


def _hits(finding: Finding, spot: Spot, side: str) -> bool:
    if side != "midline" and finding.side not in (side, "midline", "none"):
        return False
    if spot.segment == "none":
        return True
    return load_places().within(spot.segment, finding.segment)


def _means(finding: Finding, part: Part, side: str) -> bool:
    if finding.side not in (side, "midline", "none"):
        return False
    return part.is_meant_by(_spoken(finding), load_places())


def _spoken(finding: Finding) -> tuple[str, ...]:
    """The place, and for power at a level the key muscle of that level (ISNCSCI)."""
    if finding.modality == "power":
        movements = load().tables.movements.values()
        keys = [m.code for m in movements if m.isncsci_level == finding.segment]
        return (*keys,) if keys else (finding.segment,)
    return (finding.segment,)


def _words(finding: Finding) -> str:
    return f"{place_name(finding.modality, finding.segment)} {name('grade', finding.grade or '')}"
