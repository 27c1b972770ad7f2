"""Files of a job's records, by the hash of their content: the same file is kept once, in pieces, so that no memory holds all of it."""

from collections.abc import Callable, Iterable, Iterator
from hashlib import sha256
from typing import Final

from sqlalchemy import Connection, Engine, func, insert, select

from mainwright.errors import InputError, NotFound, StoreError
from mainwright.store.engine import reading, writing
from mainwright.store.failures import told
from mainwright.store.tables import pieces
from mainwright.workflow.store_ports import KeptFile

__all__ = ["LARGEST", "PIECE", "DatabaseFiles", "file_faults"]

PIECE: Final = 1 << 20
"""Bytes of a piece; the last one of a file may be shorter."""

LARGEST: Final = 8 << 30
"""Bytes of a file at most: a scan of 10^9 points has about as many."""


class DatabaseFiles:
    """Keeps files in a database.

    Parameters
    ----------
    engine : Engine
        Of a store with the present schema. [-]
    place : str
        The store, as a person names it. [-]
    """

    def __init__(self, engine: Engine, *, place: str) -> None:
        self._engine = engine
        self._place = place

    def put(self, read: Callable[[], Iterable[bytes]], *, name: str) -> KeptFile:
        """Keep a file, and return its hash and size; one that is there already is not kept again.

        It is read twice: each piece is a transaction of its own, so that whoever follows a run meanwhile does not wait, and a file that was
        kept half is gone on with.

        Parameters
        ----------
        read : callable
            Gives the content from its beginning, in parts of any size. [-]
        name : str
            The file, as a person names it. [-]

        Returns
        -------
        KeptFile
            All of it is on disk.

        Raises
        ------
        InputError
            If it is larger than what is kept, or was changed while it was read.
        StoreError
            If the database fails.
        """
        found = _measured(read(), name)
        with told(self._place), reading(self._engine) as connection:
            there = set(connection.execute(select(pieces.c.number).where(pieces.c.digest == found.digest)).scalars())
        again = sha256()
        for number, data in enumerate(_cut(read())):
            again.update(data)
            if number in there:
                continue
            with told(self._place), writing(self._engine) as connection:
                # Somebody else may keep the same file at the same time.
                same = select(pieces.c.number).where(pieces.c.digest == found.digest, pieces.c.number == number)
                if connection.execute(same).scalar_one_or_none() is None:
                    connection.execute(insert(pieces).values(digest=found.digest, number=number, data=data))
        if again.hexdigest() != found.digest:
            raise InputError("file", name, "", "a file that nobody changes while it is taken in; take it in again")
        return found

    def read(self, digest: str) -> Iterator[bytes]:
        """Yield the content of a file, piece by piece.

        Parameters
        ----------
        digest : str
            Its hash. [-]

        Yields
        ------
        bytes
            A piece.

        Raises
        ------
        NotFound
            If it is not here.
        StoreError
            If what is here is not that file any more.
        """
        made, number = sha256(), 0
        while True:
            with told(self._place), reading(self._engine) as connection:
                wanted = select(pieces.c.data).where(pieces.c.digest == digest, pieces.c.number == number)
                data = connection.execute(wanted).scalar_one_or_none()
            if data is None:
                break
            made.update(data)
            number += 1
            yield bytes(data)
        if made.hexdigest() != digest:
            if number == 0:
                raise NotFound(f"{self._place}: the file {digest[:16]} is not here.")
            raise StoreError(f"{self._place}: the file {digest[:16]} is not what was kept: it was changed or a piece of it is missing.")


def _measured(parts: Iterable[bytes], name: str) -> KeptFile:
    made, size = sha256(), 0
    for part in parts:
        made.update(part)
        size += len(part)
        if size > LARGEST:
            raise InputError("file", f"{name} with more than {LARGEST} bytes", "", f"files of at most {LARGEST >> 30} GiB; part the scan")
    return KeptFile(made.hexdigest(), size)


def _cut(parts: Iterable[bytes]) -> Iterator[bytes]:
    """Yield pieces of the size that is kept; a file without content has one that is empty."""
    held = bytearray()
    some = False
    for part in parts:
        held += part
        while len(held) >= PIECE:
            yield bytes(held[:PIECE])
            del held[:PIECE]
            some = True
    if held or not some:
        yield bytes(held)


def file_faults(connection: Connection) -> Iterator[tuple[str, str]]:
    """Yield the hash of each file whose content is another one, and what is wrong with it.

    Parameters
    ----------
    connection : Connection
        That sees the store as it is at one moment. [-]

    Yields
    ------
    tuple of str
        Hash and fault.
    """
    for digest, count, last in connection.execute(
        select(pieces.c.digest, func.count(), func.max(pieces.c.number)).group_by(pieces.c.digest).order_by(pieces.c.digest)
    ).all():
        made = sha256()
        for number in range(last + 1):
            data = connection.execute(
                select(pieces.c.data).where(pieces.c.digest == digest, pieces.c.number == number)
            ).scalar_one_or_none()
            made.update(b"" if data is None else data)
        if count != last + 1 or made.hexdigest() != digest:
            yield digest, "its content was changed, or a piece of it is missing"
