"""A store of any earlier revision opens, with all that it holds."""

from __future__ import annotations

import datetime as dt
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from plessor.pipeline.store import Store, StoreError, migration, tables
from plessor.pipeline.store.engine import make_engine, url_of

FIRST = Path(__file__).parent / "first_revision.sql"
SCRIPTS = ScriptDirectory(str(Path(migration.__file__).parent / "migrations"))


def test_newest_migration_is_the_one_that_the_program_expects() -> None:
    assert SCRIPTS.get_heads() == [tables.REVISION]


def test_migrations_make_the_tables_that_the_program_uses(store: Store) -> None:
    with store._reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        differences = compare_metadata(context, tables.events.metadata)
    extra = [d for d in differences if d[0] != "remove_index"]  # PostgreSQL and SQLite agree
    assert extra == []


def test_store_of_the_first_revision_opens(sqlite_file: Path) -> None:
    """``first_revision.sql`` is a dump of a store that the first revision of Plessor wrote."""
    with closing(sqlite3.connect(sqlite_file)) as connection:
        connection.executescript(FIRST.read_text(encoding="utf-8"))
    with Store.open(str(sqlite_file)) as store:
        verdict = store.verify()
        assert (verdict.events, verdict.records, verdict.faults) == (5, 2, [])
        first, second = store.records()
        assert (first.narration, first.version, first.age_months) == ("visit-1", 3, 61)
        assert (second.examiner, second.date, second.findings) == (
            "Ada Lind",
            dt.date(2026, 5, 3),
            2,
        )
        assert store.load(first.id, 2).record.age_months == 9
        when = dt.datetime(2026, 5, 5, tzinfo=dt.UTC)
        store.undo(second.id, base_version=2, who="Bo Falk", when=when)
        assert store.verify().faults == []


@pytest.mark.parametrize("revision", [s.revision for s in SCRIPTS.walk_revisions()])
def test_empty_store_of_any_revision_is_brought_to_the_newest(
    url: str, revision: str, exam
) -> None:
    engine = make_engine(url_of(url))
    migration.migrate(engine, name="store", revision=revision)
    engine.dispose()
    with Store.open(url) as store:
        store.add(exam(), who="Ada Lind", when=dt.datetime(2026, 5, 4, tzinfo=dt.UTC))
        assert store.verify().faults == []


def test_store_of_a_newer_program_is_left_alone(store: Store, url: str) -> None:
    with store._writing() as (connection, _):
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreError, match=r"newer Plessor \(revision 9999\)"):
        Store.open(url)


def test_failed_migration_leaves_the_store_as_it_was(sqlite_file: Path, monkeypatch, exam) -> None:
    with closing(sqlite3.connect(sqlite_file)) as connection:
        connection.executescript(FIRST.read_text(encoding="utf-8"))
        before = list(connection.iterdump())
    engine = make_engine(url_of(str(sqlite_file)))

    @sa.event.listens_for(engine, "before_cursor_execute")
    def fail(_c, _cursor, statement: str, *_: object) -> None:
        if "ADD COLUMN findings" in statement:
            raise OSError("whatever goes wrong")

    with pytest.raises(OSError, match="whatever"):
        migration.migrate(engine, name="store")
    engine.dispose()
    with closing(sqlite3.connect(sqlite_file)) as connection:
        assert list(connection.iterdump()) == before
    Store.open(str(sqlite_file)).close()
