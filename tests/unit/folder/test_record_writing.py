"""Rows that are added to files of records."""

from pathlib import Path

import pytest

from mainwright.errors import FaultyInput
from mainwright.folder.record_writing import add_rows, merged

COLUMNS = ("run", "time", "kind", "value")
NEW = [
    {"run": "R1", "time": "2026-04-13T08:00:00+00:00", "kind": "start", "value": ""},
    {"run": "R1", "time": "2026-04-13T08:10:00+00:00", "kind": "purge", "value": "12.5"},
]
KEY = ("run", "time", "kind")


def merge(data: bytes | None, rows: list[dict[str, str]] = NEW, order: str | None = None) -> bytes:
    return merged(data, file="records/events.csv", columns=COLUMNS, rows=rows, key=KEY, in_order_of=order)


def test_a_new_file_has_the_columns_that_are_used() -> None:
    made = b"run,time,kind,value\nR1,2026-04-13T08:00:00+00:00,start,\nR1,2026-04-13T08:10:00+00:00,purge,12.5\n"
    assert merge(None) == made
    assert merge(None, NEW[:1]) == b"run,time,kind\nR1,2026-04-13T08:00:00+00:00,start\n"
    assert merge(made) == made


def test_what_stands_there_stays_with_its_dialect_and_unknown_columns() -> None:
    there = '\ufeffkind;own;time;run;value\nremark;a "b";2026-04-13T09:00:00+02:00;R0;1,5\n'.encode()
    made = merge(there)
    assert made.decode().splitlines() == [
        "kind;own;time;run;value",
        'remark;"a ""b""";2026-04-13T09:00:00+02:00;R0;1,5',
        "start;;2026-04-13T08:00:00+00:00;R1;",
        "purge;;2026-04-13T08:10:00+00:00;R1;12,5",
    ]
    assert merge(made) == made


def test_rows_are_put_in_order_of_their_moment_whatever_the_offset() -> None:
    there = b"run,time,kind\nR1,2026-04-13T10:05:00+02:00,remark\n"
    assert [line.split(",")[2] for line in merge(there, order="time").decode().splitlines()[1:]] == ["start", "remark", "purge"]
    nonsense = b"run,time,kind\nR1,soon,remark\n"
    assert b"soon" in merge(nonsense, order="time")


def test_a_file_that_is_no_table_is_left_to_a_person() -> None:
    with pytest.raises(FaultyInput, match="1 fault"):
        merge(b"run,time\nR1,2026,too,many\n")


def test_files_are_replaced_whole(tmp_path: Path) -> None:
    add_rows(tmp_path, {"events.csv": b"one\n"})
    add_rows(tmp_path, {"events.csv": b"two\n", "batches.csv": b"three\n"})
    assert sorted(one.name for one in (tmp_path / "records").iterdir()) == ["batches.csv", "events.csv"]
    assert (tmp_path / "records" / "events.csv").read_bytes() == b"two\n"
