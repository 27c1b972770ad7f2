"""Every page of the list: by the rules of axe-core in dark on a phone or in light on a wide screen, no wider than either, and on paper; in every look where there is time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import pytest

from mainwright.web.roles import NEEDS
from tests.browser.conftest import AXE
from tests.browser.every_page import EVERY_PAGE, FILES, Shown, show
from tests.browser.stage import stage
from tests.unit.web.test_roles import routes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

    from tests.browser.stage import Stage

PHONE: Final = (360, 740)
WIDE: Final = (1920, 1080)
LOOKS: Final = ((PHONE, "dark"), (WIDE, "light"))
ALL: Final = tuple((size, light) for size in (PHONE, WIDE) for light in ("light", "dark"))

# What stands outside its own box or outside the screen, where nothing slides: words that nobody can read.
CUT: Final = """() => {
  const slides = (one) => { for (let at = one.parentElement; at; at = at.parentElement) if (/auto|scroll/.test(getComputedStyle(at).overflowX)) return true; return false; };
  const found = [];
  if (document.documentElement.scrollWidth > innerWidth) found.push(`the page is ${document.documentElement.scrollWidth} wide`);
  for (const one of document.querySelectorAll("h1, h2, h3, p, li, dt, dd, label, summary, .press, .state, .field > span")) {
    if (!one.checkVisibility({ visibilityProperty: true }) || one.closest(".heard, .ribbon, svg, .van-bar") || slides(one)) continue;
    const box = one.getBoundingClientRect(), style = getComputedStyle(one);
    if (!box.width || style.position === "absolute" || style.textOverflow === "ellipsis") continue;
    if (box.right > innerWidth + 1 || box.left < -1 || (one.clientWidth && one.scrollWidth > one.clientWidth + 1)) found.push(`${one.localName}.${one.className}: ${one.textContent.trim().slice(0, 60)}`);
  }
  return found;
}"""

# The rows of a table are alike, and the parts of a drawing are one picture: some of each are held against the rules, all of them where there is time.
FEW: Final = """() => { for (const row of document.querySelectorAll("tbody > tr:nth-child(n + 5)")) row.remove(); }"""
AXED: Final = """async (only) => (await axe.run({ include: [only], exclude: ["svg > *"] }, { resultTypes: ["violations"] })).violations
  .map((one) => `${one.id}: ${one.nodes.slice(0, 3).map((node) => node.target.join(" ")).join(" | ")}`)"""

# What a sheet of paper has no use for, and what it must not carry.
PRINTED: Final = """() => {
  const found = [...document.querySelectorAll("nav, form:not(.shelf), button:not(.origin), input, select, textarea, .press, .skip")]
    .filter((one) => one.checkVisibility({ visibilityProperty: true }) && one.getBoundingClientRect().width > 0)
    .map((one) => `${one.localName}.${one.className}`);
  const dark = (one) => { const [r, g, b, a = 1] = getComputedStyle(one).backgroundColor.match(/[0-9.]+/g).map(Number); return a > 0 && r + g + b < 600; };
  for (const one of document.querySelectorAll("html, body, main, .sheet, table, tr, th, td, .note-box")) if (dark(one)) found.push(`dark: ${one.localName}.${one.className}`);
  const [r, g, b] = getComputedStyle(document.querySelector("h1")).color.match(/[0-9.]+/g).map(Number);
  if (r + g + b > 300) found.push("pale words");
  for (const one of document.querySelectorAll("table, svg, figure")) {
    const box = one.getBoundingClientRect();
    if (box.width && !one.closest(".ribbon") && one.checkVisibility() && box.right > innerWidth + 2) found.push(`cut at the margin: ${one.localName}.${one.className?.baseVal ?? one.className} ${Math.round(box.right)}`);
  }
  return [...new Set(found)];
}"""
PAPER: Final = (703, 1000)
"""A4 less margins of 12 mm. [px]"""


def test_every_page_is_on_the_list() -> None:
    asked = {path for method, path in routes() if method == "GET"}
    listed = {one.route for one in EVERY_PAGE}
    assert asked - listed - FILES == set(), "put each page on the list of tests.browser.every_page"
    assert asked >= FILES
    assert FILES & listed == set()
    assert listed - {""} <= {path for _, path in NEEDS}
    assert len({one.name for one in EVERY_PAGE}) == len(EVERY_PAGE)


@pytest.fixture(scope="module")
def set_up() -> Iterator[Stage]:
    with stage() as made:
        yield made


@pytest.fixture(scope="module")
def page(browser: Browser, set_up: Stage) -> Iterator[Page]:
    """Return one page of one browser for all."""
    context = browser.new_context(locale="de-DE", reduced_motion="reduce")
    for base in (set_up.jobs, set_up.phones, set_up.van):
        context.add_cookies([{"name": "mainwright_tour", "value": "ended", "url": base}])
    opened = context.new_page()
    opened.set_default_timeout(20_000)
    yield opened
    context.close()


def _held_against(page: Page, one: Shown, look: tuple[tuple[int, int], str]) -> list[str]:
    (width, height), light = look
    page.set_viewport_size({"width": width, "height": height})
    page.emulate_media(color_scheme="dark" if light == "dark" else "light")
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    return [f"{width} {light}: {said}" for said in [*page.evaluate(AXED, one.part)]]


def _printed(page: Page, one: Shown) -> list[str]:
    page.set_viewport_size({"width": PAPER[0], "height": PAPER[1]})
    page.emulate_media(media="print", color_scheme="dark")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    found: list[str] = page.evaluate(PRINTED)
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    page.emulate_media(media="screen")
    return [f"{one.name}, printed: {said}" for said in found]


@pytest.mark.browser
@pytest.mark.parametrize("one", EVERY_PAGE, ids=[one.name for one in EVERY_PAGE])
def test_a_page(page: Page, set_up: Stage, one: Shown) -> None:
    show(page, set_up, one)
    found = _printed(page, one) if one.paper else []
    for (width, _), _ in LOOKS:
        page.set_viewport_size({"width": width, "height": 740})
        found += page.evaluate(CUT)
    page.evaluate(FEW)
    # One look after the other in turn: the colours are the same names on every page.
    found += _held_against(page, one, LOOKS[EVERY_PAGE.index(one) % len(LOOKS)])
    assert found == []


@pytest.mark.slow
@pytest.mark.browser
@pytest.mark.parametrize("one", EVERY_PAGE, ids=[one.name for one in EVERY_PAGE])
def test_a_page_whole_in_every_look(page: Page, set_up: Stage, one: Shown) -> None:
    show(page, set_up, one)
    assert [said for look in ALL for said in _held_against(page, one, look)] == []
