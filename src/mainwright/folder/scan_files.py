"""Ring scans in Parquet, streamed."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Final, NoReturn

from mainwright.errors import FaultyInput
from mainwright.folder.located import located
from mainwright.folder.scan_filling import RINGS, Filling, line_columns, schema_faults

if TYPE_CHECKING:
    from collections.abc import Generator
    from pathlib import Path

    import pyarrow as pa
    import pyarrow.parquet as pq

    from mainwright.workflow.scan_ports import RingChunk

__all__ = ["ParquetRings"]

_BATCH: Final = 512
_BUFFER: Final = 1 << 20


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
        self.name = path.name
        """Of the file."""
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
        faults = schema_faults(path.name, schema)
        if faults:
            raise FaultyInput(faults)
        self._lines = line_columns(schema)

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
            filling = Filling(self._path.name, size, self._lines)
            first, before = 0, size * skip
            for group in range(file.metadata.num_row_groups):
                rows = file.metadata.row_group(group).num_rows
                low = min(max(0, before - first), rows)
                if low < rows:
                    had = filling.total
                    yield from filling.taken(self._batches(file, group, first, columns=[*self._lines, RINGS]), low, first_row=first)
                    if filling.total - had != rows - low:
                        self._refuse(first, f"{filling.total - had} rings instead of {rows - low}")
                first += rows
            if filling.have:
                yield filling.chunk()

    def batches(self) -> Generator[pa.RecordBatch]:
        """Give the rows of the file with all its columns, some at a time."""
        import pyarrow.parquet as pq

        with pq.ParquetFile(self._path, buffer_size=_BUFFER, pre_buffer=False) as file:
            first = 0
            for group in range(file.metadata.num_row_groups):
                yield from self._batches(file, group, first, columns=None)
                first += file.metadata.row_group(group).num_rows

    def _batches(self, file: pq.ParquetFile, group: int, first: int, *, columns: list[str] | None) -> Generator[pa.RecordBatch]:
        try:
            yield from file.iter_batches(batch_size=_BATCH, row_groups=[group], columns=columns, use_threads=False)
        except (ValueError, OSError) as error:
            if isinstance(error, FaultyInput) or getattr(error, "errno", None):
                raise
            self._refuse(first, str(error)[:200])

    def _refuse(self, first: int, why: str) -> NoReturn:
        text = "the rings from here on cannot be read ({why}): copy the file anew (line = ring)"
        raise FaultyInput([located(self._path.name, first + 1, "", text, why=why)]) from None
