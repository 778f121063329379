"""The numbers of localisation: how probable the anatomy makes a result, and what is assumed.

Typed views of ``data/rules/localisation.toml`` (numbers), ``signs.toml`` (signs that follow
from a loss) and ``forms.toml`` (forms of the diffuse, central and cord sites). Every table
and entry has a source; ``assumption`` marks a number that no source gives.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from .errors import DataError
from .files import read_text
from .load import Lexicon, load

FILES = ("rules/localisation.toml", "rules/signs.toml", "rules/forms.toml")
Chance = Annotated[float, Field(ge=0.0, le=1.0)]


class _Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Sourced(_Entry):
    source: Annotated[str, Field(min_length=1)]
    source_kind: Literal["published", "memory", "common_practice", "house", "assumption"]


class Numbers(_Sourced):
    """One table of numbers by name."""

    values: Mapping[str, float]

    def __getitem__(self, name: str) -> float:
        return self.values[name]


class Lists(_Sourced):
    """One table of lists of codes by name."""

    values: Mapping[str, tuple[str, ...]]


class Rate(_Sourced):
    """The chance of an abnormal result without a lesion, at some age.

    ``down`` is less than normal or absent, ``up`` more or present. For gait ``segments``
    holds kinds of gait.
    """

    modalities: tuple[str, ...]
    segments: tuple[str, ...] = ()
    down: Chance = 0.0
    up: Chance = 0.0
    from_months: int | None = None
    below_months: int | None = None

    def holds_at(self, age_months: int | None) -> bool:
        """Whether the rate is for this age; an unknown age is an adult's."""
        return _is_within(age_months, self.from_months, self.below_months)


def _is_within(age_months: int | None, first: int | None, below: int | None) -> bool:
    age = 480 if age_months is None else age_months
    return (first is None or first <= age) and (below is None or age < below)


class PriorByAge(_Sourced):
    """A factor that an age puts on the prior of a site, or of some of its kind (``which``)."""

    site: str
    which: tuple[str, ...] = ()
    factor: float
    from_months: int | None = None
    below_months: int | None = None

    def holds_at(self, age_months: int | None) -> bool:
        """Whether the factor is for this age; an unknown age is an adult's."""
        return _is_within(age_months, self.from_months, self.below_months)


class Result(_Entry):
    """What a constitution does to some results."""

    modalities: tuple[str, ...]
    segments: tuple[str, ...] = ()
    down: Chance = 0.0
    up: Chance = 0.0


class Constitution(_Sourced):
    """One cause for many results in health; ``localisation.toml`` explains."""

    id: str
    share: Chance
    results: tuple[Result, ...]
    from_months: int | None = None
    below_months: int | None = None

    def holds_at(self, age_months: int | None) -> bool:
        """Whether people of this age can have it; an unknown age is an adult's."""
        return _is_within(age_months, self.from_months, self.below_months)


class Grades(_Sourced):
    """Chance of each grade when the result is markedly less, slightly less, normal, more."""

    scale: str
    values: Mapping[str, tuple[float, float, float, float]]


class Sign(_Sourced):
    """A sign that follows from a loss; ``signs.toml`` explains the fields."""

    id: str
    modality: str
    kind: str = ""
    cause: Literal["weak", "lower", "upper", "position"]
    at: Annotated[tuple[str, ...], Field(min_length=1)]
    shows_at: tuple[str, ...] = ()
    sides: Literal["same", "either", "both", "one"]
    chance: Chance


class Loss(_Entry):
    """What a form takes on one side or both, each by place; ``forms.toml`` explains."""

    muscle: Mapping[str, float] = {}
    lmn: Mapping[str, float] = {}
    umn: Mapping[str, float] = {}
    pain: Mapping[str, float] = {}
    position: Mapping[str, float] = {}
    touch: Mapping[str, float] = {}
    cortical: Mapping[str, float] = {}
    cerebellar: Mapping[str, float] = {}
    reflex: Mapping[str, float] = {}
    length: Mapping[str, float] = {}
    shock: Chance = 0.0
    signs: Mapping[str, Mapping[str, float]] = {}


class Form(_Sourced):
    """One form of a site; ``sided`` when ``here`` is the side of the lesion."""

    id: str
    site: str
    weight: float
    sided: bool = False
    severity: Literal["", "dense", "mild"] = ""
    both: Loss = Loss()
    here: Loss = Loss()
    there: Loss = Loss()
    extents: bool = False
    roots: tuple[str, ...] = ()
    tracts: Mapping[str, float] = {}
    without: tuple[str, ...] = ()
    only: tuple[str, ...] | None = None


class Odds(_Entry):
    """All of it."""

    strength: Numbers
    share: Numbers
    marked: Numbers
    visibility: Numbers
    upper_motor_neuron: Numbers
    peripheral: Numbers
    weight: Numbers
    prior: Numbers
    common: Numbers
    two_lesions: Numbers
    both_sides: Numbers
    one_side: Numbers
    winging: Numbers
    extent: Numbers
    reach: Numbers
    felt_at: Lists
    bulk: Lists
    steps: Lists
    rate: tuple[Rate, ...]
    prior_by_age: tuple[PriorByAge, ...]
    constitution: tuple[Constitution, ...]
    grades: tuple[Grades, ...]
    sign: tuple[Sign, ...]
    form: tuple[Form, ...]

    def visible(self, modality: str) -> float:
        """How often the sign is seen when its cause is there."""
        return self.visibility.values.get(modality, 1.0)


@cache
def load_odds() -> Odds:
    """The numbers of the installed package, read and checked once.

    Raises ``DataError``, listing every fault with its entry.
    """
    raw: dict[str, Any] = {}
    for file in FILES:
        try:
            raw |= tomllib.loads(read_text(file))
        except tomllib.TOMLDecodeError as error:
            raise DataError(f"{file}: is not TOML: {error}") from error
    try:
        odds = Odds.model_validate(raw)
    except ValidationError as error:
        faults = [f"{'.'.join(map(str, e['loc']))}: {e['msg']}" for e in error.errors()]
    else:
        faults = list(odds_faults(odds, load()))
        if not faults:
            return odds
    raise DataError(
        f"The numbers of localisation have {len(faults)} fault(s) in {', '.join(FILES)}:\n"
        + "\n".join(faults)
    )


def odds_faults(odds: Odds, lexicon: Lexicon) -> Iterator[str]:
    """Unknown codes, and sites without a prior."""
    vocabulary = lexicon.vocabulary
    yield from (f"prior: {s} is missing" for s in vocabulary.sites if s not in odds.prior.values)
    for rate in odds.rate:
        yield from (
            f"rate: unknown “{m}”" for m in rate.modalities if m not in vocabulary.modalities
        )
    for sign in odds.sign:
        if sign.modality not in vocabulary.modalities:
            yield f"sign {sign.id}: unknown “{sign.modality}”"
        known = {*vocabulary.segment_kinds}
        yield from (f"sign {sign.id}: unknown “{c}”" for c in sign.at if c not in known)
    for form in odds.form:
        if form.site not in vocabulary.sites:
            yield f"form {form.id}: unknown site “{form.site}”"
        for loss in (form.both, form.here, form.there):
            maps = (getattr(loss, name) for name in _PLACED)
            codes = {code for by_place in maps for code in by_place}
            codes |= {code for by_place in loss.signs.values() for code in by_place}
            yield from (
                f"form {form.id}: unknown place “{code}”"
                for code in sorted(codes - vocabulary.segment_kinds.keys())
            )
    missing = {*vocabulary.scales} - {g.scale for g in odds.grades} - {"gait"}
    yield from (f"grades: scale {scale} is missing" for scale in sorted(missing))
    for grades in odds.grades:
        known_grades = vocabulary.scales.get(grades.scale, ("absent", "present"))
        yield from (
            f"grades {grades.scale}: {g} is missing or unknown"
            for g in {*known_grades} ^ grades.values.keys()
        )


_PLACED = ("muscle", "lmn", "umn", "pain", "position", "touch", "cortical", "cerebellar", "reflex")
