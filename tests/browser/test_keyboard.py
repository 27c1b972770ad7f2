"""The main job with the keyboard alone: from a pasted table to the plan on paper. No mouse anywhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.test_layout import at_work
from tests.browser.test_places import until_planned
from tests.browser.test_survey import ready, until

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser
PASTED = "from_m\tto_m\tdn\tmaterial\tyear\tbore_mm\n0\t120,5\t150\tgrey_iron\t1911\t150\n120,5\t200\t150\tgrey_iron\tx1911\t150\n"

VISIBLE = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return true;
  const box = one.getBoundingClientRect(), style = getComputedStyle(one), label = one.closest("label");
  const ringed = [style, label && getComputedStyle(label)].some((s) => s && s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2);
  return ringed && box.width > 0 && box.height > 0;
}"""


def tab_to(page: Page, selector: str, *, most: int = 120) -> None:
    """Press the tabulator until something has the focus; whatever has it on the way can be seen to have it."""
    for _ in range(most):
        if page.evaluate("(one) => document.activeElement?.matches(one) ?? false", selector):
            return
        page.keyboard.press("Tab")
        assert page.evaluate(VISIBLE), page.evaluate("document.activeElement.outerHTML.slice(0, 300)")
    pytest.fail(f"{selector} is not reached")


def cell_of(page: Page, row: int, name: str) -> None:
    """Go to a cell of a table with the arrows."""
    column = page.evaluate(
        "(name) => [...document.querySelectorAll('.grid thead th')].findIndex((one) => one.textContent.startsWith(name)) - 1", name
    )
    assert column >= 0
    page.keyboard.press("Control+Home")
    for _ in range(row):
        page.keyboard.press("ArrowDown")
    for _ in range(column):
        page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.dataset.at") == f"{row}:{column}"


def line_of(page: Page, name: str, value: str) -> None:
    """Go to the line of a table that has one value a line, and type it."""
    page.keyboard.press("Control+Home")
    row = page.evaluate(
        "(name) => [...document.querySelectorAll('.grid tbody th')].findIndex((one) => one.textContent.replace(' *', '') === name)", name
    )
    assert row >= 0
    for _ in range(row):
        page.keyboard.press("ArrowDown")
    page.keyboard.type(value)
    page.keyboard.press("Enter")


def paste_and_mend(page: Page) -> None:
    """Paste a table, mend its fault at the cell, fill in what the contract asks, and save."""
    tab_to(page, "[data-do=paste]")
    page.keyboard.press("Enter")
    tab_to(page, "#paste textarea")
    page.keyboard.insert_text(PASTED)
    until(page, "!document.querySelector('.meant').hidden")
    tab_to(page, "#paste button[value=take]")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('[aria-invalid=true]')?.textContent === 'x1911'")
    tab_to(page, "[data-at]")
    cell_of(page, 1, "year")
    page.keyboard.type("1911")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('[aria-invalid=true]') === null")
    tab_to(page, "a[data-name=lining]")
    page.keyboard.press("Enter")
    until(
        page, "document.getElementById('editor')?.dataset.table === 'lining' && document.getElementById('editor').dataset.ready === 'yes'"
    )
    tab_to(page, "[data-at]")
    for name, text in (("governing_document", "Specification of this test"), ("nominal_mm", "6"), ("minimum_mm", "5")):
        line_of(page, name, text)
    tab_to(page, "form.save [name=author]")
    page.keyboard.press("Control+a")
    page.keyboard.type("A. Person")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('.head').textContent.includes('revision 2')", seconds=30)


def move_openings(page: Page) -> None:
    """Add an opening to the layout, free it, fix it again, and save."""
    tab_to(page, "nav.places a[href$='/layout']")
    page.keyboard.press("Enter")
    before = at_work(page)
    tab_to(page, "form.add input")
    page.keyboard.type("80")
    page.keyboard.press("Enter")
    until(page, "document.getElementById('desk').dataset.shown.split(' ').includes('80')")
    tab_to(page, ".grip.fixed")
    page.keyboard.press("Space")
    until(page, "document.querySelector('.grip.fixed') === null")
    page.keyboard.press("Space")
    until(page, "document.querySelector('.grip.fixed') !== null")
    assert 80 not in before
    tab_to(page, "form.save [name=author]")
    page.keyboard.press("Control+a")
    page.keyboard.type("A. Person")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('.head').textContent.includes('revision 3')", seconds=30)
    assert 80 in at_work(page)


def plan_on_paper(page: Page, place: Path) -> bytes:
    """Have the plan made, and fetch it."""
    tab_to(page, "nav.places a[href$='/documents']")
    page.keyboard.press("Enter")
    until_planned(page)
    tab_to(page, "form[action$='/documents/plan.pdf'] button[value=make]")
    page.keyboard.press("Enter")
    until(page, "document.querySelector(\"a[download][href$='/documents/plan.pdf']\") !== null", seconds=60)
    page.wait_for_load_state()
    tab_to(page, "a[download][href$='/documents/plan.pdf']")
    with page.expect_download() as coming:
        page.keyboard.press("Enter")
    coming.value.save_as(place / "plan.pdf")
    return (place / "plan.pdf").read_bytes()


def test_from_a_pasted_table_to_the_plan_on_paper(fresh_server: Server, opened: Callable[..., Page], tmp_path: Path) -> None:
    page = opened(fresh_server.address, expect_faults=True)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    tab_to(page, "main a[href='/new-job']", most=3)  # the link past the head leads past the head
    page.keyboard.press("Enter")
    page.wait_for_url("**/new-job")
    for name, text in (("name", "Harbour Street"), ("reference", "HS-01"), ("author", "A. Person")):
        tab_to(page, f"main [name={name}]")
        page.keyboard.type(text)
    page.keyboard.press("Enter")
    ready(page)
    paste_and_mend(page)
    move_openings(page)
    content = plan_on_paper(page, tmp_path)
    assert content.startswith(b"%PDF")
    assert len(content) > 20_000
