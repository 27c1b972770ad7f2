"""A job that holds hardly anything: every place answers, and says what to do next."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from starlette.testclient import TestClient

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from mainwright.web.place import PLACES
from tests.unit.web.test_app import HOST

if TYPE_CHECKING:
    from pathlib import Path

JOB = """\
[job]
name = "Wharf main"
reference = "W-1"

[lining]
governing_document = "Own, first edition"
nominal_mm = 5.0
minimum_mm = 4.0
"""


def test_every_place_of_a_bare_job_answers_and_says_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    (tmp_path / "main.csv").write_text("from_m,to_m,dn,material\n0,300,200,grey_iron\n", encoding="utf-8")
    place = str(tmp_path / "store.sqlite")
    import_job(tmp_path, store=place, author="test")
    with open_store(place) as store:
        client = TestClient(create_app(page_use_cases(store), hosts=[HOST]), base_url=f"http://{HOST}")
        pages = {}
        for name in PLACES:
            last = time.monotonic() + 60.0
            while "<progress" in (answer := client.get(f"/jobs/w-1/{name}", headers={"cookie": "mainwright_look=en.metric.auto"})).text:
                assert time.monotonic() < last
                time.sleep(0.05)
            assert answer.status_code == 200
            pages[name] = answer.text
    assert "/jobs/w-1/survey?table=prices#editor" in pages["money"]
    assert "/jobs/w-1/survey?table=job#editor" in pages["programme"]
    assert 'href="/jobs/w-1/runs"' in pages["proof"]
    assert "the job lacks its feeds, its demand or its pipes" in pages["water"]
