"""Chains, revisions of jobs, records, runs and their groups of entries."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    made = op.create_table(
        "chains",
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("count", sa.BigInteger, nullable=False),
        sa.Column("head", sa.LargeBinary, nullable=False),
        sa.Column("birth", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_chains"),
        sa.UniqueConstraint("kind", "name", name="uq_chains_kind"),
    )
    op.bulk_insert(made, [{"number": 0, "kind": "store", "name": "", "count": 0, "head": bytes(32), "birth": bytes(32)}])
    op.create_table(
        "revisions",
        sa.Column("chain", sa.Integer, nullable=False),
        sa.Column("place", sa.BigInteger, nullable=False, autoincrement=False),
        sa.Column("revision", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("time", sa.Text, nullable=False),
        sa.Column("hash", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("chain", "place", name="pk_revisions"),
        sa.ForeignKeyConstraint(["chain"], ["chains.number"], name="fk_revisions_chain"),
    )
    op.create_index("ix_revisions_revision", "revisions", ["revision"])
    op.create_table(
        "records",
        sa.Column("chain", sa.Integer, nullable=False),
        sa.Column("place", sa.BigInteger, nullable=False, autoincrement=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("row", sa.Text),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("time", sa.Text, nullable=False),
        sa.Column("method", sa.Text, nullable=False),
        sa.Column("revision", sa.Text),
        sa.Column("corrects", sa.BigInteger),
        sa.Column("hash", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("chain", "place", name="pk_records"),
        sa.ForeignKeyConstraint(["chain"], ["chains.number"], name="fk_records_chain"),
    )
    op.create_table(
        "runs",
        sa.Column("chain", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("run", sa.Text, nullable=False),
        sa.Column("coat", sa.Integer, nullable=False),
        sa.Column("part", sa.Integer, nullable=False),
        sa.Column("header", sa.Text, nullable=False),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("time", sa.Text, nullable=False),
        sa.Column("hash", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("chain", name="pk_runs"),
        sa.UniqueConstraint("job", "run", "coat", "part", name="uq_runs_job"),
        sa.ForeignKeyConstraint(["chain"], ["chains.number"], name="fk_runs_chain"),
    )
    op.create_table(
        "blocks",
        sa.Column("chain", sa.Integer, nullable=False),
        sa.Column("last", sa.BigInteger, nullable=False, autoincrement=False),
        sa.Column("entries", sa.Integer, nullable=False),
        sa.Column("payload", sa.LargeBinary, nullable=False),
        sa.Column("hash", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("chain", "last", name="pk_blocks"),
        sa.ForeignKeyConstraint(["chain"], ["chains.number"], name="fk_blocks_chain"),
        sqlite_with_rowid=False,
    )
