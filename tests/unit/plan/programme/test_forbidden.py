"""What weather and client forbid: frost, hold points, streets that are not closed together."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from mainwright.job.job import Job
from mainwright.job.office import ProgrammeRules
from mainwright.plan.programme.laying import frost_days
from mainwright.plan.programme.programme import make_programme
from mainwright.plan.programme.steps import steps_of
from mainwright.plan.result import PlanWarning
from mainwright.plan.timetable import Programme
from mainwright.standards.source import Assumed
from tests.unit.plan.programme.test_programme import demo

HOUR = 3600.0


def made(job: Job) -> tuple[Programme, tuple[Assumed, ...], tuple[PlanWarning, ...]]:
    found, assumed, warnings = make_programme(job, runs=demo().runs)
    assert found is not None
    return found, assumed, warnings


def not_with(**refs: str) -> Job:
    job = demo().job
    return replace(job, permits=tuple(replace(one, not_with=refs.get(one.ref.replace("-", ""))) for one in job.permits))


@pytest.mark.parametrize(
    ("rules", "before", "after", "hours"),
    [
        (ProgrammeRules(hold_cleaned=48 * HOUR), "camera_cleaned", "lining", 48),
        (ProgrammeRules(hold_lined=72 * HOUR), "camera_lined", "refitting", 72),
        (ProgrammeRules(hold_tested=30 * HOUR), "pressure_test", "disinfection", 30),
        (ProgrammeRules(hold_released=60 * HOUR), "disinfection", "reconnection", 60),
    ],
)
def test_what_follows_a_hold_point_waits_for_the_client(rules: ProgrammeRules, before: str, after: str, hours: int) -> None:
    job = replace(demo().job, programme=rules)
    steps = {one.id: one.kind for one in steps_of(job, demo().runs).steps}
    waits = [one for one in steps_of(job, demo().runs).waits if (steps[one.before], steps[one.after]) == (before, after)]
    times = {one.id: one for one in made(job)[0].activities}
    assert waits
    assert all(times[one.after].begin - times[one.before].finish >= timedelta(hours=hours) for one in waits)


def test_no_mortar_is_sprayed_in_frost_nor_so_late_that_frost_meets_it() -> None:
    first, last = date(2026, 5, 18), date(2026, 6, 5)
    job = replace(demo().job, programme=ProgrammeRules(frost_from=first, frost_to=last))
    found, assumed, _ = made(job)
    linings = [one for one in found.activities if one.kind == "lining"]
    cure = {one.run: one for one in found.activities if one.kind == "camera_lined"}
    assert not [one for one in linings if first <= one.begin.date() <= last or first <= one.finish.date() <= last]
    # What was sprayed before the frost is seen by camera after its cure: a day, and that day is none of frost.
    kept = frost_days(job, steps_of(job, demo().runs))
    assert not [one for one in linings if one.begin.date() in kept]
    assert kept[0] < first
    assert kept[-1] == last
    assert len(linings) == len(cure) == len(demo().runs)
    assert [one.value for one in assumed if one.what == "programme.last_mortar_before"] == [kept[0].isoformat()]


def test_frost_without_an_end_is_one_day_and_one_that_ends_before_it_begins_is_none() -> None:
    steps = steps_of(demo().job, demo().runs)
    one_day = replace(demo().job, programme=ProgrammeRules(frost_from=date(2026, 5, 18)))
    assert frost_days(one_day, steps)[-1] == date(2026, 5, 18)
    assert frost_days(replace(demo().job, programme=ProgrammeRules(frost_from=date(2026, 5, 18), frost_to=date(2026, 5, 1))), steps) == ()
    assert frost_days(demo().job, steps) == ()


def test_streets_that_are_not_closed_together_are_opened_one_after_the_other() -> None:
    usual = made(demo().job)[0]
    found, assumed, warnings = made(not_with(PR1="PR-3"))

    def inside(programme: Programme, kind: str, low: float, high: float) -> list[tuple[date, date]]:
        return [(one.begin.date(), one.finish.date()) for one in programme.activities if one.kind == kind and low < one.start < high]

    closed = max(last for _, last in inside(found, "reinstatement", -1.0, 470.0))
    opened = min(first for first, _ in inside(found, "opening", 662.0, 870.0))
    assert closed <= opened
    # Without the rule they are closed at the same time: the test would show nothing else.
    assert max(last for _, last in inside(usual, "reinstatement", -1.0, 470.0)) > min(
        first for first, _ in inside(usual, "opening", 662.0, 870.0)
    )
    assert "programme.street_order" in {one.what for one in assumed}
    assert "streets_together" not in {one.code for one in warnings}


def test_streets_over_one_closed_length_cannot_be_kept_apart_and_that_is_told() -> None:
    found, _, warnings = made(not_with(PR1="PR-2, PR-9"))
    told = [one for one in warnings if one.code == "streets_together"]
    assert [dict(one.text.values)["refs"] for one in told] == ["PR-1, PR-2"]
    assert found.activities == made(demo().job)[0].activities
