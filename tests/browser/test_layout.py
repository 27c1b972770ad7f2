"""The layout at work in a real browser: an opening dragged, moved by keyboard and as a number, fixed, ruled out, saved."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.test_places import until_planned
from tests.browser.test_survey import until

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser


def at_work(page: Page) -> list[float]:
    until_planned(page)
    until(page, "document.getElementById('desk')?.dataset.shown && document.querySelector('.ribbon-body canvas') !== null", seconds=30)
    return shown(page)


def shown(page: Page) -> list[float]:
    return [float(one) for one in str(page.get_attribute("#desk", "data-shown")).split()]


def test_an_opening_is_dragged_and_price_and_limits_come_at_once(
    server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None]
) -> None:
    page = opened(server.address + "jobs/tl-03/layout", size="wide")
    before = at_work(page)
    accessible(page)
    assert page.inner_text("[data-show=keeps]") == "keeps every limit"
    cost = page.inner_text("[data-show=cost]")
    grip = page.locator(".grip").nth(3).bounding_box()
    assert grip is not None
    x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] - 50
    page.mouse.move(x, y)
    page.mouse.down()
    times = []
    for step in range(1, 13):
        page.mouse.move(x + 5 * step, y)
        page.wait_for_timeout(60)
        times.append(float(str(page.get_attribute("#desk", "data-time"))))
    page.mouse.up()
    until(page, f"document.getElementById('desk').dataset.shown !== '{' '.join(f'{one:g}' for one in before)}'")
    after = shown(page)
    assert after[3] > before[3] + 20
    assert [one for place, one in enumerate(after) if place != 3] == [one for place, one in enumerate(before) if place != 3]
    until(page, f"document.querySelector('[data-show=cost]').textContent !== '{cost}'")
    assert page.inner_text("[data-show=keeps]") == "does not keep a limit"
    assert page.locator(".run.broken").count() >= 1
    assert page.locator(".grip.fixed").count() == 1
    assert sorted(times)[len(times) // 2] < 250  # 30 ms on a quiet machine
    accessible(page)
    page.click("[data-do=back]")
    until(page, "document.querySelector('[data-show=keeps]').textContent === 'keeps every limit'")


def test_by_keyboard_alone_and_kept_as_a_revision(
    fresh_server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None]
) -> None:
    page = opened(fresh_server.address + "jobs/tl-03/layout", size="phone", light="dark", language="de-DE")
    before = at_work(page)
    accessible(page)
    page.locator(".grip").nth(1).focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    until(page, f"document.getElementById('desk').dataset.shown.split(' ')[1] === '{before[1] + 2:g}'")
    page.focus("form.add input")
    page.keyboard.type("450,5")
    page.keyboard.press("Enter")
    until(page, "document.getElementById('desk').dataset.shown.includes(' 450.5 ')")
    until(page, "document.querySelector('.best').textContent.includes('EUR')")
    page.focus("form.save [name=author]")
    page.keyboard.type("A. Person")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('.head').textContent.includes('Revision 2')", seconds=30)
    after = at_work(page)
    assert 450.5 in after
    assert before[1] + 2 in after
    accessible(page)
