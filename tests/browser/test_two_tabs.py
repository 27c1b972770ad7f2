"""Two tabs at one table: what either typed is told and kept, whether they share a browser or not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.test_survey import ready, until

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser


def typed(page: Page, row: int, text: str) -> None:
    """Type into the last cell of a row, as somebody does."""
    page.focus("[data-at='0:0']")
    for _ in range(row):
        page.keyboard.press("ArrowDown")
    page.keyboard.press("End")
    page.keyboard.type(text)
    page.keyboard.press("Enter")
    until(page, "document.querySelector('.unsaved').textContent.includes('features')")


def save(page: Page, author: str) -> None:
    page.fill("form.save [name=author]", author)
    page.click("form.save [data-do=save]")


def said(page: Page) -> str:
    return page.inner_text("form.save .wrong")


def test_neither_of_two_browsers_overwrites_the_other_unseen(fresh_server: Server, opened: Callable[..., Page]) -> None:
    address = fresh_server.address + "jobs/tl-03/survey?table=features"
    one, other = opened(address, expect_faults=True), opened(address, expect_faults=True)
    for page in (one, other):
        ready(page)
    typed(one, 0, "one was here")
    typed(other, 1, "other was here")
    save(one, "One")
    until(one, "document.querySelector('.head').textContent.includes('revision 2')")
    save(other, "Other")
    until(other, "document.querySelector('form.save .wrong').textContent.includes('What you typed is kept here')")
    other.reload()
    ready(other)
    assert "older revision" in said(other)
    assert "other was here" in other.inner_text(".grid")
    # It takes a second press, after a word of what it does, to put it in the place of the other's.
    save(other, "Other")
    until(other, "document.querySelector('form.save .wrong').textContent.includes('Press once more')")
    assert "revision 2" in other.inner_text(".head")
    other.click("form.save [data-do=save]")
    until(other, "document.querySelector('.head').textContent.includes('revision 3')")
    # And what was replaced is still there, two clicks away.
    ready(other)
    other.click("form.compare button")
    assert "one was here" in other.inner_text("main")


def test_two_tabs_of_one_browser_each_save_what_they_show(fresh_server: Server, opened: Callable[..., Page]) -> None:
    address = fresh_server.address + "jobs/tl-03/survey?table=features"
    one = opened(address, expect_faults=True)
    other = one.context.new_page()
    other.goto(address)
    for page in (one, other):
        ready(page)
    typed(one, 0, "one was here")
    typed(other, 1, "other was here")  # kept by the browser in the same place
    until(one, "document.querySelector('form.save .wrong').textContent.includes('another tab')")
    save(one, "One")
    until(one, "document.querySelector('.head').textContent.includes('revision 2')")
    until(other, "document.querySelector('form.save .wrong').textContent.includes('another tab')")
    cells = "fetch('/jobs/tl-03/survey/cells?table=features').then((one) => one.text())"
    assert "one was here" in other.evaluate(cells)
    assert "other was here" not in other.evaluate(cells)
    assert "other was here" in other.inner_text(".grid")
    save(other, "Other")
    until(other, "document.querySelector('form.save .wrong').textContent.includes('What you typed is kept here')")
    other.reload()
    ready(other)
    assert "other was here" in other.inner_text(".grid")  # nothing is lost
