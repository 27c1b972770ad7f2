"""A file that is being written: every way in which it can be half there."""

import os
from pathlib import Path
from threading import Event

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.feeds.csv_tail import CsvLines, CsvTail
from mainwright.feeds.mapping import CsvSource
from mainwright.feeds.outlet import Outlet
from mainwright.feeds.replay import run_mapping
from mainwright.workflow.live_ports import Arrival
from tests.unit.feeds.rig import Bench, csv_mapping, running, until

HEADER = "time,way,flow\n"


def row(second: int, way: float = 1.0, flow: float = 30.0) -> str:
    return f"2026-05-04T12:00:{second:02d}Z,{way},{flow}\n"


def tail(path: Path, bench: Bench, *, more: str = "") -> CsvTail:
    mapping = csv_mapping(path, more=more)
    assert isinstance(mapping.origin, CsvSource)
    return CsvTail(mapping, mapping.origin, bench.desk)


def ways(arrivals: list[Arrival]) -> list[float]:
    return [one.reading.values["odometer"] for one in arrivals]


def test_half_a_line_waits_for_its_end(tmp_path: Path) -> None:
    path, bench = tmp_path / "rig.csv", Bench()
    path.write_text(HEADER + row(1) + "2026-05-04T12:00:02Z,1")
    with running(tail(path, bench)):
        assert ways(bench.take(1)) == [1.0]
        assert bench.take(1, timeout=0.1) == []
        with path.open("a") as stream:
            stream.write("2.5,30\n")
        assert ways(bench.take(1)) == [12.5]
    assert "unreadable" not in bench.kinds()


def test_a_byte_order_mark_and_a_decimal_comma_are_understood(tmp_path: Path) -> None:
    path, bench = tmp_path / "rig.csv", Bench()
    path.write_bytes(b"\xef\xbb\xbftime;way;flow\r\n2026-05-04T12:00:00Z;12,5;30,0\r\n")
    with running(tail(path, bench)):
        (found,) = bench.take(1)
    assert dict(found.reading.values) == pytest.approx({"odometer": 12.5, "flow": 0.0005})


def test_a_point_is_asked_for_where_the_mapping_says_so(tmp_path: Path) -> None:
    path, bench = tmp_path / "rig.csv", Bench()
    path.write_text("time;way;flow\n2026-05-04T12:00:00Z;12,5;30.0\n")
    with running(tail(path, bench, more='decimal = "point"')):
        (found,) = bench.take(1)
        until(lambda: "unreadable" in bench.kinds())
    assert "odometer" not in found.reading.values


def test_another_file_of_the_name_is_read_after_the_rest_of_the_old_one(tmp_path: Path) -> None:
    path, bench = tmp_path / "rig.csv", Bench()
    path.write_text(HEADER + row(1, 1.0))
    with running(tail(path, bench)):
        assert ways(bench.take(1)) == [1.0]
        old = path.open("a")
        path.rename(tmp_path / "rig.csv.1")
        old.write(row(2, 2.0) + "2026-05-04T12:00:03Z,3")
        old.close()
        (tmp_path / "new").write_text(HEADER + row(4, 4.0))
        (tmp_path / "new").rename(path)
        second = bench.take(2)
    assert ways(second) == [2.0, 4.0]
    assert second[0].reading.source != second[1].reading.source
    assert "rotated" in bench.kinds()
    assert "the file ends within a line" in "".join(bench.texts())


@pytest.mark.parametrize("more", [0, 200])
def test_a_file_that_is_begun_anew_is_read_from_its_beginning(tmp_path: Path, more: int) -> None:
    """Also where it is longer than before when one looks again."""
    path, bench = tmp_path / "rig.csv", Bench()
    path.write_text(HEADER + row(1, 1.0) + row(2, 2.0))
    with running(tail(path, bench)):
        bench.take(2)
        path.write_text(HEADER + row(3, 3.0) + "".join(row(4, 4.0) for _ in range(more)))
        assert ways(bench.take(1 + more)) == [3.0] + [4.0] * more
    assert "rotated" in bench.kinds()


def test_a_row_has_the_same_name_whenever_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "rig.csv"
    path.write_text(HEADER + "".join(row(second) for second in range(5)))
    names = []
    for _ in range(2):
        with running(tail(path, bench := Bench())):
            names.append([(one.reading.source, one.reading.number) for one in bench.take(5)])
    assert names[0] == names[1]
    assert len(set(names[0])) == 5


@pytest.mark.parametrize(
    "bad",
    [
        b"\xff\xfe\n",
        b"\0\0\0\0\0\n",
        b"1,2\n",
        b"1,2,3,4\n",
        b"yesterday,1,2\n",
        b"2026-05-04T12:00:01,1,2\n",
        b"2026-05-04T12:00:01Z,1_0,nan\n",
    ],
)
def test_a_bad_row_is_told_and_left_out(tmp_path: Path, bad: bytes) -> None:
    path, bench = tmp_path / "rig.csv", Bench()
    path.write_bytes(HEADER.encode() + row(1, 1.0).encode() + bad + row(2, 2.0).encode())
    with running(tail(path, bench)):
        assert ways(bench.take(2)) == [1.0, 2.0]
    assert f"byte {len(HEADER) + len(row(1))}" in "".join(bench.texts())


def test_an_endless_line_does_not_fill_the_memory(tmp_path: Path) -> None:
    path, bench = tmp_path / "rig.csv", Bench()
    path.write_bytes(HEADER.encode() + row(1, 1.0).encode() + b"x" * 2_000_000 + b"\n" + row(2, 2.0).encode())
    with running(tail(path, bench)):
        assert ways(bench.take(2)) == [1.0, 2.0]
    assert "unreadable" in bench.kinds()


def test_a_column_that_is_not_there_is_told(tmp_path: Path) -> None:
    path, bench = tmp_path / "rig.csv", Bench()
    path.write_text("time,way\n2026-05-04T12:00:00Z,1\n")
    with running(tail(path, bench)):
        (found,) = bench.take(1)
    assert set(found.reading.values) == {"odometer"}
    assert "the file has no column flow; it has time, way" in bench.texts()[1]


def test_a_run_file_may_lack_what_the_rig_does_not_have(tmp_path: Path) -> None:
    path, bench = tmp_path / "run_R1.csv", Bench()
    path.write_text("time,odometer_m,head_rpm\n2026-05-04T12:00:00Z,1,600\n")
    mapping = run_mapping("rig", str(path))
    with running(CsvTail(mapping, CsvSource(str(path), "auto", 0.01), bench.desk)):
        (found,) = bench.take(1)
    assert dict(found.reading.values) == pytest.approx({"odometer": 1.0, "head_speed": 10.0})
    assert "unreadable" not in bench.kinds()


def test_a_taken_away_file_is_followed_until_another_comes(tmp_path: Path) -> None:
    path, bench = tmp_path / "rig.csv", Bench()
    path.write_text(HEADER + row(1, 1.0))
    with running(tail(path, bench)):
        bench.take(1)
        descriptor = os.open(path, os.O_WRONLY | os.O_APPEND)
        path.unlink()
        os.write(descriptor, row(2, 2.0).encode())
        os.close(descriptor)
        assert ways(bench.take(1)) == [2.0]


@given(st.lists(st.binary(max_size=40) | st.text('0123456789.,;:TZ-"\n').map(str.encode), max_size=8))
def test_no_bytes_break_the_lines_of_a_file(lines: list[bytes]) -> None:
    bench = Bench()
    mapping = run_mapping("rig", "x")
    reader = CsvLines(mapping, "auto", Outlet("rig", mapping.limits, bench.desk))
    for some in [b"time,odometer_m,flow_l_min\n", *lines, b"\n", row(1, 7.0).encode()]:
        assert reader.take(some, Event())
    assert ways(bench.inbox.take(100, timeout=0.0))[-1] == 7.0
