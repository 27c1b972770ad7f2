"""Draws the pictures of pages in the README: ``.venv/bin/python docs/pictures/pages.py`` from the top folder; needs Chromium (Debian: chromium)."""

import shutil
import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parents[1]))

from playwright.sync_api import Page, sync_playwright  # noqa: E402
from tests.browser.conftest import FLAGS  # noqa: E402
from tests.browser.every_page import EVERY_PAGE, show  # noqa: E402
from tests.browser.stage import stage  # noqa: E402

WIDE = 1280


def main() -> int:
    """Write ``layout.png`` and ``proof.png``."""
    chromium = shutil.which("chromium")
    if chromium is None:
        sys.exit("Chromium is not here (Debian package chromium)")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=list(FLAGS))
        page = browser.new_page(viewport={"width": WIDE, "height": 720}, locale="en-GB", color_scheme="light")
        with stage() as made:
            page.context.add_cookies([{"name": "mainwright_tour", "value": "ended", "url": made.jobs}])
            listed = {one.name: one for one in EVERY_PAGE}
            show(page, made, listed["layout"])
            page.wait_for_selector(".work .grip")
            page.wait_for_timeout(1500)
            _keep(page, "layout", "header", ".ribbon-field")
            show(page, made, listed["proof of a run"])
            _keep(page, "proof", ".answer", "section.sheet:has(.drawn) >> nth=1", skip="main nav, section.sheet:not(:has(.drawn))")
        browser.close()
    return 0


def _keep(page: Page, name: str, first: str, last: str, *, skip: str = "") -> None:
    """Keep a page from the top of one of its parts to the end of another, without what stands between them and is skipped."""
    if skip:
        page.evaluate("(skip) => document.querySelectorAll(skip).forEach((one) => one.remove())", skip)
    top, end = (page.locator(one).first.bounding_box() or {"y": 0.0, "height": 0.0} for one in (first, last))
    begin = max(top["y"] - 16, 0)
    high = end["y"] + end["height"] + 1 - begin
    page.screenshot(path=HERE / f"{name}.png", full_page=True, clip={"x": 0, "y": begin, "width": WIDE, "height": high})


if __name__ == "__main__":
    sys.exit(main())
