"""The chain of hashes: each thing that is kept is bound to what was kept before it.

Nothing here knows a database, so that a file that was carried away can be proved as the store can.
"""

from hashlib import sha256
from typing import Final

__all__ = ["CHAIN_START", "birth_link", "block_link", "deed_link", "link", "record_link", "revision_link", "run_link"]

CHAIN_START: Final = bytes(32)
"""What stands before the first link of all."""


def link(previous: bytes, *parts: bytes | str | int | None) -> bytes:
    """Return the hash of what is kept and of all that stands before it.

    Parameters
    ----------
    previous : bytes
        Hash of what stands before. [-]
    *parts : bytes, str, int or None
        What is kept. Each part is told apart from its neighbour by its kind and length. [-]

    Returns
    -------
    bytes
        SHA-256, 32 bytes.

    Examples
    --------
    >>> link(CHAIN_START, "ab", "c") == link(CHAIN_START, "a", "bc")
    False
    """
    made = sha256(previous)
    for part in parts:
        if isinstance(part, bytes):
            kind, data = b"b", part
        elif isinstance(part, str):
            kind, data = b"t", part.encode()
        else:
            kind, data = (b"n", b"") if part is None else (b"i", str(part).encode())
        made.update(kind + len(data).to_bytes(8, "big"))
        made.update(data)
    return made.digest()


def birth_link(previous: bytes, *, number: int, kind: str, name: str) -> bytes:
    """Return the hash with which a chain begins; it binds all chains of a store in the order of their beginning."""
    return link(previous, "chain", number, kind, name)


def run_link(*, name: str, header: str, author: str, time: str) -> bytes:
    """Return the hash at place 0 of a run's log: what the run was meant to be. It does not hang on the store, so that a run that is carried keeps its hashes."""
    return link(CHAIN_START, "run", name, header, author, time)


def block_link(previous: bytes, *, last: int, entries: int, payload: bytes) -> bytes:
    """Return the hash of a group of entries; ``last`` is the place of its last one."""
    return link(previous, "entries", last, entries, payload)


def revision_link(previous: bytes, *, place: int, revision: str, name: str, document: str, author: str, time: str) -> bytes:
    """Return the hash of a revision of a job."""
    return link(previous, "revision", place, revision, name, document, author, time)


def deed_link(
    previous: bytes,
    *,
    place: int,
    time: str,
    what: str,
    who: str,
    role: str,
    device: str,
    origin: str,
    job: str | None,
    before: str | None,
    after: str | None,
    detail: str,
) -> bytes:
    """Return the hash of a deed."""
    return link(previous, "deed", place, time, what, who, role, device, origin, job, before, after, detail)


def record_link(
    previous: bytes,
    *,
    place: int,
    kind: str,
    row: str | None,
    author: str,
    time: str,
    method: str,
    revision: str | None,
    corrects: int | None,
) -> bytes:
    """Return the hash of a record."""
    return link(previous, "record", place, kind, row, author, time, method, revision, corrects)
