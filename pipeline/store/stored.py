"""What the store gives back: a version of a record, a line of the list, an event, a verdict."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from ..record import Record


def is_id(text: str) -> bool:
    """Whether ``text`` has the form of a record's identifier."""
    return re.fullmatch("[0-9a-f]{32}", text) is not None


@dataclass(frozen=True)
class Stored:
    """One version of a record, and where its recording lies on this machine."""

    id: str
    version: int
    record: Record
    audio_path: str | None


@dataclass(frozen=True)
class Summary:
    """A record's line in the list: its newest version, who made that and when.

    ``state`` is that of the signature: ``unsigned``, ``signed`` or ``altered``. ``findings``
    is how many there are.
    """

    id: str
    narration: str
    version: int
    when: dt.datetime
    who: str
    state: str
    age_months: int | None
    examiner: str | None
    date: dt.date | None
    findings: int


@dataclass(frozen=True)
class Event:
    """One change, as the audit trail keeps it.

    ``number`` counts the events of the whole store from 1, ``version`` is the one that the
    change made. ``what``, ``before``, ``after`` and ``why`` are for a person and may hold words
    of the narration. ``undoes`` is the version whose change was taken back. ``document`` is the
    SHA-256 of the version's document, ``previous`` and ``sha256`` tie the chain.
    """

    number: int
    record: str
    version: int
    kind: str
    when: dt.datetime
    who: str
    what: str
    before: str | None
    after: str | None
    why: str | None
    source: str | None
    undoes: int | None
    document: str
    previous: str
    sha256: str


@dataclass(frozen=True)
class Verdict:
    """What checking the whole store found; no ``faults`` means that the chain holds.

    ``head`` is the last event as ``NUMBER:SHA-256``. Noted elsewhere and given to a later
    check, it proves that nothing up to it was taken away or written anew since.
    """

    events: int
    records: int
    faults: list[str]
    head: str
