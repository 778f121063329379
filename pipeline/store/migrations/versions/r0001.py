"""Records, their versions, the audit trail, and the triggers that let those only grow.

SQLite's ``INSERT OR REPLACE`` deletes without asking delete triggers, so inserting over a row
that is there is refused by triggers of its own. PostgreSQL's ``TRUNCATE`` likewise. Other
databases get no triggers: there the chain shows what was done, but nothing refuses it.
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.mysql import LONGTEXT

revision = "0001"
down_revision = None

_KEYS = {
    "events": "number = NEW.number",
    "versions": "record_id = NEW.record_id AND version = NEW.version",
}


def upgrade() -> None:
    """Make the tables, the head of an empty chain, and the guards."""
    op.create_table(
        "records",
        sa.Column("id", sa.String(32), primary_key=True),
        sa.Column("added", sa.Integer, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("narration", sa.Text, nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("at", sa.String(40), nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("audio_path", sa.Text),
    )
    op.create_table(
        "versions",
        sa.Column("record_id", sa.String(32), sa.ForeignKey("records.id"), primary_key=True),
        sa.Column("version", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column(
            "content", sa.Text().with_variant(LONGTEXT(), "mysql", "mariadb"), nullable=False
        ),
    )
    op.create_table(
        "events",
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("record_id", sa.String(32), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("at", sa.String(40), nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("before", sa.Text),
        sa.Column("after", sa.Text),
        sa.Column("why", sa.Text),
        sa.Column("source", sa.Text),
        sa.Column("undoes", sa.Integer),
        sa.Column("document", sa.String(64), nullable=False),
        sa.Column("previous", sa.String(64), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.ForeignKeyConstraint(
            ["record_id", "version"], ["versions.record_id", "versions.version"]
        ),
    )
    op.create_index("ix_events_document", "events", ["document"])
    op.create_index("ix_events_record", "events", ["record_id", "version"], unique=True)
    head = op.create_table(
        "head",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
    )
    op.bulk_insert(head, [{"id": 1, "number": 0, "sha256": "0" * 64}])
    dialect = op.get_bind().dialect.name
    if dialect == "sqlite":
        _guard_sqlite()
    elif dialect == "postgresql":
        _guard_postgresql()


def _guard_sqlite() -> None:
    for table, key in _KEYS.items():
        for deed in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} only grow'); END"
            )
        op.execute(
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
            f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {key}) "
            f"BEGIN SELECT RAISE(ABORT, '{table} only grow'); END"
        )
    op.execute(
        "CREATE TRIGGER head_forward BEFORE UPDATE ON head "
        "WHEN NEW.id <> 1 OR NEW.number <> OLD.number + 1 "
        "BEGIN SELECT RAISE(ABORT, 'the head only moves on'); END"
    )
    op.execute(
        "CREATE TRIGGER head_stays BEFORE DELETE ON head "
        "BEGIN SELECT RAISE(ABORT, 'the head stays'); END"
    )
    op.execute(
        "CREATE TRIGGER head_alone BEFORE INSERT ON head "
        "BEGIN SELECT RAISE(ABORT, 'there is one head'); END"
    )


def _guard_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION plessor_refuse() RETURNS trigger LANGUAGE plpgsql AS $$ "
        "BEGIN RAISE EXCEPTION '% only grows', TG_TABLE_NAME; END $$"
    )
    op.execute(
        "CREATE FUNCTION plessor_forward() RETURNS trigger LANGUAGE plpgsql AS $$ "
        "BEGIN IF NEW.id <> 1 OR NEW.number <> OLD.number + 1 THEN "
        "RAISE EXCEPTION 'the head only moves on'; END IF; RETURN NEW; END $$"
    )
    for table in _KEYS:
        op.execute(
            f"CREATE TRIGGER {table}_only_grow BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION plessor_refuse()"
        )
    for table in (*_KEYS, "head"):
        op.execute(
            f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION plessor_refuse()"
        )
    op.execute(
        "CREATE TRIGGER head_forward BEFORE UPDATE ON head "
        "FOR EACH ROW EXECUTE FUNCTION plessor_forward()"
    )
    op.execute(
        "CREATE TRIGGER head_alone BEFORE INSERT OR DELETE ON head "
        "FOR EACH ROW EXECUTE FUNCTION plessor_refuse()"
    )
