"""The plan is issued from the page of the programme, and goes on from there with what really happened."""

from __future__ import annotations

import re
import time
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from mainwright.workflow.issuing import issued_plan
from mainwright.workflow.store_ports import NewRecord
from tests.unit.prove.demo_plan import demo_plan
from tests.unit.web.test_app import HOST, MARROWBY, ORIGIN

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from mainwright.workflow.visiting import UseCases

PAGE = "/jobs/tl-03/programme"


@pytest.fixture
def uses(tmp_path: Path) -> Iterator[UseCases]:
    place = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as store:
        yield page_use_cases(store)


@pytest.fixture
def client(uses: UseCases) -> TestClient:
    return TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False)


def looked_at(client: TestClient) -> str:
    last = time.monotonic() + 90.0
    while "<progress" in (text := client.get(PAGE, headers={"cookie": "mainwright_look=en.metric.auto"}).text):
        assert time.monotonic() < last
        time.sleep(0.1)
    return text


def issue(client: TestClient, uses: UseCases, page: str) -> int:
    seen = re.search(r'name="seen" value="([^"]+)"', page)
    assert seen is not None
    return client.post(f"{PAGE}/issue", data={"token": uses.token, "seen": seen[1], "author": "E. Quill"}, headers=ORIGIN).status_code


def test_an_issued_plan_is_followed_and_a_lost_day_moves_the_rest_with_its_reason(client: TestClient, uses: UseCases) -> None:
    page = looked_at(client)
    assert "No plan is issued" in page
    # The bars are chosen by a link that stays in the address.
    placed = client.get(f"{PAGE}?bars=place", headers={"cookie": "mainwright_look=en.metric.auto"}).text
    for text, chosen in ((page, "crew"), (placed, "place")):
        assert re.findall(r'href="\?bars=(\w+)#bars" aria-current="true"', text) == [chosen]
    assert ("Programme by place" in placed, "Programme by place" in page) == (True, False)
    assert issue(client, uses, page) == 303
    issued = looked_at(client)
    assert "The works follow the plan that E. Quill issued on" in issued
    assert "Runs: all stand." in issued
    assert 'name="seen"' not in issued  # there is nothing else to issue
    programme = demo_plan().programme
    assert programme is not None
    first = min((one for one in programme.activities if one.kind == "lining"), key=lambda one: one.begin)
    run = next(one for one in demo_plan().runs if one.id == first.run)
    begin, end = first.begin + timedelta(days=1), first.finish + timedelta(days=1)
    row = {
        "run": run.id,
        "from_m": run.start,
        "to_m": run.end,
        "time_from": begin.isoformat() + "+02:00",
        "time_to": end.isoformat() + "+02:00",
        "outcome": "complete",
    }
    uses.jobs.shelf.add_records("tl-03", [NewRecord("runs_done", row)], author="crew")
    # What was seen before the record came is not issued unseen.
    stale = client.post(f"{PAGE}/issue", data={"token": uses.token, "seen": "of yesterday", "author": "E. Quill"}, headers=ORIGIN)
    while stale.status_code == 409 and "Job or records changed" not in stale.text:
        time.sleep(0.1)
        stale = client.post(f"{PAGE}/issue", data={"token": uses.token, "seen": "of yesterday", "author": "E. Quill"}, headers=ORIGIN)
    assert stale.status_code == 409
    moved = looked_at(client)
    assert "What changed against the issued plan" in moved
    assert "is lined on" in moved
    assert any(reason in moved for reason in ("waits for", "begins when"))
    assert issue(client, uses, moved) == 303
    records = uses.jobs.shelf.records("tl-03")
    last = issued_plan(records)
    assert last is not None
    assert last.author == "E. Quill"
    assert sum(one.kind == "issued_plan" for one in records) == 2  # the former one stays on record
    assert "The works follow the plan" in looked_at(client)


def test_without_an_issued_plan_the_page_shows_the_plan_of_the_job(uses: UseCases) -> None:
    at_hand = uses.jobs.job("tl-03")
    assert at_hand is not None
    assert at_hand.read.job is not None
    assert uses.jobs.issued("tl-03") is None
    assert uses.jobs.current(at_hand) is uses.jobs.plan(at_hand.read.job)


def test_an_issued_plan_that_is_none_is_told_and_stops_no_page(client: TestClient, uses: UseCases) -> None:
    uses.jobs.shelf.add_records("tl-03", [NewRecord("issued_plan", {"text": "no plan at all"})], author="somebody")
    page = looked_at(client)
    assert "The plan could not be made." in page
    assert "a plan.json that this program wrote" in page
