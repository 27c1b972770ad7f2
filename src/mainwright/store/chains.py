"""The list of chains: beginning one, and making one longer."""

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection, insert, select, update

from mainwright.store.chain import birth_link
from mainwright.store.tables import chains

__all__ = ["Chain", "ChainKind", "advance", "begin_chain", "find_chain"]

ChainKind = Literal["job", "records", "run", "library", "deeds"]


@dataclass(frozen=True, slots=True)
class Chain:
    """One chain as it is now; its head is the hash that the next link stands on."""

    number: int
    count: int
    head: bytes
    birth: bytes


def find_chain(connection: Connection, kind: ChainKind, name: str, *, lock: bool = False) -> Chain | None:
    """Return a chain, None where it has not begun; with ``lock`` nobody makes it longer until the transaction ends."""
    wanted = select(chains.c.number, chains.c.count, chains.c.head, chains.c.birth).where(chains.c.kind == kind, chains.c.name == name)
    row = connection.execute(wanted.with_for_update() if lock else wanted).one_or_none()
    return None if row is None else Chain(*row)


def begin_chain(connection: Connection, kind: ChainKind, name: str) -> Chain:
    """Return a chain, locked; where there is none it begins, bound to the birth of the chain before it."""
    others, latest = connection.execute(select(chains.c.count, chains.c.head).where(chains.c.number == 0).with_for_update()).one()
    found = find_chain(connection, kind, name, lock=True)
    if found is not None:
        return found
    number = int(others) + 1
    birth = birth_link(latest, number=number, kind=kind, name=name)
    connection.execute(insert(chains).values(number=number, kind=kind, name=name, count=0, head=birth, birth=birth))
    connection.execute(update(chains).where(chains.c.number == 0).values(count=number, head=birth))
    return Chain(number, 0, birth, birth)


def advance(connection: Connection, chain: Chain, *, count: int, head: bytes) -> None:
    """Note how long a locked chain is now, and its last hash."""
    connection.execute(update(chains).where(chains.c.number == chain.number).values(count=count, head=head))
