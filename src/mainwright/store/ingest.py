"""The hot path: one group of entries to the disk, by the driver itself under SQLAlchemy's connection.

An appender is used by one thread at a time. What it returns from is on disk.
"""

import sqlite3
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Protocol

from sqlalchemy import Engine

from mainwright.store.chain import block_link

if TYPE_CHECKING:
    from sqlalchemy.pool import PoolProxiedConnection

__all__ = ["Appender", "Group", "appender"]


@dataclass(frozen=True, slots=True)
class Group:
    """A group of entries for a chain: how many stand before it, how many it has, and their bytes."""

    chain: int
    after: int
    entries: int
    payload: bytes

    @property
    def last(self) -> int:
        """Place of its last entry."""
        return self.after + self.entries


class Appender(Protocol):
    """Adds groups to chains."""

    def append(self, group: Group) -> int | None:
        """Add a group and return None; where another count stands before it, add nothing and return that.

        A group that is there already, byte for byte, because an answer got lost on its way, counts as added.
        """
        ...

    def close(self) -> None:
        """Give the connection back."""
        ...


def appender(engine: Engine) -> Appender:
    """Return an appender with a connection of its own."""
    return _SqliteAppender(engine) if engine.dialect.name == "sqlite" else _PostgresqlAppender(engine)


_HEAD: Final = "SELECT count, head FROM chains WHERE number = ?"
_BLOCK: Final = "INSERT INTO blocks (chain, last, entries, payload, hash) VALUES (?, ?, ?, ?, ?)"
_GROWN: Final = "UPDATE chains SET count = ?, head = ? WHERE number = ?"
_THERE: Final = "SELECT 1 FROM blocks WHERE chain = ? AND last = ? AND entries = ? AND payload = ?"


class _SqliteAppender:
    def __init__(self, engine: Engine) -> None:
        self._held: PoolProxiedConnection = engine.raw_connection()
        opened = self._held.driver_connection
        assert isinstance(opened, sqlite3.Connection)  # noqa: S101 - the dialect says so
        self._opened = opened

    def append(self, group: Group) -> int | None:
        execute = self._opened.execute
        execute("BEGIN IMMEDIATE")
        try:
            count, head = execute(_HEAD, (group.chain,)).fetchone()
            if count != group.after:
                there = execute(_THERE, (group.chain, group.last, group.entries, group.payload)).fetchone()
                execute("ROLLBACK")
                return None if there and count == group.last else int(count)
            grown = block_link(head, last=group.last, entries=group.entries, payload=group.payload)
            execute(_BLOCK, (group.chain, group.last, group.entries, group.payload, grown))
            execute(_GROWN, (group.last, grown, group.chain))
            execute("COMMIT")
        except BaseException:
            # After some failures SQLite has rolled back by itself.
            if self._opened.in_transaction:
                execute("ROLLBACK")
            raise
        return None

    def close(self) -> None:
        self._held.close()


_PG_HEAD: Final = "SELECT count, head FROM chains WHERE number = %s"
_PG_GROW: Final = """
WITH grown AS (
    UPDATE chains SET count = %(last)s, head = %(hash)s
    WHERE number = %(chain)s AND count = %(after)s AND head = %(previous)s
    RETURNING number
)
INSERT INTO blocks (chain, last, entries, payload, hash)
SELECT number, %(last)s, %(entries)s, %(payload)s, %(hash)s FROM grown
"""
_PG_THERE: Final = "SELECT 1 FROM blocks WHERE chain = %s AND last = %s AND entries = %s AND payload = %s"


class _PostgresqlAppender:
    """One statement a group, hence one way to the server and back; it adds nothing where the chain is not as it was believed to be."""

    def __init__(self, engine: Engine) -> None:
        self._held = engine.execution_options(isolation_level="AUTOCOMMIT").connect()
        self._opened: Any = self._held.connection.driver_connection
        self._heads: dict[int, tuple[int, bytes]] = {}

    def append(self, group: Group) -> int | None:
        count, head = self._heads.get(group.chain) or self._look(group.chain)
        if count != group.after:
            count, head = self._look(group.chain)
            if count != group.after:
                return self._repeated(group, count)
        grown = block_link(head, last=group.last, entries=group.entries, payload=group.payload)
        values = {
            "chain": group.chain,
            "after": group.after,
            "last": group.last,
            "entries": group.entries,
            "previous": head,
            "payload": group.payload,
            "hash": grown,
        }
        try:
            added = self._opened.execute(_PG_GROW, values, prepare=True, binary=True).rowcount
        except BaseException:
            self._heads.pop(group.chain, None)
            raise
        if added != 1:
            count, _ = self._look(group.chain)
            return self._repeated(group, count)
        self._heads[group.chain] = (group.last, grown)
        return None

    def close(self) -> None:
        self._held.close()

    def _look(self, chain: int) -> tuple[int, bytes]:
        count, head = self._opened.execute(_PG_HEAD, (chain,)).fetchone()
        self._heads[chain] = (count, bytes(head))
        return self._heads[chain]

    def _repeated(self, group: Group, count: int) -> int | None:
        there = self._opened.execute(_PG_THERE, (group.chain, group.last, group.entries, group.payload)).fetchone()
        return None if there and count == group.last else count
