"""The revision of the records: one hash over all of them in one form, so that a paper says which records it was made from."""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime

from mainwright.job.records import Records
from mainwright.units import significant

__all__ = ["records_revision", "rows_digest"]


def records_revision(records: Records) -> str:
    """Return the SHA-256 of the canonical form of all records.

    Parameters
    ----------
    records : Records
        What happened. [-]

    Returns
    -------
    str
        As hexadecimal text. Tables and columns stand in the order of the program, rows in the order of their files, moments in UTC, numbers in
        SI with ten digits: spelling and place of a file do not matter, a changed, lost or moved row does. Signatures and
        payments are no part of it: who signs or pays what the records prove does not change them.
    """
    return rows_digest((table.name, getattr(records, table.name)) for table in fields(records) if _counts(table.name, records))


def _counts(name: str, records: Records) -> bool:
    # Tables that came later count only where they have rows: older records keep their hash.
    return name not in ("signatures", "payments") and (name not in ("quantities", "extras") or bool(getattr(records, name)))


def rows_digest(tables: Iterable[tuple[str, Iterable[object]]]) -> str:
    """Return the SHA-256 of rows in one form.

    Parameters
    ----------
    tables : iterable of (str, iterable)
        Name of each table and its rows. [-]

    Returns
    -------
    str
        As hexadecimal text.
    """
    digest = hashlib.sha256()
    for name, rows in tables:
        digest.update(f"{name}\n".encode())
        for row in rows:
            digest.update(json.dumps(_plain(row), ensure_ascii=False, separators=(",", ":")).encode())
            digest.update(b"\n")
    return digest.hexdigest()


def _plain(value: object) -> object:
    if is_dataclass(value) and not isinstance(value, type):
        return [_plain(getattr(value, one.name)) for one in fields(value)]
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, float):
        return significant(value)
    return value
