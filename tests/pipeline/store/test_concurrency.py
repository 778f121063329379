"""Many editors at once, and writers killed at any moment: what was acknowledged is there."""

from __future__ import annotations

import datetime as dt
import multiprocessing
import os
import random
import signal
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from plessor.pipeline.record import Record
from plessor.pipeline.store import ConflictError, Store

WHEN = dt.datetime(2026, 5, 4, 9, 30, tzinfo=dt.UTC)
DONE = {"who": "Ada Lind", "when": WHEN}
EDITORS = 100

#: Writers are forked: they start at once, so that a kill meets them while they write.
forked = pytest.mark.skipif(
    "fork" not in multiprocessing.get_all_start_methods(), reason="this system cannot fork"
)


def _run(processes: list) -> None:
    for process in processes:
        process.start()
    for process in processes:
        process.join(120)
        process.kill()
        assert process.exitcode == 0


def _age(record: Record, months: int) -> Record:
    return record.model_copy(update={"age_months": months})


def _edit_twice(store: Store, id: str, number: int) -> None:
    for version in (1, 2):
        stored = store.load(id)
        changed = _age(stored.record, 500 + number)
        store.save(
            id, changed, base_version=version, what="age", after=f"{number}.{version}", **DONE
        )


def _check_edits(store: Store, ids: list[str]) -> None:
    for number, id in enumerate(ids):
        assert store.load(id).record.age_months == 500 + number
        said = [event.after for event in store.history(id)]
        assert said == [None, f"{number}.1", f"{number}.2"]
    verdict = store.verify()
    assert (verdict.events, verdict.records, verdict.faults) == (3 * len(ids), len(ids), [])


def test_store_loses_nothing_of_100_threads(store: Store, exam) -> None:
    ids = [store.add(exam(n), **DONE).id for n in range(EDITORS)]
    together = threading.Barrier(EDITORS)

    def edit(number: int) -> None:
        together.wait()
        _edit_twice(store, ids[number], number)

    with ThreadPoolExecutor(EDITORS) as pool:
        list(pool.map(edit, range(EDITORS)))
    _check_edits(store, ids)


def _edit_some(url: str, ids: list[str], numbers: range) -> None:
    """One process with its own store and a thread for each of its editors."""
    with Store.open(url) as store, ThreadPoolExecutor(len(numbers)) as pool:
        list(pool.map(lambda number: _edit_twice(store, ids[number], number), numbers))


@forked
def test_store_loses_nothing_of_100_editors_in_4_processes(url: str, exam) -> None:
    with Store.open(url) as store:
        ids = [store.add(exam(n), **DONE).id for n in range(EDITORS)]
    fork = multiprocessing.get_context("fork")
    parts = [range(start, EDITORS, 4) for start in range(4)]
    processes = [fork.Process(target=_edit_some, args=(url, ids, part)) for part in parts]
    _run(processes)
    with Store.open(url) as store:
        _check_edits(store, ids)


def test_store_lets_one_of_many_editors_of_one_record_win(store: Store, exam) -> None:
    id = store.add(exam(), **DONE).id
    together = threading.Barrier(20)
    won: list[int] = []
    lost: list[int] = []

    def edit(number: int) -> None:
        record = _age(exam(), 500 + number)
        together.wait()
        try:
            store.save(id, record, base_version=1, what="age", **DONE)
        except ConflictError as conflict:
            assert conflict.current.version == 2
            lost.append(number)
        else:
            won.append(number)

    with ThreadPoolExecutor(20) as pool:
        list(pool.map(edit, range(20)))
    assert (len(won), len(lost)) == (1, 19)
    assert store.load(id).record.age_months == 500 + won[0]
    assert store.verify().events == 2


def test_store_adds_the_same_record_once_whoever_adds_it(store: Store, exam) -> None:
    with ThreadPoolExecutor(20) as pool:
        added = list(pool.map(lambda _: store.add(exam(), **DONE), range(20)))
    assert len({stored.id for stored in added}) == 1
    assert store.verify().events == 1


@forked
def test_store_is_made_once_by_many_who_open_it(url: str, exam) -> None:
    fork = multiprocessing.get_context("fork")
    processes = [fork.Process(target=_add_one, args=(url, exam(n))) for n in range(6)]
    _run(processes)
    with Store.open(url) as store:
        verdict = store.verify()
    assert (verdict.records, verdict.faults) == (6, [])


def _add_one(url: str, record: Record) -> None:
    with Store.open(url) as store:
        store.add(record, **DONE)


def _write_for_ever(url: str, id: str, acknowledged: int) -> None:
    """Save after save; each is acknowledged by its version on the pipe, then the next begins."""
    store = Store.open(url)
    stored = store.load(id)
    while True:
        changed = _age(stored.record, stored.version % 1000)
        stored = store.save(id, changed, base_version=stored.version, what="age", **DONE)
        os.write(acknowledged, stored.version.to_bytes(4, "big"))


def _kill_while_writing(url: str, ids: list[str], wait_s: float) -> list[int]:
    """The newest version that was acknowledged to each of the killed writers; 0 for none."""
    fork = multiprocessing.get_context("fork")
    writers = []
    for id in ids:
        receiving, sending = os.pipe()
        process = fork.Process(target=_write_for_ever, args=(url, id, sending))
        process.start()
        os.close(sending)
        writers.append((process, receiving))
    time.sleep(wait_s)
    newest = []
    for process, _ in writers:
        assert process.is_alive()
        os.kill(process.pid, signal.SIGKILL)
    for process, receiving in writers:
        process.join()
        with os.fdopen(receiving, "rb") as pipe:
            said = pipe.read()
        newest.append(int.from_bytes(said[-4:], "big") if said else 0)
    return newest


@forked
def test_store_keeps_what_was_acknowledged_when_writers_are_killed(url: str, exam) -> None:
    rounds = 10
    chance = random.Random(6)
    with Store.open(url) as store:
        ids = [store.add(exam(n), **DONE).id for n in range(2)]
    written = 0
    for _ in range(rounds):
        acknowledged = _kill_while_writing(url, ids, chance.uniform(0.05, 0.4))
        with Store.open(url) as store:
            for id, newest in zip(ids, acknowledged, strict=True):
                stored = store.load(id)
                assert stored.version >= newest
                assert [e.version for e in store.history(id)] == [*range(1, stored.version + 1)]
                if stored.version > 1:
                    assert stored.record.age_months == (stored.version - 1) % 1000
            verdict = store.verify()
            assert verdict.faults == []
        written = verdict.events
    assert written > 2 + rounds


@forked
def test_store_survives_a_kill_while_it_is_made(tmp_path: Path, exam) -> None:
    chance = random.Random(7)
    fork = multiprocessing.get_context("fork")
    for number in range(10):
        path = tmp_path / f"{number}.sqlite"
        process = fork.Process(target=_add_one, args=(str(path), exam()))
        process.start()
        time.sleep(chance.uniform(0.0, 0.15))
        process.kill()
        process.join()
        with Store.open(str(path)) as store:
            store.add(exam(), **DONE)
            verdict = store.verify()
        assert (verdict.events, verdict.faults) == (1, [])


def test_readers_do_not_wait_for_a_writer(file_store: Store, exam) -> None:
    stored = file_store.add(exam(), **DONE)
    with file_store._writing() as (connection, _):
        connection.exec_driver_sql("UPDATE records SET narration = 'not yet'")
        done: list[object] = []
        reader: Callable[[], None] = lambda: done.append(file_store.load(stored.id))  # noqa: E731
        thread = threading.Thread(target=reader, daemon=True)
        thread.start()
        thread.join(10)
        assert done == [stored]
        connection.exec_driver_sql(f"UPDATE records SET narration = '{stored.record.narration}'")
