"""Ring scans in Parquet, streamed."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Final, NoReturn

import numpy as np

from mainwright.errors import FaultyInput
from mainwright.folder.located import LocatedFault, located
from mainwright.units import UNITS
from mainwright.workflow.scan_ports import RingChunk

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator, Sequence
    from pathlib import Path

    import pyarrow as pa
    import pyarrow.parquet as pq
    from numpy.typing import NDArray

__all__ = ["ParquetRings"]

_COLUMNS: Final = ("odometer_m", "roll_deg", "radius_mm")
_HEAD: Final = ("head_up_mm", "head_right_mm", "head_deviation_mm")
"""Where a survey found the head; all three or none."""
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
        self._lines: tuple[str, ...] = _COLUMNS[:2]
        try:
            with pq.ParquetFile(path) as file:
                schema = file.schema_arrow
                self.rings = int(file.metadata.num_rows)
                there = sum(file.metadata.row_group(group).num_rows for group in range(file.metadata.num_row_groups))
        except (pa.ArrowException, OSError) as error:
            if getattr(error, "errno", None):
                raise
            raise FaultyInput([located(path.name, 1, "", "it is no Parquet file that can be read ({why})", why=str(error)[:200])]) from None
        if there != self.rings:
            text = "it says that it has {n} rings, and {m} are there: copy the file anew"
            raise FaultyInput([located(path.name, 1, "", text, n=self.rings, m=there)])
        faults = _schema_faults(path.name, schema)
        if faults:
            raise FaultyInput(faults)
        if _HEAD[0] in schema.names:
            self._lines += _HEAD

    @property
    def identity(self) -> str:
        """What tells this file, as it is, from any other."""
        info = self._path.stat()
        told = f"{self._path.resolve()}|{info.st_size}|{info.st_mtime_ns}|parquet-2"
        return hashlib.sha256(told.encode()).hexdigest()

    def chunks(self, *, size: int, skip: int) -> Generator[RingChunk]:
        """Give rings by `size`, after `skip` such chunks; row groups before them are not read."""
        import pyarrow.parquet as pq

        with pq.ParquetFile(self._path, buffer_size=_BUFFER, pre_buffer=False) as file:
            filling = _Filling(self._path.name, size, self._lines)
            first, before = 0, size * skip
            for group in range(file.metadata.num_row_groups):
                rows = file.metadata.row_group(group).num_rows
                low = min(max(0, before - first), rows)
                if low < rows:
                    had = filling.total
                    yield from filling.taken(self._batches(file, group, first), low, first_row=first)
                    if filling.total - had != rows - low:
                        self._refuse(first, f"{filling.total - had} rings instead of {rows - low}")
                first += rows
            if filling.have:
                yield filling.chunk()

    def _batches(self, file: pq.ParquetFile, group: int, first: int) -> Generator[pa.RecordBatch]:
        try:
            yield from file.iter_batches(batch_size=_BATCH, row_groups=[group], columns=[*self._lines, "radius_mm"], use_threads=False)
        except (ValueError, OSError) as error:
            if isinstance(error, FaultyInput) or getattr(error, "errno", None):
                raise
            self._refuse(first, str(error)[:200])

    def _refuse(self, first: int, why: str) -> NoReturn:
        text = "the rings from here on cannot be read ({why}): copy the file anew (line = ring)"
        raise FaultyInput([located(self._path.name, first + 1, "", text, why=why)]) from None


class _Filling:
    """A chunk that rings are written into, and then the next: each value is moved once."""

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

    def taken(self, batches: Iterator[pa.RecordBatch], low: int, *, first_row: int) -> Generator[RingChunk]:
        """Take rings of a row group from `low` on, and give each chunk that is full."""
        row = 0
        for batch in batches:
            at = max(0, low - row)
            while at < batch.num_rows:
                part = batch.slice(at, self._size - self.have)
                self._add_radii(part.column("radius_mm"), slice(self.have, self.have + part.num_rows), first_row + row + at)
                self._add_lines([part.column(name) for name in self._names], first_row + row + at)
                at += part.num_rows
                if self.have == self._size:
                    yield self.chunk()
            row += batch.num_rows

    @np.errstate(invalid="ignore", over="ignore")
    def _add_lines(self, columns: Sequence[pa.Array], first: int) -> None:
        odometer, roll, *head = columns
        place = slice(self.have, self.have + len(odometer))
        self._odometer[place] = _numbers(odometer)
        self._roll[place] = _numbers(roll) * _DEGREE
        bad = np.flatnonzero(~np.isfinite(self._odometer[place]) | ~np.isfinite(self._roll[place]))
        if bad.size:
            text = "it is no number: a finite number is right (line = ring)"
            raise FaultyInput([located(self._name, first + int(one) + 1, "odometer_m or roll_deg", text) for one in bad[:20]])
        if head:
            if self._head is None:
                self._head = np.full((len(head), self._size), np.nan)
            for line, column in zip(self._head, head, strict=True):
                line[place] = _numbers(column) * _MM
        self.have += len(odometer)
        self.total += len(odometer)

    def _room(self, points: int, row: int) -> NDArray[np.float32]:
        """Return where rings of so many radii go, of which a file has but one number."""
        if self._points not in (0, points):
            self._refuse(row, points, self._points)
        self._points = points
        if self._radii is None:
            self._radii = np.empty((self._size, points), dtype=np.float32)
            self._radii[: self.have] = np.nan
        return self._radii

    @np.errstate(invalid="ignore")
    def _add_radii(self, column: pa.Array, place: slice, first: int) -> None:
        import pyarrow as pa

        if isinstance(column, pa.ExtensionArray):
            column = column.storage
        if isinstance(column.type, pa.FixedSizeListType):
            size = int(column.type.list_size)
        else:
            sizes = np.asarray(column.value_lengths().fill_null(-1))
            there = np.flatnonzero(sizes >= 0)
            size = self._points or (int(sizes[there[0]]) if there.size else 0)
            odd = there[sizes[there] != size]
            if odd.size:
                self._refuse(first + int(odd[0]), int(sizes[odd[0]]), size)
        if size == self._points == 0:
            return
        rows = self._room(size, first)[place]
        values = column.flatten()
        if column.null_count == 0:
            np.multiply(_radii(values).reshape(rows.shape), np.float32(_MM), out=rows)
        else:
            rows[:] = np.nan
            valid = np.asarray(column.is_valid())
            rows[valid] = _radii(values).reshape(int(valid.sum()), -1) * np.float32(_MM)

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
    surveyed = any(one in schema.names for one in _HEAD)
    for column in (*_COLUMNS, *(_HEAD if surveyed else ())):
        if column not in schema.names and column in _HEAD:
            faults.append(
                located(name, 1, column, "the column is missing: head_up_mm, head_right_mm and head_deviation_mm, or none of them")
            )
            continue
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
