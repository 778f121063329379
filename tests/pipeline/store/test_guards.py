"""The database itself refuses to change or delete what is in the audit trail."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest
import sqlalchemy as sa
from plessor.pipeline.record import Record
from plessor.pipeline.store import Store

WHEN = dt.datetime(2026, 5, 4, 9, 30, tzinfo=dt.UTC)

REFUSED = [
    "UPDATE events SET who = 'Somebody Else'",
    "UPDATE events SET sha256 = sha256",
    "DELETE FROM events",
    "UPDATE versions SET content = '{}'",
    "DELETE FROM versions",
    "DELETE FROM records",
    "UPDATE head SET number = 0",
    "UPDATE head SET number = number",
    "UPDATE head SET number = number + 2",
    "UPDATE head SET id = 2, number = number + 1",
    "DELETE FROM head",
    "INSERT INTO head VALUES (2, 0, '')",
]
SQLITE = [
    "INSERT OR REPLACE INTO events SELECT * FROM events",
    "REPLACE INTO versions SELECT record_id, version, '{}' FROM versions",
    "UPDATE OR REPLACE events SET number = 1",
    "INSERT OR REPLACE INTO head VALUES (1, 0, '')",
]
POSTGRESQL = [
    "TRUNCATE events",
    "TRUNCATE versions CASCADE",
    "TRUNCATE records CASCADE",
    "TRUNCATE head",
    "INSERT INTO events SELECT * FROM events ON CONFLICT (number) DO UPDATE SET who = ''",
]


@pytest.mark.parametrize("statement", REFUSED)
def test_database_refuses_to_change_the_past(url: str, statement: str, exam) -> None:
    _check_refusal(url, statement, exam)


@pytest.mark.parametrize("statement", SQLITE)
def test_sqlite_refuses_to_change_the_past(tmp_path: Path, statement: str, exam) -> None:
    _check_refusal(f"sqlite:///{tmp_path / 'records.sqlite'}", statement, exam)


@pytest.mark.parametrize("statement", POSTGRESQL)
def test_postgresql_refuses_to_change_the_past(postgres_url: str, statement: str, exam) -> None:
    _check_refusal(postgres_url, statement, exam)


def _check_refusal(url: str, statement: str, exam: Callable[..., Record]) -> None:
    with Store.open(url) as store:
        id = store.add(exam(), who="Ada Lind", when=WHEN).id
        store.save(id, exam(2), base_version=1, who="Ada Lind", when=WHEN, what="age")
        with _raw(url).connect() as connection, pytest.raises(sa.exc.DBAPIError):
            connection.execute(sa.text(statement))
            connection.commit()
        verdict = store.verify()
        assert (verdict.events, verdict.faults) == (2, [])


def _raw(url: str) -> sa.Engine:
    """The database without the store around it."""
    where = sa.make_url(url)
    if where.drivername == "postgresql":
        where = where.set(drivername="postgresql+psycopg")
    engine = sa.create_engine(where, poolclass=sa.NullPool)
    if engine.dialect.name == "sqlite":
        sa.event.listen(engine, "connect", lambda c, _: c.execute("PRAGMA foreign_keys = ON"))
    return engine
