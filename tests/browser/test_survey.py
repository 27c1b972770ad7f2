"""The tables of a job in a real browser: a new job from what is pasted, faults at their cells, revisions, and the ribbon beside it."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser
PASTED = "von;bis;DN;Werkstoff;Baujahr;bore_mm\n0;120,5;150;grey_iron;1911;150\n120,5;200;150;grey_iron;x1911;150\n"


def until(page: Page, expression: str, *, seconds: float = 15.0) -> None:
    from playwright.sync_api import Error

    last = time.monotonic() + seconds
    while True:
        try:
            if page.evaluate(expression):
                return
        except Error as error:
            if time.monotonic() > last:
                pytest.fail(f"{expression}: {error}")
        assert time.monotonic() < last, expression
        page.wait_for_timeout(50)


def ready(page: Page) -> None:
    until(page, "document.getElementById('editor')?.dataset.ready === 'yes'")


def test_a_new_job_from_what_is_pasted(fresh_server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None]) -> None:
    page = opened(fresh_server.address, language="de-DE", expect_faults=True)
    page.click("a[href='/new-job']")
    accessible(page)
    page.fill("[name=name]", "Hafenstraße")
    page.fill("[name=reference]", "HS-01")
    page.fill("[name=author]", "Prüfer")
    page.click("main form button")
    ready(page)
    assert page.url.endswith("/jobs/hs-01/survey?table=main")
    page.click("[data-do=paste]")
    page.fill("#paste textarea", PASTED)
    until(page, "!document.querySelector('.meant').hidden")
    accessible(page)
    page.click("#paste button[value=take]")
    until(page, "document.querySelector('[aria-invalid=true]')?.textContent === 'x1911'")
    accessible(page)
    page.reload()
    ready(page)
    until(page, "document.querySelector('[aria-invalid=true]')?.textContent === 'x1911'")
    page.fill("form.save [name=author]", "Prüfer")
    page.click("form.save [data-do=save]")
    until(page, "document.querySelector('.unsaved')?.textContent === '' && document.body.textContent.includes('Revision 2')")
    ready(page)
    until(page, "document.querySelector('[aria-invalid=true]')?.textContent === 'x1911'")


def test_cells_are_changed_with_the_keyboard_alone_and_a_revision_is_taken_back(
    fresh_server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None]
) -> None:
    page = opened(fresh_server.address + "jobs/tl-03/survey?table=features", size="wide")
    ready(page)
    page.focus("[data-at='0:0']")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("End")
    page.keyboard.type("seen on site")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('.unsaved').textContent.includes('features')")
    page.keyboard.press("Control+z")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("F2")
    page.keyboard.press("Control+a")
    page.keyboard.type("seen in the trench")
    page.keyboard.press("Enter")
    page.focus("form.save [name=author]")
    page.keyboard.type("A. Person")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('.head').textContent.includes('revision 2')")
    ready(page)
    page.click("form.compare button")
    assert "seen in the trench" in page.inner_text("main")
    accessible(page)
    page.go_back()
    ready(page)
    page.fill("form[action$='/restore'] [name=author]", "A. Person")
    page.click("button[name=number][value='1']")
    ready(page)
    until(page, "document.querySelector('.head').textContent.includes('revision 3')")
    assert "seen in the trench" not in page.inner_text("main")


_INK = """() => {
  const share = (canvas) => {
    const dots = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data, ground = [...dots.slice(0, 4)];
    let inked = 0;
    for (let at = 0; at < dots.length; at += 4) if (dots[at + 3] && Math.abs(dots[at] - ground[0]) + Math.abs(dots[at + 1] - ground[1]) > 60) inked += 1;
    return [inked / (dots.length / 4), ground[0] + ground[1] + ground[2]];
  };
  const [body, ground] = share(document.querySelector(".ribbon-body canvas")), [margin] = share(document.querySelector(".ribbon-margin canvas"));
  return { body, margin, dark: ground < 200 };
}"""
_PRINTED = """() => {
  const first = () => document.querySelector(".ribbon-body").firstElementChild;
  dispatchEvent(new Event("beforeprint"));
  const before = first().tagName, letters = first().querySelectorAll("text").length > 20;
  dispatchEvent(new Event("afterprint"));
  return { before, after: first().tagName, letters };
}"""


@pytest.mark.parametrize("look", [{"size": "phone", "light": "dark", "language": "de-DE"}, {"size": "laptop"}])
def test_the_ribbon_zooms_and_reads(
    server: Server, opened: Callable[..., Page], accessible: Callable[[Page], None], look: dict[str, str]
) -> None:
    page = opened(server.address + "jobs/tl-03/survey", **look)
    until(page, "document.querySelector('.ribbon-body canvas') && document.querySelector('.ribbon').ribbon.lanes.length > 0")
    accessible(page)
    # What is painted is what was sent: ink on the paper, the names of the lanes beside it, and lines again for a printer.
    painted = page.evaluate(_INK)
    assert painted["body"] > 0.02
    assert painted["margin"] > 0.005
    assert painted["dark"] == (look.get("light") == "dark")
    printed = page.evaluate(_PRINTED)
    assert printed == {"before": "svg", "after": "CANVAS", "letters": True}
    page.focus(".ribbon-view")
    page.keyboard.press("n")
    first = page.get_attribute(".ribbon-view", "aria-valuetext")
    assert first
    page.keyboard.press("n")
    assert page.get_attribute(".ribbon-view", "aria-valuetext") != first
    wide = page.evaluate("document.querySelector('.ribbon').ribbon.high - document.querySelector('.ribbon').ribbon.low")
    page.keyboard.press("+")
    page.keyboard.press("+")
    until(
        page,
        f"document.querySelector('.ribbon').ribbon.drawn.scale > {1000 / wide / 10} && !document.querySelector('.ribbon').ribbon.asking",
    )
    narrow = page.evaluate("document.querySelector('.ribbon').ribbon.high - document.querySelector('.ribbon').ribbon.low")
    assert narrow == pytest.approx(wide / 2.56)
    before = page.evaluate("document.querySelector('.ribbon').ribbon.low")
    box = page.locator(".ribbon-view").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] * 0.8, box["y"] + 40)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] * 0.5, box["y"] + 40, steps=5)
    page.mouse.up()
    until(page, f"document.querySelector('.ribbon').ribbon.low > {before}")
    page.keyboard.press("0")
    until(page, f"Math.abs(document.querySelector('.ribbon').ribbon.high - document.querySelector('.ribbon').ribbon.low - {wide}) < 1e-6")
    page.click(".ribbon-rows")
    assert page.locator("tbody tr").count() > 100
    accessible(page)
