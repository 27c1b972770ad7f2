"""Ring scans in Parquet, streamed."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from mainwright.errors import FaultyInput
from mainwright.folder.located import LocatedFault, located
from mainwright.units import UNITS
from mainwright.workflow.scan_ports import RingChunk

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    import pyarrow as pa
    from numpy.typing import NDArray

__all__ = ["ParquetRings"]

_COLUMNS: Final = ("odometer_m", "roll_deg", "radius_mm")
_BATCH: Final = 1024
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

    def chunks(self, *, size: int, skip: int) -> Iterator[RingChunk]:
        """Give rings by `size`, after `skip` such chunks; row groups before them are not read."""
        import pyarrow.parquet as pq

        with pq.ParquetFile(self._path, buffer_size=_BUFFER, pre_buffer=False) as file:
            before = size * skip
            groups = list(range(file.metadata.num_row_groups))
            row = 0
            while groups and row + file.metadata.row_group(groups[0]).num_rows <= before:
                row += file.metadata.row_group(groups.pop(0)).num_rows
            waiting: list[RingChunk] = []
            have = 0
            for batch in file.iter_batches(batch_size=_BATCH, row_groups=groups, columns=list(_COLUMNS), use_threads=False):
                part = self._chunk(batch, row)
                row += batch.num_rows
                if row <= before:
                    continue
                cut = max(0, before - (row - batch.num_rows))
                waiting.append(_cut(part, cut, None))
                have += waiting[-1].odometer.size
                while have >= size:
                    whole = _joined(waiting)
                    yield _cut(whole, 0, size)
                    waiting = [_cut(whole, size, None)]
                    have -= size
            if have:
                yield _joined(waiting)

    def _chunk(self, batch: pa.RecordBatch, row: int) -> RingChunk:
        odometer = _numbers(batch.column(0))
        roll = _numbers(batch.column(1)) * _DEGREE
        radii = self._radii(batch.column(2), row)
        bad = np.flatnonzero(~np.isfinite(odometer) | ~np.isfinite(roll))
        if bad.size:
            texts = [
                located(
                    self._path.name, row + int(one) + 1, "odometer_m or roll_deg", "it is no number: a finite number is right (line = ring)"
                )
                for one in bad[:20]
            ]
            raise FaultyInput(texts)
        return RingChunk(odometer, roll, radii)

    def _radii(self, column: pa.Array, row: int) -> NDArray[np.float32]:
        import pyarrow as pa

        if isinstance(column, pa.ExtensionArray):
            column = column.storage
        valid = np.asarray(column.is_valid())
        values = _numbers(column.flatten(), np.float32)
        count = int(valid.sum())
        if isinstance(column.type, pa.FixedSizeListType):
            size = int(column.type.list_size)
        else:
            sizes = np.asarray(column.value_lengths().fill_null(-1))[valid]
            size = int(sizes[0]) if sizes.size else 0
            odd = np.flatnonzero(sizes != size)
            if odd.size:
                text = "it has {n} radii where the ring before has {m}: as many in each ring are right (line = ring)"
                raise FaultyInput([located(self._path.name, row + int(odd[0]) + 1, "radius_mm", text, n=int(sizes[odd[0]]), m=size)])
        radii = np.full((valid.size, size), np.nan, dtype=np.float32)
        radii[valid] = values.reshape(count, size)
        radii *= np.float32(_MM)
        return radii


def _numbers(column: pa.Array, kind: type[np.floating[Any]] = np.float64) -> NDArray[Any]:
    found: NDArray[Any] = np.array(column.to_numpy(zero_copy_only=False), dtype=kind)
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


def _cut(chunk: RingChunk, low: int, high: int | None) -> RingChunk:
    return RingChunk(chunk.odometer[low:high], chunk.roll[low:high], chunk.radii[low:high])


def _joined(chunks: list[RingChunk]) -> RingChunk:
    if len(chunks) == 1:
        return chunks[0]
    return RingChunk(
        np.concatenate([one.odometer for one in chunks]),
        np.concatenate([one.roll for one in chunks]),
        np.concatenate([one.radii for one in chunks]),
    )
