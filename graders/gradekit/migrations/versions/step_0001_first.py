"""The register as it was first given out: one table of evidence."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade():
    """Make the table."""
    op.create_table(
        "evidence",
        sa.Column("line", sa.Integer, primary_key=True, autoincrement=True),
        sa.Column("entered", sa.String(40), nullable=False),
        sa.Column("member", sa.String(20), nullable=False, index=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("objective", sa.String(80), nullable=False),
        sa.Column("outcome", sa.String(20), nullable=False),
        sa.Column("score", sa.Float),
        sa.Column("most", sa.Float),
        sa.Column("content_version", sa.String(40), nullable=False, default=""),
        sa.Column("evaluator", sa.String(20), nullable=False, default=""),
        sa.Column("device", sa.String(80), nullable=False, default=""),
        sa.Column("held", sa.String(10), nullable=False, default=""),
        sa.Column("remark", sa.String(400), nullable=False, default=""),
        sa.Column("voids", sa.Integer),
    )
