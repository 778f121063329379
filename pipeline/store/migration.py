"""Brings a database to the newest revision, in one transaction, whoever else does the same.

The migrations are in ``migrations/``, inside the package. Alembic is imported only when there
is something to do: a store that is up to date opens without it.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text

from ...lexicon.errors import needing
from .engine import WRITES
from .faults import StoreError
from .tables import REVISION

_FOLDER = Path(__file__).parent / "migrations"

#: The lock under which PostgreSQL migrates; any number that nobody else would take.
_LOCK = 0x706C6573736F72


def migrate(engine: Engine, *, name: str, revision: str = REVISION) -> None:
    """Bring the database to ``revision``, from none or from an older one.

    ``StoreError`` when it was made by a newer program, or is not a store.
    """
    with engine.connect() as connection:
        if _revision(connection) == revision:
            return
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        if engine.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
        _upgrade(connection, name=name, revision=revision)


def _revision(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def _upgrade(connection: Connection, *, name: str, revision: str) -> None:
    with needing("review", what="The store"):
        from alembic import command
        from alembic.config import Config
        from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(_FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    present = _revision(connection)
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    if present is not None and present not in known:
        raise StoreError(
            f"{name}: was written by a newer Plessor (revision {present}); update this one."
        )
    if present is None and inspect(connection).get_table_names():
        raise StoreError(f"{name}: is a database of another program; name another.")
    command.upgrade(config, revision)
