"""The rules of extraction that are wording: cues of utterance kind, and steering markers.

Typed views of ``data/rules/cues.toml`` and ``markers.toml``. The loader refuses unknown
keys and lists every fault at once.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from .errors import DataError
from .files import read_text
from .spoken import spoken_form
from .terms import wordings

#: What an utterance can be beside an observation; none of these makes a finding.
SILENT_KINDS = (
    "history", "another_patient", "hypothetical", "explanation", "question", "plan",
    "impression", "instruction", "rejected",
)  # fmt: skip
Kind = Literal[
    "history", "another_patient", "hypothetical", "explanation", "question", "plan",
    "impression", "instruction", "rejected", "not_examined", "not_assessable", "possible",
    "plain",
]  # fmt: skip
Scope = Literal[
    "sentence", "onward", "from_clause", "whole_clause", "clause", "status", "certainty"
]
Text = Annotated[str, Field(min_length=1)]


class _Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    id: Text
    phrases: tuple[Text, ...]
    source: Text
    source_kind: Literal["published", "memory", "common_practice", "house"]

    def forms(self) -> tuple[tuple[str, ...], ...]:
        """Every wording of the entry as atoms."""
        spoken = (w for phrase in self.phrases for w in wordings(phrase))
        return tuple(dict.fromkeys(spoken_form(w) for w in spoken))


_T = TypeVar("_T", bound=_Entry)


class Cue(_Entry):
    """One rule of ``cues.toml``; the head of that file explains the fields."""

    kind: Kind
    scope: Literal[
        "sentence", "onward", "from_clause", "whole_clause", "clause", "status", "certainty"
    ]
    at: Literal["start", "sentence", "anywhere"] = "anywhere"
    match: Annotated[tuple[Text, ...], Field(min_length=1)]
    no_match: Annotated[tuple[Text, ...], Field(min_length=1)]


class Marker(_Entry):
    """One rule of ``markers.toml``: the wordings of a steering word."""


@cache
def read_cues() -> tuple[Cue, ...]:
    """The cues of the installed package, checked. Raises ``DataError``."""
    return tuple(_read("rules/cues.toml", "cue", Cue))


@cache
def read_markers() -> Mapping[str, Marker]:
    """The markers of the installed package by id, checked. Raises ``DataError``."""
    return MappingProxyType({m.id: m for m in _read("rules/markers.toml", "marker", Marker)})


def _read(name: str, key: str, model: type[_T]) -> list[_T]:
    entries: list[_T] = []
    faults: list[str] = []
    seen: set[str] = set()
    for number, raw in enumerate(_raw(name, key), 1):
        label = raw.get("id", f"entry {number}") if isinstance(raw, dict) else f"entry {number}"
        try:
            entry = model.model_validate(raw)
        except ValidationError as error:
            faults += [
                f"{name}: {label}: {'.'.join(map(str, e['loc']))}: {e['msg']}"
                for e in error.errors()
            ]
            continue
        if entry.id in seen:
            faults.append(f"{name}: {label}: the id stands twice")
        seen.add(entry.id)
        if not all(entry.forms()):
            faults.append(f"{name}: {label}: an empty wording")
        entries.append(entry)
    if faults:
        raise DataError(
            f"The rules have {len(faults)} fault(s); mend the entries named:\n" + "\n".join(faults)
        )
    return entries


def _raw(name: str, key: str) -> list[Any]:
    try:
        return list(tomllib.loads(read_text(name))[key])
    except (tomllib.TOMLDecodeError, KeyError) as error:
        raise DataError(f"{name} cannot be read as rules: {error}") from error
