"""The sheet of a run on a phone and on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.test_places import until_planned

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    "look", [{"size": "phone", "light": "dark", "language": "de-DE"}, {"size": "wide", "light": "light", "language": "en-GB"}]
)
def test_a_run_sheet(server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None], look: dict[str, str]) -> None:
    page = opened(server.address, **look)
    page.click(".jobs h2 a")
    until_planned(page)
    page.click("nav.places a[href$='/runs']")
    until_planned(page)
    page.click(".jumps a >> nth=1")
    assert page.inner_text(".big b")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    accessible(page)
    page.emulate_media(media="print")
    assert page.is_hidden("nav.places")
    assert page.is_hidden("nav.jumps")
    assert page.is_visible(".note-box.caution")
