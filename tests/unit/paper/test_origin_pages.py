"""Values that were taken from a library keep their origin on paper, on pages and in plan.json."""

import json
from dataclasses import replace
from typing import Any

import pytest

from mainwright.demo.job import demo_files
from mainwright.folder.reading import read_files
from mainwright.job.document import Document, job_from_document
from mainwright.job.origins import marks_of
from mainwright.paper.pen import Pen
from mainwright.paper.place_sections import place_sections
from mainwright.paper.plan_json import plan_json
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.plan.taken import origin_of, taken_entries
from mainwright.words.wording import Wording


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The demo, of which two prices, a thickness and a pump were taken from a library; one price was changed since."""
    document = read_files(demo_files()).document
    marks = marks_of(document.tables)
    pump = document.rows("pump")[0]["name"]
    keys = ("lining.nominal_mm", "prices.camera", "prices.set_up_run", f"pump.{pump}")
    rows: list[Any] = [
        {
            "table": key.partition(".")[0],
            "name": key.partition(".")[2],
            "entry": "Rates of spring",
            "revision": 3,
            "day": "2026-03-01",
            "status": "practice",
            "author": "A. Lead",
            "origin": "Tender 7",
            "mark": "0" if key == "prices.set_up_run" else marks[key],
        }
        for key in keys
    ]
    return make_plan(
        job_from_document(Document({**document.tables, "origins": rows}, document.alignment, document.extra, document.headers))
    )


def test_a_value_knows_whether_it_still_is_what_was_taken(plan: Plan) -> None:
    camera, set_up = (origin_of(plan.job, key) for key in ("prices.camera", "prices.set_up_run"))
    assert camera is not None
    assert set_up is not None
    assert (camera.stands, set_up.stands) == (True, False)
    assert origin_of(plan.job, "prices.cement") is None
    assert [one.changed for one in taken_entries(plan.job)] == [("prices.set_up_run",)]


def test_plan_json_names_each_origin(plan: Plan) -> None:
    say = Wording("en", "metric", " ")
    whole = json.loads(plan_json(plan, word=say.word))
    assert {one["what"]: one["as_taken"] for one in whole["origins"]}["prices.set_up_run"] is False
    assert whole["origins"][0] == {
        "what": "lining.nominal_mm", "entry": "Rates of spring", "revision": 3, "day": "2026-03-01", "status": "practice", "author": "A. Lead",
        "origin": "Tender 7", "as_taken": True,
    }  # fmt: skip
    assert {"title": "Rates of spring", "edition": "3 (2026-03-01)", "clause": "Tender 7", "status": "practice"} in whole["sources"]


@pytest.mark.parametrize(
    ("place", "told"),
    [
        ("lining", "From the library: Rates of spring"),
        ("runs", "From the library: Rates of spring"),
        ("money", "changed here; before: Rates of spring"),
    ],
)
def test_the_origin_stands_at_the_number(plan: Plan, place: str, told: str) -> None:
    sections = place_sections(place, plan, Wording("en", "metric", " "))
    at_hand = json.dumps([one.blocks for one in sections if not one.folded], ensure_ascii=False)
    folded = json.dumps([(one.head, one.blocks) for one in sections if one.folded], ensure_ascii=False)
    assert told in at_hand
    assert "Taken from the library" in folded
    assert "Rates of spring, 3 (2026-03-01), Tender 7" in folded


def test_a_bill_has_the_origin_in_the_row_of_its_price(plan: Plan) -> None:
    from mainwright.paper.work_pages import bill_pages

    pen = Pen(Wording("de", "metric", " "), "EUR")
    table: Any = next(one for one in bill_pages(plan, pen) if one["kind"] == "table")
    assert table["heads"][-1] == "Preis aus"
    assert {len(row) for row in table["rows"]} == {len(table["heads"])} == {len(table["widths"])}
    by_item = {line.item: row[-1] for line, row in zip(plan.bill, table["rows"], strict=False)}
    assert by_item["camera"] == "Rates of spring [1]"
    assert by_item["set_up_run"] == "hier geändert; vorher: Rates of spring, 3 (2026-03-01)"
    assert by_item["cement"] == "–"


def test_a_job_without_origins_shows_nothing_of_them(plan: Plan) -> None:
    plain = replace(plan, job=replace(plan.job, origins=()))
    for place in ("lining", "runs", "money", "programme"):
        assert "library" not in json.dumps([(one.head, one.blocks) for one in place_sections(place, plain, Wording("en", "metric", " "))])
