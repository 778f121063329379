"""Stores to try things on, in SQLite and in PostgreSQL when a server was named."""

from __future__ import annotations

import datetime as dt
import os
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from plessor.pipeline.record import Finding, Record
from plessor.pipeline.store import Store

#: A server on which the tests may make databases; `.ci/with-postgres` starts one.
POSTGRES = os.environ.get("PLESSOR_TEST_POSTGRES", "")

WHEN = dt.datetime(2026, 5, 4, 9, 30, tzinfo=dt.UTC)


@pytest.fixture
def exam() -> Callable[..., Record]:
    """A small invented record; ``number`` makes it one of its own."""

    def make(number: int = 1, **facts: object) -> Record:
        findings = tuple(
            Finding(modality="power", segment="elbow_extension", side=side, grade=grade)
            for side, grade in (("left", "3"), ("right", "5"))
        )
        usual = {"narration": f"visit-{number}", "age_months": 60 + number, "findings": findings}
        return Record(**usual | facts)

    return make


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a store can be made that is not there yet."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'records.sqlite'}"
    else:
        yield request.getfixturevalue("postgres_url")


@pytest.fixture
def postgres() -> str:
    """The URL of a server for the tests."""
    if not POSTGRES:
        pytest.skip("PLESSOR_TEST_POSTGRES names no PostgreSQL server")
    server = sa.make_url(POSTGRES).set(drivername="postgresql+psycopg")
    return server.render_as_string(hide_password=False)


@pytest.fixture
def postgres_url(postgres: str) -> Iterator[str]:
    """The URL of an empty database."""
    server = sa.make_url(postgres)
    name = f"plessor_{uuid.uuid4().hex}"
    engine = sa.create_engine(server, isolation_level="AUTOCOMMIT", poolclass=sa.NullPool)
    with engine.connect() as connection:
        connection.execute(sa.text(f"CREATE DATABASE {name}"))
    yield server.set(database=name, drivername="postgresql").render_as_string(hide_password=False)
    with engine.connect() as connection:
        connection.execute(sa.text(f"DROP DATABASE {name} WITH (FORCE)"))


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    with Store.open(url) as opened:
        yield opened


@pytest.fixture
def sqlite_file(tmp_path: Path) -> Path:
    return tmp_path / "records.sqlite"


@pytest.fixture
def file_store(sqlite_file: Path) -> Iterator[Store]:
    """A store in SQLite, for what concerns files."""
    with Store.open(str(sqlite_file)) as opened:
        yield opened
