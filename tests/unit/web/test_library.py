"""The library shows every published value with its source, and says which were not read."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from mainwright.bootstrap.serving import page_use_cases
from mainwright.standards.tables import all_tables
from mainwright.web.app import create_app
from mainwright.web.views.library import library_view, table_view
from mainwright.words.wording import Wording
from mainwright.workflow.values import published_table


def test_every_table_is_listed_with_its_count() -> None:
    shown = library_view(Wording("en", "metric", " "))
    assert [row[0]["href"] for row in shown["rows"]] == [f"/library/{one.name}" for one in all_tables()]
    for row, one in zip(shown["rows"], all_tables(), strict=True):
        assert int(row[1].replace(" ", "").replace(",", "")) == len(one.rows) == sum(int(cell) for cell in row[2:] if cell)


def test_the_answer_counts_what_was_not_read() -> None:
    from_memory = sum(row.published.source.status == "memory" for one in all_tables() for row in one.rows)
    assert library_view(Wording("en", "metric", " "))["answer"][1].startswith(f"{from_memory} are from memory")
    assert library_view(Wording("de", "metric", " "))["answer"][1].startswith(f"{from_memory} sind aus dem Gedächtnis")


def test_each_value_stands_with_its_source_and_status() -> None:
    for one in all_tables():
        shown = table_view(one, Wording("de", "us", " "))
        assert len(shown["rows"]) == len(one.rows)
        for cells, row in zip(shown["rows"], one.rows, strict=True):
            assert row.published.source.title in cells[4]
            assert cells[3]["text"]
            assert cells[3]["assumed"] == (row.published.source.status in ("memory", "practice"))


def test_a_bore_is_shown_in_the_units_of_the_reader() -> None:
    table = published_table("bores")
    assert table is not None
    assert table_view(table, Wording("en", "metric", " "))["rows"][0][1] == "75.0 mm"
    assert table_view(table, Wording("en", "us", " "))["rows"][0][1].endswith("in")


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_table_has_its_page(language: str) -> None:
    client = TestClient(create_app(page_use_cases(), hosts=["127.0.0.1:8420"]), base_url="http://127.0.0.1:8420")
    for path in ("/library", *(f"/library/{one.name}" for one in all_tables())):
        answer = client.get(path, headers={"accept-language": language})
        assert answer.status_code == 200, path
        assert len(answer.content) < 300_000, path
    assert client.get("/library/none").status_code == 404
