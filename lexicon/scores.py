"""Published sums of muscle grades: which muscles, and how a grade counts.

A typed view of ``data/rules/scores.toml``, whose comments explain the fields. The loader
refuses unknown keys and codes, a maximum that the muscles cannot give, and entries without a
source, and lists every fault at once.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from .errors import DataError
from .files import read_text
from .load import load
from .vocabulary import Vocabulary

FILE = "rules/scores.toml"
Text = Annotated[str, Field(min_length=1)]


class ScoreRule(BaseModel):
    """One ``[[score]]``. ``muscles`` are movements with the level that names each, or None."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: Text
    title: Text
    maximum: int
    muscles: Annotated[tuple[str | tuple[str, str], ...], Field(min_length=1)]
    points: Mapping[str, int]
    treatment: Text
    treatment_source: Text
    source: Text
    source_kind: Literal["published", "memory", "common_practice", "house"]

    @property
    def movements(self) -> tuple[tuple[str, str | None], ...]:
        """Each muscle as its movement and its level."""
        return tuple((m, None) if isinstance(m, str) else m for m in self.muscles)


@cache
def load_scores() -> tuple[ScoreRule, ...]:
    """The scores of the installed package, read and checked once.

    Raises ``DataError``, listing every fault with its entry.
    """
    return scores_from(read_text(FILE), vocabulary=load().vocabulary)


def scores_from(text: str, *, vocabulary: Vocabulary) -> tuple[ScoreRule, ...]:
    """The scores that a TOML text holds; raises ``DataError`` with every fault."""
    faults: list[str] = []
    rules: list[ScoreRule] = []
    try:
        raw: dict[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DataError(f"{FILE}: is not TOML: {error}") from error
    faults += (f"{FILE}: unknown table “{key}”" for key in raw if key != "score")
    for number, entry in enumerate(raw.get("score", []), start=1):
        place = f"{FILE}: score {entry.get('id') or number}"
        try:
            rule = ScoreRule.model_validate(entry)
        except ValidationError as error:
            faults += (
                f"{place}: {'.'.join(map(str, e['loc']))}: {e['msg']}" for e in error.errors()
            )
            continue
        if any(rule.id == other.id for other in rules):
            faults.append(f"{place}: the id stands there twice")
        faults += (f"{place}: {fault}" for fault in _faults(rule, vocabulary))
        rules.append(rule)
    if faults:
        raise DataError(
            f"The scores have {len(faults)} fault(s); mend the entries named:\n" + "\n".join(faults)
        )
    return tuple(rules)


def _faults(rule: ScoreRule, vocabulary: Vocabulary) -> Iterator[str]:
    for movement, level in rule.movements:
        if movement not in vocabulary.segments["movement"]:
            yield f"unknown movement “{movement}”"
        if level is not None and level not in vocabulary.levels:
            yield f"unknown level “{level}”"
    for grade in rule.points:
        if grade not in vocabulary.scales["mrc"]:
            yield f"unknown grade “{grade}”"
    if rule.points and 2 * len(rule.muscles) * max(rule.points.values()) != rule.maximum:
        yield f"the muscles of both sides do not give {rule.maximum} points"
