"""Foreign inventories: tables of CSV files (plain or gzip) and layers of GIS files, read as they are.

A table that the mapping names lies beside the first table or below its folder; nothing is read from anywhere else.
"""

import csv
import gzip
import re
import struct
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from mainwright.errors import FaultyInput, InputError
from mainwright.folder.limits import MOST_BYTES_TOML
from mainwright.folder.located import LocatedFault
from mainwright.folder.toml_text import Lines, read_toml_text
from mainwright.words.message import Message, message
from mainwright.workflow.mapping import MappingFault
from mainwright.workflow.source import Line, SourceRow, SourceTable

__all__ = ["FileInventory", "line_from_wkb", "line_from_wkt", "mapping_faults", "read_mapping_file"]

_MOST_BYTES: Final = 1 << 30
"""What one table may hold, unpacked."""
_LONGEST_CELL: Final = 1 << 20
_LONGEST_LINE: Final = 1 << 24
_MOST_ROWS: Final = 5_000_000
_MOST_KEPT: Final = 500_000
_SEPARATORS: Final = ",;\t|"
_CSV: Final = (".csv", ".csv.gz", ".txt", ".tsv")
_GIS: Final = (".gpkg", ".geojson", ".json", ".shp", ".fgb", ".gml", ".kml")
_EMPTY: Final = ("nan", "nat", "none")
_DEGREES_EAST: Final = 6.0


def read_mapping_file(path: Path) -> tuple[Mapping[str, object], Lines]:
    """Return the TOML document of a mapping, and the lines of its keys.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    tuple
        Its tables, and where each key stands.

    Raises
    ------
    FaultyInput
        If it is no TOML; it keeps the faults with their lines.
    """
    with path.open("rb") as stream:
        read = read_toml_text(path.name, stream.read(MOST_BYTES_TOML + 1))
    if read.faults:
        raise FaultyInput(read.faults)
    return read.values, read.lines


def mapping_faults(faults: Iterable[object], *, file: str, lines: Lines) -> FaultyInput:
    """Return the faults of a mapping with the lines at which they stand.

    Parameters
    ----------
    faults : iterable of MappingFault
        What is wrong, by dotted key. [-]
    file : str
        Name of the mapping's file. [-]
    lines : mapping
        Where each key stands. [-]

    Returns
    -------
    FaultyInput
        To be raised; in order of the lines.
    """
    found: list[LocatedFault] = []
    for fault in faults:
        if isinstance(fault, MappingFault):
            path: tuple[str | int, ...] = tuple(int(part) if part.isdigit() else part for part in re.split(r"[.\[\]]+", fault.key) if part)
            line = 1
            for length in range(len(path), 0, -1):
                if path[:length] in lines:
                    line = lines[path[:length]]
                    break
            found.append(LocatedFault(file, line, fault.key, fault.message))
    found.sort(key=lambda fault: fault.line)
    return FaultyInput(found)


class FileInventory:
    """The tables of an inventory in files; the port `mainwright.workflow.ports.Inventory`.

    Attributes
    ----------
    first
        The table that was named first; the folder in which it lies holds all others.
    """

    def __init__(self, first: Path) -> None:
        self.first = first

    def table(self, name: str | None, *, only: tuple[str, str] | None, encoding: str, wkt: str) -> SourceTable:
        """Return a table.

        Parameters
        ----------
        name : str, optional
            File below the first table's folder; ``file.gpkg:layer`` names a layer; None is the first table. [-]
        only : tuple of str, optional
            Column and text: other rows are passed over. [-]
        encoding : str
            Encoding of a CSV file; empty tries UTF-8, then Windows-1252. [-]
        wkt : str
            Column of a CSV file that holds lines as well-known text; empty for none. [-]

        Returns
        -------
        SourceTable
            Its rows.

        Raises
        ------
        InputError
            If it is not below the folder, or cannot be read as a table.
        """
        path, layer = self._path(name)
        lower = path.name.lower()
        if not path.exists():
            raise InputError("table", str(path), "", "a file that exists")
        if lower.endswith(_GIS):
            return _layer(path, layer, only)
        if lower.endswith(_CSV):
            return _csv_table(path, only, encoding, wkt)
        raise InputError("table", path.name, "", "a file that ends in " + ", ".join((*_CSV, *_GIS)))

    def metric(self, crs: str) -> bool:
        """Return whether the axes of a reference system are metres.

        Parameters
        ----------
        crs : str
            Its name, such as EPSG:25832. [-]

        Returns
        -------
        bool
            Whether they are; what cannot be read is refused.
        """
        known = _crs(crs)
        return bool(known.is_projected and all(abs(axis.unit_conversion_factor - 1.0) < 1e-12 for axis in known.axis_info[:2]))

    def project(self, points: Sequence[tuple[float, float]], *, crs: str, to: str) -> tuple[Line, str]:
        """Return points in another reference system, and its name.

        Parameters
        ----------
        points : sequence of tuple
            East or longitude first. [axes of `crs`]
        crs, to : str
            Names of the systems; an empty `to` takes the zone of UTM of the first point. [-]

        Returns
        -------
        tuple
            Points [m] and the name of their system.
        """
        from pyproj import Transformer

        source = _crs(crs)
        if not to:
            to = _utm(*Transformer.from_crs(source, "EPSG:4326", always_xy=True).transform(*points[0]))
        x, y = Transformer.from_crs(source, _crs(to), always_xy=True).transform([p[0] for p in points], [p[1] for p in points])
        line = tuple(zip(map(float, x), map(float, y), strict=True))
        if not all(abs(one) < 1e9 for point in line for one in point):
            raise InputError("coordinates", f"{points[0]}", "", f"points that {crs} and {to} can hold")
        return line, to

    def _path(self, name: str | None) -> tuple[Path, str | None]:
        if name is None:
            return self.first, None
        plain, _, layer = name.partition(":")
        folder = self.first.parent.resolve()
        path = (folder / plain).resolve()
        if not path.is_relative_to(folder) or Path(plain).is_absolute():
            raise InputError("table", name, "", f"a file in or below {self.first.parent}")
        return path, layer or None


def _utm(lon: float, lat: float) -> str:
    """Return the name of the zone of UTM that holds a point."""
    if not (abs(lon) <= 180.0 and abs(lat) <= 84.0):
        raise InputError("coordinates", f"{lon}, {lat}", "", "a place on earth between 84 degrees south and north")
    zone = min(60, int((lon + 180.0) // _DEGREES_EAST) + 1)
    return f"EPSG:{(32600 if lat >= 0 else 32700) + zone}"


def _crs(name: str) -> Any:  # noqa: ANN401 - pyproj is imported late
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    try:
        return CRS.from_user_input(name)
    except CRSError:
        raise InputError("crs", name[:80], "", "the name of a reference system, such as EPSG:25832") from None


def _text_of(path: Path, encoding: str) -> tuple[str, tuple[Message, ...]]:
    """Return the text of a file, unpacked, and how it was read where that was not plain."""
    try:
        if path.name.lower().endswith(".gz"):
            with gzip.open(path, "rb") as stream:
                data = stream.read(_MOST_BYTES + 1)
        else:
            with path.open("rb") as stream:
                data = stream.read(_MOST_BYTES + 1)
    except (EOFError, gzip.BadGzipFile) as error:
        raise InputError("table", path.name, "", f"a whole gzip file; {error}") from None
    if len(data) > _MOST_BYTES:
        raise InputError("table", path.name, "", f"a table of at most {_MOST_BYTES} bytes, unpacked")
    if encoding:
        try:
            return data.decode(encoding), ()
        except (LookupError, UnicodeDecodeError) as error:
            raise InputError("table", path.name, "", f"text in the encoding {encoding}; {error}") from None
    try:
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), (message("the file is not UTF-8; it was read as Windows-1252"),)


def _csv_table(path: Path, only: tuple[str, str] | None, encoding: str, wkt: str) -> SourceTable:
    text, remarks = _text_of(path, encoding)
    lines = text.splitlines()
    del text
    if not lines:
        raise InputError("table", path.name, "", "a header row, and rows below it")
    if any(len(line) > _LONGEST_LINE for line in lines):
        raise InputError("table", path.name, "", f"lines of at most {_LONGEST_LINE} characters")
    separator = max(_SEPARATORS, key=lambda one: (lines[0].count(one), -_SEPARATORS.index(one)))
    csv.field_size_limit(_LONGEST_CELL)
    reader = csv.reader(lines, delimiter=separator)
    try:
        heads = [head.strip() for head in next(reader)]
        twice = sorted({head for head in heads if head and heads.count(head) > 1})
        if twice:
            raise InputError("table", path.name, "", f"each column once; {', '.join(twice)[:200]} stands twice in line 1")
        rows = list(_csv_rows(reader, heads, only, path, wkt))
    except csv.Error as error:
        raise InputError("table", path.name, "", f"CSV; line {reader.line_num}: {error}") from None
    return SourceTable(path.name, tuple(head for head in heads if head), rows, remarks=remarks)


def _csv_rows(
    reader: Any,  # noqa: ANN401 - the type of csv.reader has no public name
    heads: list[str],
    only: tuple[str, str] | None,
    path: Path,
    wkt: str,
) -> Iterator[SourceRow]:
    if only is not None and only[0] not in heads:
        raise InputError(
            "table", path.name, "", f"a column {only[0]}, which says to which main a row belongs; it has {', '.join(heads)[:300]}"
        )
    place = None if only is None else heads.index(only[0])
    kept = 0
    for number, cells in enumerate(reader):
        if number >= _MOST_ROWS:
            raise InputError("table", path.name, "", f"at most {_MOST_ROWS} rows")
        if not any(cells) or (only is not None and place is not None and (len(cells) <= place or cells[place].strip() != only[1])):
            continue
        kept += 1
        if kept > _MOST_KEPT:
            raise InputError(
                "table", path.name, "", f"one main, with at most {_MOST_KEPT} rows: give main_column and --main, or cut it out"
            )
        named = dict(zip(heads, cells, strict=False))
        yield SourceRow(reader.line_num, named, line_from_wkt(named.get(wkt, "")) if wkt else ())


def _layer(path: Path, layer: str | None, only: tuple[str, str] | None) -> SourceTable:
    """Return a layer of a GIS file: attributes as text, lines and points as coordinates."""
    import pyogrio.raw  # type: ignore[import-untyped]
    from pyogrio.errors import DataLayerError, DataSourceError  # type: ignore[import-untyped]

    if path.stat().st_size > _MOST_BYTES:
        raise InputError("table", path.name, "", f"a file of at most {_MOST_BYTES} bytes")
    try:
        meta, fids, shapes, columns = pyogrio.raw.read(path, layer=layer, force_2d=True, return_fids=True, max_features=_MOST_KEPT)
    except (DataSourceError, DataLayerError, ValueError) as error:
        raise InputError("table", path.name, "", f"a GIS layer that can be read; {str(error)[:200]}") from None
    names = [str(name) for name in meta["fields"]]
    if only is not None and only[0] not in names:
        raise InputError(
            "table", path.name, "", f"a column {only[0]}, which says to which main a row belongs; it has {', '.join(names)[:300]}"
        )
    rows = []
    for number, fid in enumerate(fids):
        cells = {name: _cell(values[number]) for name, values in zip(names, columns, strict=True)}
        if only is not None and cells[only[0]].strip() != only[1]:
            continue
        shape = None if shapes is None else shapes[number]
        rows.append(SourceRow(int(fid), cells, () if shape is None else line_from_wkb(bytes(shape))))
    return SourceTable(path.name, tuple(names), rows, crs=str(meta.get("crs") or ""))


def _cell(value: object) -> str:
    text = "" if value is None else str(value)
    return "" if text.lower() in _EMPTY else text


def line_from_wkt(text: str) -> Line:
    """Return the points of a line or point in well-known text; anything else has none.

    Parameters
    ----------
    text : str
        Such as ``LINESTRING (1 2, 3 4)``. [-]

    Returns
    -------
    tuple of tuple
        Its points.

    Examples
    --------
    >>> line_from_wkt("LINESTRING Z (1 2 0, 3 4 0)")
    ((1.0, 2.0), (3.0, 4.0))
    """
    head, _, rest = text.strip().partition("(")
    if head.split(" ")[0].upper() not in {"LINESTRING", "POINT"} or not rest.endswith(")"):
        return ()
    try:
        points = [tuple(float(part) for part in one.split()[:2]) for one in rest[:-1].split(",")]
    except ValueError:
        return ()
    return tuple((point[0], point[1]) for point in points if len(point) == 2)


def line_from_wkb(data: bytes) -> Line:
    """Return the points of a line, a point, or a collection of one line in well-known binary; anything else has none.

    Parameters
    ----------
    data : bytes
        As OGC and ISO write it, two dimensions. [-]

    Returns
    -------
    tuple of tuple
        Its points.
    """
    try:
        line, _ = _geometry(data, 0, 0)
    except (struct.error, ValueError):
        return ()
    return line


def _geometry(data: bytes, at: int, depth: int) -> tuple[Line, int]:
    order = "<" if data[at : at + 1] == b"\x01" else ">"
    (kind,) = struct.unpack_from(order + "I", data, at + 1)
    at += 5
    if kind == 1:
        return (struct.unpack_from(order + "2d", data, at),), at + 16
    if kind not in {2, 5} or depth > 1:
        return (), at
    (count,) = struct.unpack_from(order + "I", data, at)
    at += 4
    if kind == 2:
        if count > (len(data) - at) // 16:
            message_ = "more points are announced than there are"
            raise ValueError(message_)
        numbers = struct.unpack_from(f"{order}{2 * count}d", data, at)
        return tuple(zip(numbers[::2], numbers[1::2], strict=True)), at + 16 * count
    whole: list[tuple[float, float]] = []
    for _ in range(count):
        part, at = _geometry(data, at, depth + 1)
        if whole and part and whole[-1] != part[0]:
            return (), at
        whole.extend(part if not whole else part[1:])
    return tuple(whole), at
