"""A plan that is being made can be stopped on its page, and made anew."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from tests.unit.web.test_app import HOST, MARROWBY, ORIGIN

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from mainwright.workflow.visiting import UseCases

PAGE = "/jobs/tl-03/lining"


@pytest.fixture
def uses(tmp_path: Path) -> Iterator[UseCases]:
    place = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as store:
        yield page_use_cases(store)


def until(client: TestClient) -> str:
    """Return the page once the plan is no longer being made."""
    last = time.monotonic() + 60.0
    while "<progress" in (text := client.get(PAGE, headers={"cookie": "mainwright_look=en.metric.auto"}).text):
        assert time.monotonic() < last
        assert 'value="stop"' in text
        time.sleep(0.05)
    return text


def test_a_plan_is_stopped_and_made_again(uses: UseCases) -> None:
    client = TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False)
    assert "<progress" in client.get(PAGE).text
    stopped = client.post("/jobs/tl-03/plan", data={"token": uses.token, "do": "stop", "place": "lining"}, headers=ORIGIN)
    assert (stopped.status_code, stopped.headers["location"]) == (303, PAGE)
    page = until(client)
    assert "The plan was stopped." in page
    assert 'http-equiv="refresh"' not in page
    again = client.post("/jobs/tl-03/plan", data={"token": uses.token, "do": "again", "place": "//elsewhere"}, headers=ORIGIN)
    assert again.headers["location"] == PAGE  # nobody is sent elsewhere
    assert "The plan was stopped." not in until(client)
