"""Entries of a run's log to the bytes of one group, and back.

A group is a row of segments. A segment begins with its kind (``J`` or ``R``) and its length in bytes (4, little-endian). ``J`` holds entries as JSON,
``[[kind, time, {values}], ...]``. ``R`` holds readings by column: how many (4), the names of their values parted by commas and how long those are
(2), then for the time and each value one letter and its data: ``-`` all None; ``d`` doubles; ``q`` integers of 8 bytes; ``m`` doubles where some
are None, led by a byte of 0 or 1 for each. The first byte of all is the version of this form. The same entries give the same bytes.
"""

import json
import math
import struct
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from operator import attrgetter, itemgetter
from typing import Any, Final

from mainwright.errors import InputError, StoreError
from mainwright.workflow.live_ports import LogEntry

__all__ = ["pack", "plain_entries", "unpack"]

_VERSION: Final = b"\x01"
_HEAD: Final = struct.Struct("<cI")
_COUNT: Final = struct.Struct("<I")
_NAMES: Final = struct.Struct("<H")
_READING: Final = "reading"

_kind = attrgetter("kind")
_values = attrgetter("values")
_time = attrgetter("time")


def pack(entries: Sequence[LogEntry]) -> bytes:
    """Return the bytes of a group of entries.

    Parameters
    ----------
    entries : sequence of LogEntry
        In their order. [-]

    Returns
    -------
    bytes
        From which `unpack` gives the same entries.

    Raises
    ------
    InputError
        If a value is neither a finite number, a text, a truth nor None.
    """
    parts = [_VERSION]
    for kind, group in groupby(entries, key=_kind):
        some = list(group)
        body = _packed(some) if kind == _READING else None
        if body is None:
            body = _json(some)
            parts.append(_HEAD.pack(b"J", len(body)))
        else:
            parts.append(_HEAD.pack(b"R", len(body)))
        parts.append(body)
    return b"".join(parts)


def unpack(payload: bytes) -> Iterator[LogEntry]:
    """Yield the entries of a group.

    Parameters
    ----------
    payload : bytes
        As `pack` made them. [-]

    Yields
    ------
    LogEntry
        In their order.

    Raises
    ------
    StoreError
        If the bytes are of no known form.
    """
    if payload[:1] != _VERSION:
        raise StoreError(
            f"a group of entries has the form {payload[:1].hex() or 'empty'}; this version of Mainwright reads form {_VERSION.hex()}"
        )
    place = len(_VERSION)
    while place < len(payload):
        kind, length = _HEAD.unpack_from(payload, place)
        place += _HEAD.size
        body = payload[place : place + length]
        place += length
        if kind == b"J":
            for name, time, values in json.loads(body):
                yield LogEntry(name, time, values)
        elif kind == b"R":
            yield from _readings(body)
        else:
            raise StoreError(f"a segment of a group of entries has the form {kind!r}, which this version of Mainwright does not read")


def plain_entries(entries: Sequence[LogEntry]) -> list[list[Any]]:
    """Return entries as JSON-able lists of kind, time and values."""
    return [[one.kind, one.time, dict(one.values)] for one in entries]


def _json(entries: Sequence[LogEntry]) -> bytes:
    for one in entries:
        _check(one)
    return json.dumps(plain_entries(entries), ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


def _check(entry: LogEntry) -> None:
    named: Mapping[str, object] = {"time": entry.time, **entry.values}
    for name, value in named.items():
        if not _is_sound(value) or not _is_sound(name) or (name == "time" and isinstance(value, str | bool | None)):
            raise InputError(f"{name} of an entry {entry.kind!r}", value, "", "a finite number, a text, a truth or nothing")


def _is_sound(value: object) -> bool:
    if isinstance(value, str):
        return value.isascii() or value.encode(errors="ignore").decode() == value
    return value is None or isinstance(value, bool | int) or (isinstance(value, float) and math.isfinite(value))


def _packed(entries: Sequence[LogEntry]) -> bytes | None:
    """Return readings by column, None where they do not look as readings do and are better kept as text."""
    told = list(map(_values, entries))
    names = tuple(told[0])
    try:
        columns = [list(map(itemgetter(name), told)) for name in names]
    except KeyError:
        return None
    if set(map(len, told)) != {len(names)} or not all(map(str.isidentifier, names)):
        return None
    written = ",".join(names).encode()
    parts = [_COUNT.pack(len(entries)), _NAMES.pack(len(written)), written]
    for column in (list(map(_time, entries)), *columns):
        packed = _column(column)
        if packed is None:
            return None
        parts += packed
    return b"".join(parts)


def _column(column: list[Any]) -> tuple[bytes, ...] | None:
    size = len(column)
    if column[0] is None and column.count(None) == size:
        return (b"-",)
    try:
        if type(column[0]) is int:
            return b"q", _whole(column)
        if None not in column:
            return b"d", _doubles(column)
        return b"m", bytes(value is not None for value in column), _doubles([value for value in column if value is not None])
    except (struct.error, OverflowError):
        return None


def _whole(numbers: list[int]) -> bytes:
    return struct.pack(f"<{len(numbers)}q", *numbers)


def _doubles(numbers: list[float]) -> bytes:
    packed = struct.pack(f"<{len(numbers)}d", *numbers)
    # A sum that is finite has finite parts; one that is not is looked at closely.
    if not math.isfinite(sum(numbers)) and not all(map(math.isfinite, numbers)):
        raise OverflowError
    return packed


def _readings(body: bytes) -> Iterator[LogEntry]:
    (count,) = _COUNT.unpack_from(body)
    place = _COUNT.size
    (length,) = _NAMES.unpack_from(body, place)
    place += _NAMES.size
    names = body[place : place + length].decode().split(",") if length else []
    place += length
    columns: list[Sequence[Any]] = []
    for _ in range(1 + len(names)):
        code = body[place : place + 1].decode("latin-1")
        place += 1
        if code == "-":
            columns.append((None,) * count)
        elif code in ("d", "q"):
            columns.append(struct.unpack_from(f"<{count}{code}", body, place))
            place += 8 * count
        elif code == "m":
            known = body[place : place + count]
            place += count
            numbers = iter(struct.unpack_from(f"<{sum(known)}d", body, place))
            columns.append([next(numbers) if one else None for one in known])
            place += 8 * sum(known)
        else:
            raise StoreError(f"a column of readings has the form {code!r}, which this version of Mainwright does not read")
    for time, *values in zip(*columns, strict=True):
        yield LogEntry(_READING, time, dict(zip(names, values, strict=True)))
