"""Every name and phone number that a job's caller had before, to be erased with the rest."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Add the column; of callers written over before, nothing is known."""
    op.add_column("jobs", sa.Column("former_callers", sa.JSON()))


def downgrade() -> None:
    """Take the column away."""
    op.drop_column("jobs", "former_callers")
