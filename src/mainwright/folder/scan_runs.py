"""Runs of small whole numbers as Parquet packs them, looked through by compiled code: imported only where there is enough to do."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, TypeVar, cast

import numba
import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["all_alike", "lists_alike", "looked_up"]

_F = TypeVar("_F")
_WIDEST: Final = 24


def _jit(function: _F) -> _F:
    return cast("_F", numba.njit(cache=True, nogil=True)(function))


@_jit
def _run(data: Any, at: int, width: int) -> tuple[int, int, int, int]:  # noqa: ANN401
    """Return how many numbers a run has, its one number (-1 where they are packed), and where these begin and end; no numbers where it is broken."""
    size = data.size
    header: Any = 0
    shift = 0
    while True:
        if at >= size or shift > 28:
            return 0, 0, 0, 0
        byte = np.int64(data[at])
        at += 1
        header |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            break
    if header & 1:
        end = at + (header >> 1) * width
        return (8 * (header >> 1), -1, at, end) if end <= size else (0, 0, 0, 0)
    end = at + (width + 7) // 8
    if end > size:
        return 0, 0, 0, 0
    value: Any = 0
    for i in range(at, end):
        value |= np.int64(data[i]) << (8 * (i - at))
    return header >> 1, value, at, end


@_jit
def _number(data: Any, at: int, place: int, width: int) -> Any:  # noqa: ANN401
    """Return a packed number of at most 24 bits."""
    first = at + ((place * width) >> 3)
    held = np.uint32(0)
    for i in range(min(4, data.size - first)):
        held |= np.uint32(data[first + i]) << np.uint32(8 * i)
    return np.int64((held >> np.uint32((place * width) & 7)) & np.uint32((1 << width) - 1))


@_jit
def _lists(data: Any, count: int, size: int, place: int) -> bool:  # noqa: ANN401
    have = at = 0
    while have < count:
        more, value, begin, at = _run(data, at, 1)
        if more == 0:
            return False
        more = min(more, count - have)
        if value >= 0:
            # A run of ones has no beginning in it, a run of noughts is one.
            next_start = (size - place) % size
            if (value == 1 and next_start < more) or (value == 0 and not (next_start == 0 and more == 1)):
                return False
        else:
            for i in range(more):
                bit = (data[begin + (i >> 3)] >> (i & 7)) & 1
                if (bit == 0) != ((place + i) % size == 0):
                    return False
        have += more
        place = (place + more) % size
    return True


@_jit
def _alike(data: Any, width: int, count: int, wanted: int) -> bool:  # noqa: ANN401
    have = at = 0
    while have < count:
        more, value, begin, at = _run(data, at, width)
        if more == 0 or (value >= 0 and value != wanted):
            return False
        more = min(more, count - have)
        if value < 0:
            for i in range(more):
                if _number(data, begin, i, width) != wanted:
                    return False
        have += more
    return True


@_jit
def _look_up(data: Any, width: int, table: Any, out: Any) -> bool:  # noqa: ANN401
    wanted, have, at = out.size, 0, 0
    size, mask = table.size, np.uint32((1 << width) - 1)
    one, two, three = np.uint64(1), np.uint64(2), np.uint64(3)
    for_one = np.uint64(width)
    while have < wanted:
        more, value, begin, at = _run(data, at, width)
        if more == 0:
            return False
        more = min(more, wanted - have)
        if value >= 0:
            if value >= size:
                return False
            out[have : have + more] = table[value]
        else:
            # Four bytes hold a number; the last of them must not be looked for behind the data. No index is negative, which need not be looked at.
            quick = min(more, max(0, 8 * (data.size - begin - 4)) // max(width, 1))
            place = np.uint64(8 * begin)
            for i in range(quick):
                first = place >> three
                held = (
                    np.uint32(data[first])
                    | (np.uint32(data[first + one]) << np.uint32(8))
                    | (np.uint32(data[first + two]) << np.uint32(16))
                    | (np.uint32(data[first + three]) << np.uint32(24))
                )
                index = (held >> np.uint32(place & np.uint64(7))) & mask
                if index >= size:
                    return False
                out[have + i] = table[index]
                place += for_one
            for i in range(quick, more):
                found = _number(data, begin, i, width)
                if found >= size:
                    return False
                out[have + i] = table[found]
        have += more
    return True


def lists_alike(data: NDArray[np.uint8], *, count: int, size: int, place: int) -> bool:
    """Return whether lists of one size follow one another.

    Parameters
    ----------
    data : ndarray of int
        Runs of one bit a value: nought where a list begins. [-]
    count : int
        How many values there are. [-]
    size : int
        Values of a list. [-]
    place : int
        Which of its list the first value is. [-]

    Returns
    -------
    bool
        False also where the data are broken.
    """
    return bool(_lists(data, count, size, place))


def all_alike(data: NDArray[np.uint8], *, width: int, count: int, value: int) -> bool:
    """Return whether all numbers are one and the same.

    Parameters
    ----------
    data : ndarray of int
        Runs. [-]
    width : int
        Bits of a number. [-]
    count : int
        How many numbers there are. [-]
    value : int
        The number. [-]

    Returns
    -------
    bool
        False also where the data are broken.
    """
    return 0 <= width <= _WIDEST and bool(_alike(data, width, count, value))


def looked_up(data: NDArray[np.uint8], *, width: int, count: int, table: NDArray[np.float32]) -> NDArray[np.float32] | None:
    """Return what a table has at numbers in runs: each either one number again and again, or numbers in groups of eight, bit by bit.

    Parameters
    ----------
    data : ndarray of int
        The runs, and perhaps more behind them. [-]
    width : int
        Bits of a number, at most 24. [-]
    count : int
        How many numbers there are. [-]
    table : ndarray of float
        What they stand for. [-]

    Returns
    -------
    ndarray of float or None
        As many values; None where the data are broken.
    """
    found = np.empty(count, dtype=np.float32)
    return found if 0 <= width <= _WIDEST and _look_up(data, width, table, found) else None
