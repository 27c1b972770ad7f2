"""The papers of a valuation: sums that agree, no formula out of anybody's text, the same bytes."""

import io
import json
from dataclasses import replace

import openpyxl
import pytest

from mainwright.job.records import Records
from mainwright.paper.as_built_files import as_built_csv
from mainwright.paper.valuation_json import valuation_json
from mainwright.paper.valuation_pdf import render_valuation, valuation_paper
from mainwright.paper.valuation_xlsx import render_valuation_book
from mainwright.prove.proof import prove
from mainwright.prove.valuation import Valuation, value
from mainwright.words.wording import Wording
from tests.unit.prove.demo_plan import demo_plan
from tests.unit.prove.test_valuation import _made, _proof, _recorded

EVIL = ('=HYPERLINK("http://x.test";"y")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "=cmd|'/C calc'!A0")


def _evil(text: str) -> Valuation:
    """Return the valuation with a text in every place that a person fills."""
    plan = demo_plan()
    job = replace(plan.job, info=replace(plan.job.info, name=text, client=text, reference=text, currency=text[:4]))
    records = _recorded()
    extras = tuple(replace(one, ref=text, note=text, item=text, unit=text, rate=5.0, instructed_by=text) for one in records.extras)
    quantities = tuple(replace(one, item=text, unit=text) for one in records.quantities)
    records = replace(records, extras=extras, quantities=quantities)
    return value(job, _proof(), bill=plan.bill, records=records)


@pytest.mark.parametrize("text", EVIL)
def test_text_of_a_record_is_never_a_formula(text: str) -> None:
    book = openpyxl.load_workbook(io.BytesIO(render_valuation_book(_evil(text))))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    formulas = [str(cell.value) for cell in cells if cell.data_type == "f"]
    assert formulas
    assert all(not (set(one) & set('"|')) for one in formulas)
    assert any(text.strip() in str(cell.value) for cell in cells if cell.data_type == "s")


@pytest.mark.parametrize("text", EVIL)
def test_text_in_the_table_of_what_was_built_is_never_a_formula(text: str) -> None:
    stretches = [replace(one, document=text) for one in demo_plan().stretches]
    lines = as_built_csv(_proof(), stretches).decode().splitlines()
    cells = [cell.strip('"') for line in lines[1:] for cell in line.split(",")]
    assert any(cell.startswith("'") for cell in cells)
    assert not any(cell.startswith(("=", "+", "@", "\t", "-2")) for cell in cells)


def number(cell: object) -> float:
    assert isinstance(cell, int | float)
    return float(cell)


def test_formulas_give_the_sums() -> None:
    made = _made(retention=0.05)
    data = render_valuation_book(made)
    values = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
    first = values[values.sheetnames[0]]
    shown = [number(row[1].value) for row in first.iter_rows(min_row=6, max_row=13)]
    sums = made.sums
    wanted = [sums.measured, sums.extras, sums.gross, 0.05, -sums.retention, sums.released, -sums.paid, sums.due]
    assert shown == pytest.approx(wanted)
    lines = values["Measured"]
    rows = list(lines.iter_rows(min_row=6, max_row=5 + len(made.lines)))
    assert [number(row[6].value) for row in rows] == pytest.approx([number(row[3].value) * number(row[5].value) for row in rows])
    assert sum(number(row[6].value) for row in rows) == pytest.approx(sums.measured)
    assert sum(shown[2:3] + shown[4:7]) == pytest.approx(sums.due)


def test_the_document_adds_up_and_has_its_proof() -> None:
    found = json.loads(valuation_json(_made(), word=Wording("en", "metric").word))
    assert found["kind"] == "interim_valuation"
    assert found["sums"]["measured"] == pytest.approx(sum(one["amount"] for one in found["lines"]))
    assert found["sums"]["not_in_sum"] == pytest.approx(sum(one["amount"] or 0.0 for one in found["not_in_sum"]))
    assert all(one["why"] for one in found["not_in_sum"])


@pytest.mark.parametrize(("language", "title"), [("en", "Interim valuation"), ("de", "Abschlagsrechnung")])
def test_the_paper_in_both_languages(language: str, title: str) -> None:
    made = _made()
    made = replace(made, job=replace(made.job, info=replace(made.job.info, language=language)))
    paper = valuation_paper(made)
    assert title in str(paper["title"])
    assert "D-02" in json.dumps(paper)


def test_the_same_bytes() -> None:
    made = _made()
    assert render_valuation_book(made) == render_valuation_book(made)
    pdf = render_valuation(made)
    assert pdf[:5] == b"%PDF-"
    assert pdf == render_valuation(made)


def test_an_empty_record_is_a_valuation_of_nothing() -> None:
    plan = demo_plan()
    proof = prove(plan.job, runs=plan.runs, stretches=plan.stretches, records=Records(), issued=None)
    made = value(plan.job, proof, bill=plan.bill, records=Records())
    assert made.sums.gross == 0.0
    assert render_valuation_book(made)[:2] == b"PK"
    assert render_valuation(made)[:5] == b"%PDF-"


def test_each_quantity_names_its_records_and_each_rate_its_origin() -> None:
    made = _made()
    book = openpyxl.load_workbook(io.BytesIO(render_valuation_book(made)))
    for name, behind, count in (("Measured", "Records behind it", len(made.lines)), ("Extras", "Records behind it", len(made.extras))):
        sheet = book[name]
        head = {cell.value: place for place, cell in enumerate(sheet[5])}
        rows = list(sheet.iter_rows(min_row=6, max_row=5 + count))
        assert rows
        for row in rows:
            assert ".csv" in str(row[head[behind]].value)
            assert str(row[head["Price from"]].value).startswith(("prices.csv, row ", "agreed in the record itself"))
    agreed = {one.ref: one.rate is not None for one in _recorded().extras}
    assert {one.ref: one.agreed for one in made.extras if one.ref in agreed} == {
        one.ref: agreed[one.ref] for one in made.extras if one.ref in agreed
    }
