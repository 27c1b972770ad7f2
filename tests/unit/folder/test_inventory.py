"""Foreign tables: CSV as it comes, gzip, GIS layers; what is hostile or broken is refused in plain words."""

import contextlib
import gzip
import struct
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import FaultyInput, InputError
from mainwright.folder import inventory
from mainwright.folder.inventory import FileInventory
from mainwright.folder.mapping_file import read_mapping_file
from mainwright.folder.shapes import line_from_wkb, line_from_wkt
from mainwright.words.wording import Wording
from mainwright.workflow.source import SourceTable


def _table(folder: Path, content: bytes, name: str = "pipes.csv", only: tuple[str, str] | None = None, encoding: str = "") -> SourceTable:
    (folder / name).write_bytes(content)
    return FileInventory(folder / name).table(None, only=only, encoding=encoding, wkt="W")


@pytest.mark.parametrize(
    "content",
    [
        b"A,B\r\n1,2\r\n",
        b"A;B\n1;2\n",
        b"A\tB\n1\t2\n",
        b"\xef\xbb\xbfA,B\n1,2\n",
        b"A, B\n\n1,2\n,\n",
        b'"A","B"\n"1","2"\n',
    ],
)
def test_csv_as_it_comes(tmp_path: Path, content: bytes) -> None:
    table = _table(tmp_path, content)
    assert table.columns == ("A", "B")
    assert [dict(row.cells) for row in table.rows] == [{"A": "1", "B": "2"}]


def test_lines_are_those_of_the_file_and_rows_are_picked(tmp_path: Path) -> None:
    table = _table(tmp_path, b"M,A\nx,1\ny,2\n\nx,3\nx\n", only=("M", "x"))
    assert [(row.line, row.cells.get("A")) for row in table.rows] == [(2, "1"), (5, "3"), (6, None)]


def test_gzip_and_old_encoding(tmp_path: Path) -> None:
    text = "ORT\nM\u00fchlgasse\n"
    table = _table(tmp_path, gzip.compress(text.encode("cp1252")), "pipes.csv.gz")
    assert table.rows[0].cells == {"ORT": "M\u00fchlgasse"}
    assert "Windows-1252" in Wording().word(table.remarks[0])
    assert _table(tmp_path, text.encode("utf-16"), encoding="utf-16").rows[0].cells == {"ORT": "M\u00fchlgasse"}


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.csv", b"", "a header row"),
        ("a.csv", b"A,A\n1,2\n", "A stands twice in line 1"),
        ("a.csv.gz", b"no gzip", "a whole gzip file"),
        ("a.csv.gz", gzip.compress(b"A\n1\n" * 999, mtime=0)[:40], "a whole gzip file"),
        ("a.docx", b"PK", "a file that ends in"),
        ("a.xlsx", b"PK", "a table or layer that can be read"),
        ("a.gpkg", b"no database", "a table or layer that can be read"),
        ("a.geojson", b"{", "a table or layer that can be read"),
    ],
)
def test_what_is_broken_is_refused(tmp_path: Path, name: str, content: bytes, said: str) -> None:
    with pytest.raises(InputError, match=said):
        _table(tmp_path, content, name)


def test_what_is_too_much_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inventory, "_MOST_BYTES", 1000)
    with pytest.raises(InputError, match="at most 1000 bytes, unpacked"):
        _table(tmp_path, gzip.compress(b"A\n" + b"1\n" * 9999), "bomb.csv.gz")
    monkeypatch.setattr(inventory, "_MOST_ROWS", 3)
    with pytest.raises(InputError, match="at most 3 rows"):
        _table(tmp_path, b"A\n1\n2\n3\n4\n5\n")
    monkeypatch.setattr(inventory, "_MOST_KEPT", 1)
    with pytest.raises(InputError, match="give main_column and --main"):
        _table(tmp_path, b"A\n1\n2\n")
    monkeypatch.setattr(inventory, "_LONGEST_LINE", 5)
    with pytest.raises(InputError, match="lines of at most 5"):
        _table(tmp_path, b"ABCDEFG\n1\n")


def test_an_endless_quote_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inventory, "_LONGEST_CELL", 100)
    with pytest.raises(InputError, match="CSV; line"):
        _table(tmp_path, b'A\n"' + b"x\n" * 200)


def test_a_missing_main_column_says_what_there_is(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"a column MAIN, .* it has A, B"):
        _table(tmp_path, b"A,B\n1,2\n", only=("MAIN", "1"))


@pytest.mark.parametrize("name", ["../other.csv", "/etc/hosts.csv", "below/../../other.csv"])
def test_nothing_outside_the_folder_is_read(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "inventory"
    folder.mkdir()
    (tmp_path / "other.csv").write_text("A\n1\n")
    with pytest.raises(InputError, match="a file in or below"):
        FileInventory(folder / "pipes.csv").table(name, only=None, encoding="", wkt="")


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "inventory"
    folder.mkdir()
    (tmp_path / "other.csv").write_text("A\n1\n")
    (folder / "link.csv").symlink_to(tmp_path / "other.csv")
    with pytest.raises(InputError, match="a file in or below"):
        FileInventory(folder / "pipes.csv").table("link.csv", only=None, encoding="", wkt="")


def _line(*points: tuple[float, float]) -> bytes:
    return struct.pack("<BII", 1, 2, len(points)) + b"".join(struct.pack("<2d", *point) for point in points)


@pytest.mark.parametrize("suffix", ["gpkg", "geojson", "shp"])
def test_a_layer_of_lines(tmp_path: Path, suffix: str) -> None:
    from pyogrio.raw import write  # type: ignore[import-untyped]

    path = tmp_path / f"pipes.{suffix}"
    write(
        path,
        np.array([_line((0, 0), (10, 0)), _line((10, 0), (10, 5))], dtype=object),
        [np.array(["A", "B"], dtype=object), np.array([150, 200]), np.array([1931.0, np.nan])],
        ["MAIN", "DN", "YEAR"],
        geometry_type="LineString",
        crs="EPSG:25832",
    )
    table = FileInventory(path).table(None, only=None, encoding="", wkt="")
    assert [dict(row.cells) for row in table.rows] == [{"MAIN": "A", "DN": "150", "YEAR": "1931.0"}, {"MAIN": "B", "DN": "200", "YEAR": ""}]
    assert [row.geometry for row in table.rows] == [((0, 0), (10, 0)), ((10, 0), (10, 5))]
    assert "25832" in table.crs or "UTM zone 32N" in table.crs
    assert FileInventory(path).metric(table.crs)
    picked = FileInventory(path).table(None, only=("MAIN", "B"), encoding="", wkt="")
    assert [row.geometry for row in picked.rows] == [((10, 0), (10, 5))]
    with pytest.raises(InputError, match="a column PIPE"):
        FileInventory(path).table(None, only=("PIPE", "B"), encoding="", wkt="")


def _workbook(path: Path) -> Path:
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["MAIN", "FROM", "TO", "LAID"])
    sheet.append(["M1", 0, 10.5, datetime(1934, 6, 1)])  # noqa: DTZ001
    sheet.append(["M1", 10.5, "20", None])
    other = book.create_sheet("other")
    other.append(["A"])
    other.append(["x"])
    book.save(path)
    return path


def test_a_sheet_of_a_workbook(tmp_path: Path) -> None:
    table = FileInventory(_workbook(tmp_path / "pipes.xlsx")).table(None, only=("MAIN", "M1"), encoding="", wkt="")
    assert [(row.line, dict(row.cells)) for row in table.rows] == [
        (2, {"MAIN": "M1", "FROM": "0", "TO": "10.5", "LAID": "1934/06/01"}),
        (3, {"MAIN": "M1", "FROM": "10.5", "TO": "20", "LAID": ""}),
    ]
    assert "Sheet, other; the first was read" in Wording().word(table.remarks[0])
    assert FileInventory(tmp_path / "pipes.csv").table("pipes.xlsx:other", only=None, encoding="", wkt="").columns == ("A",)
    with pytest.raises(InputError, match="a table or layer that can be read"):
        FileInventory(tmp_path / "pipes.csv").table("pipes.xlsx:none", only=None, encoding="", wkt="")


def test_a_workbook_that_swells_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inventory, "_MOST_BYTES", 10_000)
    with pytest.raises(InputError, match="at most 10000 bytes, unpacked"):
        FileInventory(_workbook(tmp_path / "pipes.xlsx")).table(None, only=None, encoding="", wkt="")


def test_well_known_text(tmp_path: Path) -> None:
    assert _table(tmp_path, b'W\n"LINESTRING (1 2, 3 4)"\n').rows[0].geometry == ((1.0, 2.0), (3.0, 4.0))
    assert line_from_wkt("POINT(1 2)") == ((1.0, 2.0),)
    for text in ("", "LINESTRING (1 2, 3", "LINESTRING (a b)", "POLYGON ((0 0, 1 1, 1 0, 0 0))", "LINESTRING EMPTY"):
        assert line_from_wkt(text) == ()


def test_well_known_binary() -> None:
    whole = struct.pack("<BII", 1, 5, 2) + _line((0, 0), (1, 0)) + _line((1, 0), (2, 0))
    assert line_from_wkb(whole) == ((0, 0), (1, 0), (2, 0))
    apart = struct.pack("<BII", 1, 5, 2) + _line((0, 0), (1, 0)) + _line((5, 0), (6, 0))
    assert line_from_wkb(apart) == ()
    assert line_from_wkb(struct.pack(">BI2d", 0, 1, 3.0, 4.0)) == ((3.0, 4.0),)
    assert line_from_wkb(struct.pack("<BII", 1, 2, 1 << 31)) == ()
    assert line_from_wkb(struct.pack("<BI", 1, 3)) == ()


@given(st.binary(max_size=80))
def test_no_bytes_break_the_reading_of_shapes(data: bytes) -> None:
    assert isinstance(line_from_wkb(data), tuple)


@given(data=st.binary(max_size=200))
def test_no_bytes_break_the_reading_of_tables(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    folder = tmp_path_factory.mktemp("bytes")
    with contextlib.suppress(InputError):
        _table(folder, data)


def test_projection_to_metres() -> None:
    files = FileInventory(Path("pipes.csv"))
    assert not files.metric("EPSG:4326")
    assert not files.metric("EPSG:2263")  # feet
    line, to = files.project([(9.0, 48.0), (9.001, 48.0)], crs="EPSG:4326", to="")
    assert to == "EPSG:32632"
    assert line[0] == pytest.approx((500000.0, 5316300.0), abs=500.0)
    assert line[1][0] - line[0][0] == pytest.approx(74.6, abs=0.1)
    assert files.project([(-70.0, -33.0)], crs="EPSG:4326", to="")[1] == "EPSG:32719"
    with pytest.raises(InputError, match="the name of a reference system"):
        files.metric("nonsense")
    with pytest.raises(InputError, match="a place on earth"):
        files.project([(500.0, 99.0)], crs="EPSG:4326", to="")


def test_a_mapping_file(tmp_path: Path) -> None:
    path = tmp_path / "mapping.toml"
    path.write_bytes(b"\xef\xbb\xbf[main]\nmerge = true\n")
    assert read_mapping_file(path)[0] == {"main": {"merge": True}}
    for content in (b"[main", b"\xff\xfe", b"x=1\n" * (1 << 19), b"a = " + b"[" * 9000):
        path.write_bytes(content)
        with pytest.raises(FaultyInput, match="1 fault in the input") as caught:
            read_mapping_file(path)
        assert str(caught.value.faults[0]).startswith("mapping.toml:1: ")
