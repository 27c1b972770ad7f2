"""Every key of a mapping is documented, and nothing is documented that is not there."""

import re
from pathlib import Path

import pytest

from mainwright.job.columns import TABLES
from mainwright.workflow import mapping_reader

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "mapping.md").read_text(encoding="utf-8")
SECTIONS = {
    head.split(":")[0].strip("[] "): body for head, body in re.findall(r"^## (.+?)\n(.*?)(?=^## |\Z)", PAGE, flags=re.MULTILINE | re.DOTALL)
}
KEYS = {
    "inventory": mapping_reader._INVENTORY_KEYS,
    "main": mapping_reader._MAIN_KEYS,
    "A rule for a column": mapping_reader._CELL_KEYS,
    "geometry": mapping_reader._GEOMETRY_KEYS,
}


@pytest.mark.parametrize("section", KEYS)
def test_keys(section: str) -> None:
    assert set(re.findall(r"^\| `(\w+)` \|", SECTIONS[section], flags=re.MULTILINE)) == set(KEYS[section])


def test_tables() -> None:
    (section,) = [body for head, body in SECTIONS.items() if "features" in head]
    named = section.split("Named as our files")[1].split("Each may")[0]
    ours = {name for name, table in TABLES.items() if not table.is_toml}
    assert set(re.findall(r"`(\w+)`", named)) == ours - {"main"}
    for key in mapping_reader._TABLE_KEYS:
        assert f"`{key}`" in section
