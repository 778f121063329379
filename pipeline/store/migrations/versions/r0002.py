"""What the list shows of a record beside its name: age, examiner, date, number of findings."""

import json

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Add the columns, and fill them from the newest version of each record."""
    op.add_column("records", sa.Column("age_months", sa.Integer))
    op.add_column("records", sa.Column("examiner", sa.Text))
    op.add_column("records", sa.Column("date", sa.String(10)))
    op.add_column("records", sa.Column("findings", sa.Integer))
    records = sa.table("records", *map(sa.column, ("id", "version", *_SHOWN, "findings")))
    versions = sa.table("versions", *map(sa.column, ("record_id", "version", "content")))
    bind = op.get_bind()
    newest = sa.and_(versions.c.record_id == records.c.id, versions.c.version == records.c.version)
    ids = bind.execute(sa.select(records.c.id)).scalars().all()
    for one in ids:
        content = bind.execute(
            sa.select(versions.c.content).join(records, newest).where(records.c.id == one)
        ).scalar_one()
        document = json.loads(content)
        values = {name: _plain(document.get(name)) for name in _SHOWN}
        values["findings"] = len(document.get("findings", ()))
        bind.execute(sa.update(records).where(records.c.id == one).values(values))


_SHOWN = ("age_months", "examiner", "date")


def _plain(value: object) -> object:
    """Text as a database takes it: PostgreSQL knows no zero bytes."""
    return value.replace("\0", "\ufffd") if isinstance(value, str) else value
