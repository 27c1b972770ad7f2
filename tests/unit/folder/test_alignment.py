"""The line of the main is read from GeoJSON and GeoPackage with its CRS, and its length is compared."""

import json
import struct
from pathlib import Path

import numpy as np
import pyogrio  # type: ignore[import-untyped]
import pytest

from mainwright.folder.reading import read_files
from mainwright.folder.writing import folder_bytes
from tests.unit.folder.sample import FILES

POINTS = [[500000.0, 5400000.0], [500300.0, 5400000.0], [500300.0, 5400110.0]]


def geojson(points: list[list[float]], name: str | None) -> bytes:
    crs = {"crs": {"type": "name", "properties": {"name": name}}} if name else {}
    return json.dumps({"type": "LineString", "coordinates": points, **crs}).encode()


@pytest.mark.outside("GDAL through pyogrio writes the GeoPackage that is read here")
def test_a_geopackage_says_the_same_as_its_geojson(tmp_path: Path) -> None:
    shape = struct.pack("<BII", 1, 2, 3) + b"".join(struct.pack("<2d", *point) for point in POINTS)
    geometry = np.array([shape], dtype=object)
    pyogrio.raw.write(tmp_path / "a.gpkg", geometry, [], np.array([]), geometry_type="LineString", crs="EPSG:25832", driver="GPKG")
    packed = read_files({**FILES, "alignment.gpkg": (tmp_path / "a.gpkg").read_bytes()})
    plain = read_files({**FILES, "alignment.geojson": geojson(POINTS, "urn:ogc:def:crs:EPSG::25832")})
    assert packed.job is not None
    assert plain.job is not None
    assert (*packed.warnings, *plain.warnings) == ()
    assert packed.job.revision == plain.job.revision
    assert packed.job.alignment is not None
    assert packed.job.alignment.crs == "EPSG:25832"
    written = folder_bytes(packed.document)
    assert folder_bytes(read_files(written).document) == written


def test_a_line_of_another_length_is_a_warning_and_two_lines_a_fault() -> None:
    line = geojson([[9.0, 48.0], [9.01, 48.0]], None)
    read = read_files({**FILES, "alignment.geojson": line})
    assert read.job is not None
    assert ["the main 410 m" in str(fault) for fault in read.warnings] == [True]
    both = read_files({**FILES, "alignment.geojson": line, "alignment.gpkg": b""})
    assert "one line of the main is right" in str(both.faults[0])


def test_metres_without_a_crs_are_a_fault() -> None:
    assert "no CRS is named" in str(read_files({**FILES, "alignment.geojson": geojson(POINTS, None)}).faults[0])
