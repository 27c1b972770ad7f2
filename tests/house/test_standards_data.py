"""Every value in the standards' data has a unit, a source and a status."""

import tomllib
from pathlib import Path
from typing import get_args

import pytest

from mainwright.standards.published import TABLES
from mainwright.standards.source import Status
from mainwright.units import UNITS

DATA = Path(__file__).parents[2] / "src" / "mainwright" / "standards" / "data"
FILES = sorted(DATA.glob("*.toml"))


def test_every_file_is_a_named_table() -> None:
    assert [path.stem for path in FILES] == sorted(TABLES)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_value_has_unit_source_and_status(path: Path) -> None:
    given = tomllib.loads(path.read_text(encoding="utf-8"))
    assert given["title"]
    assert given["row"], "an empty table"
    used = set()
    for row in given["row"]:
        assert isinstance(row["value"], int | float), row
        assert row["unit"] in UNITS, row
        assert row["source"] in given["source"], row
        used.add(row["source"])
    for key, source in given["source"].items():
        assert source["title"], key
        assert source["status"] in get_args(Status), key
        assert key in used, f"source {key} is named by no row"


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_no_row_stands_twice(path: Path) -> None:
    given = tomllib.loads(path.read_text(encoding="utf-8"))
    own = {"value", "low", "high", "unit", "note", "source"}
    rows = [tuple(sorted((key, str(content)) for key, content in row.items() if key not in own)) for row in given["row"]]
    assert len(set(rows)) == len(rows)
