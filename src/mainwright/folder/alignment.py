"""The line of the main on the map: GeoJSON or GeoPackage bytes to points with their CRS, and the length between them."""

import json
import math
import re
import struct
from typing import Any, Final

from mainwright.folder.csv_text import decoded
from mainwright.folder.limits import DEEPEST, MOST_BYTES_MAP, MOST_POINTS
from mainwright.folder.located import LocatedFault, located
from mainwright.job.table import number_text, shown
from mainwright.units import significant

__all__ = ["Line", "check_length", "geojson_bytes", "read_geojson", "read_geopackage"]

Line = dict[str, Any]
"""``crs``: a name as EPSG:25832; ``points``: a list of pairs."""

_WGS84: Final = "OGC:CRS84"
_EPSG: Final = re.compile(r"(?:urn:ogc:def:crs:EPSG:[0-9.]*:|EPSG:|https?://www\.opengis\.net/def/crs/EPSG/0/)([0-9]{4,6})", re.IGNORECASE)
_CRS84: Final = re.compile(r"(?:urn:ogc:def:crs:OGC:[0-9.]*:|OGC:)CRS84", re.IGNORECASE)
_LENGTHS_DIFFER: Final = 0.01
_STEPS: Final = 20_000_000
"""Steps of SQLite after which a GeoPackage is given up: a view in it may never end."""


class _Wrong(Exception):
    """Why a file holds no line; caught in this module."""

    def __init__(self, text: str, **values: str | int) -> None:
        super().__init__(text)
        self.text = text
        self.values = values


def _crs_name(name: str) -> str:
    if _CRS84.fullmatch(name):
        return _WGS84
    match = _EPSG.fullmatch(name)
    if not match:
        raise _Wrong("the CRS {name} is not known: a name as urn:ogc:def:crs:EPSG::25832 is right", name=shown(name))
    return f"EPSG:{match[1]}"


def _points(raw: object) -> list[list[float]]:
    if not isinstance(raw, list):
        raise _Wrong("the line has no coordinates: a list of points is right")
    if len(raw) > MOST_POINTS:
        raise _Wrong("the line has {n} {n:point/points}: at most {most} are right", n=len(raw), most=MOST_POINTS)
    points: list[list[float]] = []
    for place, point in enumerate(raw):
        if not isinstance(point, list | tuple) or len(point) < 2:
            raise _Wrong("point {n} is no pair of numbers", n=place + 1)
        pair: list[float] = []
        for one in point[:2]:
            if isinstance(one, bool) or not isinstance(one, int | float) or not abs(one) < 1e12:
                raise _Wrong("point {n} holds {found}: finite numbers are right", n=place + 1, found=shown(one))
            pair.append(significant(float(one)))
        if not points or pair != points[-1]:
            points.append(pair)
    if len(points) < 2:
        raise _Wrong("the line has one point: two different points or more are right")
    return points


def _line_strings(thing: object) -> list[object]:
    """Return the coordinates of every line in a GeoJSON object, features and collections opened."""
    if not isinstance(thing, dict):
        raise _Wrong("it is no GeoJSON: an object with a type is right")
    match thing.get("type"):
        case "FeatureCollection":
            features = thing.get("features")
            return [line for one in features for line in _line_strings(one)] if isinstance(features, list) else []
        case "Feature":
            return _line_strings(thing["geometry"]) if isinstance(thing.get("geometry"), dict) else []
        case "LineString":
            return [thing.get("coordinates")]
        case "MultiLineString":
            lines = thing.get("coordinates")
            return list(lines) if isinstance(lines, list) else []
        case _:
            return []


def _one_line(lines: list[object]) -> list[list[float]]:
    if len(lines) != 1:
        raise _Wrong("it holds {n} {n:line/lines}: one line string is right", n=len(lines))
    return _points(lines[0])


def _not_a_number(text: str) -> float:
    raise _Wrong("it holds {found}: finite numbers are right", found=text)


def _whole(text: str) -> float:
    return float(text) if len(text) < 40 else math.inf


def _is_too_deep(text: str) -> bool:
    depth = 0
    for match in re.finditer(r'"(?:[^"\\]|\\.)*"|[\[{]|[\]}]', text, re.DOTALL):
        mark = match.group()
        depth += (mark in "[{") - (mark in "]}")
        if depth > DEEPEST:
            return True
    return False


def _geojson(text: str) -> Line:
    if _is_too_deep(text):
        raise _Wrong("brackets stand more than {most} deep: a line string needs four", most=DEEPEST)
    try:
        data = json.loads(text, parse_constant=_not_a_number, parse_int=_whole)
    except json.JSONDecodeError as error:
        raise _Wrong("it is no JSON: {why} at line {line}", why=error.msg, line=error.lineno) from error
    points = _one_line(_line_strings(data))
    crs = data.get("crs")
    if crs is None:
        if any(abs(x) > 180 or abs(y) > 90 for x, y in points):
            raise _Wrong(
                "no CRS is named and the points are not degrees: a member crs with its name is right, as urn:ogc:def:crs:EPSG::25832"
            )
        return {"crs": _WGS84, "points": points}
    properties = crs.get("properties") if isinstance(crs, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    if not isinstance(name, str):
        raise _Wrong("its CRS has no name: a name as urn:ogc:def:crs:EPSG::25832 is right")
    return {"crs": _crs_name(name), "points": points}


def read_geojson(file: str, data: bytes) -> Line | LocatedFault:
    """Return the line of a GeoJSON file, or what is wrong with it.

    Parameters
    ----------
    file : str
        Path within the job folder. [-]
    data : bytes
        Its content. [-]

    Returns
    -------
    dict or LocatedFault
        ``crs`` and ``points``, or the fault.
    """
    text = decoded(file, data, MOST_BYTES_MAP)
    if isinstance(text, LocatedFault):
        return text
    try:
        return _geojson(text)
    except _Wrong as wrong:
        line = wrong.values.get("line", 1)
        return located(file, line if isinstance(line, int) else 1, "", wrong.text, **wrong.values)


def _wkb_line(blob: object) -> list[object]:
    """Return the coordinates of each line in a GeoPackage geometry (OGC 12-128, clause 2.1.3)."""
    if not isinstance(blob, bytes) or blob[:2] != b"GP" or len(blob) < 8:
        raise _Wrong("a geometry of it cannot be read: a line string is right")
    envelope = {0: 0, 1: 32, 2: 48, 3: 48, 4: 64}.get(blob[3] >> 1 & 7)
    if envelope is None:
        raise _Wrong("a geometry of it cannot be read: a line string is right")
    lines, _ = _wkb(blob, 8 + envelope)
    return lines


def _wkb(blob: bytes, at: int) -> tuple[list[object], int]:
    order = "<" if blob[at : at + 1] == b"\x01" else ">"
    kind, count = struct.unpack_from(f"{order}II", blob, at + 1)
    at += 9
    flags, plain = kind & 0xE0000000, kind & 0x1FFFFFFF
    thousands = plain // 1000
    width = 2 + (thousands in {1, 3} or bool(flags & 0x80000000)) + (thousands in {2, 3} or bool(flags & 0x40000000))
    if count > MOST_POINTS:
        raise _Wrong("the line has {n} {n:point/points}: at most {most} are right", n=count, most=MOST_POINTS)
    if plain % 1000 == 2:
        numbers = struct.unpack_from(f"{order}{count * width}d", blob, at)
        return [[list(numbers[place : place + 2]) for place in range(0, len(numbers), width)]], at + 8 * len(numbers)
    if plain % 1000 == 5:
        lines: list[object] = []
        for _ in range(min(count, 100)):
            inner, at = _wkb(blob, at)
            lines += inner
        return lines, at
    return [], at


def _geopackage(data: bytes) -> Line:
    import sqlite3

    database = sqlite3.connect(":memory:")
    try:
        database.deserialize(data)
        steps = 0

        def count() -> int:
            nonlocal steps
            steps += 100_000
            return int(steps > _STEPS)

        database.set_progress_handler(count, 100_000)
        database.execute("PRAGMA trusted_schema = OFF")
        layers = database.execute(
            "SELECT g.table_name, g.column_name, s.organization, s.organization_coordsys_id FROM gpkg_geometry_columns g "
            "LEFT JOIN gpkg_spatial_ref_sys s ON s.srs_id = g.srs_id LIMIT 3"
        ).fetchall()
        if len(layers) != 1:
            raise _Wrong("it holds {n} {n:layer/layers} of geometry: one is right", n=len(layers))
        table, column, organization, code = layers[0]
        quoted = ['"' + str(name).replace('"', '""') + '"' for name in (column, table)]
        blobs = database.execute(f"SELECT {quoted[0]} FROM {quoted[1]} LIMIT 3").fetchall()  # noqa: S608 - names cannot be parameters; quoted
        points = _one_line([line for (blob,) in blobs for line in _wkb_line(blob)])
        if organization is None or str(organization).upper() != "EPSG" or not isinstance(code, int) or code <= 0:
            raise _Wrong("its CRS is not named by an EPSG number: a layer with one is right")
        return {"crs": f"EPSG:{code}", "points": points}
    finally:
        database.close()


def read_geopackage(file: str, data: bytes) -> Line | LocatedFault:
    """Return the line of a GeoPackage, or what is wrong with it.

    It is read as the SQLite file that it is, from memory and with a bound on the work, because a hostile one may hold views that never end.

    Parameters
    ----------
    file : str
        Path within the job folder. [-]
    data : bytes
        Its content. [-]

    Returns
    -------
    dict or LocatedFault
        ``crs`` and ``points``, or the fault.
    """
    if len(data) > MOST_BYTES_MAP:
        return located(file, 1, "", "the file has {n} {n:byte/bytes}: at most {most} are right", n=len(data), most=MOST_BYTES_MAP)
    if not data.startswith(b"SQLite format 3\0"):
        return located(file, 1, "", "it is no GeoPackage: a SQLite file with one layer of lines is right")
    import sqlite3

    try:
        return _geopackage(data)
    except _Wrong as wrong:
        return located(file, 1, "", wrong.text, **wrong.values)
    except (sqlite3.Error, struct.error, OverflowError, UnicodeDecodeError, MemoryError) as error:
        return located(file, 1, "", "it is no GeoPackage that can be read: {why}", why=shown(error))


def _length(line: Line) -> float | None:
    """Return the length on the ground in metres, or None where the CRS is not known."""
    from pyproj import CRS, Geod
    from pyproj.exceptions import CRSError

    try:
        crs = CRS.from_user_input(line["crs"])
    except CRSError:
        return None
    xs, ys = zip(*line["points"], strict=True)
    if crs.is_geographic:
        # GeoJSON and GeoPackage both keep longitude first, whatever the register says of the axes.
        return float((crs.get_geod() or Geod(ellps="WGS84")).line_length(xs, ys))
    factor = crs.axis_info[0].unit_conversion_factor if crs.axis_info else 1.0
    return factor * sum(math.hypot(x2 - x1, y2 - y1) for (x1, y1), (x2, y2) in zip(line["points"], line["points"][1:], strict=False))


def check_length(file: str, line: Line, main: float | None) -> list[LocatedFault]:
    """Return what is wrong with the CRS of a line, or with its length beside that of the main.

    Parameters
    ----------
    file : str
        Path within the job folder. [-]
    line : dict
        ``crs`` and ``points``. [-]
    main : float or None
        Length of the main, where it is known. [m]

    Returns
    -------
    list of LocatedFault
        At most one fault or warning.
    """
    from mainwright.words.message import Quantity, message

    length = _length(line)
    if length is None or not math.isfinite(length):
        return [
            located(
                file,
                1,
                "",
                "the CRS {name} is not known, or its points are not in it: a number of the EPSG register is right",
                name=shown(line["crs"]),
            )
        ]
    if main is not None and abs(length - main) > _LENGTHS_DIFFER * main:
        text = "the line is {line} long and the main {main}: within one per cent is right"
        return [
            LocatedFault(file, 1, "", message(text, line=Quantity(round(length, 1), "m"), main=Quantity(main, "m")), "warning"),
        ]
    return []


def geojson_bytes(line: Line) -> bytes:
    """Return the canonical GeoJSON of a line.

    Parameters
    ----------
    line : dict
        ``crs`` and ``points``. [-]

    Returns
    -------
    bytes
        One feature with its CRS.
    """
    crs = str(line["crs"])
    authority, _, code = crs.partition(":")
    urn = "urn:ogc:def:crs:OGC:1.3:CRS84" if crs == _WGS84 else f"urn:ogc:def:crs:{authority}::{code}"
    points = ",\n".join(f"[{number_text(x)}, {number_text(y)}]" for x, y in line["points"])
    return (
        '{"type": "FeatureCollection",\n'
        f'"crs": {{"type": "name", "properties": {{"name": "{urn}"}}}},\n'
        '"features": [{"type": "Feature", "properties": {}, "geometry": {"type": "LineString", "coordinates": [\n'
        f"{points}\n]}}}}]}}\n"
    ).encode()
