"""Foreign inventories: tables of CSV files (plain or gzip) and layers of GIS files, read as they are.

A table that the mapping names lies beside the first table or below its folder; nothing is read from anywhere else.
"""

import csv
import gzip
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from mainwright.errors import InputError
from mainwright.folder.shapes import line_from_wkb, line_from_wkt
from mainwright.words.message import Message, message
from mainwright.workflow.source import Line, SourceRow, SourceTable

__all__ = ["FileInventory"]

_MOST_BYTES: Final = 1 << 30
"""What one table may hold, unpacked."""
_LONGEST_CELL: Final = 1 << 20
_LONGEST_LINE: Final = 1 << 24
_MOST_ROWS: Final = 5_000_000
_MOST_KEPT: Final = 500_000
_SEPARATORS: Final = ",;\t|"
_CSV: Final = (".csv", ".csv.gz", ".txt", ".tsv")
_GIS: Final = (".gpkg", ".geojson", ".json", ".shp", ".fgb", ".gml", ".kml")
_SHEETS: Final = (".xlsx", ".ods")
_SHEET_SWELLS: Final = 4
"""Markup of a sheet takes about so many times its size in memory."""
_ALL_TEXT: Final = {
    "OGR_XLSX_HEADERS": "FORCE",
    "OGR_XLSX_FIELD_TYPES": "STRING",
    "OGR_ODS_HEADERS": "FORCE",
    "OGR_ODS_FIELD_TYPES": "STRING",
}
_EMPTY: Final = ("nan", "nat", "none")
_DEGREES_EAST: Final = 6.0


class FileInventory:
    """The tables of an inventory in files; the port `mainwright.workflow.ports.Inventory`.

    Attributes
    ----------
    first
        The table that was named first; the folder in which it lies holds all others.
    """

    def __init__(self, first: Path) -> None:
        self.first = first
        self._ways: dict[tuple[str, str], Any] = {}

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
        if lower.endswith((*_GIS, *_SHEETS)):
            return _layer(path, layer, only)
        if lower.endswith(_CSV):
            return _csv_table(path, only, encoding, wkt)
        raise InputError("table", path.name, "", "a file that ends in " + ", ".join((*_CSV, *_SHEETS, *_GIS)))

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
        if not to:
            to = _utm(*self._way(crs, "EPSG:4326").transform(*points[0]))
        x, y = self._way(crs, to).transform([p[0] for p in points], [p[1] for p in points])
        line = tuple(zip(map(float, x), map(float, y), strict=True))
        if not all(abs(one) < 1e9 for point in line for one in point):
            raise InputError("coordinates", f"{points[0]}", "", f"points that {crs} and {to} can hold")
        return line, to

    def _way(self, crs: str, to: str) -> Any:  # noqa: ANN401 - pyproj is imported late
        """Return the way from one reference system to another; finding it takes longer than going it."""
        if (crs, to) not in self._ways:
            from pyproj import Transformer

            self._ways[crs, to] = Transformer.from_crs(_crs(crs), _crs(to), always_xy=True)
        return self._ways[crs, to]

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
        raise _no_main_column(path, only[0], heads)
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


def _no_main_column(path: Path, column: str, heads: Sequence[str]) -> InputError:
    allowed = f"a column {column}, which says to which main a row belongs; it has {', '.join(heads)[:300]}"
    return InputError("table", path.name, "", allowed)


def _layer(path: Path, layer: str | None, only: tuple[str, str] | None) -> SourceTable:
    """Return a layer of a GIS file or a sheet of a workbook: cells as text, lines and points as coordinates."""
    import warnings

    import pyogrio.raw  # type: ignore[import-untyped]
    from pyogrio.errors import DataLayerError, DataSourceError  # type: ignore[import-untyped]

    _refuse_large(path)
    sheet = path.name.lower().endswith(_SHEETS)
    try:
        with warnings.catch_warnings():
            # What GDAL warns of is nothing that the reader of a job could change.
            warnings.simplefilter("ignore")
            if sheet:
                pyogrio.set_gdal_config_options(_ALL_TEXT)
            layers = [str(name) for name, _ in pyogrio.list_layers(path)]
            read = pyogrio.raw.read(
                path, layer=layer or layers[0], force_2d=True, return_fids=True, max_features=_MOST_KEPT + 1, read_geometry=not sheet
            )
    except (DataSourceError, DataLayerError, ValueError, IndexError) as error:
        raise InputError("table", path.name, "", f"a table or layer that can be read; {str(error)[:200]}") from None
    remarks: tuple[Message, ...] = ()
    if layer is None and len(layers) > 1:
        remarks = (message("it holds {layers}; the first was read", layers=", ".join(layers)[:200]),)
    meta, fids, shapes, columns = read
    names = [str(name) for name in meta["fields"]]
    if only is not None and only[0] not in names:
        raise _no_main_column(path, only[0], names)
    count = len(columns[0]) if columns else 0
    if count > _MOST_KEPT:
        raise InputError("table", path.name, "", f"at most {_MOST_KEPT} features: cut out the mains that are wanted")
    rows = []
    for number in range(count):
        cells = {name: _cell(values[number]) for name, values in zip(names, columns, strict=True)}
        if only is not None and cells[only[0]].strip() != only[1]:
            continue
        shape = None if shapes is None else shapes[number]
        # A sheet has its heads in the first row.
        line = number + 2 if sheet else int(fids[number])
        rows.append(SourceRow(line, cells, () if shape is None else line_from_wkb(bytes(shape))))
    return SourceTable(path.name, tuple(names), rows, crs=str(meta.get("crs") or ""), remarks=remarks)


def _refuse_large(path: Path) -> None:
    """Refuse a file that is too large, or a workbook that would be when it is unpacked."""
    size = path.stat().st_size
    if path.name.lower().endswith(_SHEETS):
        import zipfile

        try:
            with zipfile.ZipFile(path) as archive:
                size = sum(entry.file_size for entry in archive.infolist()) * _SHEET_SWELLS
        except (zipfile.BadZipFile, NotImplementedError, ValueError) as error:
            raise InputError("table", path.name, "", f"a table or layer that can be read; {error}") from None
    if size > _MOST_BYTES:
        raise InputError("table", path.name, "", f"a file of at most {_MOST_BYTES} bytes, unpacked")


def _cell(value: object) -> str:
    text = "" if value is None else str(value)
    return "" if text.lower() in _EMPTY else text
