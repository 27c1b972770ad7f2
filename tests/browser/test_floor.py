"""What every page has: look, language, light, the way by keyboard, and no request that leaves the machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("size", ["laptop", "phone", "wide"])
@pytest.mark.parametrize("light", ["light", "dark"])
def test_jobs_page(server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None], size: str, light: str) -> None:
    page = opened(server.address, size=size, light=light)
    assert page.inner_text("h1") == "1 job is open, 1236\u00a0m of main."
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    accessible(page)


def test_fonts_are_our_own(server: Server, opened: Callable[..., Page]) -> None:
    page = opened(server.address)
    page.evaluate("document.fonts.ready")
    assert page.evaluate("[...document.fonts].filter(one => one.status === 'loaded').length") >= 2


def test_look_is_chosen_by_keyboard_and_kept(server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None]) -> None:
    page = opened(server.address)
    page.focus("summary")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowRight")
    accessible(page)
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.get_attribute("html", "lang") == "de"
    assert page.get_attribute("html", "data-light") == "dark"
    assert page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--paper')") == "#10181d"
    page.reload()
    assert page.get_attribute("html", "lang") == "de"


def test_the_language_of_the_browser_is_taken(server: Server, opened: Callable[..., Page]) -> None:
    assert opened(server.address, language="de-DE").get_attribute("html", "lang") == "de"


def test_an_address_that_is_not_there(server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None]) -> None:
    page = opened(server.address + "nowhere", expect_faults=True)
    assert page.inner_text("h1") == "There is nothing here"
    accessible(page)


def test_first_load_is_small(server: Server, opened: Callable[..., Page]) -> None:
    page = opened(server.address)
    page.wait_for_load_state("networkidle")
    sent = page.evaluate("performance.getEntries().reduce((sum, one) => sum + (one.transferSize || 0), 0)")
    assert 0 < sent < 300_000


def test_works_without_script(server: Server, opened: Callable[..., Page]) -> None:
    page = opened(server.address, script=False)
    page.click("summary")
    page.check("input[value=us]", force=True)
    page.click("form button")
    assert "ft" in page.inner_text("h1")
