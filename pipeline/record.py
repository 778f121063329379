"""The findings record: the one contract between every stage, the page and the outputs.

What an examiner observed, in codes of the vocabulary, each tied to the words and the
second of audio that it came from; beside it the taught facts, the corrections made to the
words, and every stretch that carries a trade word but yielded nothing. The models are
frozen, refuse unknown keys and unknown codes, and round-trip through JSON.

A record may be as small as ``age_months`` and findings with the five coded fields.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from ..lexicon import load, nearest

#: Version of this contract; a change of meaning raises the first number. 1.1 adds what a
#: reviewer leaves: signature, rejected findings, what was settled or decided. 1.0 still loads.
SCHEMA_VERSION = "1.1"
#: Below this probability a finding wants a reviewer's eye (house).
LOW_CONFIDENCE = 0.7

Probability = Annotated[float, Field(ge=0.0, le=1.0)]
Seconds = Annotated[float, Field(ge=0.0)]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class _Model(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Word(_Model):
    """One word as corrected.

    ``heard`` is what the recogniser wrote, when that differs: the first word of a changed
    stretch holds all that was heard there, the others of the stretch hold "". ``new_line``
    marks a word that opens a line of a text. Times are seconds from the start of the audio.
    """

    text: str
    start_s: Seconds | None = None
    end_s: Seconds | None = None
    probability: Probability | None = None
    heard: str | None = None
    new_line: bool = False

    @property
    def as_heard(self) -> str:
        """What the recogniser wrote here: "" in a stretch whose first word holds all of it."""
        return self.text if self.heard is None else self.heard


class Evidence(_Model):
    """Where something comes from: words ``first_word`` to ``last_word``, both included.

    The numbers index ``Record.words``. ``start_s`` and ``end_s`` are None for a text.
    """

    heard: str
    corrected: str
    first_word: Annotated[int, Field(ge=0)]
    last_word: Annotated[int, Field(ge=0)]
    start_s: Seconds | None = None
    end_s: Seconds | None = None


class Origin(_Model):
    """Who says so: the program, from what it heard, or a reviewer (who, and when)."""

    by: Literal["heard", "reviewer"] = "heard"
    who: str | None = None
    when: dt.datetime | None = None


class Finding(_Model):
    """One thing that was observed, or said not to have been examined, at one place and side.

    "Both sides" is two findings. ``grade`` is on the modality's own scale and is None when,
    and only when, ``status`` is not ``observed``. ``confidence`` is a probability. ``rule``
    names the rule that made the finding, ``corrections`` the corrections (by number in
    ``Record.corrections``) that it rests on, ``note`` says why something was not assessable.
    """

    modality: str
    segment: str
    side: str
    grade: str | None
    status: str = "observed"
    certainty: Literal["definite", "possible"] = "definite"
    confidence: Probability = 1.0
    evidence: Evidence | None = None
    origin: Origin = Origin()
    rule: str | None = None
    corrections: tuple[int, ...] = ()
    note: str | None = None

    @field_validator("modality")
    @classmethod
    def _modality_exists(cls, value: str) -> str:
        return _known(value, load().vocabulary.modalities, "modality")

    @field_validator("segment")
    @classmethod
    def _segment_exists(cls, value: str) -> str:
        return _known(value, load().vocabulary.segment_kinds, "segment")

    @field_validator("side")
    @classmethod
    def _side_exists(cls, value: str) -> str:
        if value == "both":
            raise ValueError("side “both” is two findings, one left and one right")
        return _known(value, load().vocabulary.sides, "side")

    @field_validator("status")
    @classmethod
    def _status_exists(cls, value: str) -> str:
        return _known(value, load().vocabulary.statuses, "status")

    @model_validator(mode="after")
    def _codes_fit_together(self) -> Self:
        vocabulary = load().vocabulary
        if not vocabulary.takes(self.modality, self.segment):
            wanted = " or ".join(vocabulary.modalities[self.modality].segments)
            raise ValueError(
                f"{self.modality} is not recorded at “{self.segment}”; it takes a segment of "
                f"kind {wanted}"
            )
        if self.status != "observed":
            if self.grade is not None:
                raise ValueError(f"a finding that is {self.status} has no grade")
        elif self.grade is None:
            raise ValueError("an observed finding needs a grade")
        else:
            _known(self.grade, vocabulary.grades(self.modality), f"grade for {self.modality}")
        return self

    @property
    def key(self) -> tuple[str, str, str]:
        """What was examined, where and on which side."""
        return self.modality, self.segment, self.side


class Claim(_Model):
    """A taught fact, as spoken even when it is wrong.

    ``kind`` ``dermatome`` (subject: a place, value: a level), ``myotome`` (a movement, a
    level), ``reflex_root`` (a reflex, a level) or ``grade_meaning`` (a scale, a grade).
    """

    kind: Literal["dermatome", "myotome", "reflex_root", "grade_meaning"]
    subject: str
    value: str
    evidence: Evidence | None = None
    origin: Origin = Origin()

    @model_validator(mode="after")
    def _codes_exist(self) -> Self:
        vocabulary = load().vocabulary
        if self.kind == "grade_meaning":
            _known(self.subject, vocabulary.scales, "scale")
            _known(self.value, vocabulary.scales[self.subject], f"grade on scale {self.subject}")
            return self
        kind = {"dermatome": "region", "myotome": "movement", "reflex_root": "reflex"}[self.kind]
        _known(self.subject, vocabulary.segments[kind], kind)
        _known(self.value, vocabulary.levels, "level")
        return self


class Decided(_Model):
    """A reviewer's word on a correction.

    ``made``: the words became this by their hand. ``confirmed``: they agree with one that was
    made. ``declined``: a suggestion, and the words stay. ``taken_back``: the words are as
    heard again. ``replaced``: other words were written there since.
    """

    who: str
    when: dt.datetime
    how: Literal["made", "confirmed", "declined", "taken_back", "replaced"]


class Correction(_Model):
    """One change to the words: what was heard, what it became, and why.

    ``made`` is False for a change that was only suggested, because its score stayed under
    the confidence line: the words were left as heard and want a reviewer's eye. ``decided``
    is a reviewer's word on it, None when there is none.
    """

    heard: str
    became: str
    term: str
    score: Probability
    reason: str
    first_word: Annotated[int, Field(ge=0)]
    last_word: Annotated[int, Field(ge=0)]
    made: bool = True
    decided: Decided | None = None


class Settled(_Model):
    """A reviewer's word on an unresolved stretch: it became a finding, or it holds none."""

    who: str
    when: dt.datetime
    how: Literal["finding", "no_finding"]


class Unresolved(_Model):
    """A stretch that carries a trade word but yielded nothing, and why.

    ``settled`` is None until a reviewer has dealt with it.
    """

    reason: str
    evidence: Evidence
    settled: Settled | None = None


class Dropped(_Model):
    """Text that the recogniser wrote and that was most likely never said, and why."""

    text: str
    start_s: Seconds
    end_s: Seconds
    reason: str


class Rejected(_Model):
    """A finding that a reviewer took out, kept so that it can be restored."""

    finding: Finding
    who: str
    when: dt.datetime
    why: str | None = None


class Signature(_Model):
    """Who signed, and the SHA-256 of the content that was signed: all but the signature."""

    who: str
    when: dt.datetime
    sha256: Sha256


class Audio(_Model):
    """The recording behind a record: its file name, SHA-256 and length."""

    file: str
    sha256: Sha256
    duration_s: Seconds


class Record(_Model):
    """One examination.

    ``heard`` and ``corrected`` are the whole text before and after corrections, ``words`` the
    same word by word. ``dropped`` is what is in neither, since most likely nobody said it.
    ``amends`` is the SHA-256 of the signed version that this one amends.
    """

    schema_version: str = SCHEMA_VERSION
    narration: str = ""
    age_months: Annotated[int, Field(ge=0, le=1500)] | None = None
    examiner: str | None = None
    date: dt.date | None = None
    audio: Audio | None = None
    model: str | None = None
    lexicon_version: str | None = None
    program_version: str | None = None
    heard: str = ""
    corrected: str = ""
    words: tuple[Word, ...] = ()
    findings: tuple[Finding, ...] = ()
    claims: tuple[Claim, ...] = ()
    corrections: tuple[Correction, ...] = ()
    unresolved: tuple[Unresolved, ...] = ()
    dropped: tuple[Dropped, ...] = ()
    rejected: tuple[Rejected, ...] = ()
    signature: Signature | None = None
    amends: Sha256 | None = None


def _known(code: str, valid: Iterable[str], what: str) -> str:
    codes = tuple(valid)
    if code in codes:
        return code
    near = nearest(code, codes)
    raise ValueError(
        f"unknown {what} “{code}”" + (f"; the nearest valid one is “{near}”" if near else "")
    )
