"""The store itself: add, load, save, undo; each writes one version and one event, or nothing.

A writer locks the head of the chain, looks whether the record is still as the reviewer saw it,
and appends; what is returned has been committed. Inside one process writers queue on a lock
first: a hundred threads that wait for a database each for itself starve some of them.
"""

from __future__ import annotations

import datetime as dt
import threading
import uuid
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, Self

from sqlalchemy import Connection, Engine, Row, and_, insert, or_, select, update

from ..record import Record
from . import tables
from .chain import document_hash, event_hash, time_text
from .documents import plain, read, shown, written
from .engine import WRITES, make_engine, name_of, take_over, url_of
from .faults import ConflictError, NothingToUndoError, StoreError, UnknownRecordError, told
from .migration import migrate
from .rows import events, summaries
from .stored import Event, Stored, Summary, Verdict, is_id
from .undoing import amended, last_change
from .verifying import verify

_records, _versions, _events, _head = (
    tables.records,
    tables.versions,
    tables.events,
    tables.head,
)


class Store:
    """Records in a database. One object serves all threads of a process; ``close`` ends it.

    ``name`` is the file or the address, without a password.
    """

    def __init__(self, engine: Engine, *, name: str) -> None:
        self.name = name
        self._engine = engine
        self._queue = threading.Lock()

    @classmethod
    def open(cls, url: str | None = None) -> Store:
        """The store at ``url``: a database's URL, or the path of an SQLite file.

        None is ``records.sqlite`` in ``$PLESSOR_DATA``, or else in the user's data folder. The
        file is made when it is not there and brought to the newest revision when it is older.
        ``StoreError`` when it cannot be used, ``MissingError`` when a driver is missing.
        """
        where = url_of(url)
        name = name_of(where)
        with told(name):
            engine = make_engine(where)
            try:
                migrate(engine, name=name)
                take_over(engine)
            except BaseException:
                engine.dispose()
                raise
        return cls(engine, name=name)

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def add(
        self,
        record: Record,
        *,
        who: str,
        when: dt.datetime,
        source: str | None = None,
        audio_path: str | None = None,
    ) -> Stored:
        """Keep ``record`` as version 1; the same content again is the record that is there.

        Of that the newest version is returned; only ``audio_path`` is taken over when given.
        ``source`` names where it came from, ``audio_path`` where its recording lies.
        """
        document = written(record)
        with self._writing() as (connection, head):
            there = self._same(connection, document_hash(document))
            if there is not None:
                if audio_path is not None:
                    moved = update(_records).where(_records.c.id == there)
                    connection.execute(moved.values(audio_path=audio_path))
                return self._newest(connection, there)
            id = uuid.uuid4().hex
            row = {"id": id, "added": head.number + 1, "version": 1, "audio_path": audio_path}
            event = {"kind": "add", "what": "add the record", "source": source}
            columns = {**row, **shown(record), "at": time_text(when), "who": plain(who)}
            connection.execute(insert(_records).values(columns))
            self._append(connection, head, id, 1, document, who=who, when=when, event=event)
        return Stored(id, 1, record, audio_path)

    def records(self) -> list[Summary]:
        """A line for each record, in the order in which they were added."""
        with self._reading() as connection:
            rows = connection.execute(select(_records).order_by(_records.c.added)).all()
        return summaries(rows, name=self.name)

    def load(self, id: str, version: int | None = None) -> Stored:
        """The newest version of a record, or the one asked for; ``StoreError`` for none."""
        with self._reading() as connection:
            return self._newest(connection, id, version=version)

    def save(
        self,
        id: str,
        record: Record,
        *,
        base_version: int,
        who: str,
        when: dt.datetime,
        what: str,
        before: str | None = None,
        after: str | None = None,
        why: str | None = None,
    ) -> Stored:
        """Keep ``record`` as the version after ``base_version``, the one that was changed.

        ``what``, ``before``, ``after`` and ``why`` tell the change to a person who reads the
        audit trail. ``ConflictError`` when there is a newer version; nothing is written then.
        """
        event = {"kind": "save", "what": what, "before": before, "after": after, "why": why}
        with self._changing(id, base_version) as (connection, head, current):
            return self._save(connection, head, current, record, who=who, when=when, event=event)

    def undo(self, id: str, *, base_version: int, who: str, when: dt.datetime) -> Stored:
        """Take back the last change that is not taken back yet, as a new version.

        Undoing again goes further back. What was signed and is undone amends what was signed.
        ``NothingToUndoError``, or ``ConflictError`` as ``save``.
        """
        with self._changing(id, base_version) as (connection, head, current):
            undone = last_change(self._trail(connection, id))
            if undone is None:
                raise NothingToUndoError
            before = self._newest(connection, id, version=undone.version - 1)
            record = amended(before.record, current=current.record)
            event = {
                "kind": "undo",
                "what": f"undo: {undone.what}",
                "before": undone.after,
                "after": undone.before,
                "undoes": undone.version,
            }
            return self._save(connection, head, current, record, who=who, when=when, event=event)

    def history(self, id: str) -> list[Event]:
        """Every event of one record, the oldest first; ``StoreError`` when there is no such."""
        with self._reading() as connection:
            found = self._trail(connection, id)
        if not found:
            raise UnknownRecordError(id, store=self.name)
        return found

    def verify(self, *, head: str | None = None) -> Verdict:
        """Check every event and every version against the chain, and the list against them.

        ``head`` is the head of an earlier verdict: it must still be in the chain. The chain
        shows whatever was changed after the fact; only a head that was kept elsewhere shows
        that somebody wrote the whole chain anew, or put an older copy in its place.
        """
        return verify(self._engine, name=self.name, noted=head)

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with told(self.name), self._engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[tuple[Connection, Row[Any]]]:
        """A transaction that holds the head of the chain."""
        with self._queue, told(self.name), self._engine.connect() as connection:
            connection = connection.execution_options(**{WRITES: True})
            with connection.begin():
                yield connection, connection.execute(select(_head).with_for_update()).one()

    @contextmanager
    def _changing(self, id: str, base: int) -> Iterator[tuple[Connection, Row[Any], Stored]]:
        """The same, with the newest version of a record, which must be ``base``."""
        with self._writing() as (connection, head):
            current = self._newest(connection, id)
            if current.version != base:
                raise ConflictError(current)
            yield connection, head, current

    def _save(
        self,
        connection: Connection,
        head: Row[Any],
        current: Stored,
        record: Record,
        *,
        who: str,
        when: dt.datetime,
        event: Mapping[str, Any],
    ) -> Stored:
        id, version = current.id, current.version + 1
        document = written(record)
        columns = {**shown(record), "version": version, "at": time_text(when), "who": plain(who)}
        connection.execute(update(_records).where(_records.c.id == id).values(columns))
        self._append(connection, head, id, version, document, who=who, when=when, event=event)
        return Stored(id, version, record, current.audio_path)

    def _append(
        self,
        connection: Connection,
        head: Row[Any],
        id: str,
        version: int,
        document: str,
        *,
        who: str,
        when: dt.datetime,
        event: Mapping[str, Any],
    ) -> None:
        if not who.strip():
            raise StoreError("A change needs a name; say who makes it.")
        fields = dict.fromkeys(("before", "after", "why", "source", "undoes")) | {
            **{name: plain(v) if isinstance(v, str) else v for name, v in event.items()},
            "number": head.number + 1,
            "record_id": id,
            "version": version,
            "at": time_text(when),
            "who": plain(who),
            "document": document_hash(document),
            "previous": head.sha256,
        }
        fields["sha256"] = event_hash(fields)
        connection.execute(
            insert(_versions).values(record_id=id, version=version, content=document)
        )
        connection.execute(insert(_events).values(fields))
        connection.execute(update(_head).values(number=fields["number"], sha256=fields["sha256"]))

    def _same(self, connection: Connection, digest: str) -> str | None:
        """The record whose first or newest version has this document."""
        found = connection.execute(
            select(_records.c.id)
            .join(_events, _events.c.record_id == _records.c.id)
            .where(
                _events.c.document == digest,
                or_(_events.c.version == 1, _events.c.version == _records.c.version),
            )
            .order_by(_records.c.added)
        ).first()
        return None if found is None else str(found.id)

    def _newest(self, connection: Connection, id: str, *, version: int | None = None) -> Stored:
        if not is_id(id) or not (version is None or 0 < version < 2**31):
            raise UnknownRecordError(id, version, store=self.name)
        wanted = _records.c.version if version is None else version
        row = connection.execute(
            select(_records.c.audio_path, _versions, _events.c.document)
            .join(
                _versions,
                and_(_versions.c.record_id == _records.c.id, _versions.c.version == wanted),
            )
            .outerjoin(_events, tables.MADE)
            .where(_records.c.id == id)
        ).first()
        if row is None:
            raise UnknownRecordError(id, version, store=self.name)
        place = f"{self.name}: record {id} version {row.version}"
        if not isinstance(row.content, str) or document_hash(row.content) != row.document:
            raise StoreError(
                f"{place} is not what was saved; “plessor store verify” tells what was changed."
            )
        return Stored(id, row.version, read(row.content, place=place), row.audio_path)

    def _trail(self, connection: Connection, id: str) -> list[Event]:
        if not is_id(id):
            return []
        rows = connection.execute(
            select(_events).where(_events.c.record_id == id).order_by(_events.c.number)
        )
        return events(rows, name=self.name)
