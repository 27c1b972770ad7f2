"""The radii of a Parquet file straight from its pages.

A general reader builds every list anew, value by value, which takes longer than fitting the rings. Where each ring has as many radii, what the
pages say of the length of each list need only be compared with that. What is packed otherwise is `Irregular`, and read by the general reader.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Generator
    from typing import BinaryIO

    import pyarrow.parquet as pq
    from numpy.typing import NDArray

__all__ = ["Irregular", "RadiusPages"]

_TYPES: Final = {"FLOAT": "<f4", "DOUBLE": "<f8", "INT32": "<i4"}
_CODECS: Final = {"UNCOMPRESSED": None, "SNAPPY": "snappy", "ZSTD": "zstd", "GZIP": "gzip"}
_DATA, _DICTIONARY, _DATA_V2 = 0, 2, 3
_PLAIN, _SPLIT, _RUNS = 0, 9, 3
_INDICES: Final = (2, 8)
_LARGEST: Final = 1 << 28
"""A page of more bytes than this is nothing to keep in memory."""
_HEADERS: Final = (512, 1 << 16)


class Irregular(Exception):
    """The pages are packed in a way that is not read here."""


class _Page(NamedTuple):
    kind: int
    entries: int
    encoding: int
    plain_size: int
    levels: tuple[int, int] | None
    """Bytes of the repetition and of the definition levels where they stand before what is compressed."""
    packed: bool
    body: int
    """Where in the file it begins."""
    size: int


class RadiusPages:
    """The radii in the pages of one column.

    Parameters
    ----------
    file : ParquetFile
        Its metadata say where the pages are.
    column : str
        Name of the column of lists.

    Raises
    ------
    Irregular
        If its kind is not read here.
    """

    def __init__(self, file: pq.ParquetFile, column: str) -> None:
        leaves = [index for index in range(len(file.schema)) if file.schema.column(index).path.split(".", 1)[0] == column]
        if len(leaves) != 1:
            raise Irregular
        self._leaf = leaves[0]
        leaf = file.schema.column(self._leaf)
        kind = _TYPES.get(leaf.physical_type)
        # Whole numbers without a sign from 2^31 on would be taken for negative ones.
        if kind is None or leaf.max_repetition_level != 1 or "bitWidth=32, isSigned=false" in str(leaf.logical_type):
            raise Irregular
        self._kind = np.dtype(kind)
        self._defined = int(leaf.max_definition_level)
        self._metadata = file.metadata

    def points(self, group: int) -> int:
        """Return how many radii each ring of a row group has, if all have as many."""
        rows, entries = self._metadata.row_group(group).num_rows, self._metadata.row_group(group).column(self._leaf).num_values
        if rows < 1 or entries % rows or entries < 2 * rows:
            raise Irregular
        return int(entries // rows)

    def radii(self, file: BinaryIO, group: int, *, skip: int) -> Generator[NDArray[np.float32]]:
        """Give the radii of a row group page by page, NaN for null, from the ring `skip` on.

        Raises
        ------
        Irregular
            Once a page is not read here; what was given until then is right.
        """
        chunk = self._metadata.row_group(group).column(self._leaf)
        if chunk.compression not in _CODECS:
            raise Irregular
        codec, size = _CODECS[chunk.compression], self.points(group)
        at = chunk.data_page_offset
        if chunk.dictionary_page_offset is not None:
            at = min(at, chunk.dictionary_page_offset)
        stop, done, dictionary = at + chunk.total_compressed_size, 0, None
        while done < chunk.num_values:
            page = _header(file, at, stop)
            at = page.body + page.size
            if page.kind == _DICTIONARY:
                whole = _body(file, page, codec)
                if page.encoding not in (_PLAIN, *_INDICES) or whole.size < page.entries * self._kind.itemsize:
                    raise Irregular
                dictionary = whole[: page.entries * self._kind.itemsize].view(self._kind).astype(np.float32)
            elif page.kind in (_DATA, _DATA_V2):
                begin, done = done, done + page.entries
                if done > skip * size:
                    found = self._values(_body(file, page, codec), page, dictionary, begin=begin, size=size)
                    yield found[max(0, skip * size - begin) :]

    def _values(
        self, whole: NDArray[np.uint8], page: _Page, dictionary: NDArray[np.float32] | None, *, begin: int, size: int
    ) -> NDArray[np.float32]:
        if page.levels is None:
            lists, rest = _prefixed(whole)
            defined, values = _prefixed(rest)
        else:
            first, second = page.levels
            lists, defined, values = whole[:first], whole[first : first + second], whole[first + second :]
        from mainwright.folder.scan_runs import all_alike, lists_alike, looked_up

        if not lists_alike(lists, count=page.entries, size=size, place=begin % size):
            raise Irregular
        width = self._defined.bit_length()
        if all_alike(defined, width=width, count=page.entries, value=self._defined):
            return self._decoded(values, page.encoding, page.entries, dictionary)
        levels = looked_up(defined, width=width, count=page.entries, table=np.arange(1 << width, dtype=np.float32))
        if levels is None:
            raise Irregular
        known = levels == self._defined
        found = self._decoded(values, page.encoding, int(np.count_nonzero(known)), dictionary)
        spread = np.full(page.entries, np.nan, dtype=np.float32)
        spread[known] = found
        return spread

    def _decoded(self, values: NDArray[np.uint8], encoding: int, count: int, dictionary: NDArray[np.float32] | None) -> NDArray[np.float32]:
        wide = self._kind.itemsize
        if encoding in _INDICES and dictionary is not None and values.size:
            from mainwright.folder.scan_runs import looked_up

            found = looked_up(values[1:], width=int(values[0]), count=count, table=dictionary)
            if found is None:
                raise Irregular
            return found
        if encoding not in (_PLAIN, _SPLIT) or values.size < count * wide:
            raise Irregular
        body = values[: count * wide]
        if encoding == _SPLIT:
            if values.size != count * wide:
                raise Irregular
            body = np.ascontiguousarray(body.reshape(wide, count).T).reshape(-1)
        return np.asarray(body.view(self._kind).astype(np.float32, copy=False))


def _prefixed(data: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """Return what the length at the beginning of the data says, and the rest."""
    if data.size < 4:
        raise Irregular
    end = 4 + int.from_bytes(data[:4].tobytes(), "little")
    if end > data.size:
        raise Irregular
    return data[4:end], data[end:]


def _body(file: BinaryIO, page: _Page, codec: str | None) -> NDArray[np.uint8]:
    """Return the bytes of a page, unpacked."""
    file.seek(page.body)
    data = file.read(page.size)
    if len(data) != page.size:
        raise Irregular
    if codec is None or not page.packed:
        return np.frombuffer(data, dtype=np.uint8)
    import pyarrow as pa

    before = sum(page.levels or (0, 0))
    try:
        plain = pa.decompress(memoryview(data)[before:], decompressed_size=page.plain_size - before, codec=codec)
    except (OSError, ValueError):
        raise Irregular from None
    found = np.frombuffer(plain, dtype=np.uint8)
    return found if before == 0 else np.concatenate([np.frombuffer(data, dtype=np.uint8, count=before), found])


def _header(file: BinaryIO, at: int, stop: int) -> _Page:
    for most in _HEADERS:
        file.seek(at)
        data = file.read(min(most, stop - at))
        try:
            fields, end = _struct(data, 0)
        except IndexError:
            continue
        try:
            return _page(fields, at + end, stop)
        except (KeyError, TypeError):
            break
    raise Irregular


def _page(fields: dict[int, Any], body: int, stop: int) -> _Page:
    kind, plain, size = fields[1], fields[2], fields[3]
    if not (0 <= size <= stop - body and 0 <= plain <= _LARGEST and size <= _LARGEST):
        raise Irregular
    if kind == _DATA:
        head = fields[5]
        if (head[3], head[4]) != (_RUNS, _RUNS):
            raise Irregular
        found = _Page(kind, head[1], head[2], plain, None, True, body, size)
    elif kind == _DATA_V2:
        head = fields[8]
        levels = (head[6], head[5])
        if min(levels) < 0 or sum(levels) > min(size, plain):
            raise Irregular
        found = _Page(kind, head[1], head[4], plain, levels, head.get(7, True), body, size)
    elif kind == _DICTIONARY:
        found = _Page(kind, fields[7][1], fields[7][2], plain, None, True, body, size)
    else:
        found = _Page(kind, 0, 0, plain, None, True, body, size)
    if found.entries < 0 or (kind in (_DATA, _DATA_V2) and found.entries == 0 and size == 0):
        raise Irregular
    return found


def _struct(data: bytes, at: int) -> tuple[dict[int, Any], int]:
    """Return the fields of a structure in Thrift's compact protocol by their number, and where it ends."""
    found: dict[int, Any] = {}
    number = 0
    while data[at]:
        step, kind = data[at] >> 4, data[at] & 15
        at += 1
        if step:
            number += step
        else:
            number, at = _whole(data, at)
        found[number], at = _value(data, at, kind)
    return found, at + 1


def _value(data: bytes, at: int, kind: int) -> tuple[Any, int]:
    if kind in (1, 2):
        return kind == 1, at
    if kind == 3:
        return data[at], at + 1
    if kind in (4, 5, 6):
        return _whole(data, at)
    if kind == 7:
        return None, at + 8
    if kind == 8:
        size, at = _count(data, at)
        return None, at + size
    if kind == 12:
        return _struct(data, at)
    raise Irregular


def _count(data: bytes, at: int) -> tuple[int, int]:
    found = shift = 0
    while True:
        byte = data[at]
        at += 1
        found |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            return found, at
        if shift > 63:
            raise Irregular


def _whole(data: bytes, at: int) -> tuple[int, int]:
    found, at = _count(data, at)
    return (found >> 1) ^ -(found & 1), at
