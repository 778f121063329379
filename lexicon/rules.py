"""The rules of interpretation: expected steps, comparable grades, cautions.

Typed views of ``data/rules/coverage.toml``, ``grades.toml`` and ``cautions.toml``. The
loader refuses unknown keys, unknown codes and entries without a source, and lists every
fault of all three files at once.
"""

from __future__ import annotations

import string
import tomllib
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from .checks import unknown
from .errors import DataError
from .files import read_text
from .load import Lexicon, load

Examination = Literal["upper_limbs", "lower_limbs", "full"]
EXAMINATIONS: tuple[Examination, ...] = ("upper_limbs", "lower_limbs", "full")
FILES = ("rules/coverage.toml", "rules/grades.toml", "rules/cautions.toml")


class _Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Rule(_Entry):
    """What every rule has: a name of its own and a source."""

    id: Annotated[str, Field(min_length=1)]
    source: Annotated[str, Field(min_length=1)]
    source_kind: Literal["published", "memory", "common_practice", "house"]


class Step(_Rule):
    """One expected step of an examination; ``coverage.toml`` explains the fields."""

    title: str
    short: str
    examinations: tuple[Literal["upper_limbs", "lower_limbs"], ...]
    group: str
    modalities: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()
    denied_by: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    paired: bool = True
    norm: str | None = None
    from_months: int | None = None
    below_months: int | None = None


class Scale(_Rule):
    """How the grades of one scale compare; ``grades.toml`` explains the fields."""

    normal: tuple[str, ...]
    lower: str = "less"
    step: float | None = None
    exclusive: bool = True
    values: Mapping[str, tuple[float, float]] = {}
    agreement: str


class Accepted(_Rule):
    """Grades that are no finding, always or at some age."""

    modality: str
    segments: tuple[str, ...] = ()
    grades: tuple[str, ...]
    even_sides: bool = True
    from_months: int | None = None
    below_months: int | None = None
    norm: str | None = None


class Pattern(_Entry):
    """What an observed finding must be to count for a caution."""

    modalities: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()
    grades: Annotated[tuple[str, ...], Field(min_length=1)]
    places: tuple[str, ...] = ()
    both_sides: bool = False


class Example(_Entry):
    """An examination for a test: [modality, segment, side, grade] and the age."""

    age_months: int | None = None
    findings: tuple[tuple[str, str, str, str], ...]


class CautionRule(_Rule):
    """One caution; ``cautions.toml`` explains the fields."""

    kind: Literal[
        "pattern", "same_limb", "one_side", "crossed", "age", "site", "incomplete", "conflict"
    ]
    title: str
    when: str
    text: str
    urgent: bool = False
    withholds_terms: bool = False
    even_sides: bool = False
    from_months: int | None = None
    below_months: int | None = None
    all_of: tuple[Pattern, ...] = ()
    any_of: tuple[Pattern, ...] = ()
    none_of: tuple[Pattern, ...] = ()
    ages: Mapping[str, int] = {}
    grades: tuple[str, ...] = ()
    norm_of: Mapping[str, str] = {}
    sites: tuple[str, ...] = ()
    fires: Annotated[tuple[Example, ...], Field(min_length=1)]
    silent: Annotated[tuple[Example, ...], Field(min_length=1)]


@dataclass(frozen=True)
class Rules:
    """All rules of interpretation; ``standing`` is the caution that every output carries."""

    standing: str
    steps: tuple[Step, ...]
    scales: Mapping[str, Scale]
    accepted: tuple[Accepted, ...]
    cautions: tuple[CautionRule, ...]


@cache
def load_rules() -> Rules:
    """The rules of the installed package, read and checked once.

    Raises ``DataError``, listing every fault with its file and entry.
    """
    return rules_from(*(read_text(name) for name in FILES), lexicon=load())


def rules_from(coverage: str, grades: str, cautions: str, *, lexicon: Lexicon) -> Rules:
    """The rules that the three TOML texts hold; raises ``DataError`` with every fault."""
    faults: list[str] = []
    steps = _entries(FILES[0], coverage, {"step": Step}, faults)
    scales = _entries(FILES[1], grades, {"scale": Scale, "accepted": Accepted}, faults)
    warned = _entries(FILES[2], cautions, {"caution": CautionRule}, faults)
    standing = warned.top.get("standing", "")
    if not standing:
        faults.append(f"{FILES[2]}: the sentence “standing” is missing")
    rules = Rules(
        standing=standing,
        steps=steps.of(Step),
        scales={scale.id: scale for scale in scales.of(Scale)},
        accepted=scales.of(Accepted),
        cautions=warned.of(CautionRule),
    )
    faults.extend(rule_faults(rules, lexicon))
    if faults:
        raise DataError(
            f"The rules have {len(faults)} fault(s); mend the entries named:\n" + "\n".join(faults)
        )
    return rules


def rule_faults(rules: Rules, lexicon: Lexicon) -> Iterator[str]:
    """Every unknown code, unfounded age and unusable text, each as ``file: entry: what``."""
    for step in rules.steps:
        yield from _step_faults(step, lexicon)
    vocabulary = lexicon.vocabulary
    place = f"{FILES[1]}: scale"
    yield from unknown(f"{place}s", rules.scales, vocabulary.scales)
    yield from (f"{place} {s}: is missing" for s in vocabulary.scales if s not in rules.scales)
    for scale in rules.scales.values():
        grades = vocabulary.scales.get(scale.id, ())
        yield from unknown(f"{place} {scale.id}", (*scale.normal, *scale.values), grades)
    for entry in rules.accepted:
        place = f"{FILES[1]}: accepted {entry.id}"
        yield from _modality_faults(place, [entry.modality], entry.grades, lexicon)
        yield from unknown(place, entry.segments, vocabulary.segment_kinds)
        yield from _norm_faults(place, entry.norm, lexicon)
    for rule in rules.cautions:
        yield from _caution_faults(rule, lexicon)


def _step_faults(step: Step, lexicon: Lexicon) -> Iterator[str]:
    place, vocabulary = f"{FILES[0]}: step {step.id}", lexicon.vocabulary
    yield from unknown(place, (*step.modalities, *step.denied_by), vocabulary.modalities)
    yield from unknown(place, (step.group, *step.groups), vocabulary.groups)
    yield from unknown(place, step.places, vocabulary.segment_kinds)
    if not step.modalities and not step.groups:
        yield f"{place}: names neither modalities nor groups"
    if (step.norm is None) != (step.from_months is None):
        yield f"{place}: norm and from_months go together"
    yield from _norm_faults(place, step.norm, lexicon)
    starts = {n.from_months for n in lexicon.tables.age_norms if n.sign == step.norm}
    if step.below_months is not None and step.norm is not None:
        yield f"{place}: below_months is for steps that have no norm"
    if starts and step.from_months not in starts:
        yield f"{place}: no row of age_norms.csv for {step.norm} begins at {step.from_months}"


def _caution_faults(rule: CautionRule, lexicon: Lexicon) -> Iterator[str]:
    place = f"{FILES[2]}: caution {rule.id}"
    needs = {"pattern": rule.all_of or rule.any_of, "age": rule.ages, "site": rule.sites}
    two = rule.kind in ("same_limb", "one_side", "crossed")
    if not needs.get(rule.kind, True) or (two and len(rule.all_of) != 2):
        yield f"{place}: kind {rule.kind} has not what it needs"
    if {field for _, field, _, _ in string.Formatter().parse(rule.text) if field} - {"what"}:
        yield f"{place}: text may hold {{what}} only"
    yield from unknown(place, rule.ages, lexicon.vocabulary.modalities)
    yield from unknown(place, rule.norm_of, rule.ages)
    known = {site.partition(" ")[0] for site in rule.sites}
    yield from unknown(place, known, lexicon.vocabulary.sites)
    for sign in rule.ages:
        yield from _norm_faults(place, rule.norm_of.get(sign, sign), lexicon)
    if rule.grades:
        yield from _modality_faults(place, rule.ages, rule.grades, lexicon)
    for pattern in (*rule.all_of, *rule.any_of, *rule.none_of):
        yield from unknown(place, pattern.groups, lexicon.vocabulary.groups)
        yield from unknown(place, pattern.places, lexicon.vocabulary.segment_kinds)
        modalities = (
            *pattern.modalities,
            *(m for m, v in lexicon.vocabulary.modalities.items() if v.group in pattern.groups),
        )
        yield from _modality_faults(place, modalities, pattern.grades, lexicon)


def _modality_faults(
    place: str, modalities: Collection[str], grades: Iterable[str], lexicon: Lexicon
) -> Iterator[str]:
    """Unknown modalities, and grades that none of the modalities has."""
    known = lexicon.vocabulary.modalities
    yield from unknown(place, modalities, known)
    valid = {g for m in modalities if m in known for g in lexicon.vocabulary.grades(m)}
    yield from unknown(place, grades, valid)


def _norm_faults(place: str, norm: str | None, lexicon: Lexicon) -> Iterator[str]:
    if norm is not None:
        yield from unknown(place, [norm], {n.sign for n in lexicon.tables.age_norms})


_T = TypeVar("_T", bound=_Rule)


@dataclass(frozen=True)
class _File:
    rules: tuple[_Rule, ...]
    top: Mapping[str, str]

    def of(self, model: type[_T]) -> tuple[_T, ...]:
        return tuple(rule for rule in self.rules if isinstance(rule, model))


def _entries(file: str, text: str, models: dict[str, type[_Rule]], faults: list[str]) -> _File:
    try:
        raw: dict[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        faults.append(f"{file}: is not TOML: {error}")
        return _File((), {})
    rules: list[_Rule] = []
    for key, model in models.items():
        ids: set[str] = set()
        for number, entry in enumerate(raw.pop(key, []), start=1):
            place = f"{file}: {key} {entry.get('id') or number}"
            try:
                rule = model.model_validate(entry)
            except ValidationError as error:
                for fault in error.errors():
                    faults.append(f"{place}: {'.'.join(map(str, fault['loc']))}: {fault['msg']}")
                continue
            if rule.id in ids:
                faults.append(f"{place}: the id stands there twice")
            ids.add(rule.id)
            rules.append(rule)
    top = {key: value for key, value in raw.items() if key == "standing"}
    faults.extend(f"{file}: unknown table “{key}”" for key in raw if key not in top)
    return _File(tuple(rules), top)
