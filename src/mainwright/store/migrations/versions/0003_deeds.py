"""Who did what."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "deeds",
        sa.Column("chain", sa.Integer, nullable=False),
        sa.Column("place", sa.BigInteger, nullable=False, autoincrement=False),
        sa.Column("time", sa.Text, nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("origin", sa.Text, nullable=False),
        sa.Column("job", sa.Text),
        sa.Column("before", sa.Text),
        sa.Column("after", sa.Text),
        sa.Column("detail", sa.Text, nullable=False),
        sa.Column("hash", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("chain", "place", name="pk_deeds"),
        sa.ForeignKeyConstraint(["chain"], ["chains.number"], name="fk_deeds_chain"),
    )
