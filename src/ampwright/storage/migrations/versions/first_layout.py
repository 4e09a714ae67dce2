"""The first layout: jobs with their revisions and photos, parts, settings."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "jobs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(12), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("waiting_for", sa.Text(), nullable=False),
        sa.Column("waiting_until", sa.Date()),
        sa.Column("resume_at", sa.String(40), nullable=False),
        sa.Column("caller_name", sa.Text(), nullable=False),
        sa.Column("caller_phone", sa.Text(), nullable=False),
        sa.Column("caller_note", sa.Text(), nullable=False),
        sa.Column("search", sa.Text(), nullable=False),
        sa.Column("created", sa.DateTime(), nullable=False),
        sa.Column("changed", sa.DateTime(), nullable=False),
        sa.Column("delete_after", sa.Date()),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
        sa.UniqueConstraint("number", name="uq_jobs_number"),
    )
    op.create_index("ix_jobs_state", "jobs", ["state"])
    op.create_table(
        "revisions",
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("document", sa.JSON(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("undo_to", sa.Integer()),
        sa.Column("redo_to", sa.Integer()),
        sa.PrimaryKeyConstraint("job_id", "revision", name="pk_revisions"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_revisions_job_id", ondelete="CASCADE"),
    )
    op.create_table(
        "photos",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("media_type", sa.String(20), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.Column("small", sa.LargeBinary(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_photos"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_photos_job_id", ondelete="CASCADE"),
    )
    op.create_index("ix_photos_job_id", "photos", ["job_id"])
    op.create_table(
        "parts",
        sa.Column("code", sa.String(40), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("document", sa.JSON(), nullable=False),
        sa.Column("changed", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("code", name="pk_parts"),
    )
    op.create_table(
        "settings",
        sa.Column("key", sa.String(40), nullable=False),
        sa.Column("value", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_settings"),
    )


def downgrade() -> None:
    """Take the tables away."""
    for table in ("settings", "parts", "photos", "revisions", "jobs"):
        op.drop_table(table)
