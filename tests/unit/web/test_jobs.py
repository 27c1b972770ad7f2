"""The list of jobs: how far each is, what is due, and which are put away; a long list is there before its jobs are read, and nothing is planned for it."""

from __future__ import annotations

import re
import socket
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest
from starlette.testclient import TestClient

import mainwright
from mainwright.bootstrap import open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.folder.reading import read_folder
from mainwright.web.app import create_app
from mainwright.web.glossary import term_places
from mainwright.web.place import PLACES
from mainwright.web.reader import Reader
from mainwright.web.server import listen
from mainwright.web.tour import HINTS
from mainwright.workflow.store_ports import NewRecord

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mainwright.store.store import DatabaseStore
    from mainwright.workflow.visiting import UseCases

MARROWBY = Path(mainwright.__file__).parent / "demo" / "marrowby"
HOST = "127.0.0.1:8420"
ORIGIN = {"origin": f"http://{HOST}"}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[DatabaseStore]:
    with open_store(str(tmp_path / "store.sqlite")) as opened:
        yield opened


def client_of(store: DatabaseStore, day: str = "2026-03-01") -> tuple[TestClient, UseCases]:
    now = datetime.fromisoformat(f"{day}T12:00:00").replace(tzinfo=UTC)
    uses = replace(page_use_cases(store), clock=lambda: now, zone=ZoneInfo("Europe/Berlin"))
    return TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False), uses


def put(store: DatabaseStore, reference: str, **info: str) -> None:
    document = read_folder(MARROWBY).document
    row = dict(document.rows("job")[0]) | {"reference": reference} | info
    with store.transaction() as shelf:
        shelf.put(replace(document, tables={**document.tables, "job": [row]}), author="test")


def said(client: TestClient, path: str = "/") -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text.partition("<main")[2])).replace("\u00a0", " ")


def test_an_empty_list_says_what_to_do(store: DatabaseStore) -> None:
    text = said(client_of(store)[0])
    assert "No job is open here." in text
    assert "mainwright serve FOLDER" in text


def test_what_is_due_comes_from_dates_and_permits(store: DatabaseStore) -> None:
    put(store, "A-1")
    before, uses = client_of(store)
    text = said(before)
    assert "Planning" in text
    assert "The work begins on 13 April 2026." in text
    assert "Permit PR-1 begins on 13 April 2026." in text
    read = uses.jobs.listed()[0].at_hand
    assert read is not None
    assert read.read.job is not None
    assert uses.jobs.plan_at_hand(read.read.job) is None
    late = said(client_of(store, "2026-07-05")[0])
    assert "The work was to begin on 13 April 2026; no run is on record." in late
    assert "Permit PR-1 ended on 26 June 2026." in late
    assert "In 1 of them a day has passed on which something was due." in late


def test_records_say_how_far_it_is_and_what_the_proof_lacks(store: DatabaseStore) -> None:
    put(store, "A-1")
    runs = [{"run": run, "from_m": 0.0, "to_m": 1.0} for run in ("R01", "R02")]
    with store.transaction() as shelf:
        new = [NewRecord("runs_done", row) for row in runs] + [
            NewRecord("thickness", {"run": "R01", "chainage_m": 1.0, "thickness_mm": 6.0})
        ]
        shelf.add_records("A-1", new, author="t", method="page")
    text = said(client_of(store)[0])
    assert "Lining and proof" in text
    assert "2 runs lined" in text
    assert "begins on 13 April 2026" not in text.partition("Permit")[0]
    with store.transaction() as shelf:
        signed = {"what": "water", "decision": "accepts", "name": "B", "time": "2026-06-01T12:00:00+00:00"}
        shelf.add_records("A-1", [NewRecord("signatures", signed)], author="t", method="page")
    text = said(client_of(store)[0])
    assert "Given back" in text
    assert "Lined, and no thickness on record: 1 run." in text
    assert "no reading of the curing on record: 2 runs." in text


def test_the_glossary_is_there_in_both_languages_and_headings_lead_to_it(store: DatabaseStore) -> None:
    client = client_of(store)[0]
    for language, word, other in (("en", "Lining head", "Kopf"), ("de", "Kopf", "Lining head")):
        text = re.sub(r"\s+", " ", client.get("/glossary", headers={"accept-language": language}).text)
        assert re.search(rf'id="lining-head"><dt>{word} <span class="quiet" lang="\w\w">{other}</span>', text)
        places = term_places(Reader(language).say)
        # A gate and a hold point are one word in German.
        assert text.count("<dt>") - len(places) == (1 if language == "de" else 0)
    put(store, "A-1")
    assert 'href="/glossary#' in client.get("/jobs/a-1/layout").text or "http-equiv" in client.get("/jobs/a-1/layout").text


def test_the_tour_is_ended_and_started_again(store: DatabaseStore) -> None:
    put(store, "A-1")
    client, uses = client_of(store)
    assert "Tour</b>" in re.sub(r" \d+/\d+", "", client.get("/jobs/a-1/survey").text)
    assert "/jobs/a-1/lining" in client.get("/jobs/a-1/survey").text.partition('class="tour"')[2].partition("</aside>")[0]
    assert 'class="tour"' not in client.get("/nowhere").text
    answer = client.post("/tour", data={"token": uses.token, "tour": "ended", "back": "/jobs/a-1/survey"}, headers=ORIGIN)
    assert answer.headers["location"] == "/jobs/a-1/survey"
    assert 'class="tour"' not in client.get("/jobs/a-1/survey").text
    assert client.post("/tour", data={"token": uses.token, "tour": "on"}, headers=ORIGIN).headers["location"] == "/"
    assert 'class="tour"' in client.get("/").text
    assert list(HINTS)[1:] == list(PLACES)


def test_a_short_answer_does_not_wait_for_the_browser() -> None:
    with listen("127.0.0.1", 0) as sock:
        assert sock.proto == socket.IPPROTO_TCP


def test_faults_come_first_and_a_search_finds(store: DatabaseStore) -> None:
    put(store, "A-1", name="Alder Street", client="Marrowby Waterworks")
    put(store, "B-2", name="Birch Street")
    with store.transaction() as shelf:
        document = read_folder(MARROWBY).document
        row = dict(document.rows("job")[0]) | {"reference": "C-3", "name": "Cedar Street"}
        shelf.put(replace(document, tables={"job": [row]}), author="test")
    client, uses = client_of(store)
    for one in uses.jobs.shelf.latest():
        uses.jobs.job(one)
    text = said(client)
    assert text.index("Cedar Street") < text.index("Alder Street")
    assert "faults" in text.partition("Cedar Street")[2].partition("Alder")[0]
    assert "Birch Street" not in said(client, "/?q=alder+marrowby")
    assert "Alder Street" not in said(client, "/?phase=survey")
    assert "No job fits what was asked." in said(client, "/?q=nowhere")
    order = said(client, "/?sort=name")
    assert order.index("Alder Street") < order.index("Birch Street") < order.index("Cedar Street")


def test_jobs_are_put_away_and_taken_out_again(store: DatabaseStore) -> None:
    put(store, "A-1", name="Alder Street")
    put(store, "B-2", name="Birch Street")
    client, uses = client_of(store)
    sent = {"token": uses.token, "job:a-1": "1", "job:none": "1", "author": "Ann", "away": "yes"}
    assert client.post("/archive", data={**sent, "author": ""}, headers=ORIGIN).status_code == 422
    assert client.post("/archive", data=sent).status_code == 403
    assert client.post("/archive", data=sent, headers=ORIGIN).status_code == 303
    assert "Alder Street" not in said(client)
    assert "Alder Street" in said(client, "/?away=yes")
    assert "Birch Street" not in said(client, "/?away=yes")
    assert client.get("/jobs/a-1/survey").status_code == 200
    client.post("/archive", data={**sent, "away": "no"}, headers=ORIGIN)
    assert "Alder Street" in said(client)
    with store.looking() as shelf:
        kept = shelf.library("archive")
    assert [(one.row, one.author) for one in kept] == [({"job": "A-1", "away": True}, "Ann"), ({"job": "A-1", "away": False}, "Ann")]
    assert store.verify().sound


def test_a_long_list_is_there_before_its_jobs_are_read(store: DatabaseStore) -> None:
    for number in range(8):
        put(store, f"J-{number}", name=f"Main {number}")
    later: list[object] = []
    client, uses = client_of(store)
    uses.jobs._background = later.append
    text = said(client)
    assert all(f"Main {number}" in text for number in range(8))
    assert text.count("being read") > 5
    assert 'http-equiv="refresh"' in client.get("/").text
    later.pop()()  # type: ignore[operator]
    assert "being read" not in said(client)
    assert 'http-equiv="refresh"' not in client.get("/").text
