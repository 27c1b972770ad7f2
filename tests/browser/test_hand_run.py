"""A whole run recorded by hand marks on a small phone, from its sheet to its proof."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.browser.test_places import until_planned
from tests.browser.test_van import until

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from mainwright.web.server import Server

WORDS = {
    "en-GB": {"follow": "Follow this run", "hand": "by hand"},
    "de-DE": {"follow": "Diesen Abschnitt verfolgen", "hand": "von Hand"},
}


def _press(page: Page, what: str, **fields: str) -> None:
    """Open the form of a button, fill it in and send it; wait until it is on disk."""
    page.click(f"[data-open={what}]")
    for name, text in fields.items():
        page.fill(f"#{what} [name={name}]", text)
    page.click(f"#{what} .first")
    until(page, "document.querySelector('#outbox').children.length === 0")


def _told(page: Page, name: str) -> str:
    return page.inner_text(f"[data-v='{name}']")


def _number(text: str) -> float:
    return float(re.findall(r"[\d.]+", text.replace(",", "."))[0])


@pytest.mark.parametrize("language", ["en-GB", "de-DE"])
def test_a_run_by_hand_marks_on_a_phone(  # noqa: PLR0915 - one story
    fresh_server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None], language: str
) -> None:
    words = WORDS[language]
    page = opened(fresh_server.address, size="phone", language=language)
    page.click(".jobs h2 a")
    until_planned(page)
    page.goto(re.sub(r"/[^/]+$", "/runs/R01", page.url))
    until_planned(page)
    page.set_viewport_size({"width": 360, "height": 640})
    page.click(f"text={words['follow']}")
    accessible(page)
    begin, end = (_number(one) for one in page.inner_text(".answer .numbers").split("→"))
    forward = 1.0 if end > begin else -1.0

    def at(way: float) -> str:
        text = f"{begin + forward * way:.2f}"
        return text.replace(".", ",") if language == "de-DE" else text

    page.fill("input[name=who]", "Ada")
    page.click("main form .first")
    page.wait_for_selector("#van")
    until(page, "document.querySelector('[data-s=phase]').dataset.state === 'ready'")
    assert _told(page, "charge") == "Ada"
    _press(page, "batch")
    _press(page, "start")
    for number in range(1, 4):
        page.wait_for_timeout(1500)
        _press(page, "mark", chainage_m=at(0.25 * number), flow_l_min="20")
    until(page, "/^[0-9]+[.,][0-9]$/.test(document.querySelector(\"[data-v='thickness']\").textContent)")
    thickness = _number(_told(page, "thickness"))
    assert 1.0 < thickness < 60.0
    # What a stopwatch and the setting of a pump leave open is told with it; sensors would leave some hundredths.
    assert page.is_visible("[data-v='sure']")
    assert _number(_told(page, "sure")) > 0.05 * thickness
    assert words["hand"] in page.inner_text(".van-head")
    accessible(page)
    page.click("[data-for=stop] button")
    until(page, "document.querySelector('[data-s=phase]').dataset.state === 'stopped'")
    page.reload()
    until(page, "document.querySelector('#link').dataset.state === 'good'")
    _press(page, "restart")
    page.wait_for_timeout(1200)
    _press(page, "mark", chainage_m=at(1.0), flow_l_min="20")
    _press(page, "remark", text="pit shallow, dry")
    seen = 0
    while page.query_selector("#alarm-list li.new .press") is not None:
        page.click("#alarm-list li.new .press")
        page.wait_for_timeout(300)
        seen += 1
    # So much mortar on a metre is too thick.
    assert seen > 0
    page.click("[data-open=end]")
    page.select_option("#end select", "aborted")
    page.fill("#end [name=why]", "rain")
    page.click("#end .first")
    until(page, "document.querySelector('[data-s=phase]').dataset.state === 'ended'")
    _press(page, "ends")
    page.wait_for_timeout(2500)

    page.click(".van-head .back")
    until_planned(page)
    assert page.url.endswith("/runs/R01")
    page.goto(page.url.replace("/runs/R01", "/proof/R01"))
    until_planned(page)
    text = page.text_content("main") or ""
    assert "R01" in text
    assert "rain" in text
    assert "pit shallow, dry" in text
    accessible(page)
