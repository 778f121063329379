"""Runs the migrations on the connection, and inside the transaction, that it is given."""

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=None,
    transaction_per_migration=False,
)
context.run_migrations()
