"""Visits, their events, and the kit: as far as they stand there from before versions."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0001", None


def upgrade() -> None:
    op.create_table(
        "visits",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("title", sa.String(200), nullable=False),
        sa.Column("begun", sa.DateTime, nullable=False),
        sa.Column("knowledge", sa.String(40), nullable=False),
        if_not_exists=True,
    )
    op.create_table(
        "events",
        sa.Column("visit", sa.Integer, sa.ForeignKey("visits.id"), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("at", sa.DateTime, nullable=False),
        sa.Column("body", sa.JSON, nullable=False),
        if_not_exists=True,
    )
    op.create_table(
        "kit",
        sa.Column("instrument", sa.String(80), primary_key=True),
        sa.Column("of_reading", sa.String(64), nullable=False),
        sa.Column("at_least", sa.String(64), nullable=False),
        if_not_exists=True,
    )
