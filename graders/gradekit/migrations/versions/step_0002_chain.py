"""Each line chained to the one before; remarks in a table of their own; lines cannot be changed.

The lines are copied, in their order and unchanged, into a new table that then takes the old one's
name. A program of the first version can no longer write into it, and says so.
"""

import secrets

import sqlalchemy as sa
from alembic import op

from gradekit.chain import FIELDS, NUMBERS, line_digest, words_digest

revision = "0002"
down_revision = "0001"

KEEP_SQLITE = """
CREATE TRIGGER evidence_{verb} BEFORE {verb} ON evidence
BEGIN SELECT RAISE(ABORT, 'lines of the register are only added'); END
"""
KEEP_POSTGRES = (
    """
    CREATE FUNCTION evidence_keep() RETURNS trigger LANGUAGE plpgsql AS
    'BEGIN RAISE EXCEPTION ''lines of the register are only added''; END'
    """,
    """
    CREATE TRIGGER evidence_keep BEFORE UPDATE OR DELETE ON evidence
    FOR EACH ROW EXECUTE FUNCTION evidence_keep()
    """,
)


def upgrade():
    """Make the chained table, copy every line, and shut it against changes."""
    connection = op.get_bind()
    new = op.create_table(
        "evidence_chained",
        sa.Column("line", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("entered", sa.String(40), nullable=False),
        sa.Column("member", sa.String(20), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("objective", sa.String(80), nullable=False),
        sa.Column("outcome", sa.String(20), nullable=False),
        sa.Column("score", sa.Float),
        sa.Column("most", sa.Float),
        sa.Column("content_version", sa.String(80), nullable=False),
        sa.Column("evaluator", sa.String(20), nullable=False),
        sa.Column("device", sa.String(80), nullable=False),
        sa.Column("held", sa.String(10), nullable=False),
        sa.Column("voids", sa.Integer),
        sa.Column("attempt", sa.Integer),
        sa.Column("hours", sa.Float),
        sa.Column("missed", sa.Text, nullable=False),
        sa.Column("token", sa.String(80), unique=True),
        sa.Column("words_digest", sa.String(64), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
    )
    words = op.create_table(
        "words",
        sa.Column("line", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("salt", sa.String(32), nullable=False),
        sa.Column("remark", sa.Text, nullable=False),
        sa.Column("conditions", sa.Text, nullable=False),
    )
    _copy(connection, new, words)
    op.drop_table("evidence")
    op.rename_table("evidence_chained", "evidence")
    op.create_index("evidence_by_member", "evidence", ["member"])
    if connection.dialect.name == "sqlite":
        for verb in ("UPDATE", "DELETE"):
            op.execute(KEEP_SQLITE.format(verb=verb))
    elif connection.dialect.name == "postgresql":
        for statement in KEEP_POSTGRES:
            op.execute(statement)


def _copy(connection, new, words):
    """Old lines, in order. A number that was lost long ago would break the chain: told at once."""
    previous, expected = "", 1
    old = connection.exec_driver_sql("SELECT * FROM evidence ORDER BY line").mappings().all()
    for row in old:
        if row["line"] != expected:
            raise ValueError(
                f"line {expected} of the old register is missing; it is left as it was"
            )
        values = {name: row.get(name) for name in FIELDS} | {"missed": ""}
        values |= {n: None if values[n] is None else float(values[n]) for n in NUMBERS}
        salt = secrets.token_hex(16)
        values["words_digest"] = words_digest(salt, row["remark"], "")
        previous = line_digest(previous, values)
        connection.execute(new.insert().values(**values, digest=previous))
        if row["remark"]:
            connection.execute(
                words.insert().values(
                    line=row["line"], salt=salt, remark=row["remark"], conditions=""
                )
            )
        expected += 1
