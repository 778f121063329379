"""The tables, as the newest migration leaves them.

``events`` and ``versions`` only grow; the database itself refuses to change or delete their
rows where it can (``migrations/``). ``records`` is the list: it repeats what the newest versions
say, to be read cheaply, and can be made again from them. ``head`` is one row, the end of the
chain: whoever wants to append locks it first, which puts all writers in one line.
"""

from __future__ import annotations

from sqlalchemy import (
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    MetaData,
    String,
    Table,
    and_,
)
from sqlalchemy import Text as _Text
from sqlalchemy.dialects.mysql import LONGTEXT

#: The newest migration; ``migrations/versions/`` has it and those before.
REVISION = "0002"

_METADATA = MetaData()
_DEEDS = ("update", "delete", "replace")
_DOCUMENT = _Text().with_variant(LONGTEXT(), "mysql", "mariadb")

records = Table(
    "records",
    _METADATA,
    Column("id", String(32), primary_key=True),
    Column("added", Integer, nullable=False),
    Column("version", Integer, nullable=False),
    Column("narration", _Text, nullable=False),
    Column("state", String(16), nullable=False),
    Column("at", String(40), nullable=False),
    Column("who", _Text, nullable=False),
    Column("audio_path", _Text),
    Column("age_months", Integer),
    Column("examiner", _Text),
    Column("date", String(10)),
    Column("findings", Integer),
)

versions = Table(
    "versions",
    _METADATA,
    Column("record_id", String(32), ForeignKey("records.id"), primary_key=True),
    Column("version", Integer, primary_key=True, autoincrement=False),
    Column("content", _DOCUMENT, nullable=False),
)

events = Table(
    "events",
    _METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("record_id", String(32), nullable=False),
    Column("version", Integer, nullable=False),
    Column("kind", String(16), nullable=False),
    Column("at", String(40), nullable=False),
    Column("who", _Text, nullable=False),
    Column("what", _Text, nullable=False),
    Column("before", _Text),
    Column("after", _Text),
    Column("why", _Text),
    Column("source", _Text),
    Column("undoes", Integer),
    Column("document", String(64), nullable=False, index=True),
    Column("previous", String(64), nullable=False),
    Column("sha256", String(64), nullable=False),
    ForeignKeyConstraint(["record_id", "version"], ["versions.record_id", "versions.version"]),
)

head = Table(
    "head",
    _METADATA,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("number", Integer, nullable=False),
    Column("sha256", String(64), nullable=False),
)

#: The event that made a version.
MADE = and_(events.c.record_id == versions.c.record_id, events.c.version == versions.c.version)

#: The triggers of the migrations, by database.
GUARDS = {
    "sqlite": {
        *(f"{t}_no_{deed}" for t in ("events", "versions") for deed in _DEEDS),
        "head_forward",
        "head_stays",
        "head_alone",
    },
    "postgresql": {
        *(f"{t}_only_grow" for t in ("events", "versions")),
        *(f"{t}_no_truncate" for t in ("events", "versions", "head")),
        "head_forward",
        "head_alone",
    },
}
