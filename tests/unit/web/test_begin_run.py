"""A run that is begun from a page, marked by hand, ended, and on record; and gone on with when the program starts again."""

from __future__ import annotations

import re
import time
from contextlib import contextmanager
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from mainwright.bootstrap.keeping import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from mainwright.workflow.keeping import records_of_folder
from tests.unit.cli.helpers import write_job

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from mainwright.store.store import DatabaseStore

HOST = "127.0.0.1:8420"
ORIGIN = {"origin": f"http://{HOST}"}
BY_SCRIPT = {**ORIGIN, "accept": "application/json"}


@pytest.fixture
def place(tmp_path: Path) -> str:
    """Return a store with one small job."""
    name = str(tmp_path / "store.sqlite")
    folder = write_job(tmp_path / "job")
    head = (folder / "job.toml").read_text(encoding="utf-8").replace("[job]", '[job]\nreference = "ML-1"', 1)
    (folder / "job.toml").write_text(head, encoding="utf-8")
    import_job(folder, store=name, author="test")
    return name


class Pages:
    """The pages of a store, asked without a browser."""

    def __init__(self, store: DatabaseStore, feeds: Mapping[str, str] | None = None) -> None:
        self.store = store
        self.uses = page_use_cases(store, feeds=feeds)
        self.said = self.uses.live.go_on()
        self.client = TestClient(create_app(self.uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False)
        self.job = self.uses.jobs.names()[0]
        self.here = f"/jobs/{self.job}/runs/R01/live"

    def page(self) -> str:
        """Return the page of the run, once the job is planned."""
        until = time.monotonic() + 60.0
        while "<progress" in (text := self.client.get(self.here).text) and time.monotonic() < until:
            time.sleep(0.05)
        return text

    def begin(self, **fields: str) -> tuple[int, str, str]:
        answer = self.client.post(self.here, data={"token": self.uses.token, "who": "Ada", **fields}, headers=ORIGIN)
        return answer.status_code, answer.headers.get("location", ""), answer.text

    def press(self, **fields: str) -> None:
        answer = self.client.post(f"{self.here}/do", data={"token": self.uses.token, "who": "Ada", **fields}, headers=BY_SCRIPT)
        assert answer.status_code == 200, answer.text

    def kinds(self) -> list[str]:
        """Return the kinds of the events of the run, as they are on disk."""
        (key,) = self.store.log.runs()
        return [one.kind for one in self.store.log.entries(key)]

    def records(self) -> Mapping[str, object]:
        with self.store.looking() as shelf:
            (kept,) = shelf.jobs()
            held = records_of_folder(shelf.records(kept.job))
        return {**held.tables, **{f"run_{run}": rows for run, rows in held.readings.items()}}


@contextmanager
def pages(place: str, feeds: Mapping[str, str] | None = None) -> Iterator[Pages]:
    with open_store(place) as store:
        made = Pages(store, feeds)
        with made.client:
            try:
                yield made
            finally:
                made.uses.live.close()


def test_a_run_by_hand_from_a_page_to_the_record(place: str) -> None:
    with pages(place) as there:
        text = there.page()
        assert "This run has not begun." in text
        assert 'name="feed" value=""' in text
        status, location, _ = there.begin()
        assert (status, location) == (303, f"{there.here}#who=Ada")
        assert 'data-base="' + there.here in there.client.get(there.here).text
        there.press(what="start")
        start = there.uses.live.get(there.job, "R01").plan.start  # type: ignore[union-attr]
        for way in (5.0, 10.0):
            there.press(what="mark", chainage_m=f"{start + way}", flow_l_min="30")
            time.sleep(0.05)
        there.press(what="batch", volume_l="200")
        assert "run_R01" not in there.records()
        there.press(what="end", outcome="aborted", why="rain")
        until = time.monotonic() + 20.0
        while "runs_done" not in there.records() and time.monotonic() < until:
            time.sleep(0.1)
        kept = there.records()
        assert [row["batch"] for row in kept["batches"]] == ["1"]  # type: ignore[attr-defined]
        assert kept["run_R01"]
        assert there.kinds()[:2] == ["charge_taken", "started"]
        documents = f"/jobs/{there.job}/documents"
        assert "Daily report of run R01" in there.client.get(documents).text
        there.client.post(f"{documents}/report_R01.pdf", data={"token": there.uses.token}, headers=ORIGIN)
        until = time.monotonic() + 30.0
        while (answer := there.client.get(f"{documents}/report_R01.pdf")).status_code != 200 and time.monotonic() < until:
            time.sleep(0.1)
        assert answer.content.startswith(b"%PDF")
        # The next part can be begun at once, from the other end if need be.
    with pages(place) as there:
        assert "This run was broken off." in there.page()
        assert there.records() == kept
        assert there.begin(turned="yes")[0] == 303
        assert there.uses.live.get(there.job, "R01").plan.direction == "decreasing"  # type: ignore[union-attr]


def test_it_goes_on_when_the_program_starts_again(place: str) -> None:
    with pages(place) as there:
        there.page()
        there.begin()
        there.press(what="start")
    with pages(place) as there:
        assert there.said == []
        assert there.uses.live.followed(there.job) == ("R01",)
        there.press(what="stop")
        assert [one for one in there.kinds() if one != "signal_noted"] == ["charge_taken", "started", "stopped"]


def test_a_feed_by_its_name(place: str, tmp_path: Path) -> None:
    readings = tmp_path / "rig.csv"
    readings.write_text("time,odometer_m,flow_l_min\n", encoding="utf-8")
    feeds = {"rig": f"csv:{readings}"}
    with pages(place, feeds) as there:
        assert 'value="rig"' in there.page()
        assert there.begin(feed="elsewhere")[0] == 422
        assert there.begin(feed="rig")[0] == 303
        there.press(what="start")
    with pages(place) as there:
        assert len(there.said) == 1
        assert "by the feed rig" in there.said[0]
        there.press(what="end", outcome="complete")
    with pages(place, feeds) as there:
        assert there.said == []
        assert "This run is complete" in there.page()
        assert there.begin()[0] == 409


def test_what_is_refused(place: str) -> None:
    with pages(place) as there:
        there.page()
        assert there.begin(who="")[0] == 422
        assert there.client.post(there.here, data={"who": "Ada"}, headers=ORIGIN).status_code == 403
        assert there.client.get(f"/jobs/{there.job}/runs/R99/live").status_code == 404
        assert (
            there.client.post(
                f"/jobs/{there.job}/runs/R99/live", data={"token": there.uses.token, "who": "Ada"}, headers=ORIGIN
            ).status_code
            == 404
        )
        assert there.client.get("/jobs/none/runs/R01/live").status_code == 404
        assert there.store.log.runs() == []


def test_the_sheet_of_a_run_leads_to_following_it_and_its_id_alone_too(place: str) -> None:
    with pages(place) as there:
        there.page()
        sheet = there.client.get(f"/jobs/{there.job}/runs/R01").text
        assert re.search(rf'href="{there.here}"', sheet)
        assert there.client.get("/runs/R01/live").status_code == 404
        there.begin()
        there.begin()
        answer = there.client.get("/runs/R01/live")
        assert (answer.status_code, answer.headers["location"]) == (307, there.here)
        assert there.kinds().count("charge_taken") == 2


def test_a_run_that_is_split_goes_on_as_its_next_part_from_the_other_end(place: str) -> None:
    with pages(place) as there:
        there.page()
        there.begin()
        first = there.uses.live.get(there.job, "R01").plan  # type: ignore[union-attr]
        forward = 1.0 if first.direction == "increasing" else -1.0
        there.press(what="start")
        time.sleep(0.05)
        there.press(what="mark", chainage_m=f"{first.start + 20.0 * forward}", flow_l_min="30")
        there.press(what="remark", kind="valve_lets_by", text="the valve at 120 m lets by")
        there.press(what="remark", kind="water_in_invert", text="a bucket full at 15 m")
        there.press(what="end", outcome="split", why="night")
        assert (
            there.client.post(
                f"{there.here}/do", data={"token": there.uses.token, "who": "Ada", "what": "stop"}, headers=BY_SCRIPT
            ).status_code
            == 409
        )
        # Ended, it can be taken up at once, without another start of the program.
        assert there.begin(turned="yes")[0] == 303
        second = there.uses.live.get(there.job, "R01").plan  # type: ignore[union-attr]
        assert (second.chainage(0.0), second.chainage(second.length)) == pytest.approx((first.end, first.start + 20.0 * forward))
        assert second.direction != first.direction
        there.press(what="start")
        time.sleep(0.05)
        there.press(what="mark", chainage_m=f"{second.chainage(second.length)}", flow_l_min="30")
        there.press(what="end", outcome="complete")
        there.press(what="ends")
        keys = there.store.log.runs()
        assert len(keys) == 2
        assert [[one.kind for one in there.store.log.entries(key)].count("ended") for key in keys] == [1, 1]
    with pages(place) as there:
        assert "This run is complete" in there.page()
        kept = there.records()
        assert sorted(row["kind"] for row in kept["events"] if row["kind"] in ("valve_lets_by", "water_in_invert")) == [  # type: ignore[attr-defined]
            "valve_lets_by",
            "water_in_invert",
        ]
        lined = sorted(sorted((float(row["from_m"]), float(row["to_m"]))) for row in kept["runs_done"])  # type: ignore[attr-defined]
        low, high = sorted((first.start, first.end))
        assert lined[0][0] == pytest.approx(low)
        assert lined[-1][1] == pytest.approx(high)
        assert all(one[1] == pytest.approx(other[0]) for one, other in pairwise(lined))
