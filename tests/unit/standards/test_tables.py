"""The reference page says what the tables say."""

from pathlib import Path
from typing import get_args

from mainwright.standards.published import TABLES
from mainwright.standards.source import Status
from mainwright.standards.tables import STATUS_MEANING, all_tables, reference_page

PAGE = Path(__file__).parents[3] / "docs" / "reference" / "standards.md"


def test_every_table_is_there_and_holds_something() -> None:
    assert [one.name for one in all_tables()] == list(TABLES)
    assert all(one.rows and one.title for one in all_tables())


def test_every_status_is_explained() -> None:
    assert [status for status, _ in STATUS_MEANING] == list(get_args(Status))


def test_the_reference_page_is_up_to_date() -> None:
    again = "python -c \"import pathlib, mainwright.standards.tables as t; pathlib.Path('docs/reference/standards.md').write_text(t.reference_page())\""
    assert PAGE.read_text(encoding="utf-8") == reference_page(), f"make it again: {again}"


def test_no_shipped_table_offers_a_default_thickness() -> None:
    for one in all_tables():
        for row in one.rows:
            assert row.get("default") is None
            assert "thickness" not in row.text("key")
