"""What people really paste out of spreadsheets, into the tables of a job in a real browser: nothing is lost, and each fault stands at its cell."""

from __future__ import annotations

import json
import random
from typing import TYPE_CHECKING, Any

import pytest

from mainwright.job.columns import TABLES
from mainwright.workflow.editing import columns_of
from tests.browser.test_survey import ready, until

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser

GARBAGE = (
    "", "", "12,5", "1.234,5", 'say "so"', "two\nlines", "three\n\"quoted\"\nlines\there", "שלום עולם", "\u202eabc", "z\u200bw", "=1+1", "NaN", "1e999", "٣٤",
    "x" * 300, "'", "--", "#REF!", "  blanks  ", "a\0b", "<script>alert(1)</script>", "½", "−3", "1 000", "0x10", "TRUE", "2026-02-30", "🚰",
)  # fmt: skip
FEW = ("main", "services", "by_dn")
MANY = tuple(name for name, table in TABLES.items() if table.shape == "rows" and not table.file.startswith("records") and name != "origins")


def _copied(cell: str) -> str:
    return '"' + cell.replace('"', '""') + '"' if set(cell) & set('"\t\n') else cell


def _as_kept(cell: str) -> str:
    return cell.replace("\0", "").strip()


def _paste(page: Page, text: str) -> None:
    page.evaluate(
        """(text) => { const data = new DataTransfer(); data.setData('text/plain', text);
        document.querySelector('.grid tbody').dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true })); }""",
        text,
    )


def _draft(page: Page, job: str, table: str) -> dict[str, Any]:
    key = f"mainwright:/jobs/{job}/survey:{table}"
    until(page, f"localStorage.getItem({json.dumps(key)}) !== null", seconds=30.0)
    found: dict[str, Any] = json.loads(page.evaluate(f"localStorage.getItem({json.dumps(key)})"))
    return found


def _plain(text: str) -> str:
    return " ".join(text.split())


def test_garbage_in_every_table_is_kept_and_told(fresh_server: Server, opened: Callable[..., Page], *, full_size: bool) -> None:
    chance = random.Random(7)
    page = opened(fresh_server.address + "jobs/tl-03/survey?table=main", size="wide", expect_faults=True)
    pasted: dict[str, list[list[str]]] = {}
    for table in MANY if full_size else FEW:
        if table != "main":
            page.goto(fresh_server.address + f"jobs/tl-03/survey?table={table}")
        ready(page)
        wide, count = len(columns_of(TABLES[table])), (1000 if full_size else 200) if table == "services" else 30
        rows = [[chance.choice(GARBAGE) for _ in range(wide)] for _ in range(count)]
        for row in rows:
            row[0] = row[0] or "merged"  # a row of nothing is none
        rows[0] = ["1"] * wide  # no heads
        pasted[table] = [[_as_kept(cell) for cell in row] for row in rows]
        # Every row with tabs at its end, as spreadsheets copy what was once used.
        _paste(page, "\r\n".join("\t".join(map(_copied, row)) + "\t\t" for row in rows) + "\r\n")
        draft = _draft(page, "tl-03", table)
        assert [row[:wide] for row in draft["rows"][:count]] == pasted[table], table
        until(page, "document.querySelectorAll('.grid-faults button.fault').length > 20", seconds=60.0)
        # The cell that is shown as faulty is the one that was pasted there.
        marked = page.evaluate("[...document.querySelectorAll('[aria-invalid=true]')].map((one) => [one.dataset.at, one.textContent])")
        assert marked
        for at, text in marked:
            down, across = map(int, at.split(":"))
            assert pasted[table][down][across] == text
    page.fill("form.save [name=author]", "A. Person")
    page.click("form.save [data-do=save]")
    until(page, "document.querySelector('.head')?.textContent.includes('revision 2')", seconds=60.0)
    for table, rows in pasted.items():
        kept = page.evaluate("(table) => fetch(`/jobs/tl-03/survey/cells?table=${table}`).then((answer) => answer.json())", table)
        assert len(kept["rows"]) >= len(rows)
        for place, (had, has) in enumerate(zip(rows, kept["rows"], strict=False)):
            for column, (cell, there) in enumerate(zip(had, has, strict=False)):
                assert bool(cell) == bool(there), (table, place, column, cell, there)
                if not cell.strip("−-+").replace(",", "").replace(".", "").isdigit() and cell not in ("TRUE", "½", "1e999"):
                    assert _plain(there) == _plain(cell), (table, place, column)


def test_what_does_not_fit_is_said_and_a_cell_of_two_lines_is_one_cell(fresh_server: Server, opened: Callable[..., Page]) -> None:
    page = opened(fresh_server.address + "jobs/tl-03/survey?table=job", expect_faults=True)
    ready(page)
    before = page.inner_text(".grid")
    _paste(page, "\n".join(f"line {place}" for place in range(200)))
    until(page, "document.querySelector('form.save .wrong').textContent !== ''")
    assert page.inner_text(".grid") == before
    _paste(page, '"a name of\ntwo lines"\tleft')
    until(page, "document.querySelector('form.save .wrong').textContent.includes('Nothing was taken')")
    _paste(page, '"a name of\ntwo lines"')
    assert _draft(page, "tl-03", "job")["rows"][0][0] == "a name of\ntwo lines"
    # Opened and left again, it is as it was.
    page.focus("[data-at='0:0']")
    page.keyboard.press("F2")
    page.keyboard.press("Enter")
    assert _draft(page, "tl-03", "job")["rows"][0][0] == "a name of\ntwo lines"
    page.goto(fresh_server.address + "jobs/tl-03/survey?table=bore")
    ready(page)
    # More columns than the table has: which is which is asked, nothing is dropped unsaid.
    _paste(page, "\n".join("\t".join(["1"] * 12) for _ in range(3)))
    until(page, "document.getElementById('paste').open && document.querySelectorAll('.meant select').length === 12")
    page.keyboard.press("Escape")
    # An empty first cell, and numbers with a decimal comma in one column.
    page.focus("[data-at='0:0']")
    _paste(page, "\t7,5\n8,5\t9,5")
    until(
        page,
        "document.querySelector(\"[data-at='0:1']\").textContent === '7,5' && document.querySelector(\"[data-at='1:0']\").textContent === '8,5'",
    )
    _paste(page, "12,5\n13,5")
    until(
        page,
        "document.querySelector(\"[data-at='0:0']\").textContent === '12,5' && document.querySelector(\"[data-at='1:1']\").textContent === '9,5'",
    )
