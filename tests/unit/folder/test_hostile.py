"""No file, however made, ends in a traceback or a wait."""

import os
import sqlite3
from pathlib import Path
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.folder.reading import FILES as NAMES
from mainwright.folder.reading import FolderRead, read_files, read_folder
from mainwright.folder.records import read_record_files
from mainwright.folder.writing import folder_bytes
from tests.unit.folder.sample import FILES

CSV_CELLS = st.text(alphabet=st.sampled_from('0123456789.,;-+eE"\n\r xyé\t'), max_size=60)


def told(read: FolderRead) -> list[str]:
    """Return all texts, for wording one may fail too; and prove that a sound job comes back."""
    if read.job is not None:
        again = read_files(folder_bytes(read.document))
        assert again.job is not None
        assert again.job.revision == read.job.revision
    return [str(one) for one in (*read.faults, *read.warnings, *read.unknown)]


@settings(max_examples=60, deadline=None)
@given(name=st.sampled_from(NAMES), data=st.binary(max_size=400))
def test_any_bytes(name: str, data: bytes) -> None:
    told(read_files({**FILES, name: data}))


@settings(max_examples=60, deadline=None)
@given(name=st.sampled_from([name for name in FILES if name.endswith(".csv")]), text=CSV_CELLS)
def test_any_cells(name: str, text: str) -> None:
    header = FILES[name].split(b"\n", 1)[0] + b"\n"
    told(read_files({**FILES, name: header + text.encode()}))
    told(read_files({**FILES, name: header.replace(b",", b";") + text.encode()}))


@settings(max_examples=60, deadline=None)
@given(
    name=st.sampled_from([name for name in FILES if name.endswith(".toml")]),
    text=st.text(alphabet="[]{}=.,\"'#\\\n abn019-:T_", max_size=60),
)
def test_any_toml(name: str, text: str) -> None:
    told(read_files({**FILES, name: text.encode()}))
    told(read_files({**FILES, name: FILES[name] + text.encode()}))


@settings(max_examples=100, deadline=None)
@given(name=st.sampled_from(list(FILES)), where=st.floats(0, 1), cut=st.integers(0, 20), put=st.binary(max_size=12))
def test_any_change_of_a_sound_folder(name: str, where: float, cut: int, put: bytes) -> None:
    at = int(where * len(FILES[name]))
    told(read_files({**FILES, name: FILES[name][:at] + put + FILES[name][at + cut :]}))


@settings(max_examples=40, deadline=None)
@given(
    name=st.sampled_from(["run_R-1.csv", "events.csv", "runs_done.csv", "x.csv"]),
    data=st.one_of(st.binary(max_size=200), CSV_CELLS.map(str.encode)),
)
def test_any_record(name: str, data: bytes) -> None:
    header = b"run,time,kind,from_m,to_m,odometer_m,flow_l_min\n"
    for content in (data, header + data):
        assert all(one.text and one.file == f"records/{name}" for one in read_record_files({name: content}).faults)


@pytest.mark.parametrize(
    ("name", "data", "word"),
    [
        ("services.csv", b"chainage_m,side\n" + b"1,left\n" * 1_000_000, "more than 50000 rows"),
        ("main.csv", b"x" * 20_000_000, "bytes"),
        ("job.toml", b"a=" + b"[" * 100_000, "deep"),
        ("job.toml", b"a" + b".a" * 100_000 + b"=1", "parts"),
        ("job.toml", b"a=" + b"9" * 5000, "no TOML"),
        ("alignment.geojson", b'{"a":' + b"[" * 100_000, "deep"),
        ("alignment.geojson", b'{"type":"LineString","coordinates":[[1,1e999],[2,3]]}', "finite"),
        ("alignment.gpkg", b"PK\x03\x04" + b"x" * 1000, "no GeoPackage"),
        ("alignment.gpkg", b"SQLite format 3\0" + b"x" * 1000, "no GeoPackage"),
    ],
)
def test_a_hostile_file_ends_soon(name: str, data: bytes, word: str) -> None:
    before = process_time()
    faults = [str(fault) for fault in read_files({**FILES, name: data}).faults if fault.file == name]
    assert process_time() - before < 5
    assert any(word in fault for fault in faults)


def test_a_view_that_never_ends_is_given_up() -> None:
    database = sqlite3.connect(":memory:")
    database.executescript(
        "CREATE TABLE gpkg_spatial_ref_sys (srs_id, organization, organization_coordsys_id);"
        "CREATE VIEW gpkg_geometry_columns AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) "
        "SELECT i AS table_name, i AS column_name, i AS srs_id FROM n WHERE i < 0;"
    )
    data = database.serialize()
    database.close()
    assert "interrupted" in str(read_files({**FILES, "alignment.gpkg": data}).faults[0])


def test_a_file_outside_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "job").mkdir()
    (tmp_path / "outside.csv").write_bytes(FILES["main.csv"])
    (tmp_path / "job" / "main.csv").symlink_to(tmp_path / "outside.csv")
    os.mkfifo(tmp_path / "job" / "services.csv")
    (tmp_path / "job" / "job.toml").write_bytes(FILES["job.toml"])
    assert [str(fault) for fault in read_folder(tmp_path / "job").faults] == [
        "main.csv:1: it leads out of the folder: a plain file within it is right",
        "services.csv:1: it is no plain file",
    ]


@pytest.mark.parametrize(
    "change",
    [
        lambda text: "\ufeff" + text,
        lambda text: text.replace("\n", "\r\n"),
        lambda text: text.replace(",", ";"),
        lambda text: "\n".join(",".join(f'"{cell}"' for cell in line.split(",")) for line in text.splitlines()),
        lambda text: text.replace(",", ";").replace(".", ","),
        lambda text: text.replace("\n", ",,\n", 1) + ",,,\n",
    ],
    ids=["mark", "crlf", "semicolon", "quoted", "decimal comma", "empty cells"],
)
def test_every_dialect_says_the_same(change: object) -> None:
    assert callable(change)
    sound = read_files(FILES)
    read = read_files({**FILES, "levels.csv": change(FILES["levels.csv"].decode()).encode()})
    assert read.job is not None
    assert sound.job is not None
    assert read.job.revision == sound.job.revision


def test_two_decimal_marks_are_told() -> None:
    read = read_files({**FILES, "levels.csv": b"chainage_m;ground_m;pipe_m\n0;52,1;50,8\n410;57.350;56,05\n"})
    assert [(fault.line, fault.column) for fault in read.faults] == [(3, "ground_m")]


def test_a_header_that_stands_twice_is_told() -> None:
    read = read_files({**FILES, "levels.csv": b"chainage_m,ground_m,ground_m\n0,52.1,50.8\n"})
    assert [str(fault) for fault in read.faults] == ["levels.csv:1: ground_m: the column stands twice: once is right"]
