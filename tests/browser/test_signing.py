"""A client signs on a phone: in both languages, without script too, and what he signs stays what it is."""

from __future__ import annotations

import time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import pytest

from mainwright.bootstrap import import_job, open_store, read_job
from mainwright.bootstrap.demo import make_demo, make_recorded
from mainwright.bootstrap.serving import page_use_cases
from mainwright.plan.plan import make_plan
from mainwright.workflow.store_ports import NewRecord
from tests.browser.serving import served
from tests.browser.test_places import until_planned
from tests.browser.test_van import until

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from playwright.sync_api import Page

    from mainwright.workflow.visiting import UseCases

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def recorded() -> Iterator[tuple[UseCases, str, str]]:
    """Return the demo job with its records, the address of the job, and a run of it."""
    with TemporaryDirectory() as name:
        place = Path(name)
        make_demo(place / "empty")
        job = read_job(place / "empty").job
        assert job is not None
        plan = make_plan(job)
        make_recorded(place / "job", plan)
        import_job(place / "job", store=str(place / "store.sqlite"), author="test")
        with open_store(str(place / "store.sqlite")) as store:
            uses = page_use_cases(store)
            (address,) = uses.jobs.names()
            yield uses, f"jobs/{address}", plan.runs[0].id


def _ready(page: Page) -> None:
    """Wait until plan and proof are there, one after the other."""
    last = time.monotonic() + 60.0
    while page.query_selector("form[method=post] textarea") is None and time.monotonic() < last:
        until_planned(page)


def _signatures(uses: UseCases, address: str) -> list[dict[str, object]]:
    return [dict(one.row or {}) for one in uses.jobs.shelf.records(address.removeprefix("jobs/")) if one.kind == "signatures"]


def test_a_run_is_signed_on_a_phone_and_falls_behind_when_a_record_comes(
    recorded: tuple[UseCases, str, str], opened: Callable[..., Page], accessible: Callable[[Page], None]
) -> None:
    uses, job, run = recorded
    with served(uses) as server:
        page = opened(f"{server.address}{job}/proof/{run}/sign", size="phone", language="de-DE")
        _ready(page)
        assert page.inner_text("h1") == f"{run} unterschreiben"
        verdict = page.inner_text("section[aria-labelledby=proved] .state")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        accessible(page)
        page.check("input[value=accepts]", force=True)
        page.fill("input[name=name]", "Ada Lane")
        page.fill("input[name=role]", "Auftraggeber")
        page.fill("textarea[name=note]", "Nachweise folgen")
        page.click("section.sheet-form button")
        page.wait_for_selector("#signed")
        accessible(page)
        row = _signatures(uses, job)[-1]
        assert (row["decision"], row["name"], row["role"], row["run"]) == ("accepts", "Ada Lane", "Auftraggeber", run)
        assert page.inner_text("section[aria-labelledby=proved] .state") == verdict
        assert "früheren Stand" not in page.inner_text("main")
        uses.jobs.shelf.add_records(
            job.removeprefix("jobs/"), [NewRecord("thickness", {"run": run, "chainage_m": 3.0, "thickness_mm": 5.0})], author="test"
        )
        page.reload()
        _ready(page)
        assert "für einen früheren Stand unterschrieben" in page.inner_text("section[aria-labelledby=signed]")


def test_the_water_is_signed_without_script_and_only_with_a_reason(
    recorded: tuple[UseCases, str, str], opened: Callable[..., Page], accessible: Callable[[Page], None]
) -> None:
    uses, job, _ = recorded
    before = len(_signatures(uses, job))
    with served(uses) as server:
        accessible_page = opened(f"{server.address}{job}/water/sign", size="phone", light="dark")
        _ready(accessible_page)
        accessible(accessible_page)
        page = opened(f"{server.address}{job}/water/sign", size="phone", script=False, expect_faults=True)
        page.check("input[value=dissents]", force=True)
        page.fill("input[name=name]", "Bo Reed")
        page.fill("textarea[name=note]", " ")
        page.click("section.sheet-form button")
        assert "a dissent needs its reason" in page.inner_text("[role=alert]")
        assert page.input_value("input[name=name]") == "Bo Reed"
        assert len(_signatures(uses, job)) == before
        page.fill("textarea[name=note]", "second round of samples is due")
        page.click("section.sheet-form button")
        page.wait_for_selector("#signed")
        assert "second round of samples is due" in page.inner_text("section[aria-labelledby=signed]")
        assert _signatures(uses, job)[-1]["what"] == "water"


@pytest.mark.parametrize("what", ["proof/R05", "water"])
def test_long_verdicts_stay_on_a_narrow_screen(recorded: tuple[UseCases, str, str], opened: Callable[..., Page], what: str) -> None:
    uses, job, _ = recorded
    with served(uses) as server:
        page = opened(f"{server.address}{job}/{what}/sign", size="phone", language="de-DE")
        _ready(page)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_proof_out_of_the_store_shows_the_scanned_wall_and_the_photograph(
    recorded: tuple[UseCases, str, str], opened: Callable[..., Page], accessible: Callable[[Page], None]
) -> None:
    uses, job, _ = recorded
    with served(uses) as server:
        page = opened(f"{server.address}{job}/proof/R06", size="phone")
        page.wait_for_timeout(500)
        until_planned(page)
        until_planned(page)
        assert "R06 does not meet" in page.inner_text("h1")
        assert "thin" in page.inner_text("main")
        accessible(page)
        page = opened(f"{server.address}{job}/proof")
        until_planned(page)
        page.locator(".photos img").scroll_into_view_if_needed()
        until(page, "[...document.querySelectorAll('.photos img')].every((one) => one.naturalWidth > 0)")
        accessible(page)
