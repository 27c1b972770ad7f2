"""The places that show a plan: their answer, the papers' own tables and figures, one run's sheet."""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

import mainwright
from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.plan.plan import make_plan
from mainwright.web.app import create_app
from mainwright.web.views.drawn import drawn
from mainwright.words.wording import Wording

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from mainwright.plan.result import Plan

MARROWBY = Path(mainwright.__file__).parent / "demo" / "marrowby"
HOST = "127.0.0.1:8420"
PLACES = ("lining", "runs", "water", "programme", "money")


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    place = str(tmp_path_factory.mktemp("pages") / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as store:
        yield TestClient(create_app(page_use_cases(store), hosts=[HOST]), base_url=f"http://{HOST}")


@pytest.fixture(scope="module")
def plan(client: TestClient) -> Plan:
    job = client.app.state.use_cases.jobs.listed()[0].at_hand.read.job  # type: ignore[attr-defined]
    return make_plan(job)


@pytest.fixture(scope="module")
def get(client: TestClient) -> Callable[..., str]:
    found = re.search(r'href="(/jobs/[a-z0-9-]+)/lining"', client.get("/").text)
    assert found is not None
    base = found[1]

    def asked(place: str, language: str = "en", units: str = "metric", status: int = 200) -> str:
        last = time.monotonic() + 60.0
        while True:
            answer = client.get(f"{base}/{place}", headers={"cookie": f"mainwright_look={language}.{units}.auto"})
            assert answer.status_code == status, answer.text
            if "<progress" not in answer.text or time.monotonic() > last:
                return answer.text
            time.sleep(0.1)

    return asked


@pytest.mark.parametrize("place", PLACES)
def test_answer_first_then_parts_and_sources(get: Callable[..., str], place: str) -> None:
    text = get(place)
    assert text.index('class="answer"') < text.index('class="sheet"')
    assert "<h2>Assumed</h2>" in text
    assert not re.search(r"style=|#[0-9a-f]{6}\"", text)


@pytest.mark.parametrize("place", PLACES)
def test_no_name_stands_twice(get: Callable[..., str], place: str) -> None:
    names = re.findall(r'\bid="([^"]+)"', get(place))
    assert len(names) == len(set(names))


def test_numbers_are_those_of_the_plan_in_the_readers_units(get: Callable[..., str], plan: Plan) -> None:
    aim = max(one.aim for one in plan.stretches if one.aim is not None)
    for language, units in (("en", "metric"), ("de", "metric"), ("en", "us")):
        say = Wording(language, "us" if units == "us" else "metric", "\u00a0")
        assert f">{say.measure(aim, 'mm', 1)}<" in get("lining", language, units)


def test_the_sheet_of_each_run(get: Callable[..., str], plan: Plan) -> None:
    listed = get("runs")
    for run in plan.runs:
        assert f'/runs/{run.id}"' in listed
        sheet = get(f"runs/{run.id}")
        for caution in run.cautions:
            assert Wording("en", "metric", "\u00a0").word(caution.text).split("'")[0][:40] in sheet
        assert f"<b>{Wording().measure(run.speed, 'm_min', 2)}</b>" in sheet
    assert "Gefahr" in get(f"runs/{plan.runs[0].id}", "de")


@pytest.mark.parametrize("run", ["none", "R1%2F..%2F", "%00", "<script>"])
def test_a_run_that_is_not_there(get: Callable[..., str], run: str) -> None:
    assert "<script>" not in get(f"runs/{run}", status=404)


def test_money_says_the_sum_and_every_item(get: Callable[..., str], plan: Plan) -> None:
    text = get("money")
    say = Wording("en", "metric", "\u00a0")
    assert plan.cost.rate is not None
    assert say.number(plan.cost.rate, 0) in text
    for line in plan.bill:
        assert say.word(line.text).replace("'", "&#39;") in text


def test_once_planned_a_page_is_quick(get: Callable[..., str]) -> None:
    for place in PLACES:
        get(place)
    taken = []
    for _ in range(4):
        for place in PLACES:
            begun = time.perf_counter()
            get(place)
            taken.append(time.perf_counter() - begun)
    assert sorted(taken)[len(taken) // 2] < 0.25, taken  # setting or planning anew would take seconds


def test_a_drawing_takes_the_light_of_the_page() -> None:
    svg = '<svg><pattern id="a"/><rect fill="#16242c"/><text fill="#0d5c7d">#16242c</text><path fill="url(#a)" stroke="#123456"/></svg>'
    assert drawn(svg, "p-") == (
        '<svg><pattern id="p-a"/><rect fill="var(--ink)"/><text fill="var(--run)">#16242c</text><path fill="url(#p-a)" stroke="#123456"/></svg>'
    )
