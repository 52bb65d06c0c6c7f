"""Which step a photo was taken at, before there is an entry that it could stand beside."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0003", "0002"


def upgrade() -> None:
    op.add_column("photos", sa.Column("step", sa.String(80), nullable=True))
