"""``plessor store``: add, list, history, verify."""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from plessor.pipeline.record import Finding, Record
from plessor.pipeline.store import Store

WHEN = dt.datetime(2026, 5, 4, 9, 30, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The usual store of this test; it is not there yet."""
    monkeypatch.setenv("PLESSOR_DATA", str(tmp_path / "data"))
    return tmp_path / "data" / "records.sqlite"


@pytest.fixture
def visits(tmp_path: Path) -> Path:
    """A folder with two records."""
    folder = tmp_path / "visits"
    folder.mkdir()
    for number in (1, 2):
        finding = Finding(modality="power", segment="grip", side="left", grade=str(number))
        record = Record(narration=f"visit-{number}", findings=(finding,))
        (folder / f"{number}.json").write_text(record.model_dump_json(), encoding="utf-8")
    return folder


def test_store_add_lists_what_it_added_once(plessor, visits: Path, file: Path) -> None:
    ran = plessor("store", "add", visits, "--reviewer", "Ada Lind")
    assert (ran.code, ran.err) == (0, "")
    first, second = ran.out.splitlines()
    assert first.endswith("version 1  visit-1")
    assert plessor("store", "add", visits / "2.json").out.splitlines() == [second]
    listed = plessor("store", "list")
    assert (listed.code, listed.err) == (0, "")
    head, *lines = listed.out.splitlines()
    assert head == f"Store: {file}"
    assert [line.split()[4] for line in lines] == ["visit-1", "visit-2"]
    assert all("unsigned" in line and "Ada Lind" in line for line in lines)


def test_store_list_of_an_empty_store(plessor, file: Path) -> None:
    ran = plessor("store", "list")
    assert ran.out.splitlines() == [f"Store: {file}", "  no records yet"]
    assert json.loads(plessor("store", "list", "-f", "json").out) == []


def test_store_list_json_is_for_programs(plessor, visits: Path) -> None:
    plessor("store", "add", visits)
    first, second = json.loads(plessor("store", "list", "--format", "json").out)
    assert (first["narration"], first["version"], first["findings"]) == ("visit-1", 1, 1)
    assert dt.datetime.fromisoformat(second["when"]).tzinfo


def test_store_history_tells_who_did_what(plessor, visits: Path) -> None:
    plessor("store", "add", visits, "--reviewer", "Ada Lind")
    with Store.open() as store:
        id = store.records()[0].id
        changed = store.load(id).record.model_copy(update={"age_months": 50})
        store.save(
            id,
            changed,
            base_version=1,
            who="Bo Falk",
            when=WHEN,
            what="age",
            before="61",
            after="50",
            why="asked again",
        )
    ran = plessor("store", "history", "visit-1")
    assert (ran.code, ran.err) == (0, "")
    added, saved = ran.out.splitlines()
    assert added.endswith("Ada Lind: add the record, from 1.json")
    assert saved == ("   2  2026-05-04 09:30 UTC  Bo Falk: age, from “61” to “50” (asked again)")
    assert plessor("store", "history", id[:10]).out == ran.out
    events = json.loads(plessor("store", "history", id, "--format", "json").out)
    assert [event["version"] for event in events] == [1, 2]


def test_store_history_wants_one_record(plessor, visits: Path) -> None:
    plessor("store", "add", visits)
    ran = plessor("store", "history", "visit-9")
    assert ran.code == 1
    assert "is no record of" in ran.sentence
    twin = json.loads((visits / "1.json").read_text()) | {"age_months": 7}
    (visits / "3.json").write_text(json.dumps(twin))
    plessor("store", "add", visits / "3.json")
    ran = plessor("store", "history", "visit-1")
    assert ran.code == 1
    assert "names 2 records" in ran.sentence


def test_store_verify_proves_the_chain(plessor, visits: Path, file: Path) -> None:
    plessor("store", "add", visits)
    ran = plessor("store", "verify")
    assert (ran.code, ran.err) == (0, "")
    told, head = ran.out.splitlines()
    assert told == f"{file}: no faults; 2 events, 2 records."
    assert plessor("store", "verify", "--head", head.removeprefix("Head ")).code == 0
    found = json.loads(plessor("store", "verify", "--format", "json").out)
    assert (found["events"], found["faults"]) == (2, [])
    assert head == f"Head {found['head']}"


def test_store_verify_names_the_faults(plessor, visits: Path, file: Path) -> None:
    plessor("store", "add", visits)
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("DROP TRIGGER events_no_update")
        connection.execute("UPDATE events SET who = 'Somebody Else' WHERE number = 2")
        connection.commit()
    ran = plessor("store", "verify")
    assert ran.code == 1
    assert "  - Event 2 was changed." in ran.out.splitlines()
    assert "is not as Plessor wrote it" in ran.sentence
    assert "Somebody" not in ran.out + ran.err
    ran = plessor("store", "verify", "--head", "2:" + "0" * 64)
    assert any("noted" in line for line in ran.out.splitlines())


def test_store_option_names_another_file(plessor, visits: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.sqlite"
    plessor("store", "add", visits, "--store", other)
    assert plessor("store", "list", "--store", f"sqlite:///{other}").out.count("visit-") == 2
    assert plessor("store", "list").out.count("visit-") == 0


def test_store_faults_are_one_sentence(plessor, tmp_path: Path) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_text("no database " * 200)
    for command in ("list", "verify", "history"):
        argument = ["x"] if command == "history" else []
        ran = plessor("store", command, *argument, "--store", notes)
        assert ran.code == 1
        assert "is not a store" in ran.sentence


def test_store_add_tells_what_is_no_record_and_adds_the_rest(plessor, visits: Path) -> None:
    (visits / "0.json").write_text("{")
    ran = plessor("store", "add", visits)
    assert ran.code == 1
    assert "0.json" in ran.sentence
    assert ran.out.count("version 1") == 2


def test_store_writes_no_control_characters_to_the_terminal(plessor, tmp_path: Path) -> None:
    odd = tmp_path / "odd.json"
    odd.write_text(Record(narration="a\x1b[2J\nb\u202ec").model_dump_json(), encoding="utf-8")
    ran = plessor("store", "add", odd)
    assert ran.out.endswith("  a [2J b c\n")
    assert "\x1b" not in plessor("store", "list").out


@pytest.mark.parametrize("library", ["sqlalchemy", "alembic"])
def test_store_without_its_extra_names_it(library: str) -> None:
    """In a process of its own, in which the library cannot be found."""
    program = (
        f"import sys; sys.modules[{library!r}] = None\n"
        "from plessor.cli.main import main; sys.exit(main(['store', 'list']))"
    )
    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert ran.returncode == 3
    assert ran.stderr == (
        "plessor: The store needs the review extra: pip install 'plessor[review]'.\n"
    )
