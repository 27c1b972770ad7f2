"""The main job of the pages: a new job out of what is pasted, its faults gone, its plan on paper."""

from __future__ import annotations

import json
import time
from typing import TYPE_CHECKING, Any

from starlette.testclient import TestClient

from mainwright.bootstrap import open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from tests.unit.web.test_app import HOST, ORIGIN

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

PASTED = "von;bis;DN;Werkstoff\n0;120,5;150;grey_iron\n120,5;200;150;grey_iron\n"


def _until(found: Callable[[], bool], *, seconds: float = 120.0) -> None:
    last = time.monotonic() + seconds
    while not found():
        assert time.monotonic() < last
        time.sleep(0.2)


def test_from_what_is_pasted_to_the_plan_on_paper(tmp_path: Path) -> None:
    with open_store(str(tmp_path / "store.sqlite")) as store:
        uses = page_use_cases(store)
        client = TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False)

        def post(path: str, **fields: str) -> dict[str, list[dict[str, str]]]:
            answer = client.post(f"/jobs/hs-01{path}", data={"token": uses.token, **fields}, headers=ORIGIN)
            return answer.json() if answer.headers.get("content-type", "").startswith("application/json") else {}

        begun = {"token": uses.token, "name": "Harbour Street", "reference": "HS 01", "author": "A. Person"}
        assert client.post("/new-job", data=begun, headers=ORIGIN).headers["location"] == "/jobs/hs-01/survey?table=main"
        assert client.post("/new-job", data=begun, headers=ORIGIN).status_code == 422
        at_hand = uses.jobs.job("hs-01")
        assert at_hand is not None
        assert at_hand.read.job is None
        found = post("/survey/parse", table="main", text=PASTED)
        cells: dict[str, Any] = {
            "main": {"header": found["meant"], "rows": found["rows"]},
            "lining": {"header": ["governing_document", "nominal_mm", "minimum_mm"], "rows": [["Specification of this test", "6", ""]]},
            "job": {
                "header": ["name", "reference", "client", "currency", "first_day"],
                "rows": [["Harbour Street", "HS 01", "Marrowby Waterworks", "EUR", "2026-04-13"]],
            },
        }
        faults = [one for one in post("/survey/check", cells=json.dumps(cells))["faults"] if one["severity"] == "fault"]
        assert [(one["table"], one["column"]) for one in faults] == [("lining", "minimum_mm")]
        cells["lining"]["rows"] = [["Specification of this test", "6", "5"]]
        post("/survey/save", cells=json.dumps(cells), author="A. Person", base=at_hand.revision.revision)
        _until(lambda: "<progress" not in client.get("/jobs/hs-01/layout").text)
        post("/documents/plan.pdf")
        _until(lambda: client.get("/jobs/hs-01/documents/plan.pdf").headers.get("content-type") == "application/pdf")
        assert client.get("/jobs/hs-01/documents/plan.pdf").content.startswith(b"%PDF")
