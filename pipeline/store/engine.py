"""The way to the database: which one, and how it has to behave.

SQLite: write-ahead log, ``synchronous=FULL``, so that what was committed survives the end of
the process and a power cut; a writing transaction begins with ``BEGIN IMMEDIATE``, so that two
writers queue instead of failing at the end; the file is its owner's alone (0600, its folder
0700 when we make it). A file that proves to be no store is left as it was, its mode too.
PostgreSQL: commits are waited for, whatever the server's default.
"""

from __future__ import annotations

import os
import sqlite3
import sys
import time
from contextlib import closing
from importlib import import_module
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from ...lexicon.errors import MissingError, needing
from .faults import StoreError

FILE = "records.sqlite"

#: How long a writer waits for others.
WAIT_S = 60.0

#: Execution option of a connection that will write.
WRITES = "plessor_writes"


def default_path() -> Path:
    """Where the store is when nobody names one: in ``PLESSOR_DATA``, or the user's data folder."""
    named = os.environ.get("PLESSOR_DATA", "")
    if named:
        return Path(named).expanduser() / FILE
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA", "") or str(Path.home() / "AppData" / "Local")
    else:
        base = os.environ.get("XDG_DATA_HOME", "")
        if not Path(base).is_absolute():  # the XDG specification: a relative path is ignored
            base = str(Path.home() / ".local" / "share")
    return Path(base) / "plessor" / FILE


def url_of(url: str | None) -> URL:
    """The store's URL: the usual one for None; a plain path is an SQLite file."""
    if url is None:
        return URL.create("sqlite", database=str(default_path()))
    if "://" not in url:
        return URL.create("sqlite", database=str(Path(url).expanduser()))
    try:
        made = make_url(url)
    except (ArgumentError, ValueError):
        raise StoreError(
            "The store's URL cannot be read; it is like “sqlite:///FILE” or "
            "“postgresql://USER@HOST/DATABASE”."
        ) from None
    if made.get_backend_name() == "sqlite":
        if made.drivername not in ("sqlite", "sqlite+pysqlite") or made.query:
            raise StoreError("A store in SQLite is “sqlite:///FILE”, with nothing after it.")
        if (made.database or ":memory:") == ":memory:":
            raise StoreError("A store needs a file; write “sqlite:///FILE” or the file's path.")
    if made.drivername in ("postgres", "postgresql"):
        made = made.set(drivername="postgresql+psycopg")
    return made


def name_of(url: URL) -> str:
    """The store's name in messages, without a password."""
    if url.get_backend_name() == "sqlite":
        return str(url.database)
    return URL.create(
        url.get_backend_name(), host=url.host, port=url.port, database=url.database
    ).render_as_string()


def make_engine(url: URL) -> Engine:
    """An engine for ``url``; an SQLite file is made, empty, when it is not there."""
    options: dict[str, Any] = {"hide_parameters": True, "pool_timeout": WAIT_S}
    if url.get_backend_name() == "sqlite":
        _be_there(Path(str(url.database)))
        engine = create_engine(url, connect_args={"timeout": WAIT_S}, **options)
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    try:
        if url.drivername == "postgresql+psycopg":
            with needing("postgres", what="A store in PostgreSQL"):
                import_module("psycopg")
        engine = create_engine(url, pool_pre_ping=True, **options)
    except ModuleNotFoundError as error:
        raise MissingError(
            f"A store at “{url.drivername}” needs the package {error.name}; install it."
        ) from error
    except NoSuchModuleError:
        raise StoreError(
            f"No database is known as “{url.drivername}”; SQLite and PostgreSQL are."
        ) from None
    if engine.dialect.name == "postgresql":
        event.listen(engine, "connect", _prepare_postgresql)
    return engine


def _be_there(path: Path) -> None:
    """Have the file there; a new one is its owner's alone, and SQLite gives its log that mode."""
    try:
        if path.is_dir():
            raise StoreError(f"{path}: this is a folder; name a file in it.")
        if path.exists() and not path.is_file():
            raise StoreError(f"{path}: this is not a regular file; name another.")
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as error:
        raise _refused(path, error) from error


def take_over(engine: Engine) -> None:
    """Give an SQLite file, once it is known to be a store, its log, and take it from others."""
    if engine.dialect.name != "sqlite":
        return
    with closing(engine.raw_connection()) as connection, closing(connection.cursor()) as cursor:
        _use_log(cursor)
    for ending in ("", "-wal", "-shm"):
        path = Path(f"{engine.url.database}{ending}")
        try:
            if path.stat().st_mode & 0o077:
                path.chmod(0o600)
        except FileNotFoundError:
            continue
        except OSError as error:
            raise _refused(path, error) from error


def _refused(path: Path, error: OSError) -> StoreError:
    reason = error.strerror or type(error).__name__
    return StoreError(f"{path}: cannot be opened as a store ({reason}).")


def _prepare_sqlite(connection: Any, _: Any) -> None:
    connection.isolation_level = None  # transactions are begun by _begin_sqlite alone
    try:
        with closing(connection.cursor()) as cursor:
            for pragma in ("synchronous = FULL", "foreign_keys = ON", "trusted_schema = OFF"):
                cursor.execute(f"PRAGMA {pragma}")
    except sqlite3.Error:
        connection.close()  # the pool does not know it yet
        raise


def _use_log(cursor: Any) -> None:
    """Switch to the write-ahead log; SQLite does not wait here for others who do the same."""
    until = time.monotonic() + WAIT_S
    while cursor.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:
            cursor.execute("PRAGMA journal_mode = WAL")
            return  # a file system without shared memory stays as it was: as safe, less quick
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.01)


def _begin_sqlite(connection: Any) -> None:
    writes = connection.get_execution_options().get(WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _prepare_postgresql(connection: Any, _: Any) -> None:
    cursor = connection.cursor()
    cursor.execute("SHOW synchronous_commit")
    if cursor.fetchone()[0] == "off":
        cursor.execute("SET synchronous_commit = on")
    connection.commit()
    cursor.close()
