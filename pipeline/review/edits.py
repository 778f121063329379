"""What a reviewer can do to a record, each as one small message, told apart by ``kind``.

An edit names what it changes by its place in the record that the reviewer saw (``finding: 3`` is
``Record.findings[3]``). Here only the form of a message is decided; whether the record bears it
is decided when it is applied.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from ...lexicon import InputError

#: The fields of a finding that a reviewer changes.
FindingField = Literal["modality", "segment", "side", "grade", "status", "certainty", "note"]
ClaimField = Literal["subject", "value"]

_Place = Annotated[int, Field(ge=0)]
_Code = Annotated[str, StringConstraints(max_length=200)]
_Words = Annotated[str, StringConstraints(max_length=2_000)]


class EditError(InputError):
    """The record does not bear this edit; it is as it was."""


def _wanted(field: str, value: Any, also: Mapping[Any, Any]) -> dict[str, Any]:
    if also.get(field, value) != value:
        raise EditError(f"The edit gives two values for {field}; give one.")
    return {**also, field: value}


class _Edit(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Codes(_Edit):
    """The codes of a new finding; words ``first_word`` to ``last_word`` are its evidence."""

    modality: _Code
    segment: _Code
    side: _Code
    grade: _Code | None = None
    status: _Code = "observed"
    certainty: Literal["definite", "possible"] = "definite"
    note: _Words | None = None
    first_word: _Place | None = None
    last_word: _Place | None = None


class ChangeFinding(_Edit):
    """Give ``field`` of a finding another value, and ``also`` others that have to follow.

    A grade makes a finding observed, and a status other than ``observed`` takes the grade away,
    unless ``also`` says otherwise.
    """

    kind: Literal["change_finding"] = "change_finding"
    finding: _Place
    field: FindingField
    value: _Words | None
    also: dict[FindingField, _Words | None] = Field(default_factory=dict)

    def wanted(self) -> dict[str, Any]:
        """Every field that gets a value, with it."""
        return _wanted(self.field, self.value, self.also)


class AddFinding(_Codes):
    """Record a finding that was not heard, from words of the transcript or from none."""

    kind: Literal["add_finding"] = "add_finding"


class OtherSide(_Edit):
    """Record the same finding on the other side as well: "both" is two findings."""

    kind: Literal["other_side"] = "other_side"
    finding: _Place


class RejectFinding(_Edit):
    """Take a finding out; it is kept among the rejected."""

    kind: Literal["reject_finding"] = "reject_finding"
    finding: _Place
    why: _Words | None = None


class RestoreFinding(_Edit):
    """Take a rejected finding in again, as it was."""

    kind: Literal["restore_finding"] = "restore_finding"
    rejected: _Place


class ConfirmFinding(_Edit):
    """A person has heard it, and it is right as it is."""

    kind: Literal["confirm_finding"] = "confirm_finding"
    finding: _Place


class SettleStretch(_Edit):
    """A stretch that was not understood holds nothing to record."""

    kind: Literal["settle_stretch"] = "settle_stretch"
    unresolved: _Place


class ResolveStretch(_Codes):
    """Make a finding of a stretch that was not understood; its words are the evidence."""

    kind: Literal["resolve_stretch"] = "resolve_stretch"
    unresolved: _Place


class ChangeClaim(_Edit):
    """Give a taught fact another subject or value, and ``also`` the other one."""

    kind: Literal["change_claim"] = "change_claim"
    claim: _Place
    field: ClaimField
    value: _Code
    also: dict[ClaimField, _Code] = Field(default_factory=dict)

    def wanted(self) -> dict[str, Any]:
        """Every field that gets a value, with it."""
        return _wanted(self.field, self.value, self.also)


class ConfirmClaim(_Edit):
    """It was taught so, right or wrong."""

    kind: Literal["confirm_claim"] = "confirm_claim"
    claim: _Place


class RejectClaim(_Edit):
    """Take a taught fact out."""

    kind: Literal["reject_claim"] = "reject_claim"
    claim: _Place
    why: _Words | None = None


class ChangeWords(_Edit):
    """Write ``text`` where words ``first_word`` to ``last_word`` (included) stand."""

    kind: Literal["change_words"] = "change_words"
    first_word: _Place
    last_word: _Place
    text: _Words


class DecideCorrection(_Edit):
    """Make a suggested change or agree with one that was made; or decline it, or take it back."""

    kind: Literal["decide_correction"] = "decide_correction"
    correction: _Place
    accept: bool


class ChangeFacts(_Edit):
    """Give age, examiner or date; one that is given as None is taken out."""

    kind: Literal["change_facts"] = "change_facts"
    age_months: Annotated[int, Field(ge=0, le=1500)] | None = None
    examiner: _Code | None = None
    date: dt.date | None = None


Edit = Annotated[
    ChangeFinding
    | AddFinding
    | OtherSide
    | RejectFinding
    | RestoreFinding
    | ConfirmFinding
    | SettleStretch
    | ResolveStretch
    | ChangeClaim
    | ConfirmClaim
    | RejectClaim
    | ChangeWords
    | DecideCorrection
    | ChangeFacts,
    Field(discriminator="kind"),
]
