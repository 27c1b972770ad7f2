"""Curing of a run by its log."""

from dataclasses import replace

import pytest

from mainwright.job.lining import Curing
from mainwright.prove.curing import CuringProof, judge_curing
from tests.unit.prove.demo_plan import a_run, demo_plan, read

CLOSED = "RUN,2026-05-04T{hour}:00:00Z,ends_closed\n"


def judged(
    *, hours: int = 30, step: int = 2, temperature: float = 10.0, closed: bool = True, floor: float | None = 24.0, test: str = ""
) -> CuringProof:
    run, plan = a_run(), demo_plan()
    job = replace(plan.job, curing=None if floor is None else Curing(floor * 3600.0))
    rows = "".join(
        f"{run.id},2026-05-0{4 + (10 + hour) // 24}T{(10 + hour) % 24:02d}:00:00Z,{temperature},95\n" for hour in range(0, hours + 1, step)
    )
    files = {"curing.csv": "run,time,temperature_c,humidity_pct\n" + rows}
    if closed:
        files["events.csv"] = f"run,time,kind\n{run.id},2026-05-04T10:00:00Z,ends_closed\n"
    if test:
        files["pressure_test.csv"] = "section,time,pressure_bar\n" + test.replace("RUN", run.id)
    return judge_curing(job, run, plan.runs, read(files))


@pytest.mark.outside(
    "ASTM C1074 equation (2) with Q = 5000 K: 72 h at 10 degC are 39.42 h at 20 degC (computed reference grid, worked example G-03)"
)
def test_the_log_gives_the_age_at_twenty_degrees() -> None:
    found = judged(hours=72)
    assert found.verdict == "meets"
    assert found.age_low == pytest.approx(39.42 * 3600.0, rel=1e-3)
    assert found.age_high == pytest.approx(0.617 * 72 * 3600.0, rel=2e-3)  # EN 1992-1-1 annex B: 0.617 at 10 degC
    assert found.nurse_saul == pytest.approx(720.0 * 3600.0)
    assert (found.coldest, found.warmest) == (found.warmest, found.coldest)
    assert found.driest == pytest.approx(0.95)


def test_a_log_that_ends_early_or_is_silent_is_incomplete() -> None:
    assert judged(hours=20).verdict == "incomplete"
    assert judged(hours=30, step=30).verdict == "incomplete"
    assert judged(hours=30, step=15).verdict == "meets"


def test_without_a_closing_nobody_knows() -> None:
    found = judged(closed=False)
    assert found.verdict == "incomplete"
    assert found.because[0].text == "when the ends were closed is not on record"


def test_water_before_the_floor_does_not_meet_it() -> None:
    early = judged(test="RUN,2026-05-05T08:00:00Z,2\n")
    assert early.verdict == "does_not_meet"
    assert judged(test="RUN,2026-05-05T10:30:00Z,2\n").verdict == "meets"
    # Another section says nothing of this run.
    other = next(run.id for run in demo_plan().runs if run.id != a_run().id)
    assert judged(test=f"{other},2026-05-05T08:00:00Z,2\n").verdict == "meets"


def test_no_floor_is_not_asked_and_frost_is_told() -> None:
    found = judged(floor=None, temperature=-1.0)
    assert found.verdict == "not_asked"
    assert any("goes down to" in note.text for note in found.notes)
    assert found.age_low == 0.0
