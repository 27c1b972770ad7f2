"""Pages that change by themselves leave the focus where it is: a plan that is being made, a search that goes on."""

from __future__ import annotations

import threading
import time
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.plan.programme.sighting import Sighting
from mainwright.workflow.jobs_at_hand import JobsAtHand
from mainwright.workflow.searching import Searches
from tests.browser.serving import MARROWBY, served
from tests.unit.prove.demo_plan import demo_plan

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from playwright.sync_api import Page

    from mainwright.plan.result import Plan
    from mainwright.web.server import Server
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.searching import Wish

pytestmark = pytest.mark.browser

FOCUSED = "document.activeElement && document.activeElement.value"
FIRST = Sighting(74.0, 57.0, "supply gang", 0, None, 0.3, proven=False, weight=1333)


class Stage:
    """Makes plans and searches as slowly as a test wants."""

    def __init__(self) -> None:
        self.free = threading.Event()
        self.done = 0
        self.best = FIRST

    def plan(self, job: object, told: Progress | None) -> Plan:
        assert told is not None
        while not self.free.wait(0.02):
            told(self.done, 10)
        return demo_plan()

    def search(self, job: object, issued: object, held: object, wish: Wish, told: Progress) -> Plan:
        while not wish.enough():
            wish.seen(self.best)
            time.sleep(0.02)
        told(20, 22)
        return replace(demo_plan(), retired=("searched",))


def at_once(work: Callable[[], None], /) -> None:
    threading.Thread(target=work, daemon=True).start()


@contextmanager
def staged(place: Path, stage: Stage) -> Iterator[Server]:
    import_job(MARROWBY, store=str(place / "store.sqlite"), author="test")
    with open_store(str(place / "store.sqlite")) as store:
        uses = page_use_cases(store)
        jobs = JobsAtHand(uses.jobs.shelf, planner=stage.plan, background=at_once)
        searches = Searches(jobs, searcher=stage.search, background=at_once, monotonic=time.monotonic)
        with served(replace(uses, jobs=jobs, searches=searches)) as server:
            yield server
        stage.free.set()


def test_a_plan_that_is_made_leaves_the_focus_at_its_stop_button_and_gives_way_to_the_page(
    opened: Callable[..., Page], accessible: Callable[[Page], None], tmp_path: Path
) -> None:
    demo_plan()
    stage = Stage()
    with staged(tmp_path, stage) as server:
        page = opened(server.address + "jobs/tl-03/lining")
        assert page.evaluate(FOCUSED) != "stop"  # nobody is put anywhere
        page.focus("button[value=stop]")
        page.evaluate("window.here = true")
        stage.done = 4
        page.wait_for_selector("progress[value='0.4']")
        stage.done = 7
        page.wait_for_selector("progress[value='0.7']")
        assert page.evaluate("window.here")  # it was never loaded again
        assert page.evaluate(FOCUSED) == "stop"
        page.focus("nav.places a[aria-current]")
        page.wait_for_timeout(1300)
        assert page.evaluate("document.activeElement.matches('nav.places a[aria-current]')")
        accessible(page)
        page.focus("button[value=stop]")
        page.keyboard.press("Enter")
        page.wait_for_selector("text=The plan was stopped.")
        page.press("button[value=again]", "Enter")
        page.wait_for_selector("progress")
        stage.free.set()
        page.wait_for_selector("nav.places a[href$='/lining'][aria-current]")
        page.wait_for_selector("progress", state="detached")
        assert page.query_selector("section#making") is None


def test_without_script_the_page_comes_again_by_itself(opened: Callable[..., Page], tmp_path: Path) -> None:
    demo_plan()
    stage = Stage()
    with staged(tmp_path, stage) as server:
        page = opened(server.address + "jobs/tl-03/lining", script=False)
        assert page.query_selector("progress") is not None
        stage.free.set()
        page.wait_for_selector("progress", state="detached")
        assert page.query_selector("section#making") is None


def test_two_tabs_look_at_one_search_and_either_may_stop_it(
    opened: Callable[..., Page], accessible: Callable[[Page], None], tmp_path: Path
) -> None:
    demo_plan()
    stage = Stage()
    stage.free.set()
    with staged(tmp_path, stage) as server:
        address = server.address + "jobs/tl-03/programme"
        one = opened(address)
        one.wait_for_selector("#search")
        assert "found at once" in one.inner_text("#search")
        one.fill("#search input[name=minutes]", "5")
        one.press("#search input[name=minutes]", "Enter")
        one.wait_for_selector("#search button[value=stop]")
        other = opened(address, size="phone", light="dark")
        other.wait_for_selector("#search button[value=stop]")
        assert other.evaluate("document.documentElement.scrollWidth <= innerWidth")
        for page in (one, other):
            page.focus("#search button[value=stop]")
            page.evaluate("window.here = true")
            accessible(page)
        stage.best = replace(FIRST, shifts=70.25, gap=0.2, weight=1274)
        for page in (one, other):
            page.wait_for_selector("#search dd:has-text('70.3 shifts'), #search dd:has-text('70.2 shifts')")
            assert page.evaluate(FOCUSED) == "stop"
            assert page.evaluate("window.here")
        one.goto(server.address)  # leaving does not stop it
        other.wait_for_timeout(1200)
        assert other.query_selector("#search button[value=stop]") is not None
        one.goto(address)
        one.press("#search button[value=stop]", "Enter")
        other.wait_for_selector("#search:has-text('found a better programme')")
        assert other.evaluate("window.here")
        # The button is gone: the focus is at the way to what was found, not lost.
        assert other.evaluate("document.activeElement.textContent") == "Show this programme"
        other.keyboard.press("Enter")
        other.wait_for_selector("#search:has-text('comes from a search')")
        assert other.query_selector("#search a[data-focus]") is None
