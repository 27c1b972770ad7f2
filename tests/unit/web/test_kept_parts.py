"""What is kept of pages: the same for as long as it is true, as much as there is room for; long places end after their first rows."""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING, Any

import pytest
from starlette.testclient import TestClient

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from mainwright.web.kept import Kept
from mainwright.web.views.drawn import shown
from mainwright.workflow.sheets import Section
from mainwright.workflow.store_ports import NewRecord
from tests.browser.serving import MARROWBY

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from mainwright.plan.result import Plan
    from mainwright.prove.proof import Proof
    from mainwright.workflow.visiting import UseCases

HOST = "127.0.0.1:8420"


@pytest.fixture
def uses(tmp_path: Path) -> Iterator[UseCases]:
    place = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as store:
        yield page_use_cases(store)


@pytest.fixture
def client(uses: UseCases) -> TestClient:
    return TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}")


def test_what_nobody_asked_for_longest_goes_first() -> None:
    made: list[str] = []
    kept: Kept[str] = Kept(10, len)

    def make(text: str) -> str:
        made.append(text)
        return text

    for text in ("aaaa", "bbbb", "aaaa", "cccc", "aaaa", "bbbb"):
        assert kept.get(text, partial(make, text)) == text
    assert made == ["aaaa", "bbbb", "cccc", "bbbb"]


def test_what_is_larger_than_all_room_is_given_all_the_same() -> None:
    kept: Kept[str] = Kept(3, len)
    assert kept.get(1, lambda: "too long") == "too long"
    assert kept.get(2, lambda: "x") == "x"


def test_a_browser_that_has_the_ribbon_is_not_sent_it_again(client: TestClient, uses: UseCases) -> None:
    address = "/jobs/tl-03/ribbon.svg?from=0&to=300&width=900"
    first = client.get(address)
    again = client.get(address, headers={"if-none-match": first.headers["etag"]})
    assert first.status_code == 200
    assert (again.status_code, again.content) == (304, b"")
    german = client.get(address, headers={"cookie": "mainwright_look=de.metric.auto", "if-none-match": first.headers["etag"]})
    assert german.status_code == 200
    assert german.text != first.text
    document = uses.jobs.shelf.document("tl-03")
    row = dict(document.rows("main")[0]) | {"dn": 450}
    tables = {**document.tables, "main": [row, *document.rows("main")[1:]]}
    uses.jobs.shelf.save(type(document)(tables, document.alignment, document.extra, document.headers), author="test")
    changed = client.get(address, headers={"if-none-match": first.headers["etag"]})
    assert changed.status_code == 200
    assert "DN 450" in changed.text


def test_the_words_of_the_ribbon_too(client: TestClient) -> None:
    first = client.get("/jobs/tl-03/ribbon.json")
    assert client.get("/jobs/tl-03/ribbon.json", headers={"if-none-match": f'W/{first.headers["etag"]}, "x"'}).status_code == 304
    assert first.json()["lanes"]


def test_a_card_of_the_list_is_the_same_until_something_of_it_changes(uses: UseCases) -> None:
    today = uses.clock().date()
    before = uses.board.cards(today)
    assert [one is other for one, other in zip(before, uses.board.cards(today), strict=True)] == [True]
    uses.jobs.shelf.add_records("tl-03", [NewRecord("runs_done", {"run": "R01"})], author="test")
    after = uses.board.cards(today)
    assert after[0] is not before[0]
    assert after[0].runs_lined == 1


def _table(rows: int) -> Mapping[str, Any]:
    return {
        "kind": "table",
        "heads": ["a", "b"],
        "rows": [[f"r{row}", "x"] for row in range(rows)],
        "align": ["left", "left"],
        "total": False,
    }


class _OneLongPlace:
    """Sheets that show the same long sections at every place."""

    def __init__(self, sections: Sequence[Section]) -> None:
        self._sections = sections

    def place(self, place: str, plan: Plan, say: object) -> Sequence[Section]:
        del place, plan, say
        return self._sections

    def run(self, plan: Plan, run: str, say: object) -> Mapping[str, object]:
        raise KeyError(run)

    def proof(self, proof: Proof, stretches: object, say: object, pictures: object) -> Sequence[Section]:
        del proof, stretches, say, pictures
        return self._sections

    def valuation(self, made: object, say: object) -> Sequence[Section]:
        del made, say
        return self._sections

    def run_proof(self, proof: Proof, run: str, stretches: object, say: object, pictures: object) -> Sequence[Section]:
        del proof, run, stretches, say, pictures
        return self._sections


def test_a_short_place_shows_everything() -> None:
    sections = shown([Section("Open", [_table(200)]), Section("Folded", [_table(200)], folded=True)])
    assert [(one["later"], one["most"]) for one in sections] == [(False, None), (False, None)]


def test_a_long_place_ends_its_tables_and_brings_the_rest_when_asked(client: TestClient, uses: UseCases) -> None:
    long = [Section("Open", [_table(3000)]), Section("Folded", [_table(100)], folded=True), Section("Little", [_table(3)], folded=True)]
    object.__setattr__(uses, "sheets", _OneLongPlace(long))
    page = _planned(client, "/jobs/tl-03/lining")
    assert ">r59<" in page
    assert ">r60<" not in page
    assert 'href="?part=part-1"' in page
    assert "The first 60 of 3000 rows: show all" in page
    assert 'data-later="?part=part-2"' in page
    assert re.search(r"/static/later[^\"]*\.js", page)
    assert 'data-later="?part=part-3"' not in page
    whole = _planned(client, "/jobs/tl-03/lining?part=part-1")
    assert ">r2999<" in whole
    folded = _planned(client, "/jobs/tl-03/lining?part=part-2")
    assert ">r99<" in folded
    assert ">r100<" not in folded
    assert 'id="part-2"' in folded
    for wrong in ("part-0", "part-4", "part--1", "x", ""):
        assert client.get(f"/jobs/tl-03/lining?part={wrong}").status_code == 404


def _planned(client: TestClient, path: str) -> str:
    import time

    for _ in range(600):
        answer = client.get(path)
        assert answer.status_code == 200
        if "The plan is being made" not in answer.text:
            return re.sub(r"\s+", " ", answer.text)
        time.sleep(0.1)
    raise AssertionError("no plan")
