"""Several people, tabs and requests at once: nothing is overwritten unseen, nothing piles up, and the server answers."""

from __future__ import annotations

import asyncio
import json
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from copy import deepcopy
from dataclasses import replace
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

import pytest
from starlette.testclient import TestClient

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.errors import Conflict
from mainwright.web.app import create_app
from mainwright.workflow.jobs_at_hand import JobsAtHand
from tests.unit.prove.demo_plan import demo_plan
from tests.unit.web.test_app import HOST, MARROWBY, ORIGIN
from tests.unit.web.test_door import LOCAL, VAN, let_in, token_on

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from fastapi import FastAPI

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.visiting import UseCases

JOB = "/jobs/tl-03"
ENGLISH = {"cookie": "mainwright_look=en.metric.auto"}


class Planner:
    """Makes plans as slowly as a test wants, and counts them."""

    def __init__(self) -> None:
        self.free = threading.Event()
        self.begun: list[str] = []
        self.ended: list[str] = []

    def __call__(self, job: Job, told: Progress | None) -> Plan:
        assert told is not None
        self.begun.append(job.revision)
        try:
            while not self.free.wait(0.01):
                told(1, 10)
            return replace(demo_plan(), job=job)
        finally:
            self.ended.append(job.revision)


def at_once(work: Callable[[], None], /) -> None:
    threading.Thread(target=work, daemon=True).start()


def planned_by(uses: UseCases, planner: Planner) -> UseCases:
    return replace(uses, jobs=JobsAtHand(uses.jobs.shelf, planner=planner, background=at_once), searches=None)


@pytest.fixture
def place(tmp_path: Path) -> str:
    place = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    return place


@pytest.fixture
def uses(place: str) -> Iterator[UseCases]:
    with open_store(place) as store:
        yield page_use_cases(store)


def client_of(uses: UseCases) -> TestClient:
    return TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False)


def until(true: Callable[[], bool]) -> None:
    last = time.monotonic() + 60.0
    while not true():
        assert time.monotonic() < last
        time.sleep(0.01)


def renamed(uses: UseCases, name: str) -> dict[str, Any]:
    """Return what a tab sends that gives the job another name."""
    row = deepcopy(uses.jobs.shelf.document("tl-03").rows("job")[0]) | {"name": name}
    cells = {"job": {"header": list(row), "rows": [["" if value is None else str(value) for value in row.values()]]}}
    return {"token": uses.token, "author": "A", "base": uses.jobs.shelf.latest()["tl-03"].revision, "cells": json.dumps(cells)}


async def asked_slowly(app: FastAPI, path: str, fields: dict[str, Any], meanwhile: Callable[[], None]) -> int:
    """Ask as a slow line does: what stands in the body comes after something else has happened."""
    body = urlencode(fields).encode()
    head = [
        (b"host", HOST.encode()),
        (b"origin", f"http://{HOST}".encode()),
        (b"content-type", b"application/x-www-form-urlencoded"),
        (b"content-length", str(len(body)).encode()),
    ]
    scope = {
        "type": "http", "http_version": "1.1", "method": "POST", "scheme": "http", "path": path, "raw_path": path.encode(), "query_string": b"",
        "headers": head, "client": ("127.0.0.1", 5), "server": ("127.0.0.1", 8420), "root_path": "", "asgi": {"version": "3.0"},
    }  # fmt: skip
    status = 0

    async def receive() -> dict[str, Any]:
        await asyncio.to_thread(meanwhile)
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Any) -> None:  # noqa: ANN401 - as the server's
        nonlocal status
        status = message.get("status", status)

    await app(scope, receive, send)
    return status


def test_what_somebody_saved_while_a_slow_tab_was_saving_is_not_overwritten(uses: UseCases) -> None:
    app = create_app(uses, hosts=[HOST])
    mine = renamed(uses, "of the slow tab")
    document = deepcopy(uses.jobs.shelf.document("tl-03"))
    document.rows("job")[0]["name"] = "of the quick tab"
    saved: list[str] = []

    def meanwhile() -> None:
        if not saved:
            saved.append(uses.jobs.shelf.save(document, author="B"))

    assert asyncio.run(asked_slowly(app, f"{JOB}/survey/save", mine, meanwhile)) == 409
    assert [one.name for one in uses.jobs.shelf.history("tl-03")][1:] == ["of the quick tab"]


def test_a_revision_that_another_program_saved_is_not_overwritten(uses: UseCases) -> None:
    shelf = uses.jobs.shelf
    base = shelf.latest()["tl-03"].revision
    first, second = deepcopy(shelf.document("tl-03")), deepcopy(shelf.document("tl-03"))
    first.rows("job")[0]["name"], second.rows("job")[0]["name"] = "first", "second"
    shelf.save(first, author="A", base=base)
    with pytest.raises(Conflict, match="saved meanwhile"):
        shelf.save(second, author="B", base=base)
    # Nor is another job, whose reference somebody types.
    second.rows("job")[0]["reference"] = "NEW-1"
    shelf.save(second, author="B", base=base)
    with pytest.raises(Conflict, match="saved meanwhile"):
        shelf.save(first, author="B", base=shelf.latest()["new-1"].revision)
    assert [one.name for one in shelf.history("tl-03")][1:] == ["first"]


def test_two_tabs_that_save_one_after_the_other(uses: UseCases) -> None:
    one, other = client_of(uses), client_of(uses)
    mine, theirs = renamed(uses, "mine"), renamed(uses, "theirs")
    assert one.post(f"{JOB}/survey/save", data=mine, headers=ORIGIN).status_code == 200
    refused = other.post(f"{JOB}/survey/save", data=theirs, headers={**ORIGIN, **ENGLISH})
    assert refused.status_code == 409
    assert "What you typed is kept here" in refused.json()["text"]
    assert uses.jobs.shelf.latest()["tl-03"].name == "mine"


def test_an_older_revision_is_not_taken_up_over_one_that_nobody_saw(uses: UseCases) -> None:
    client = client_of(uses)
    seen = uses.jobs.shelf.latest()["tl-03"].revision
    assert client.post(f"{JOB}/survey/save", data=renamed(uses, "unseen"), headers=ORIGIN).status_code == 200
    fields = {"token": uses.token, "author": "B", "number": "1", "base": seen}
    answer = client.post(f"{JOB}/survey/restore", data=fields, headers={**ORIGIN, **ENGLISH})
    assert answer.status_code == 409
    assert "Somebody saved this job meanwhile" in answer.text
    assert uses.jobs.shelf.latest()["tl-03"].name == "unseen"
    page = client.get(f"{JOB}/survey").text
    latest = uses.jobs.shelf.latest()["tl-03"].revision
    assert f'name="base" value="{latest}"' in page
    assert client.post(f"{JOB}/survey/restore", data={**fields, "base": latest}, headers=ORIGIN).status_code == 303


def test_fifty_quick_reloads_have_one_plan_made_and_are_answered_at_once(uses: UseCases) -> None:
    planner = Planner()
    uses = planned_by(uses, planner)
    client = client_of(uses)
    places = ("lining", "programme", "documents", "money", "runs")
    before = threading.active_count()
    with ThreadPoolExecutor(10) as pool:
        answers = list(pool.map(lambda number: client.get(f"{JOB}/{places[number % 5]}", headers=ENGLISH), range(50)))
    assert all(one.status_code == 200 and "The plan is being made." in one.text for one in answers)
    assert len(planner.begun) == 1
    assert threading.active_count() < before + 60  # the pool of the server, and one that plans
    planner.free.set()
    until(lambda: "The plan is being made." not in client.get(f"{JOB}/lining", headers=ENGLISH).text)
    assert len(planner.begun) == 1


def test_stop_pressed_twice_stops_once_and_what_is_made_after_it_stays(uses: UseCases) -> None:
    planner = Planner()
    uses = planned_by(uses, planner)
    client = client_of(uses)

    def press(do: str) -> None:
        fields = {"token": uses.token, "do": do, "place": "lining"}
        assert client.post(f"{JOB}/plan", data=fields, headers=ORIGIN).headers["location"] == f"{JOB}/lining"

    client.get(f"{JOB}/lining")
    press("stop")
    press("stop")
    until(lambda: "The plan was stopped." in client.get(f"{JOB}/lining", headers=ENGLISH).text)
    press("stop")
    assert "The plan was stopped." in client.get(f"{JOB}/lining", headers=ENGLISH).text
    planner.free.set()
    press("again")
    press("again")
    until(lambda: "plan was stopped" not in (text := client.get(f"{JOB}/lining", headers=ENGLISH).text) and "<progress" not in text)
    press("stop")
    press("again")
    assert "<progress" not in client.get(f"{JOB}/lining", headers=ENGLISH).text
    assert len(planner.begun) == 2


def test_a_job_that_changes_while_its_plan_is_made_is_planned_as_it_is_now(uses: UseCases) -> None:
    planner = Planner()
    uses = planned_by(uses, planner)
    client = client_of(uses)
    client.get(f"{JOB}/lining")
    until(lambda: len(planner.begun) == 1)
    assert client.post(f"{JOB}/survey/save", data=renamed(uses, "Second thoughts"), headers=ORIGIN).status_code == 200
    assert "Second thoughts" in client.get(f"{JOB}/lining", headers=ENGLISH).text
    until(lambda: len(planner.ended) == 1)  # the old one ends, and not because it is made
    assert not planner.free.is_set()
    planner.free.set()
    until(lambda: "<progress" not in client.get(f"{JOB}/lining", headers=ENGLISH).text)
    assert len(set(planner.begun)) == len(planner.begun) == 2
    # Made faulty in the middle of it, the page says what is wrong.
    planner.free.clear()
    assert client.post(f"{JOB}/survey/save", data=renamed(uses, "Third thoughts"), headers=ORIGIN).status_code == 200
    client.get(f"{JOB}/lining")
    faulty = renamed(uses, "Fourth thoughts")
    cells = json.loads(faulty["cells"])
    cells["main"] = {"header": ["from_m"], "rows": [["x"]]}
    assert client.post(f"{JOB}/survey/save", data={**faulty, "cells": json.dumps(cells)}, headers=ORIGIN).status_code == 200
    assert "<progress" not in client.get(f"{JOB}/lining", headers=ENGLISH).text
    assert client.get("/jobs/nowhere/lining").status_code == 404


def test_a_restart_in_the_middle_of_a_plan_keeps_sessions_and_makes_the_plan_again(place: str, tmp_path: Path) -> None:
    devices = tmp_path / "devices.json"
    planner = Planner()
    with open_store(place) as store:
        uses = planned_by(page_use_cases(store, van=f"http://{VAN}/", devices=devices), planner)
        lead = let_in(create_app(uses, hosts=[LOCAL, VAN]), uses, "lead", address="127.0.1.1")
        assert "<progress" in lead.get(f"{JOB}/lining").text
        until(lambda: len(planner.begun) == 1)
        token = token_on(lead.get(f"{JOB}/lining"))
        history = uses.jobs.shelf.history("tl-03")
    # The program ended there: nothing that it was making is on disk.
    with open_store(place) as store:
        again = Planner()
        after = planned_by(page_use_cases(store, van=f"http://{VAN}/", devices=devices), again)
        lead.app = create_app(after, hosts=[LOCAL, VAN])
        lead._transport.app = lead.app  # type: ignore[attr-defined]
        assert after.jobs.shelf.history("tl-03") == history
        assert after.jobs.shelf.records("tl-03") == ()
        page = lead.get(f"{JOB}/lining")
        assert page.status_code == 200  # nobody has to be let in anew
        assert "<progress" in page.text
        # A form that was open before serves now.
        assert lead.post(f"{JOB}/plan", data={"token": token, "do": "stop", "place": "lining"}).status_code == 303
        until(lambda: 'value="again"' in lead.get(f"{JOB}/lining").text)
        assert lead.post(f"{JOB}/plan", data={"token": token, "do": "again", "place": "lining"}).status_code == 303
        again.free.set()
        until(lambda: 'id="making"' not in lead.get(f"{JOB}/lining").text)
        assert len(again.begun) == 2
    planner.free.set()


def test_a_lead_and_a_viewer_at_once_see_one_plan_and_one_may_stop_it(place: str, tmp_path: Path) -> None:
    planner = Planner()
    with open_store(place) as store:
        uses = planned_by(page_use_cases(store, van=f"http://{VAN}/", devices=tmp_path / "devices.json"), planner)
        app = create_app(uses, hosts=[LOCAL, VAN])
        lead = let_in(app, uses, "lead", address="127.0.1.1")
        viewer = let_in(app, uses, "viewer", address="127.0.1.2")
        with ThreadPoolExecutor(2) as pool:
            pages = list(pool.map(lambda one: one.get(f"{JOB}/lining").text, (lead, viewer)))
        assert all("<progress" in one for one in pages)
        assert len(planner.begun) == 1
        seen = viewer.get(f"{JOB}/lining")
        assert viewer.post(f"{JOB}/plan", data={"token": token_on(seen), "do": "stop"}).status_code == 403
        assert "<progress" in lead.get(f"{JOB}/lining").text
        lead.post(f"{JOB}/plan", data={"token": token_on(lead.get(f"{JOB}/lining")), "do": "stop"})
        until(lambda: "<progress" not in viewer.get(f"{JOB}/lining").text)
        assert "data-watch" not in viewer.get(f"{JOB}/lining").text
    planner.free.set()
