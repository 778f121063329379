"""What a grade word or number says of one modality.

A word is read on the scale of what was examined ("down" of a plantar response, "reduced" of
power), or on the scale that its term has of its own ("normal bulk"). The readings are data
(``lexicon/data/rules/readings.toml``); a grade that the scale does not have is no grade.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from ...lexicon import DataError, Term, load
from ...lexicon.files import read_text
from .units import Unit

_FILE = "rules/readings.toml"


@dataclass(frozen=True)
class _Own:
    scale: str
    values: Mapping[str, str]


@dataclass(frozen=True)
class Readings:
    """The tables of ``readings.toml``."""

    numbers: Mapping[str, Mapping[str, str]]
    own: Mapping[str, _Own]
    negated: Mapping[str, Mapping[str, str]]


@cache
def readings() -> Readings:
    """The readings of the installed package, checked. Raises ``DataError``."""
    raw: dict[str, Any] = tomllib.loads(read_text(_FILE))
    table = Readings(
        numbers={k: v["values"] for k, v in raw["numbers"].items()},
        own={k: _Own(v["scale"], v["values"]) for k, v in raw["own"].items()},
        negated={k: v for k, v in raw["negated"].items() if isinstance(v, dict)},
    )
    scales = load().vocabulary.scales
    faults = [
        f"{_FILE}: own.{name}: “{grade}” is no grade of {own.scale}"
        for name, own in table.own.items()
        for grade in own.values.values()
        if grade not in scales.get(own.scale, ())
    ]
    faults += [
        f"{_FILE}: negated.{scale}: “{grade}” is no grade"
        for scale, pairs in table.negated.items()
        for grade in (*pairs, *filter(None, pairs.values()))
        if grade not in scales.get(scale, ())
    ]
    if faults:
        raise DataError("The readings have faults; mend the entries named:\n" + "\n".join(faults))
    return table


def grade_of(unit: Unit, modality: str, *, own: str | None = None) -> str | None:
    """The grade that ``unit`` gives to ``modality``, or None when it gives none.

    ``own`` names the term's own scale, when it has one.
    """
    table, vocabulary = readings(), load().vocabulary
    scale = vocabulary.modalities[modality].scale
    if unit.number:
        return _numbered(unit.number, scale, own)
    grade: str | None
    if own is not None and own in table.own:
        values = table.own[own].values
        spoken = (f"{s}:{g}" for s, g in unit.readings.items())
        grade = next((values[s] for s in spoken if s in values), None)
    else:
        grade = unit.readings.get(scale)
        if grade is None and scale == "presence":
            grade = unit.readings.get("sign")
    if grade is not None and unit.negated:
        if unit.readings.get("presence") == "present" and scale in ("reflex", "sensation"):
            return "absent"  # "the ankle jerks are not present"
        return negated_grade(modality, grade)
    return grade


def negated_grade(modality: str, grade: str) -> str | None:
    """What a denied grade says ("not brisk": normal); None when nothing certain."""
    scale = load().vocabulary.modalities[modality].scale
    return readings().negated.get(scale, {}).get(grade) or None


def implied_grade(term: Term, modality: str, *, negated: bool) -> str | None:
    """The grade that a term itself asserts; a bare name of a sign asserts its presence."""
    scale = load().vocabulary.modalities[modality].scale
    grade = term.implies
    if grade is None:
        grade = "present" if scale in ("presence", "sign") else None
        if negated and grade is None:  # "no reflexes", "no sensation"
            grade = {"mrc": "absent", "reflex": "absent", "sensation": "absent"}.get(scale)
            return "absent" if scale == "plantar" else grade
    if grade is not None and negated:
        return negated_grade(modality, grade)
    return grade


def _numbered(number: str, scale: str, own: str | None) -> str | None:
    table, vocabulary = readings(), load().vocabulary
    if scale == "mrc":
        if number in vocabulary.scales["mrc"]:
            return number
        return "5" if number == "5+" else None
    if scale == "tone":
        return table.numbers["ashworth"].get(number) if own == "ashworth" else None
    return table.numbers.get(scale, {}).get(number)
