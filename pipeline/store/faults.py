"""What can go wrong with a store, each in one sentence.

What a database says may hold the values of a row, and so a patient's words: of its errors only
the number is repeated, and they are not chained.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from ...lexicon.errors import InputError
from .stored import Stored, is_id


class StoreError(InputError):
    """The store cannot be used as it is, or not for this."""


class UnknownRecordError(StoreError):
    """There is no such record, or no such version of it; ``store`` is the store's name."""

    def __init__(self, id: str, version: int | None = None, *, store: str) -> None:
        record = f"record {id}" if is_id(id) else "such record"
        which = record if version is None else f"version {version} of {record}"
        super().__init__(f"{store}: there is no {which}; “plessor store list” shows the records.")


class NothingToUndoError(StoreError):
    """Every change of the record is taken back already. Nothing was written."""

    def __init__(self) -> None:
        super().__init__("There is no change left to undo.")


class ConflictError(StoreError):
    """Somebody else saved first; ``current`` is what the record is now. Nothing was written."""

    def __init__(self, current: Stored) -> None:
        super().__init__(
            f"Record {current.id} was changed meanwhile and is at version {current.version}; "
            "look at that version and make the change again."
        )
        self.current = current


_FULL = "there is no room left to write; make room and do it again, the last saved state is kept"
_BUSY = "it is in use by somebody else for too long; try again"
_UNKNOWN = "; if this happened while saving, look at the record before you do it again"

#: By the primary result code of SQLite (sqlite.org/rescode.html).
_SQLITE = {
    3: "access to it was refused; it belongs to another user, or its folder does",
    5: _BUSY,
    6: _BUSY,
    8: "it cannot be written to (read-only); the last saved state is kept",
    10: "reading or writing failed; see whether the disk is full or failing, then do it again; "
    "the last saved state is kept",
    11: "the file is damaged; restore it from a copy",
    13: _FULL,
    14: "it cannot be opened; see whether the folder is there, is yours and has room",
    15: "another program changed its locks; try again",
    26: "the file is not a store; name another",
}

#: By the class or code of SQLSTATE (PostgreSQL 15 manual, appendix A).
_SQLSTATE = {
    "08": "the connection was lost" + _UNKNOWN,
    "28": "the database refused the user name or password",
    "3D": "there is no such database; create it first",
    "40": _BUSY,
    "42501": "this user may not do that in the database",
    "53100": _FULL,
    "53": "the database has too little of something (memory, connections); try again later",
    "55": _BUSY,
    "57": "the database was stopped" + _UNKNOWN,
    "58": "reading or writing failed in the database; see whether its disk is full or failing",
    "XX": "the database says that its files are damaged",
}


@contextmanager
def told(name: str) -> Iterator[None]:
    """Turn what a database raises into ``StoreError``; ``name`` is the store's, for messages."""
    try:
        yield
    except PoolTimeout:
        raise StoreError(f"{name}: {_BUSY}.") from None
    except (SQLAlchemyError, sqlite3.Error, UnicodeDecodeError) as error:
        raise StoreError(f"{name}: {reason_of(error)}.") from None


def is_damage(error: Exception) -> bool:
    """Whether the database says that what it holds is damaged."""
    original = error.orig if isinstance(error, DBAPIError) else error
    code = getattr(original, "sqlite_errorcode", None)
    if isinstance(code, int):
        return code & 0xFF in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
    if isinstance(original, sqlite3.Error | UnicodeDecodeError):
        return True  # said when an answer of SQLite is read
    return str(getattr(original, "sqlstate", "")).startswith("XX")


def reason_of(error: Exception) -> str:
    """Why the database refused, without a full stop and without any value of a row."""
    original = error.orig if isinstance(error, DBAPIError) else error
    code = getattr(original, "sqlite_errorcode", None)
    if isinstance(code, int):
        return _SQLITE.get(code & 0xFF, f"the database refused (SQLite error {code})")
    state = getattr(original, "sqlstate", None)
    if isinstance(state, str):
        for key in (state, state[:2]):
            if key in _SQLSTATE:
                return _SQLSTATE[key]
        return f"the database refused (SQLSTATE {state})"
    if isinstance(original, sqlite3.Error | UnicodeDecodeError):
        return "the file holds what is no text where text should be"
    if isinstance(error, DBAPIError) and error.connection_invalidated:
        return "the connection was lost" + _UNKNOWN
    if type(original).__name__ == "OperationalError":  # psycopg has no code for these
        return "the database cannot be reached or does not let this user in"
    return f"the database refused ({type(original).__name__})"
