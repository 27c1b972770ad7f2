"""A ring scan written anew, in the layout that its new name says; no radius is changed."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from mainwright.errors import InputError
from mainwright.folder.scan_filling import RINGS, ring_values, where_rings_are
from mainwright.folder.scan_points import PointRings
from mainwright.folder.staging import staged
from mainwright.units import from_si

if TYPE_CHECKING:
    from collections.abc import Generator
    from pathlib import Path

    import pyarrow as pa
    from numpy.typing import NDArray

    from mainwright.folder.scan_arrow import ArrowRings
    from mainwright.folder.scan_files import ParquetRings
    from mainwright.workflow.ports import Progress

__all__ = ["ARROW_ENDINGS", "PARQUET_ENDING", "write_rings"]

ARROW_ENDINGS: Final = (".arrow", ".feather")
"""How names of Arrow files end."""
PARQUET_ENDING: Final = ".parquet"
"""How names of Parquet files end."""

_BATCH: Final = 1024
"""Rings of a batch, or of a row group."""


def write_rings(source: ArrowRings | ParquetRings | PointRings, out: Path, *, progress: Progress | None = None) -> int:
    """Write the rings of a scan to another file.

    Parameters
    ----------
    source : RingSource
        The scan.
    out : Path
        The file, whose ending says the layout; it is there when it is whole.
    progress : callable, optional
        Told how many rings were written; to stop, it raises.

    Returns
    -------
    int
        How many rings were written.

    Raises
    ------
    FaultyInput
        If a ring of the scan has faults.
    InputError
        If the ending is none of these.
    """
    ending = out.suffix.lower()
    if ending not in {*ARROW_ENDINGS, PARQUET_ENDING}:
        raise InputError("ending of the new file", out.name, "", f"{', '.join(ARROW_ENDINGS)} or {PARQUET_ENDING}")
    count = 0
    with staged(out.parent) as place, closing(_Writer(place / out.name, arrow=ending in ARROW_ENDINGS)) as writer:
        for batch in _rings(source):
            writer.add(batch)
            count += batch.num_rows
            if progress is not None:
                progress(min(count, source.rings), source.rings)
        if count == 0:
            raise InputError("rings of the scan", 0, "", "at least one")
        writer.close()
    return count


class _Writer:
    """A file of either layout."""

    def __init__(self, path: Path, *, arrow: bool) -> None:
        self._path, self._arrow = path, arrow
        self._file: Any = None

    def add(self, batch: pa.RecordBatch) -> None:
        """Add rows."""
        import pyarrow.parquet as pq
        from pyarrow import ipc

        if self._file is None and self._arrow:
            self._file = ipc.new_file(self._path, batch.schema)
        elif self._file is None:
            # Hardly a radius comes twice: a dictionary of them would be longer than they are.
            often = [name for name in batch.schema.names if name != RINGS]
            self._file = pq.ParquetWriter(self._path, batch.schema, compression="zstd", use_dictionary=often)
        self._file.write_batch(batch)

    def close(self) -> None:
        """Write the end of the file."""
        if self._file is not None:
            file, self._file = self._file, None
            file.close()


def _rings(source: ArrowRings | ParquetRings | PointRings) -> Generator[pa.RecordBatch]:
    """Give the rows of a scan in equal batches, their radii as lists of one size."""
    import pyarrow as pa

    waiting: list[pa.RecordBatch] = []
    have = 0
    with closing(_points(source) if isinstance(source, PointRings) else _columns(source)) as batches:
        for batch in batches:
            at = 0
            while at < batch.num_rows:
                part = batch.slice(at, _BATCH - have)
                waiting.append(part)
                have += part.num_rows
                at += part.num_rows
                if have == _BATCH:
                    yield pa.concat_batches(waiting)
                    waiting, have = [], 0
    if have:
        yield pa.concat_batches(waiting)


def _columns(source: ArrowRings | ParquetRings) -> Generator[pa.RecordBatch]:
    """Give the rows as they are, but for the kind of list that holds the radii."""
    waiting: list[pa.RecordBatch] = []
    points = first = 0
    for batch in source.batches():
        where_rings_are(batch.column("odometer_m"), batch.column("roll_deg"), name=source.name, first=first)
        values = ring_values(batch.column(RINGS), name=source.name, first=first, points=points)
        first += batch.num_rows
        points = values.shape[1]
        if points == 0:
            # Rings without radii before the first that says how many one has.
            waiting.append(batch)
            continue
        for one in waiting:
            yield _with_radii(one, np.full((one.num_rows, points), np.nan, dtype=np.float32))
        waiting = []
        yield _with_radii(batch, values)


def _with_radii(batch: pa.RecordBatch, values: NDArray[np.float32]) -> pa.RecordBatch:
    return batch.set_column(batch.schema.get_field_index(RINGS), RINGS, _lists(values))


def _lists(values: NDArray[np.float32]) -> pa.Array:
    import pyarrow as pa

    return pa.FixedSizeListArray.from_arrays(pa.array(values.ravel()), values.shape[1])


def _points(source: PointRings) -> Generator[pa.RecordBatch]:
    import pyarrow as pa

    for chunk in source.chunks(size=_BATCH, skip=0):
        radii = np.asarray(chunk.radii * np.float32(from_si(1.0, "mm")), dtype=np.float32)
        yield pa.record_batch({"odometer_m": chunk.odometer, "roll_deg": from_si(1.0, "deg") * chunk.roll, RINGS: _lists(radii)})
