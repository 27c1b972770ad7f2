"""Rows of a ring scan, as a library reads them, into chunks of rings: the same for every layout of columns."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NoReturn

import numpy as np

from mainwright.errors import FaultyInput
from mainwright.folder.located import LocatedFault, located
from mainwright.units import UNITS
from mainwright.workflow.scan_ports import RingChunk

if TYPE_CHECKING:
    from collections.abc import Generator, Iterable, Sequence

    import pyarrow as pa
    from numpy.typing import NDArray

__all__ = ["HEAD", "RINGS", "Filling", "line_columns", "ring_values", "schema_faults", "where_rings_are"]

RINGS: Final = "radius_mm"
"""The column with the radii of a ring."""
HEAD: Final = ("head_up_mm", "head_right_mm", "head_deviation_mm")
"""Where a survey found the head; all three or none."""

_COLUMNS: Final = ("odometer_m", "roll_deg", RINGS)
_MM: Final = UNITS["mm"].factor
_DEGREE: Final = UNITS["deg"].factor


def line_columns(schema: pa.Schema) -> tuple[str, ...]:
    """Return the columns that a ring has once, of those that are read."""
    return _COLUMNS[:2] + (HEAD if HEAD[0] in schema.names else ())


class Filling:
    """A chunk that rings are written into, and then the next: each value is moved once.

    Parameters
    ----------
    name : str
        Of the file, for faults.
    size : int
        Rings of a chunk.
    names : sequence of str
        Columns that a ring has once.
    """

    def __init__(self, name: str, size: int, names: Sequence[str]) -> None:
        self._name, self._size, self._names = name, size, names
        self._points = 0
        self.total = 0
        """Rings taken in all."""
        self._renew()

    def _renew(self) -> None:
        self._odometer, self._roll = np.empty(self._size), np.empty(self._size)
        self._radii: NDArray[np.float32] | None = None
        self._head: NDArray[np.float64] | None = None
        self.have = 0

    def chunk(self) -> RingChunk:
        """Return what is there, and begin a new one."""
        have = self.have
        radii = np.full((have, self._points), np.nan, dtype=np.float32) if self._radii is None else self._radii
        head = None if self._head is None else self._head[:, :have]
        found = RingChunk(self._odometer[:have], self._roll[:have], radii[:have], head)
        self._renew()
        return found

    def taken(self, batches: Iterable[pa.RecordBatch], low: int, *, first_row: int) -> Generator[RingChunk]:
        """Take rings of a row group from `low` on, and give each chunk that is full."""
        row = 0
        for batch in batches:
            at = max(0, low - row)
            while at < batch.num_rows:
                part = batch.slice(at, self._size - self.have)
                self._add_radii(part.column(RINGS), slice(self.have, self.have + part.num_rows), first_row + row + at)
                self._add_lines([part.column(name) for name in self._names], first_row + row + at)
                at += part.num_rows
                if self.have == self._size:
                    yield self.chunk()
            row += batch.num_rows

    @np.errstate(invalid="ignore", over="ignore")
    def _add_lines(self, columns: Sequence[pa.Array], first: int) -> None:
        odometer, roll, *head = columns
        place = slice(self.have, self.have + len(odometer))
        self._odometer[place], self._roll[place] = where_rings_are(odometer, roll, name=self._name, first=first)
        self._roll[place] *= _DEGREE
        if head:
            if self._head is None:
                self._head = np.full((len(head), self._size), np.nan)
            for line, column in zip(self._head, head, strict=True):
                line[place] = _numbers(column) * _MM
        self.have += len(odometer)
        self.total += len(odometer)

    def _room(self, points: int) -> NDArray[np.float32]:
        """Return where rings of so many radii go."""
        self._points = points
        if self._radii is None:
            self._radii = np.empty((self._size, points), dtype=np.float32)
            self._radii[: self.have] = np.nan
        return self._radii

    def _add_radii(self, column: pa.Array, place: slice, first: int) -> None:
        values = ring_values(column, name=self._name, first=first, points=self._points)
        if values.shape[1]:
            with np.errstate(invalid="ignore"):
                np.multiply(values, np.float32(_MM), out=self._room(values.shape[1])[place])


@np.errstate(invalid="ignore", over="ignore")
def where_rings_are(odometer: pa.Array, roll: pa.Array, *, name: str, first: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return odometer [m] and roll [deg] of rings, the first of which has this number; raise `FaultyInput` where one is no number."""
    found = _numbers(odometer), _numbers(roll)
    bad = np.flatnonzero(~np.isfinite(found[0]) | ~np.isfinite(found[1]))
    if bad.size:
        text = "it is no number: a finite number is right (line = ring)"
        raise FaultyInput([located(name, first + int(one) + 1, "odometer_m or roll_deg", text) for one in bad[:20]])
    return found


@np.errstate(invalid="ignore", over="ignore")
def ring_values(column: pa.Array, *, name: str, first: int, points: int) -> NDArray[np.float32]:
    """Return the radii of rings as the file has them, NaN where there is none.

    Parameters
    ----------
    column : Array
        Lists of radii.
    name : str
        Of the file, for faults.
    first : int
        Number of the first of these rings in the file, from nought.
    points : int
        Radii of the rings before; nought where there were none.

    Returns
    -------
    ndarray of float, shape (n, m)
        Where possible without a copy; m is nought where no ring so far says how many radii it has.

    Raises
    ------
    FaultyInput
        If rings have not all as many radii.
    """
    import pyarrow as pa

    if isinstance(column, pa.ExtensionArray):
        column = column.storage
    if isinstance(column.type, pa.FixedSizeListType):
        size, odd = int(column.type.list_size), np.empty(0, dtype=np.int64)
        if points not in {0, size}:
            _refuse_size(name, first, size, points)
    else:
        sizes = np.asarray(column.value_lengths().fill_null(-1))
        there = np.flatnonzero(sizes >= 0)
        size = points or (int(sizes[there[0]]) if there.size else 0)
        odd = there[sizes[there] != size]
        if odd.size:
            _refuse_size(name, first + int(odd[0]), int(sizes[odd[0]]), size)
    if column.null_count == 0 or size == 0:
        return _radii(column.flatten()).reshape(len(column), size)
    values = np.full((len(column), size), np.nan, dtype=np.float32)
    values[np.asarray(column.is_valid())] = _radii(column.flatten()).reshape(-1, size)
    return values


def _refuse_size(name: str, row: int, found: int, before: int) -> NoReturn:
    text = "it has {n} radii where the ring before has {m}: as many in each ring are right (line = ring)"
    raise FaultyInput([located(name, row + 1, RINGS, text, n=found, m=before)])


def _radii(values: pa.Array) -> NDArray[np.float32]:
    # Without nulls no copy is made.
    found: NDArray[np.float32] = np.asarray(values.to_numpy(zero_copy_only=False), dtype=np.float32)
    return found


def _numbers(column: pa.Array) -> NDArray[np.float64]:
    found: NDArray[np.float64] = np.array(column.to_numpy(zero_copy_only=False), dtype=np.float64)
    return found


def schema_faults(name: str, schema: pa.Schema) -> list[LocatedFault]:
    """Return what is wrong with the columns of a scan."""
    import pyarrow as pa

    faults = []
    surveyed = any(one in schema.names for one in HEAD)
    for column in (*_COLUMNS, *(HEAD if surveyed else ())):
        if column not in schema.names and column in HEAD:
            faults.append(
                located(name, 1, column, "the column is missing: head_up_mm, head_right_mm and head_deviation_mm, or none of them")
            )
            continue
        if column not in schema.names:
            faults.append(located(name, 1, column, "the column is missing: odometer_m, roll_deg and radius_mm (and time) are right"))
            continue
        kind = schema.field(column).type
        inner = kind
        if column == RINGS:
            if not (pa.types.is_fixed_size_list(kind) or pa.types.is_list(kind) or pa.types.is_large_list(kind)):
                faults.append(located(name, 1, column, "it is {kind}: a list of as many radii in each ring is right", kind=str(kind)))
                continue
            inner = kind.value_type
        if not (pa.types.is_floating(inner) or pa.types.is_integer(inner)):
            faults.append(located(name, 1, column, "it holds {kind}: numbers are right", kind=str(inner)))
    return faults
