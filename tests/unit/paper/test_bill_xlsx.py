"""The workbook: formulas that compute, no formula out of the user's text, the same bytes."""

import io
import re
import zipfile
from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.job.office import Price
from mainwright.job.origins import Origin
from mainwright.paper.bill_xlsx import render_bill
from mainwright.plan.result import BillLine, Plan
from mainwright.standards.source import Assumed
from mainwright.words.message import Message
from tests.unit.paper.sample import crowded_plan, sample_plan

HOSTILE = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", '=HYPERLINK("x","y")', "\r=1")


def _book(plan: Plan, *, values: bool = False) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(render_bill(plan)), data_only=values)


def _value(sheet: Mapping[str, object], text: str) -> float | None:
    """Compute a line's formula the way a spreadsheet does."""
    found = re.fullmatch(r'=IF\(ISNUMBER\((\w+)\),(\w+)\*(\w+),IF\(ISNUMBER\((\w+)\),(\w+)\*(\w+),""\)\)', text)
    assert found, text
    if isinstance(sheet.get(found[1]), int | float):
        return float(sheet[found[2]]) * float(sheet[found[3]])  # type: ignore[arg-type]
    if isinstance(sheet.get(found[4]), int | float):
        return float(sheet[found[5]]) * float(sheet[found[6]])  # type: ignore[arg-type]
    return None


def test_formulas_give_what_was_stored_with_them() -> None:
    plan = sample_plan()
    formulas, values = _book(plan)["Bill"], _book(plan, values=True)["Bill"]
    cells = {cell.coordinate: cell.value for row in formulas.iter_rows() for cell in row}
    sums = {"H": 0.0, "I": 0.0, "J": 0.0}
    for row in range(6, 6 + len(plan.bill)):
        for column in sums:
            computed = _value(cells, str(cells[f"{column}{row}"]))
            stored = values[f"{column}{row}"].value
            assert (stored or None) == (computed if computed is None else pytest.approx(computed))
            sums[column] += computed or 0.0
    last = 6 + len(plan.bill)
    for column, name in (("H", "low"), ("I", "rate"), ("J", "high")):
        assert cells[f"{column}{last}"] == f"=SUM({column}6:{column}{last - 1})"
        assert values[f"{column}{last}"].value == pytest.approx(sums[column])
        assert getattr(plan.cost, name) == pytest.approx(sums[column])
    assert values[f"I{last + 1}"].value == 1


@pytest.mark.parametrize("text", HOSTILE)
def test_text_of_the_user_is_never_a_formula(text: str) -> None:
    plan = crowded_plan()
    info = replace(plan.job.info, name=text, client=text, reference=text)
    line = BillLine(text, Message("{a}", (("a", text),)), text, 1.0, None, 2.0, None, Message("{a}", (("a", text),)))
    assumed = Assumed(text, text, text, Message("{a}", (("a", text),)))
    book = _book(replace(plan, job=replace(plan.job, info=info), bill=(line, *plan.bill), assumed=(assumed,)))
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert str(cell.value).startswith(("=IF(ISNUMBER(", "=SUM(", "=COUNTBLANK("))
                assert cell.hyperlink is None


@settings(max_examples=25, deadline=None)
@given(st.text(max_size=60))
def test_no_text_breaks_the_file(text: str) -> None:
    plan = sample_plan()
    info = replace(plan.job.info, name=text, client=text, reference=text)
    book = _book(replace(plan, job=replace(plan.job, info=info)))
    assert book.sheetnames == ["Bill", "Quantities", "Assumed", "Sources"]


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert render_bill(sample_plan()) == render_bill(sample_plan())


def test_there_are_no_macros_and_no_ways_out() -> None:
    with zipfile.ZipFile(io.BytesIO(render_bill(crowded_plan()))) as archive:
        assert not [name for name in archive.namelist() if "vba" in name.lower() or "external" in name.lower()]


def test_heads_stay_and_pages_are_set_up() -> None:
    for sheet in _book(sample_plan()).worksheets:
        assert sheet.freeze_panes == "A6"
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.print_title_rows == "$5:$5"


def test_an_empty_bill_is_a_workbook_too() -> None:
    assert _book(replace(sample_plan(), bill=()))["Bill"]["A6"].value == "Sum of what is priced"


def test_german_has_its_names() -> None:
    assert len(_book(sample_plan(language="de")).sheetnames) == 4


def _origins(plan: Plan) -> dict[str, str]:
    sheet = _book(plan)["Bill" if plan.job.info.language == "en" else "Leistungsverzeichnis"]
    head = {cell.value: place for place, cell in enumerate(sheet[5])}
    where = head["Price from" if plan.job.info.language == "en" else "Preis aus"]
    return {str(row[1].value): str(row[where].value) for row in sheet.iter_rows(min_row=6, max_row=5 + len(plan.bill))}


def test_each_price_says_where_it_comes_from() -> None:
    plan = sample_plan()
    priced = [one.item for one in plan.job.prices if one.rate is not None]
    line = plan.bill[0]
    price = (
        replace(plan.job.prices[0], item=line.item, unit=line.unit, rate=line.rate or 1.0)
        if plan.job.prices
        else Price(line.item, line.unit, None, 1.0, None)
    )
    kept = Origin(
        "prices", line.item, "Rates of Cobbler and Vane", 3, date(2026, 2, 1), "practice", "A. Vane", "calculated in the office", None, True
    )
    job = replace(plan.job, prices=(price, *(one for one in plan.job.prices if one.item != line.item)), origins=(kept,))
    found = _origins(replace(plan, job=job))
    assert (
        found[line.item]
        == "prices.csv, row 1: Rates of Cobbler and Vane, 3 (2026-02-01), calculated in the office (common practice, no source)"
    )
    changed = _origins(replace(plan, job=replace(job, origins=(replace(kept, stands=False),))))
    assert changed[line.item].startswith("prices.csv, row 1: changed here; before: Rates of Cobbler and Vane")
    for other in plan.bill[1:]:
        assert (found[other.item] == "no rate in prices.csv") == (other.item not in priced)


def test_a_piece_is_counted_by_the_piece_in_german() -> None:
    plan = sample_plan(language="de")
    lines = [
        replace(plan.bill[0], item=f"x{unit}", unit=unit) for unit in ("each", "hour", "day", "m", "m2", "m3", "t", "lump_sum", "Paar")
    ]
    sheet = _book(replace(plan, bill=tuple(lines))).worksheets[0]
    assert [row[3].value for row in sheet.iter_rows(min_row=6, max_row=5 + len(lines))] == [
        "St.",
        "h",
        "Tag",
        "m",
        "m²",
        "m³",
        "t",
        "psch.",
        "Paar",
    ]
