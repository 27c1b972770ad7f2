"""Every place of a job: reached from the list, in both languages and lights, on small and wide screens."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import pytest

from mainwright.web.place import PLACES

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser


def until_planned(page: Page) -> None:
    """Wait until the page that says how far a plan is has gone."""
    from playwright.sync_api import Error

    last = time.monotonic() + 60.0
    while time.monotonic() < last:
        try:
            page.wait_for_load_state()
            if page.query_selector("h1") is not None and page.query_selector("progress") is None:
                return
        except Error:  # it came again just now
            pass
        page.wait_for_timeout(200)
    pytest.fail("the plan was never there")


@pytest.mark.parametrize(
    "look", [{"size": "phone", "light": "light", "language": "de-DE"}, {"size": "wide", "light": "dark", "language": "en-GB"}]
)
@pytest.mark.parametrize("place", PLACES)
def test_every_place(
    server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None], place: str, look: dict[str, str]
) -> None:
    page = opened(server.address, **look)
    page.click(".jobs h2 a")
    until_planned(page)
    page.click(f"nav.places a[href$='/{place}']")
    until_planned(page)
    assert page.inner_text("nav.places a[aria-current]")
    assert page.inner_text("h1")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    accessible(page)


@pytest.mark.parametrize("language", ["en-GB", "de-DE"])
def test_the_library(server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None], language: str) -> None:
    page = opened(server.address + "library", language=language)
    assert page.inner_text("h1")
    accessible(page)
