"""Whatever is changed behind the store's back is found, by somebody who can do all that SQL can.

The attacker drops the triggers, changes what he wants and puts the triggers back, so that only
the chain can tell.
"""

from __future__ import annotations

import datetime as dt
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from plessor.pipeline.store import Store, StoreError
from plessor.pipeline.store.chain import COVERED, event_hash

WHEN = dt.datetime(2026, 5, 4, 9, 30, tzinfo=dt.UTC)
DONE = {"who": "Ada Lind", "when": WHEN}
EVENT_COLUMNS = (*COVERED, "sha256")
LIST_COLUMNS = (
    "id",
    "added",
    "version",
    "narration",
    "state",
    "at",
    "who",
    "age_months",
    "examiner",
    "date",
    "findings",
)
FAST = settings(max_examples=50, deadline=None, suppress_health_check=list(HealthCheck))


def _fill(store: Store, exam: Callable) -> None:
    """Three records, nine events, every column filled somewhere."""
    for number in range(3):
        id = store.add(exam(number), **DONE, source=f"{number}.json").id
        store.save(
            id,
            exam(number, age_months=9, examiner="Ada Lind", date=dt.date(2026, 5, 3)),
            base_version=1,
            what="age",
            before="60",
            after="9",
            why="asked",
            **DONE,
        )
        store.undo(id, base_version=2, **DONE)


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("filled") / "records.sqlite"


@pytest.fixture
def whole(filled: Path, exam: Callable) -> Path:
    """A store's file, filled once; the tests change copies of it."""
    if not filled.exists():
        with Store.open(str(filled)) as store:
            _fill(store, exam)
    return filled


def _attack(path: Path, *statements: tuple[str, tuple]) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        triggers = connection.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall()
        for name, _ in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        for statement, values in statements:
            assert connection.execute(statement, values).rowcount > 0
        for _, sql in triggers:
            connection.execute(sql)


def _faults(path: Path, **kept: str) -> list[str]:
    with Store.open(str(path)) as store:
        return store.verify(**kept).faults


def _copy(path: Path, folder: Path) -> Path:
    return Path(shutil.copy(path, folder / "copy.sqlite"))


def test_verify_finds_nothing_in_a_store_that_is_whole(store: Store, exam) -> None:
    _fill(store, exam)
    verdict = store.verify()
    assert (verdict.events, verdict.records, verdict.faults) == (9, 3, [])
    assert verdict.head.startswith("9:")
    assert store.verify(head=verdict.head).faults == []


def test_verify_of_an_empty_store(store: Store) -> None:
    verdict = store.verify()
    assert (verdict.events, verdict.records, verdict.faults) == (0, 0, [])
    assert store.verify(head=verdict.head).faults == []


@pytest.mark.parametrize("column", EVENT_COLUMNS)
@pytest.mark.parametrize("number", [1, 5, 9])
def test_verify_finds_a_changed_column_of_an_event(
    whole: Path, tmp_path: Path, column: str, number: int
) -> None:
    path = _copy(whole, tmp_path)
    change = f"CASE typeof({column}) WHEN 'integer' THEN {column} + 50 ELSE {column} || 'x' END"
    change = f"coalesce({change}, 'x')"
    _attack(path, (f"UPDATE events SET {column} = {change} WHERE number = ?", (number,)))
    assert _faults(path)


@FAST
@given(data=st.data())
def test_verify_finds_any_changed_character(whole: Path, tmp_path: Path, data) -> None:
    path = _copy(whole, tmp_path)
    table, key, columns = data.draw(
        st.sampled_from(
            [("events", "number", EVENT_COLUMNS), ("versions", "rowid", ("content", "record_id"))]
        )
    )
    column = data.draw(st.sampled_from([c for c in columns if c != "number"]))
    row = data.draw(st.integers(1, 9))
    query = f"SELECT {column} FROM {table} WHERE {key} = ?"
    before = _rows(path, query, row)
    text = "" if before[0][0] is None else str(before[0][0])
    place = data.draw(st.integers(0, len(text)))
    wrong = data.draw(st.text(max_size=2))
    after = text[:place] + wrong + text[place + data.draw(st.integers(0, 2)) :]
    _attack(path, (f"UPDATE {table} SET {column} = ? WHERE {key} = ?", (after, row)))
    if _rows(path, query, row) != before:  # SQLite takes “01” for the number that was there
        assert _faults(path)


def _rows(path: Path, query: str, *values: object) -> list[tuple]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(query, values).fetchall()


@FAST
@given(st.floats(0, 1, exclude_max=True), st.integers(0, 7))
@example(0.0, 0)
def test_verify_finds_any_flipped_bit_that_matters(
    whole: Path, tmp_path: Path, place: float, bit: int
) -> None:
    """A flipped bit of the file is found, or nothing that was kept reads differently."""
    path = _copy(whole, tmp_path)
    content = bytearray(path.read_bytes())
    content[int(place * len(content))] ^= 1 << bit
    path.write_bytes(content)
    try:
        with Store.open(str(path)) as store:
            if store.verify().faults:
                return
            kept = _everything(store)
    except StoreError:
        return
    finally:
        for beside in tmp_path.glob("copy.sqlite-*"):
            beside.unlink()
    with Store.open(str(whole)) as store:
        assert kept == _everything(store)


def _everything(store: Store) -> list[object]:
    listed = store.records()
    events = [event for row in listed for event in store.history(row.id)]
    return [listed, events, [store.load(e.record, e.version) for e in events]]


@pytest.mark.parametrize("column", LIST_COLUMNS)
def test_verify_finds_a_list_that_says_otherwise(whole: Path, tmp_path: Path, column: str) -> None:
    path = _copy(whole, tmp_path)
    _attack(path, (f"UPDATE records SET {column} = '2020-01-01' WHERE added = 4", ()))
    assert _faults(path)


@pytest.mark.parametrize("number", range(1, 10))
def test_verify_finds_a_deleted_event(whole: Path, tmp_path: Path, number: int) -> None:
    path = _copy(whole, tmp_path)
    _attack(path, ("DELETE FROM events WHERE number = ?", (number,)))
    assert _faults(path)


@pytest.mark.parametrize("row", range(1, 10))
def test_verify_finds_a_deleted_version(whole: Path, tmp_path: Path, row: int) -> None:
    path = _copy(whole, tmp_path)
    _attack(path, ("DELETE FROM versions WHERE rowid = ?", (row,)))
    assert _faults(path)


def test_verify_finds_a_record_taken_out_and_the_rest_renumbered(
    whole: Path, tmp_path: Path
) -> None:
    path = _copy(whole, tmp_path)
    record = "(SELECT id FROM records WHERE added = 4)"
    _attack(
        path,
        (f"DELETE FROM events WHERE record_id = {record}", ()),
        (f"DELETE FROM versions WHERE record_id = {record}", ()),
        ("DELETE FROM records WHERE added = 4", ()),
        ("UPDATE events SET number = number - 3 WHERE number > 6", ()),
        ("UPDATE records SET added = 4 WHERE added = 7", ()),
        ("UPDATE head SET number = 6", ()),
    )
    assert _faults(path)


@pytest.mark.parametrize("pair", [(1, 2), (4, 5), (2, 9)])
def test_verify_finds_reordered_events(whole: Path, tmp_path: Path, pair: tuple[int, int]) -> None:
    path = _copy(whole, tmp_path)
    first, second = pair
    _attack(
        path,
        ("UPDATE events SET number = 99 WHERE number = ?", (first,)),
        ("UPDATE events SET number = ? WHERE number = ?", (first, second)),
        ("UPDATE events SET number = ? WHERE number = 99", (second,)),
    )
    assert _faults(path)


def test_verify_finds_swapped_documents(whole: Path, tmp_path: Path) -> None:
    path = _copy(whole, tmp_path)
    of = "(SELECT content FROM versions WHERE rowid = ?)"
    _attack(path, (f"UPDATE versions SET content = {of} WHERE rowid = ?", (1, 4)))
    assert _faults(path)


def test_verify_finds_a_version_without_event(whole: Path, tmp_path: Path) -> None:
    path = _copy(whole, tmp_path)
    _attack(
        path,
        ("INSERT INTO versions SELECT record_id, 4, content FROM versions WHERE rowid = 3", ()),
    )
    assert _faults(path)


def test_verify_finds_an_event_hashed_anew(whole: Path, tmp_path: Path) -> None:
    """Whoever mends the hash of what he changed breaks the link of the next event."""
    path = _copy(whole, tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        row = dict(connection.execute("SELECT * FROM events WHERE number = 5").fetchone())
    row["who"] = "Somebody Else"
    _attack(
        path,
        ("UPDATE events SET who = ?, sha256 = ? WHERE number = 5", (row["who"], event_hash(row))),
    )
    assert _faults(path) == ["Event 6 does not follow from the event before it."]


def _cut_tail(path: Path) -> None:
    """Take the last undo away and make everything agree, as somebody would who knows how."""
    last = "(SELECT record_id FROM versions WHERE rowid = 9)"
    listed = "SET version = 2, age_months = 9, examiner = 'Ada Lind', date = '2026-05-03'"
    _attack(
        path,
        (f"UPDATE records {listed} WHERE id = {last}", ()),
        ("DELETE FROM events WHERE number = 9", ()),
        ("DELETE FROM versions WHERE rowid = 9", ()),
    )


def test_verify_finds_a_cut_tail_by_the_head(whole: Path, tmp_path: Path) -> None:
    path = _copy(whole, tmp_path)
    _cut_tail(path)
    assert _faults(path) == ["The chain ends at event 8, its head says otherwise."]


def test_verify_finds_a_cut_tail_and_head_only_by_a_noted_head(whole: Path, tmp_path: Path) -> None:
    """What the chain alone cannot prove: that nothing was taken from its end."""
    path = _copy(whole, tmp_path)
    with Store.open(str(path)) as store:
        noted = store.verify().head
    _cut_tail(path)
    end = "SET number = 8, sha256 = (SELECT sha256 FROM events WHERE number = 8)"
    _attack(path, (f"UPDATE head {end}", ()))
    assert _faults(path) == []
    assert len(_faults(path, head=noted)) == 1


def test_verify_finds_an_older_copy_by_a_noted_head(file_store: Store, exam, tmp_path) -> None:
    id = file_store.add(exam(), **DONE).id
    older = file_store.verify().head
    file_store.save(id, exam(age_months=9), base_version=1, what="age", **DONE)
    assert file_store.verify(head=older).faults == []
    newer = file_store.verify().head
    with Store.open(str(tmp_path / "older.sqlite")) as copy:
        copy.add(exam(), **DONE)
        assert copy.verify().faults == []
        assert copy.verify(head=newer).faults != []


@pytest.mark.parametrize("noted", ["", "9", "9:abc", "x:" + "0" * 64, "-1:" + "0" * 64])
def test_verify_refuses_what_is_no_head(file_store: Store, noted: str) -> None:
    with pytest.raises(StoreError, match="noted head"):
        file_store.verify(head=noted)


def test_verify_finds_text_that_is_none(whole: Path, tmp_path: Path) -> None:
    for number, wrong in enumerate(("CAST(x'ff' AS TEXT)", "x'00'", "1.5")):
        path = _copy(whole, tmp_path)
        _attack(path, (f"UPDATE events SET who = {wrong} WHERE number = 5", ()))
        assert _faults(path), number


@pytest.mark.parametrize("trigger", ["events_no_delete", "versions_no_replace", "head_forward"])
def test_verify_finds_that_a_guard_is_gone(whole: Path, tmp_path: Path, trigger: str) -> None:
    path = _copy(whole, tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"DROP TRIGGER {trigger}")
    assert _faults(path) == [f"Triggers that refuse changes are gone: {trigger}."]


def test_verify_in_postgresql_finds_changes_too(postgres_url: str, exam) -> None:
    store = Store.open(postgres_url)
    _fill(store, exam)
    where = sa.make_url(postgres_url).set(drivername="postgresql+psycopg")
    engine = sa.create_engine(where, poolclass=sa.NullPool)
    with engine.begin() as connection:
        connection.execute(sa.text("ALTER TABLE events DISABLE TRIGGER ALL"))
        connection.execute(sa.text("UPDATE events SET who = 'Somebody Else' WHERE number = 5"))
        connection.execute(sa.text("ALTER TABLE events ENABLE TRIGGER ALL"))
    assert store.verify().faults == ["Event 5 was changed."]
    with engine.begin() as connection:
        connection.execute(sa.text("ALTER TABLE versions DISABLE TRIGGER versions_only_grow"))
        connection.execute(sa.text("UPDATE versions SET content = content || ' '"))
    faults = store.verify().faults
    assert len(faults) == 11
    assert faults[-1] == "Triggers that refuse changes are gone: versions_only_grow."
    store.close()


def test_load_refuses_a_document_that_is_not_what_was_saved(whole: Path, tmp_path: Path) -> None:
    path = _copy(whole, tmp_path)
    change = "replace(content, '\"3\"', '\"4\"')"
    _attack(path, (f"UPDATE versions SET content = {change} WHERE rowid = 3", ()))
    with Store.open(str(path)) as store:
        id = store.records()[0].id
        with pytest.raises(StoreError, match="version 3 is not what was saved"):
            store.load(id)
        assert store.load(id, 2).record.age_months == 9


def test_store_that_was_changed_is_told_when_it_is_read(whole: Path, tmp_path: Path) -> None:
    path = _copy(whole, tmp_path)
    _attack(
        path,
        ("UPDATE events SET at = 'yesterday'", ()),
        ("UPDATE records SET date = 'yesterday' WHERE added = 7", ()),
    )
    with Store.open(str(path)) as store:
        with pytest.raises(StoreError, match="did not write"):
            store.records()
        id = _rows(path, "SELECT id FROM records")[0][0]
        with pytest.raises(StoreError, match="did not write"):
            store.history(id)
        assert len(store.verify().faults) == 9 + 3  # the events, and the list's times
