"""The library in a real browser: a file brought in, its faults mended in place, taken into a job, and its origin seen there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.test_places import until_planned

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser


def test_from_a_file_to_the_origin_at_a_price(
    fresh_server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None], tmp_path: Path
) -> None:
    prices = tmp_path / "Preise 2026.csv"
    prices.write_text("item;unit;low;rate;high\ncamera;m;;x4,25;\nset_up_run;each;;1450;\n", encoding="utf-8")
    page = opened(fresh_server.address + "library", language="de-DE", expect_faults=True)
    accessible(page)
    page.click("a[href='/library/new?kind=prices']")
    accessible(page)
    page.set_input_files("input[type=file]", str(prices))
    page.click(".entry-form button.first")
    page.wait_for_selector("[role=alert] table")
    accessible(page)
    # Every fault at once: at the cell of the file, and at each field; the text of the file stands there to be mended.
    assert page.locator("[role=alert] tbody tr").count() == 1
    assert "rate" in page.inner_text("[role=alert] tbody")
    assert page.locator("[aria-invalid=true]").count() == 5
    assert "x4,25" in page.input_value("[name=text_0]")
    page.fill("[name=text_0]", page.input_value("[name=text_0]").replace("x4,25", "4,25"))
    for name, text in (("name", "Frühjahr"), ("origin", "Angebot 7"), ("currency", "EUR"), ("author", "Prüferin")):
        page.fill(f"[name={name}]", text)
    page.select_option("[name=status]", "practice")
    page.click(".entry-form button.first")
    page.wait_for_url("**/library/entries/fr-hjahr")
    accessible(page)
    page.click(".into a")
    page.wait_for_selector("text=4.25")
    accessible(page)
    page.fill("main form[method=post] [name=author]", "Prüferin")
    page.click("main form[method=post] button.first")
    page.wait_for_url("**/library")
    accessible(page)
    assert page.locator("main .state.good").count() == 2
    job = page.url.rsplit("/", 1)[0]
    page.goto(f"{job}/money")
    until_planned(page)
    accessible(page)
    assert "Frühjahr [" in page.inner_text("main")
    # The sum itself says so too, where it is touched.
    page.locator(".answer .origin").first.click()
    note = page.locator(".from:popover-open")
    assert "aus dem eintrag frühjahr der bibliothek" in note.inner_text().lower()
    accessible(page)
    page.keyboard.press("Escape")
    assert note.count() == 0
    # The revision before takes it back.
    page.goto(f"{job}/survey")
    page.fill("form[action$=restore] [name=author]", "Prüferin")
    page.click("form[action$=restore] button[value='1']")
    page.wait_for_url("**/survey")
    page.goto(f"{job}/library")
    assert page.locator("main .state.good").count() == 0


def test_the_whole_library_is_carried_by_one_file(
    fresh_server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None], tmp_path: Path
) -> None:
    page = opened(fresh_server.address + "library", size="phone", light="dark")
    with page.expect_download() as download:
        page.click("a[href='/library/export']")
    file = tmp_path / "library.json"
    download.value.save_as(file)
    page.set_input_files("form[data-bring] input[type=file]", str(file))
    page.fill("form[data-bring] [name=author]", "Carrier")
    page.click("form[data-bring] button")
    page.wait_for_selector("[role=status]")
    accessible(page)
