"""The search for a better programme on its page: begun, seen by everybody, ended, issued, and there again after a restart."""

from __future__ import annotations

import re
import threading
import time
from copy import deepcopy
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.plan.programme.sighting import Sighting
from mainwright.web.app import create_app
from mainwright.workflow.searching import Searches
from tests.unit.prove.demo_plan import demo_plan
from tests.unit.web.test_app import HOST, MARROWBY, ORIGIN

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from mainwright.plan.result import Plan
    from mainwright.workflow.desk import Order
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.searching import Wish
    from mainwright.workflow.visiting import UseCases

PAGE = "/jobs/tl-03/programme"
ENGLISH = {"cookie": "mainwright_look=en.metric.auto"}
FIRST = Sighting(74.0, 57.0, "supply gang", 0, None, 0.3, proven=False, weight=1333)


def client_of(uses: UseCases) -> TestClient:
    return TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False)


def until(client: TestClient, wanted: str, *, path: str = PAGE) -> str:
    """Return a page once it says something."""
    last = time.monotonic() + 90.0
    while wanted not in (text := client.get(path, headers=ENGLISH, follow_redirects=True).text):
        assert time.monotonic() < last, text[-3000:]
        time.sleep(0.05)
    return text


def post(client: TestClient, uses: UseCases, path: str, **fields: str) -> int:
    return client.post(path, data={"token": uses.token, **fields}, headers=ORIGIN).status_code


class Stage:
    """A search that ends when it is asked, with the plan of the demo."""

    def __init__(self) -> None:
        self.free = threading.Event()
        self.better = replace(FIRST, shifts=70.0, gap=0.24, weight=1274)

    def __call__(self, job: object, issued: object, held: object, wish: Wish, told: Progress) -> Plan:
        wish.seen(FIRST)
        while not wish.enough():
            if self.free.wait(0.02):
                wish.seen(self.better)
        told(20, 22)
        return demo_plan()


@pytest.fixture
def store_place(tmp_path: Path) -> str:
    place = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    return place


@pytest.fixture
def uses(store_place: str) -> Iterator[UseCases]:
    with open_store(store_place) as store:
        yield page_use_cases(store)


def at_once(work: Callable[[], None], /) -> None:
    threading.Thread(target=work, daemon=True).start()


def test_it_is_seen_by_everybody_and_stopped_with_the_best_so_far(uses: UseCases) -> None:
    stage = Stage()
    uses = replace(uses, searches=Searches(uses.jobs, searcher=stage, background=at_once, monotonic=time.monotonic))
    one, other = client_of(uses), client_of(uses)
    page = until(one, "found at once, by a quick search")
    assert "Search longer" in page
    assert "http-equiv" not in page
    for wrong in ("", "0", "-3", "61", "nan", "inf", "1_0", "two"):
        assert post(one, uses, f"{PAGE}/search", do="begin", minutes=wrong) == 422
    assert post(one, uses, f"{PAGE}/search", do="dance") == 400
    assert post(one, uses, f"{PAGE}/search", do="begin", minutes="7,5") == 303
    assert post(other, uses, f"{PAGE}/search", do="begin", minutes="3") == 303  # it joins the one that goes on
    for client in (one, other):
        page = until(client, "A better programme is looked for.")
        assert "7\u00a0min 30\u00a0s" in page
        assert "74.0 shifts" in page
        assert "57.0 shifts (supply gang)" in page
        assert '<noscript><meta http-equiv="refresh"' in page
    stage.free.set()
    part = until(other, "70.0 shifts", path=f"{PAGE}/search")
    assert "<html" not in part
    assert "24.0" in part
    seen = re.search(r'name="seen" value="([^"]+)"', page)
    number = re.search(r'name="number" value="(\d+)"', part)
    assert seen is not None
    assert number is not None
    assert post(other, uses, f"{PAGE}/search", do="stop", number=number[1]) == 303
    post(one, uses, f"{PAGE}/search", do="stop", number=number[1])
    assert "70.0 shifts instead of 74.0" in until(one, "The search found a better programme")
    assert "Show this programme" in one.get(f"{PAGE}/search", headers=ENGLISH).text
    assert "comes from a search of" in one.get(PAGE, headers=ENGLISH).text
    # What was seen before is not issued for what is there now.
    stale = one.post(f"{PAGE}/issue", data={"token": uses.token, "seen": seen[1], "author": "E. Quill"}, headers={**ORIGIN, **ENGLISH})
    assert stale.status_code == 409
    assert "Job or records changed meanwhile" in stale.text


def test_a_new_revision_ends_it_and_the_page_says_so(uses: UseCases) -> None:
    stage = Stage()
    uses = replace(uses, searches=Searches(uses.jobs, searcher=stage, background=at_once, monotonic=time.monotonic))
    client = client_of(uses)
    until(client, "found at once, by a quick search")
    post(client, uses, f"{PAGE}/search", do="begin", minutes="10")
    until(client, "A better programme is looked for.")
    shelf = uses.jobs.shelf
    document = deepcopy(shelf.document("tl-03"))
    document.rows("job")[0]["name"] = "Tallow Lane main, second thoughts"
    shelf.save(document, author="somebody")
    assert "nothing of it is kept" in until(client, "changed while it was searched")
    assert "found at once, by a quick search" in client.get(PAGE, headers=ENGLISH).text


def test_a_better_programme_has_papers_of_its_own(uses: UseCases) -> None:
    plan = demo_plan()
    programme = plan.programme
    assert programme is not None
    first = replace(programme.activities[0], begin=programme.activities[0].begin + timedelta(hours=1))
    better = replace(plan, programme=replace(programme, activities=(first, *programme.activities[1:])))

    def order(of: Plan) -> Order | None:
        return next(order for paper, order in uses.papers.papers("tl-03", plan, of) if paper.name == "programme.ics")

    def made(of: Plan) -> bytes:
        assert uses.papers.ask("tl-03", plan, of, "programme.ics")
        last = time.monotonic() + 60.0
        while (there := order(of)) is None or there.content is None:
            assert time.monotonic() < last
            time.sleep(0.02)
        return there.content

    before = made(plan)
    assert order(better) is None
    assert made(better) != before
    assert made(plan) == before


def test_a_real_search_is_issued_and_there_again_after_a_restart(uses: UseCases, store_place: str) -> None:
    client = client_of(uses)
    until(client, "found at once, by a quick search")
    assert post(client, uses, f"{PAGE}/search", do="begin", minutes="0.015") == 303
    page = until(client, "The search found")
    assert "comes from a search of" in page
    at_hand = uses.jobs.job("tl-03")
    assert at_hand is not None
    found = uses.jobs.current(at_hand)
    seen = re.search(r'name="seen" value="([^"]+)"', page)
    assert seen is not None
    assert post(client, uses, f"{PAGE}/issue", seen=seen[1], author="E. Quill") == 303
    until(client, "This programme is as it was issued.")
    with open_store(store_place) as store:
        again = page_use_cases(store)
        page = until(client_of(again), "This programme is as it was issued.")
        assert "comes from a search" not in page
        at_hand = again.jobs.job("tl-03")
        assert at_hand is not None
        there = again.jobs.current(at_hand)
        assert [(one.id, one.begin) for one in there.programme.activities] == [  # type: ignore[union-attr]
            (one.id, one.begin)
            for one in found.programme.activities  # type: ignore[union-attr]
        ]
