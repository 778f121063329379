"""No room left: one clear sentence, the last good state stays, and with room it goes on."""

from __future__ import annotations

import datetime as dt
import multiprocessing
import os
import re
import secrets
import subprocess
import sys
import tempfile
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from plessor.pipeline.record import Record
from plessor.pipeline.store import Store, StoreError
from plessor.pipeline.store.faults import reason_of

WHEN = dt.datetime(2026, 5, 4, 9, 30, tzinfo=dt.UTC)
DONE = {"who": "Ada Lind", "when": WHEN}


def _fill_up(store: Store, exam: Callable[..., Record]) -> tuple[str, int, str]:
    """Save until there is no room: the record, its last acknowledged version, what was told."""
    stored = store.add(exam(), **DONE)
    for number in range(2_000):
        changed = exam(heard=secrets.token_hex(5_000), age_months=number)
        try:
            stored = store.save(
                stored.id, changed, base_version=stored.version, what="words", **DONE
            )
        except StoreError as error:
            return stored.id, stored.version, str(error)
    raise AssertionError("the disk never was full")


def _check_state(store: Store, id: str, version: int) -> None:
    stored = store.load(id)
    assert stored.version == version
    if version > 1:
        assert stored.record.age_months == version - 2
    verdict = store.verify()
    assert (verdict.events, verdict.faults) == (version, [])


def _with_room(store: Store, id: str, version: int, exam: Callable[..., Record]) -> None:
    saved = store.save(id, exam(age_months=7), base_version=version, what="age", **DONE)
    assert store.load(id) == saved
    assert store.verify().faults == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of one megabyte."""
    folder = tmp_path / "small"
    folder.mkdir()
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("only root on Linux can mount a small file system")
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder)]
    if subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("a small file system cannot be mounted here")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_full_disk_is_told_and_keeps_the_last_state(small_disk: Path, exam) -> None:
    path = small_disk / "records.sqlite"
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(200_000))
    with Store.open(str(path)) as store:
        id, version, told = _fill_up(store, exam)
        assert told == (
            f"{path}: there is no room left to write; make room and do it again, the last saved "
            "state is kept."
        )
        assert version > 2
        _check_state(store, id, version)
        ballast.unlink()
        _check_state(store, id, version)
        _with_room(store, id, version, exam)
    with Store.open(str(path)) as store:
        assert store.verify().faults == []


def test_full_disk_when_the_store_is_made(small_disk: Path, exam) -> None:
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(1_000_000))
    with pytest.raises(StoreError) as caught:
        Store.open(str(small_disk / "records.sqlite"))
    assert re.search("room|disk is full", str(caught.value))
    ballast.unlink()
    with Store.open(str(small_disk / "records.sqlite")) as store:
        store.add(exam(), **DONE)
        assert store.verify().faults == []


def _until_limit(path: str, exam: Callable[..., Record]) -> None:
    import resource

    with Store.open(path) as store:
        usual = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (600_000, usual[1]))
        id, version, told = _fill_up(store, exam)
        assert "the last saved state is kept" in told
        assert version > 2
        _check_state(store, id, version)
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)
        _with_room(store, id, version, exam)


@pytest.mark.skipif(
    "fork" not in multiprocessing.get_all_start_methods(), reason="this system cannot fork"
)
def test_limit_on_files_is_told_and_keeps_the_last_state(sqlite_file: Path, exam) -> None:
    """The limit of the process on the size of a file (RLIMIT_FSIZE) fails a write half way."""
    fork = multiprocessing.get_context("fork")
    process = fork.Process(target=_until_limit, args=(str(sqlite_file), exam))
    process.start()
    process.join(120)
    process.kill()
    assert process.exitcode == 0
    with Store.open(str(sqlite_file)) as store:
        assert store.verify().faults == []


def test_full_disk_of_a_server_is_told() -> None:
    """PostgreSQL says so with SQLSTATE 53100 (manual, appendix A)."""
    psycopg = pytest.importorskip("psycopg")
    assert "no room left" in reason_of(psycopg.errors.DiskFull("values of a row"))
    assert "values" not in reason_of(psycopg.errors.DiskFull("values of a row"))


@pytest.fixture
def small_database(tmp_path: Path, postgres: str) -> Iterator[str]:
    """A database whose tables are on a file system of twelve megabytes."""
    where = sa.make_url(postgres)
    sockets = Path(str(where.query.get("host", "/none")))
    if sys.platform != "linux" or os.geteuid() != 0 or not sockets.is_dir():
        pytest.skip("only root on Linux can mount a small file system for a local server")
    folder = Path(tempfile.mkdtemp(dir=sockets.parent))  # which the server can reach
    mount = ["mount", "-t", "tmpfs", "-o", "size=12m,mode=0700", "tmpfs", str(folder)]
    if subprocess.run(mount, capture_output=True).returncode:
        folder.rmdir()
        pytest.skip("a small file system cannot be mounted here")
    owner = sockets.stat()
    os.chown(folder, owner.st_uid, owner.st_gid)
    name = f"plessor_{uuid.uuid4().hex}"
    engine = sa.create_engine(where, isolation_level="AUTOCOMMIT", poolclass=sa.NullPool)
    with engine.connect() as connection:
        connection.execute(sa.text(f"CREATE TABLESPACE {name} LOCATION '{folder}'"))
        connection.execute(sa.text(f"CREATE DATABASE {name} TABLESPACE {name}"))
    yield where.set(database=name).render_as_string(hide_password=False)
    with engine.connect() as connection:
        connection.execute(sa.text(f"DROP DATABASE {name} WITH (FORCE)"))
        connection.execute(sa.text(f"DROP TABLESPACE {name}"))
    subprocess.run(["umount", str(folder)], check=True)
    folder.rmdir()


def test_full_disk_of_a_server_keeps_the_last_state(small_database: str, exam) -> None:
    with Store.open(small_database) as store:
        id, version, told = _fill_up(store, exam)
        assert told.endswith(
            ": there is no room left to write; make room and do it again, the "
            "last saved state is kept."
        )
        assert version > 2
        _check_state(store, id, version)
