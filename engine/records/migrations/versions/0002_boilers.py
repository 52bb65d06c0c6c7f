"""Customers, boilers, which visit was to which of them, photos, settings."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0002", "0001"


def upgrade() -> None:
    op.create_table(
        "customers",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("address", sa.String(300), nullable=False),
        sa.Column("phone", sa.String(60), nullable=False),
        sa.Column("mail", sa.String(120), nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("added", sa.DateTime, nullable=False),
    )
    op.create_table(
        "boilers",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("customer", sa.Integer, sa.ForeignKey("customers.id"), nullable=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("place", sa.String(300), nullable=False),
        sa.Column("sheet", sa.JSON, nullable=False),
        sa.Column("added", sa.DateTime, nullable=False),
    )
    op.create_table(
        "visit_where",
        sa.Column("visit", sa.Integer, sa.ForeignKey("visits.id"), primary_key=True),
        sa.Column("boiler", sa.Integer, sa.ForeignKey("boilers.id"), nullable=True),
        sa.Column("customer", sa.Integer, sa.ForeignKey("customers.id"), nullable=True),
    )
    op.create_table(
        "photos",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("visit", sa.Integer, sa.ForeignKey("visits.id"), nullable=False),
        sa.Column("event", sa.Integer, nullable=True),
        sa.Column("at", sa.DateTime, nullable=False),
        sa.Column("media", sa.String(40), nullable=False),
        sa.Column("picture", sa.LargeBinary, nullable=False),
        sa.Column("words", sa.String(300), nullable=False),
    )
    op.create_table(
        "settings",
        sa.Column("name", sa.String(80), primary_key=True),
        sa.Column("value", sa.JSON, nullable=False),
    )
