"""Ring scans in Parquet, streamed."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Final

import numpy as np

from mainwright.errors import FaultyInput
from mainwright.folder.located import LocatedFault, located
from mainwright.units import UNITS
from mainwright.workflow.scan_ports import RingChunk

if TYPE_CHECKING:
    from collections.abc import Generator
    from pathlib import Path

    import pyarrow as pa
    from numpy.typing import NDArray

__all__ = ["ParquetRings"]

_COLUMNS: Final = ("odometer_m", "roll_deg", "radius_mm")
_BATCH: Final = 256
_BUFFER: Final = 1 << 20
_MM: Final = UNITS["mm"].factor
_DEGREE: Final = UNITS["deg"].factor


class ParquetRings:
    """The rings of a Parquet file, one row a ring.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    FaultyInput
        If it is no Parquet file, or lacks a column, or one is of another kind.
    """

    def __init__(self, path: Path) -> None:
        import pyarrow as pa
        import pyarrow.parquet as pq

        self._path = path
        try:
            with pq.ParquetFile(path) as file:
                schema = file.schema_arrow
                self.rings = int(file.metadata.num_rows)
        except pa.ArrowInvalid as error:
            raise FaultyInput([located(path.name, 1, "", "it is no Parquet file that can be read ({why})", why=str(error)[:200])]) from None
        faults = _schema_faults(path.name, schema)
        if faults:
            raise FaultyInput(faults)

    @property
    def identity(self) -> str:
        """What tells this file, as it is, from any other."""
        info = self._path.stat()
        told = f"{self._path.resolve()}|{info.st_size}|{info.st_mtime_ns}|parquet-1"
        return hashlib.sha256(told.encode()).hexdigest()

    def chunks(self, *, size: int, skip: int) -> Generator[RingChunk]:
        """Give rings by `size`, after `skip` such chunks; row groups before them are not read."""
        import pyarrow.parquet as pq

        with pq.ParquetFile(self._path, buffer_size=_BUFFER, pre_buffer=False) as file:
            before = size * skip
            groups = list(range(file.metadata.num_row_groups))
            row = 0
            while groups and row + file.metadata.row_group(groups[0]).num_rows <= before:
                row += file.metadata.row_group(groups.pop(0)).num_rows
            filling: _Filling | None = None
            for batch in file.iter_batches(batch_size=_BATCH, row_groups=groups, columns=list(_COLUMNS), use_threads=False):
                low = max(0, before - row)
                while low < batch.num_rows:
                    if filling is None:
                        filling = _Filling(self._path.name, size)
                    low += filling.add(batch, low, first_row=row)
                    if filling.full:
                        yield filling.chunk()
                        filling = None
                row += batch.num_rows
            if filling is not None:
                yield filling.chunk()


class _Filling:
    """A chunk that batches are written into: each value is moved once."""

    def __init__(self, name: str, size: int) -> None:
        self._name = name
        self._odometer = np.empty(size)
        self._roll = np.empty(size)
        self._radii: NDArray[np.float32] | None = None
        self._have = 0

    @property
    def full(self) -> bool:
        return self._have == self._odometer.size

    def chunk(self) -> RingChunk:
        """Return what is there."""
        have = self._have
        radii = self._radii if self._radii is not None else np.empty((0, 0), dtype=np.float32)
        return RingChunk(self._odometer[:have], self._roll[:have], radii[:have])

    def add(self, batch: pa.RecordBatch, low: int, *, first_row: int) -> int:
        """Take rings of a batch from `low` on, as many as fit, and return how many."""
        part = batch.slice(low, self._odometer.size - self._have)
        place = slice(self._have, self._have + part.num_rows)
        first = first_row + low
        self._odometer[place] = _numbers(part.column(0))
        self._roll[place] = _numbers(part.column(1)) * _DEGREE
        bad = np.flatnonzero(~np.isfinite(self._odometer[place]) | ~np.isfinite(self._roll[place]))
        if bad.size:
            text = "it is no number: a finite number is right (line = ring)"
            raise FaultyInput([located(self._name, first + int(one) + 1, "odometer_m or roll_deg", text) for one in bad[:20]])
        self._add_radii(part.column(2), place, first)
        self._have += part.num_rows
        return int(part.num_rows)

    def _add_radii(self, column: pa.Array, place: slice, first: int) -> None:
        import pyarrow as pa

        if isinstance(column, pa.ExtensionArray):
            column = column.storage
        if isinstance(column.type, pa.FixedSizeListType):
            size = int(column.type.list_size)
        else:
            sizes = np.asarray(column.value_lengths().fill_null(-1))
            there = np.flatnonzero(sizes >= 0)
            size = int(sizes[there[0]]) if there.size else self._points(0)
            odd = there[sizes[there] != size]
            if odd.size:
                self._refuse(first + int(odd[0]), int(sizes[odd[0]]), size)
        if self._radii is None:
            self._radii = np.empty((self._odometer.size, size), dtype=np.float32)
        elif size != self._radii.shape[1]:
            if self._radii.shape[1] == 0:
                self._radii = np.full((self._odometer.size, size), np.nan, dtype=np.float32)
            elif size > 0:
                self._refuse(first, size, self._radii.shape[1])
        rows = self._radii[place]
        values = column.flatten()
        if column.null_count == 0:
            np.multiply(_radii(values).reshape(rows.shape), np.float32(_MM), out=rows)
        else:
            rows[:] = np.nan
            valid = np.asarray(column.is_valid())
            rows[valid] = _radii(values).reshape(int(valid.sum()), -1) * np.float32(_MM)

    def _points(self, otherwise: int) -> int:
        return otherwise if self._radii is None else self._radii.shape[1]

    def _refuse(self, row: int, found: int, before: int) -> None:
        text = "it has {n} radii where the ring before has {m}: as many in each ring are right (line = ring)"
        raise FaultyInput([located(self._name, row + 1, "radius_mm", text, n=found, m=before)])


def _radii(values: pa.Array) -> NDArray[np.float32]:
    # Without nulls no copy is made.
    found: NDArray[np.float32] = np.asarray(values.to_numpy(zero_copy_only=False), dtype=np.float32)
    return found


def _numbers(column: pa.Array) -> NDArray[np.float64]:
    found: NDArray[np.float64] = np.array(column.to_numpy(zero_copy_only=False), dtype=np.float64)
    return found


def _schema_faults(name: str, schema: pa.Schema) -> list[LocatedFault]:
    import pyarrow as pa

    faults = []
    for column in _COLUMNS:
        if column not in schema.names:
            faults.append(located(name, 1, column, "the column is missing: odometer_m, roll_deg and radius_mm (and time) are right"))
            continue
        kind = schema.field(column).type
        inner = kind
        if column == "radius_mm":
            if not (pa.types.is_fixed_size_list(kind) or pa.types.is_list(kind) or pa.types.is_large_list(kind)):
                faults.append(located(name, 1, column, "it is {kind}: a list of as many radii in each ring is right", kind=str(kind)))
                continue
            inner = kind.value_type
        if not (pa.types.is_floating(inner) or pa.types.is_integer(inner)):
            faults.append(located(name, 1, column, "it holds {kind}: numbers are right", kind=str(inner)))
    return faults
