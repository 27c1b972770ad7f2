"""Survey, ribbon and layout behind their addresses: what is right is answered, what is not is refused, and nothing fails."""

from __future__ import annotations

import io
import json
import zipfile
from datetime import UTC, datetime
from typing import TYPE_CHECKING, cast

import pytest
from starlette.testclient import TestClient

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.job.survey import OpeningChoice
from mainwright.web.app import create_app
from mainwright.web.views.survey import connection_rows
from mainwright.words.wording import Wording
from mainwright.workflow.editing import Cells, with_cells
from mainwright.workflow.layout_desk import with_choices
from mainwright.workflow.store_ports import KeptRecord
from tests.unit.prove.demo_plan import demo_plan
from tests.unit.web.test_app import HOST, MARROWBY, ORIGIN

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from mainwright.workflow.visiting import UseCases

JOB = "/jobs/tl-03"


@pytest.fixture(scope="module")
def uses(tmp_path_factory: pytest.TempPathFactory) -> Iterator[UseCases]:
    place = str(tmp_path_factory.mktemp("survey") / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as store:
        yield page_use_cases(store)


@pytest.fixture
def client(uses: UseCases) -> TestClient:
    return TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False, raise_server_exceptions=False)


def _post(client: TestClient, uses: UseCases, path: str, **fields: str) -> tuple[int, dict[str, object]]:
    answer = client.post(JOB + path, data={"token": uses.token, **fields}, headers=ORIGIN)
    return answer.status_code, answer.json() if answer.headers["content-type"].startswith("application/json") else {}


def test_a_layout_by_hand_is_priced_against_the_plan(client: TestClient, uses: UseCases) -> None:
    status, found = _post(
        client, uses, "/layout/try", openings="[110, 212, 390, 540, 662, 712, 846, 1010, 1090, 1176]", planned="59927.486"
    )
    assert status == 200
    assert found["keeps"] is True
    assert found["cost"] == pytest.approx(59927.486, abs=0.01)
    status, found = _post(client, uses, "/layout/search", locked="[450.5]", forbidden="[390]", choose="least_cost")
    assert status == 200
    assert 450.5 in found["openings"]  # type: ignore[operator]
    assert 390.0 not in found["openings"]  # type: ignore[operator]


@pytest.mark.parametrize("openings", ["[1e9]", "[NaN]", "[1e999]", "{", "[[1]]", '["x"]', "[" * 3000, "null"])
def test_a_layout_that_is_none_is_refused(client: TestClient, uses: UseCases, openings: str) -> None:
    for path in ("/layout/try", "/layout/search"):
        assert _post(client, uses, path, openings=openings, locked=openings)[0] in (400, 422)


@pytest.mark.parametrize("query", ["from=5&to=1", "from=nan", "width=1e9", "width=-1", "from=x", "page=x"])
def test_a_ribbon_that_is_none_is_refused(client: TestClient, query: str) -> None:
    assert client.get(f"{JOB}/ribbon.svg?{query}").status_code in (200, 400)
    assert client.get(f"{JOB}/ribbon?{query}").status_code in (200, 400)


def test_the_ribbon_says_in_words_what_it_draws(client: TestClient) -> None:
    found = client.get(f"{JOB}/ribbon.json").json()
    lanes = {one["name"]: one for one in found["lanes"]}
    assert len(lanes["Connection"]["points"]) == 61
    assert lanes["Host pipe"]["spans"][0][:2] == [0.0, 212.0]
    assert client.get(f"{JOB}/ribbon.svg?from=100&to=200&width=900&light=dark&lanes=axis,host").text.startswith("<svg")


@pytest.mark.parametrize(
    "cells",
    [
        "{",
        "[]",
        '{"main": 3}',
        '{"main": {"header": [], "rows": [[1]]}}',
        '{"nothing": {}}',
        '{"main": {"header": ["dn"], "rows": [["\\u0000<b>"]]}}',
    ],
)
def test_cells_that_are_none_are_refused_or_told(client: TestClient, uses: UseCases, cells: str) -> None:
    assert _post(client, uses, "/survey/check", cells=cells)[0] in (200, 400)


def test_a_save_needs_a_name_and_the_latest_revision(client: TestClient, uses: UseCases) -> None:
    assert _post(client, uses, "/survey/save", cells="{}")[0] == 422
    assert _post(client, uses, "/survey/save", cells="{}", author="A", base="older")[0] == 409
    assert _post(client, uses, "/layout/save", author="A", base="older")[0] == 409
    assert _post(client, uses, "/survey/bring", author="A", files=json.dumps({"a.txt": "aGk="}))[0] == 422
    assert _post(client, uses, "/survey/bring", author="A", files="{")[0] == 400
    assert client.post(f"{JOB}/survey/save", data={"token": "no", "author": "A"}, headers=ORIGIN).status_code == 403


def test_choices_go_into_the_document_and_out_of_it(uses: UseCases) -> None:
    document = uses.jobs.shelf.document("tl-03")
    chosen = with_choices(document, [OpeningChoice(450.5, "locked"), OpeningChoice(390.0, "forbidden")], "fewest_openings")
    assert [row["chainage_m"] for row in chosen.rows("openings")] == [390.0, 450.5]
    assert chosen.rows("runs")[0]["choose"] == "fewest_openings"
    assert with_choices(chosen, [], None).revision() == document.revision()


def test_connections_that_disagree_stand_first() -> None:
    job = demo_plan().job
    now = datetime(2026, 5, 4, 9, tzinfo=UTC)
    rows = [
        {"chainage_m": one.chainage, "clock": 3.0, "seen_by": who, "ref": one.ref}
        for one in job.services[3:5]
        for who in ("camera", "street")
    ]
    kept = [
        KeptRecord(place=place, kind="connections_found", row=row, corrects=None, author="crew", time=now, method="page", revision="0" * 64)
        for place, row in enumerate(rows, start=1)
    ]
    shown = connection_rows(job, kept, Wording("en", "metric"))
    agree = [cast("dict[str, str]", row[-1])["state"] == "good" for row in shown]
    assert sum(agree) == 2
    assert agree == sorted(agree)


def test_the_folder_of_each_revision_is_handed_out_faulty_or_not(tmp_path: Path) -> None:
    place = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as store:
        uses = page_use_cases(store)
        client = TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}")
        whole = zipfile.ZipFile(io.BytesIO(client.get(JOB + "/folder.zip").content))
        assert {one: whole.read(one) for one in ("main.csv", "prices.csv")} == {
            one: (MARROWBY / one).read_bytes() for one in ("main.csv", "prices.csv")
        }
        document = uses.jobs.shelf.document("tl-03")
        faulty = with_cells(document, {"bore": Cells(("chainage_m", "bore_mm"), (("12,5", "=wide\nopen"), ("", "300")))})
        uses.jobs.shelf.save(faulty, author="test")
        page = client.get(JOB + "/lining")
        assert '/jobs/tl-03/folder.zip" download' in page.text
        answer = client.get(JOB + "/folder.zip")
        assert answer.headers["content-disposition"] == 'attachment; filename="tl-03-2.zip"'
        text = zipfile.ZipFile(io.BytesIO(answer.content)).read("bore.csv").decode("utf-8")
        assert "wide open" in text
        assert "300" in text
        before = zipfile.ZipFile(io.BytesIO(client.get(JOB + "/folder.zip?number=1").content))
        assert before.read("bore.csv") == (MARROWBY / "bore.csv").read_bytes()
        assert client.get(JOB + "/folder.zip?number=9").status_code == 404
        assert 'href="/jobs/tl-03/folder.zip?number=1"' in client.get(JOB + "/survey").text


@pytest.mark.parametrize("cell", ["\\ud800half", "a\\u0000b", "\\u202eabc", "\\ufffe"])
def test_cells_that_are_half_a_character_or_none_are_kept_and_told(tmp_path: Path, cell: str) -> None:
    place = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as store:
        uses = page_use_cases(store)
        client = TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", raise_server_exceptions=False)
        cells = f'{{"bore": {{"header": ["chainage_m", "note"], "rows": [["{cell}", "{cell}"]]}}}}'
        status, found = _post(client, uses, "/survey/check", cells=cells)
        assert status == 200
        assert {(one["table"], one["row"], one["column"]) for one in found["faults"]} >= {("bore", 0, "chainage_m")}  # type: ignore[attr-defined]
        base = uses.jobs.shelf.history("tl-03")[-1].revision
        status, _ = _post(client, uses, "/survey/save", cells=cells, author="A. Person", base=base)
        assert status == 200
        assert client.get(JOB + "/survey/cells?table=bore").status_code == 200
        assert client.get(JOB + "/survey?table=bore").status_code == 200
        assert client.get(JOB + "/folder.zip").status_code == 200
        status, _ = _post(client, uses, "/survey/bring", author="A. Person", files=f'{{"{cell}.csv": "YSxi"}}')
        assert status == 422
        status, pasted = _post(client, uses, "/survey/parse", table="bore", pasted=f'"{cell}\\t1"')
        assert status == 200
        assert len(pasted["rows"]) == 1  # type: ignore[arg-type]
