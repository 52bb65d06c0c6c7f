"""Runs the migrations on the connection that is handed in."""

from alembic import context

from engine.records.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    transaction_per_migration=False,
)
with context.begin_transaction():
    context.run_migrations()
