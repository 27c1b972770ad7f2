"""What somebody may not do is not offered: crew and viewer over all places, each button and link held against the server's own table."""

from __future__ import annotations

import re
import threading
import time
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.plan.programme.sighting import Sighting
from mainwright.web.app import create_app
from mainwright.web.place import PLACES
from mainwright.web.roles import may, need_of
from mainwright.web.server import LOCAL, Server, address_of_socket, hosts_of, listen
from mainwright.workflow.jobs_at_hand import JobsAtHand
from mainwright.workflow.searching import Searches
from tests.browser.serving import MARROWBY
from tests.browser.test_phones import VAN
from tests.unit.prove.demo_plan import demo_plan

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from playwright.sync_api import Page

    from mainwright.plan.result import Plan
    from mainwright.workflow.pairing import Role
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.searching import Wish

pytestmark = pytest.mark.browser

OFFERED = """() => [...document.querySelectorAll("a[href], button, input[type=submit]")].filter((one) => one.checkVisibility()).map((one) => {
  if (one.tagName === "A") return ["GET", new URL(one.href).origin === location.origin ? new URL(one.href).pathname : ""];
  const form = one.closest("form");
  if (!form || one.type === "button" || form.method === "dialog") return ["", one.closest(".editor, .desk") ? one.className + one.dataset.do : ""];
  return [form.method.toUpperCase(), new URL(form.action).pathname];
})"""

PATHS = (
    "",
    *(f"jobs/tl-03/{place}" for place in PLACES),
    "jobs/tl-03/runs/R01",
    "library",
    "library/prices",
    "glossary",
    "jobs/tl-03/ribbon",
)

LEAD_ONLY = {"/new-job", "/jobs/tl-03/programme/issue", "/jobs/tl-03/programme/search", "/library/new"}


class Stage:
    """A plan that is made when the test wants, and a search that never ends by itself."""

    def __init__(self) -> None:
        self.free = threading.Event()

    def plan(self, job: object, told: Progress | None) -> Plan:
        assert told is not None
        while not self.free.wait(0.02):
            told(1, 10)
        return demo_plan()

    def search(self, job: object, issued: object, held: object, wish: Wish, told: Progress) -> Plan:
        wish.seen(Sighting(74.0, 57.0, "supply gang", 0, None, 0.3, proven=False, weight=1333))
        while not wish.enough():
            time.sleep(0.05)
        return demo_plan()


def at_once(work: Callable[[], None], /) -> None:
    threading.Thread(target=work, daemon=True).start()


@pytest.fixture(scope="module")
def stage() -> Stage:
    return Stage()


@pytest.fixture(scope="module")
def van(stage: Stage, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str, Searches]]:
    """Return the addresses for the lead and for phones, and the searches behind them."""
    demo_plan()
    place = tmp_path_factory.mktemp("roles")
    import_job(MARROWBY, store=str(place / "store.sqlite"), author="test")
    sock = listen(LOCAL, 0)
    port = sock.getsockname()[1]
    phones = listen(VAN, port)
    with open_store(str(place / "store.sqlite")) as store:
        uses = page_use_cases(store, van=address_of_socket(phones, "http"), devices=place / "devices.json")
        jobs = JobsAtHand(uses.jobs.shelf, planner=stage.plan, background=at_once)
        searches = Searches(jobs, searcher=stage.search, background=at_once, monotonic=time.monotonic)
        uses = replace(uses, jobs=jobs, searches=searches)
        server = Server(create_app(uses, hosts=[*hosts_of(LOCAL, port), *hosts_of(VAN, port)]), sock, van=phones)
        server.start()
        try:
            yield server.address, address_of_socket(phones, "http"), searches
        finally:
            at_hand = jobs.job("tl-03")
            if at_hand is not None:
                searches.cancel(at_hand, 1)
            server.stop()
            uses.live.close()


def offered(page: Page) -> set[tuple[str, str]]:
    return {(method, path) for method, path in page.evaluate(OFFERED) if path}


def too_much(page: Page, role: Role) -> set[tuple[str, str]]:
    """Return what a page offers beyond a role: what the server refuses, and the buttons of tables that cannot be saved."""
    return {(method, path) for method, path in offered(page) if not method or not may(role, need_of(method, path).role)}


def test_nobody_is_offered_what_the_server_refuses(van: tuple[str, str, Searches], stage: Stage, opened: Callable[..., Page]) -> None:
    home, phones, _searches = van
    lead = opened(home + "devices", expect_faults=True)
    people: dict[Role, Page] = {}
    for role in ("crew", "viewer"):
        phone = opened(phones, size="phone", expect_faults=True)
        lead.check(f"input[value={role}]")
        lead.click("text=Make a code")
        phone.fill("[name=code]", lead.inner_text(".code-text").lower())
        phone.fill("[name=name]", role)
        phone.click("main form .first")
        phone.wait_for_url(re.compile(r"^(?!.*/pair)"))
        people[role] = phone
        lead.goto(home + "devices")
    # While the plan is made, the lead alone may stop it.
    lead.goto(home + "jobs/tl-03/lining")
    assert ("POST", "/jobs/tl-03/plan") in offered(lead)
    for role, page in people.items():
        page.goto(phones + "jobs/tl-03/lining")
        assert page.is_visible("progress")
        assert too_much(page, role) == set()
    stage.free.set()
    lead.wait_for_selector("#making", state="detached")
    seen: set[str] = set()
    for path in PATHS:
        lead.goto(home + path)
        seen |= {where for _, where in offered(lead)}
        for role, page in people.items():
            page.goto(phones + path)
            assert page.evaluate("document.body.dataset.role") == role
            assert too_much(page, role) == set(), (role, path)
    # The lead is offered it: the pages have something to hide.
    assert seen >= LEAD_ONLY
    # A search that goes on is seen by all and stopped by the lead; the script that tells of it brings no button back.
    lead.goto(home + "jobs/tl-03/programme")
    lead.click("#search button[value=begin]")
    lead.wait_for_selector("#search button[value=stop]")
    for role, page in people.items():
        page.goto(phones + "jobs/tl-03/programme")
        page.wait_for_selector("#search[data-watch]")
        page.wait_for_timeout(1500)
        assert page.is_visible("#search dd")
        assert not page.is_visible("#search button")
        assert too_much(page, role) == set()
