"""Proves the chain: every event, every version, and the list that is read from them.

What is checked: events are numbered without a gap; each names the hash of the one before and
has the hash of its own fields; each has its version, whose document has the hash that the event
covers; the versions of a record follow one another; no version is without an event; the head
and the list are what the chain ends in; the triggers that refuse changes are there. A fault
names numbers and identifiers, never content.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, Engine, Integer, Row, and_, func, select, text
from sqlalchemy.exc import SQLAlchemyError

from . import tables
from .chain import GENESIS, document_hash, event_hash
from .documents import read, shown
from .faults import StoreError, is_damage, reason_of, told
from .stored import Verdict

_records, _versions, _events, _head = (
    tables.records,
    tables.versions,
    tables.events,
    tables.head,
)

#: Rows fetched at a time: a version can be a hundred kilobytes.
_ROWS = 100

_TRIGGERS = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'",
}


@dataclass
class _Walk:
    """How far the chain was walked, and what was met."""

    faults: list[str] = field(default_factory=list)
    number: int = 0
    sha256: str = GENESIS
    joined: int = 0
    #: The last event of each record, by the record's identifier.
    last: dict[str, Row[Any]] = field(default_factory=dict)
    #: The number of the event that added each record.
    added: dict[str, int] = field(default_factory=dict)


def verify(engine: Engine, *, name: str, noted: str | None = None) -> Verdict:
    """Check the whole store in one snapshot; ``noted`` is a head kept from an earlier check."""
    wanted = None if noted is None else _read_head(noted)
    walk = _Walk()
    with told(name), engine.connect() as connection:
        if engine.dialect.name == "postgresql":
            connection = connection.execution_options(isolation_level="REPEATABLE READ")
        with connection.begin():
            try:
                _check(connection, walk, wanted)
            except (SQLAlchemyError, UnicodeDecodeError) as error:
                if not is_damage(error):
                    raise
                walk.faults.append(f"After event {walk.number}: {reason_of(error)}.")
    return Verdict(walk.number, len(walk.last), walk.faults, f"{walk.number}:{walk.sha256}")


def _read_head(noted: str) -> tuple[int, str]:
    found = re.fullmatch(r"(\d{1,18}):([0-9a-f]{64})", noted.strip().lower())
    if found is None:
        raise StoreError("A noted head is a number, a colon and 64 hexadecimal digits.")
    return int(found[1]), found[2]


def _check(connection: Connection, walk: _Walk, noted: tuple[int, str] | None) -> None:
    if connection.dialect.name == "sqlite":
        said = connection.exec_driver_sql("PRAGMA integrity_check(1)").scalar()
        if said != "ok":
            walk.faults.append("The file is damaged: SQLite's own integrity check fails.")
    query = (
        select(_events, _versions.c.content)
        .outerjoin(_versions, tables.MADE)
        .order_by(_events.c.number)
        .execution_options(stream_results=True, yield_per=_ROWS)
    )
    noted_is_there = noted in (None, (0, GENESIS))
    for row in connection.execute(query):
        _check_event(row, walk)
        noted_is_there = noted_is_there or (row.number, row.sha256) == noted
    if noted is not None and not noted_is_there:
        walk.faults.append(
            f"Event {noted[0]} is not the one that was noted: events were taken away, the chain "
            "was written anew, or an older copy was put in its place."
        )
    _check_ends(connection, walk)
    _check_list(connection, walk)


def _check_event(row: Row[Any], walk: _Walk) -> None:
    if not _is_well_formed(row):
        walk.faults.append(f"Event {walk.number + 1} was changed.")
        walk.number, walk.sha256 = walk.number + 1, str(row.sha256)
        return
    event, faults = f"Event {row.number}", walk.faults
    if row.number != walk.number + 1:
        faults.append(f"{event} stands where event {walk.number + 1} should be.")
    if row.previous != walk.sha256:
        faults.append(f"{event} does not follow from the event before it.")
    if event_hash(row._asdict()) != row.sha256:
        faults.append(f"{event} was changed.")
    before = walk.last.get(row.record_id)
    if row.version != (1 if before is None else before.version + 1):
        faults.append(f"{event} makes version {row.version} of its record out of turn.")
    if (row.kind == "add") is not (before is None):
        faults.append(f"{event} is of the wrong kind for its place.")
    if row.content is None:
        faults.append(f"The version that event {row.number} made is missing.")
    else:
        walk.joined += 1
        if not isinstance(row.content, str) or document_hash(row.content) != row.document:
            faults.append(f"The version that event {row.number} made was changed.")
    walk.number, walk.sha256 = row.number, row.sha256
    walk.last[row.record_id] = row
    walk.added.setdefault(row.record_id, row.number)


def _is_well_formed(row: Row[Any]) -> bool:
    """Whether each field has its type: SQLite lets a column hold anything."""
    return all(
        isinstance(value, int if isinstance(column.type, Integer) else str)
        or (value is None and column.nullable)
        for column in _events.columns
        for value in [getattr(row, column.name)]
    )


def _check_ends(connection: Connection, walk: _Walk) -> None:
    heads = connection.execute(select(_head)).all()
    if [(h.id, h.number, h.sha256) for h in heads] != [(1, walk.number, walk.sha256)]:
        walk.faults.append(f"The chain ends at event {walk.number}, its head says otherwise.")
    versions = connection.execute(select(func.count()).select_from(_versions)).scalar_one()
    if versions != walk.joined:
        walk.faults.append(f"There are {versions} versions where events made {walk.joined}.")
    dialect = connection.dialect.name
    if dialect in _TRIGGERS:
        there = set(connection.execute(text(_TRIGGERS[dialect])).scalars())
        gone = sorted(tables.GUARDS[dialect] - there)
        if gone:
            walk.faults.append(f"Triggers that refuse changes are gone: {', '.join(gone)}.")


def _check_list(connection: Connection, walk: _Walk) -> None:
    newest = and_(_versions.c.record_id == _records.c.id, _versions.c.version == _records.c.version)
    query = (
        select(_records, _versions.c.content)
        .outerjoin(_versions, newest)
        .order_by(_records.c.added)
        .execution_options(stream_results=True, yield_per=_ROWS)
    )
    seen = set()
    for row in connection.execute(query):
        seen.add(row.id)
        if not _agrees(row, walk):
            walk.faults.append(f"The list does not agree with the newest version of {row.id}.")
    walk.faults += [f"The list lacks record {id}." for id in walk.last if id not in seen]


def _agrees(row: Row[Any], walk: _Walk) -> bool:
    last = walk.last.get(row.id)
    if last is None or not isinstance(row.content, str):
        return False
    listed = (row.version, row.at, row.who, row.added)
    if listed != (last.version, last.at, last.who, walk.added[row.id]):
        return False
    try:
        expected = shown(read(row.content, place=""))
    except StoreError:
        return False
    return all(getattr(row, name) == value for name, value in expected.items())
