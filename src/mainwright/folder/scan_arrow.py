"""Ring scans in files of Arrow (Feather), mapped: their radii lie there as they are worked on, and nothing is unpacked."""

from __future__ import annotations

import hashlib
import mmap
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final, NoReturn

from mainwright.errors import FaultyInput
from mainwright.folder.located import located
from mainwright.folder.scan_filling import Filling, line_columns, schema_faults

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator
    from pathlib import Path

    import pyarrow as pa
    from pyarrow import ipc

    from mainwright.workflow.scan_ports import RingChunk

__all__ = ["ArrowRings"]

_SLICE: Final = 2048
"""Rings that are taken at a time, however many a batch of the file has."""
_RELEASE: Final = 1 << 24
"""Bytes of the file after which those read are given back: they would count as memory of this program for ever."""


class ArrowRings:
    """The rings of an Arrow file, one row a ring, with the columns of the Parquet layout.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    FaultyInput
        If it is no Arrow file, or lacks a column, or one is of another kind.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self.name = path.name
        """Of the file."""
        with self._opened() as (reader, _):
            try:
                faults = schema_faults(path.name, reader.schema)
            except UnicodeDecodeError:
                self._refuse(0, "the name of a column is no text")
            if faults:
                raise FaultyInput(faults)
            self._lines = line_columns(reader.schema)
            one = reader.schema.get_field_index(self._lines[0])
        # Of a compressed batch one column is enough to know its length.
        with self._opened([one]) as (reader, _):
            self._rows: list[int] = []
            for index in range(reader.num_record_batches):
                self._rows.append(self._batch(reader, index).num_rows)
        self.rings = sum(self._rows)

    @property
    def identity(self) -> str:
        """What tells this file, as it is, from any other."""
        info = self._path.stat()
        told = f"{self._path.resolve()}|{info.st_size}|{info.st_mtime_ns}|arrow-1"
        return hashlib.sha256(told.encode()).hexdigest()

    def chunks(self, *, size: int, skip: int) -> Generator[RingChunk]:
        """Give rings by `size`, after `skip` such chunks; batches before them are not read."""
        filling = Filling(self._path.name, size, self._lines)
        first = size * skip
        for batch in self._parts(first):
            yield from filling.taken([batch], 0, first_row=first)
            first += batch.num_rows
        if filling.have:
            yield filling.chunk()

    def batches(self) -> Generator[pa.RecordBatch]:
        """Give the rows of the file with all its columns, some at a time."""
        yield from self._parts(0)

    def _parts(self, before: int) -> Generator[pa.RecordBatch]:
        first = read = 0
        with self._opened() as (reader, mapped):
            for index, rows in enumerate(self._rows):
                low = min(max(0, before - first), rows)
                if low < rows:
                    batch = self._batch(reader, index)
                    for at in range(low, rows, _SLICE):
                        part = batch.slice(at, min(_SLICE, rows - at))
                        yield part
                        read += part.nbytes
                        if read >= _RELEASE:
                            _released(mapped)
                            read = 0
                first += rows

    def _batch(self, reader: ipc.RecordBatchFileReader, index: int) -> pa.RecordBatch:
        try:
            batch = reader.get_batch(index)
            batch.validate(full=True)
        except (ValueError, OSError, MemoryError) as error:
            self._refuse(sum(self._rows[:index]), str(error)[:200])
        return batch

    @contextmanager
    def _opened(self, fields: list[int] | None = None) -> Iterator[tuple[ipc.RecordBatchFileReader, mmap.mmap]]:
        import pyarrow as pa
        from pyarrow import ipc

        with self._path.open("rb") as file:
            try:
                mapped = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
            except ValueError:
                self._refuse(0, "it is empty")
        try:
            # Without a choice of columns nothing is copied. What is read of the mapping goes before it, by reference count: it is not closed while in use.
            options = ipc.IpcReadOptions(use_threads=False, included_fields=fields)
            try:
                reader = ipc.open_file(pa.BufferReader(pa.py_buffer(mapped)), options=options)
            except (ValueError, OSError) as error:
                text = "it is no Arrow file that can be read ({why}): a file that ends before its index was not copied whole"
                raise FaultyInput([located(self._path.name, 1, "", text, why=str(error)[:200])]) from None
            yield reader, mapped
        finally:
            _released(mapped)

    def _refuse(self, first: int, why: str) -> NoReturn:
        text = "the rings from here on cannot be read ({why}): copy the file anew (line = ring)"
        raise FaultyInput([located(self._path.name, first + 1, "", text, why=why)]) from None


def _released(mapped: mmap.mmap) -> None:
    # Only what the program holds of it goes: it stays in the system's memory of files, from where it comes again if it is asked for.
    if hasattr(mapped, "madvise"):
        mapped.madvise(mmap.MADV_DONTNEED)
