"""The schema, one for SQLite and PostgreSQL. Rows are only ever added; the one exception is how long each chain is now.

A change of it is a new file in ``migrations/versions``; a test holds the two together.
"""

from typing import Final

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
)

__all__ = ["METADATA", "blocks", "chains", "deeds", "pieces", "records", "revisions", "runs"]

METADATA: Final = MetaData(
    naming_convention={"pk": "pk_%(table_name)s", "uq": "uq_%(table_name)s_%(column_0_name)s", "fk": "fk_%(table_name)s_%(column_0_name)s"}
)

chains: Final = Table(
    "chains",
    METADATA,
    Column("number", Integer, nullable=False, autoincrement=False),
    Column("kind", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("count", BigInteger, nullable=False),
    Column("head", LargeBinary, nullable=False),
    Column("birth", LargeBinary, nullable=False),
    PrimaryKeyConstraint("number"),
    UniqueConstraint("kind", "name"),
)
"""Every chain: of which kind (``store``, ``job``, ``records``, ``run``, ``deeds``) and name, how much it holds, its last hash, and the hash it began with.

Number 0 is the store itself: its count is how many other chains there are and its head the birth of the last one, so that a chain cannot go missing.
"""

revisions: Final = Table(
    "revisions",
    METADATA,
    Column("chain", Integer, ForeignKey("chains.number"), nullable=False),
    Column("place", BigInteger, nullable=False, autoincrement=False),
    Column("revision", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("document", Text, nullable=False),
    Column("author", Text, nullable=False),
    Column("time", Text, nullable=False),
    Column("hash", LargeBinary, nullable=False),
    PrimaryKeyConstraint("chain", "place"),
    Index("ix_revisions_revision", "revision"),
)
"""Jobs: their whole document at each revision. An older revision that is taken up again is a further row."""

records: Final = Table(
    "records",
    METADATA,
    Column("chain", Integer, ForeignKey("chains.number"), nullable=False),
    Column("place", BigInteger, nullable=False, autoincrement=False),
    Column("kind", Text, nullable=False),
    Column("row", Text),
    Column("author", Text, nullable=False),
    Column("time", Text, nullable=False),
    Column("method", Text, nullable=False),
    Column("revision", Text),
    Column("corrects", BigInteger),
    Column("hash", LargeBinary, nullable=False),
    PrimaryKeyConstraint("chain", "place"),
)
"""Rows of ``records/``, as JSON in the units of the files. A row that corrects names the place of the one it stands for; without a row it only takes that away."""

runs: Final = Table(
    "runs",
    METADATA,
    Column("chain", Integer, ForeignKey("chains.number"), nullable=False, autoincrement=False),
    Column("job", Text, nullable=False),
    Column("run", Text, nullable=False),
    Column("coat", Integer, nullable=False),
    Column("part", Integer, nullable=False),
    Column("header", Text, nullable=False),
    Column("author", Text, nullable=False),
    Column("time", Text, nullable=False),
    Column("hash", LargeBinary, nullable=False),
    PrimaryKeyConstraint("chain"),
    UniqueConstraint("job", "run", "coat", "part"),
)
"""Followed runs: what each was meant to be."""

blocks: Final = Table(
    "blocks",
    METADATA,
    Column("chain", Integer, ForeignKey("chains.number"), nullable=False),
    Column("last", BigInteger, nullable=False, autoincrement=False),
    Column("entries", Integer, nullable=False),
    Column("payload", LargeBinary, nullable=False),
    Column("hash", LargeBinary, nullable=False),
    PrimaryKeyConstraint("chain", "last"),
    sqlite_with_rowid=False,
)
"""The logs of runs, one row for each group of entries that became durable together; ``last`` is the place of its last entry."""

deeds: Final = Table(
    "deeds",
    METADATA,
    Column("chain", Integer, ForeignKey("chains.number"), nullable=False),
    Column("place", BigInteger, nullable=False, autoincrement=False),
    Column("time", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("origin", Text, nullable=False),
    Column("job", Text),
    Column("before", Text),
    Column("after", Text),
    Column("detail", Text, nullable=False),
    Column("hash", LargeBinary, nullable=False),
    PrimaryKeyConstraint("chain", "place"),
)
"""Who did what through the pages, from which device, and which revisions stand before and after it."""

pieces: Final = Table(
    "pieces",
    METADATA,
    Column("digest", Text, nullable=False),
    Column("number", Integer, nullable=False, autoincrement=False),
    Column("data", LargeBinary, nullable=False),
    PrimaryKeyConstraint("digest", "number"),
)
"""Files, such as ring scans and photographs, in pieces from 0: the hash of all of them is the name of the file, and stands in a record."""
