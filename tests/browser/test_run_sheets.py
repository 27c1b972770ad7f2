"""The sheet of a run on a phone and on paper; the proof of recorded runs, and papers made on demand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from mainwright.bootstrap import import_job, open_store, read_job
from mainwright.bootstrap.demo import make_recorded
from mainwright.bootstrap.serving import page_use_cases
from mainwright.plan.plan import make_plan
from tests.browser.serving import MARROWBY, served
from tests.browser.test_places import until_planned

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

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


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    place = tmp_path_factory.mktemp("recorded")
    job = read_job(MARROWBY).job
    assert job is not None
    make_recorded(place / "job", make_plan(job))
    name = str(place / "store.sqlite")
    import_job(place / "job", store=name, author="test")
    with open_store(name) as store, served(page_use_cases(store)) as server:
        yield server


@pytest.mark.parametrize(
    "look", [{"size": "phone", "light": "dark", "language": "de-DE"}, {"size": "wide", "light": "light", "language": "en-GB"}]
)
def test_proof_and_papers(recorded: Server, opened: Callable[..., Page], accessible: Callable[[Page], None], look: dict[str, str]) -> None:
    page = opened(recorded.address, **look)
    page.click(".jobs h2 a")
    until_planned(page)
    page.click("nav.places a[href$='/proof']")
    until_planned(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    accessible(page)
    page.click(".jumps a:has(.state.bad)")
    until_planned(page)
    assert page.is_visible(".drawn svg")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    accessible(page)
    page.click("nav.places a[href$='/documents']")
    until_planned(page)
    row = page.locator(".papers li", has_text="job.zip")
    if row.locator("button").count():
        row.locator("button").click()
        until_planned(page)
    with page.expect_download() as loading:
        page.locator(".papers li", has_text="job.zip").locator("a").click()
    assert loading.value.suggested_filename.endswith("-job.zip")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    accessible(page)
