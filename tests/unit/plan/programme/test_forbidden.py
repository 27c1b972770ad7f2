"""What weather and client forbid: frost, hold points, streets that are not closed together."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from functools import partial

import pytest

from mainwright.job.job import Job
from mainwright.job.office import ProgrammeRules
from mainwright.plan.programme.bounds import lower_bound
from mainwright.plan.programme.laying import Progressed, frost_days, lay
from mainwright.plan.programme.programme import make_programme
from mainwright.plan.programme.solve import Effort, solve_programme
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


def test_the_order_of_two_streets_is_the_one_that_gives_the_better_programme() -> None:
    job = not_with(PR1="PR-4")
    permits = tuple(
        replace(one, first_day=date(2026, 6, 1), last_day=date(2026, 9, 30))
        if one.ref == "PR-1"
        else replace(one, first_day=date(2026, 5, 4), last_day=date(2026, 9, 30))
        for one in job.permits
    )
    orders = {}
    for late in ("PR-1", "PR-4"):
        held = tuple(replace(one, first_day=date(2026, 7, 6)) if one.ref == late else one for one in permits)
        _, assumed, warnings = made(replace(job, permits=held))
        assert not [one for one in warnings if one.code == "programme_broken"]
        orders[late] = next(one.value for one in assumed if one.what == "programme.street_order")
    # The street that cannot be opened before July comes last.
    assert orders == {"PR-1": "PR-4 – PR-1", "PR-4": "PR-1 – PR-4"}


def test_of_both_orders_the_better_is_taken_and_the_bound_is_of_both() -> None:
    # Nobody has to leave: both orders can be laid out.
    job = not_with(PR1="PR-3")
    job = replace(job, crews=tuple(replace(one, last_day=None) for one in job.crews))
    steps = steps_of(job, demo().runs)
    laying = partial(lay, job, steps, days=200, progressed=None, keep_last_days=True)
    usual, other = laying(), laying(turned=(0,))
    assert (usual.apart.order, other.apart.order) == ((("PR-1", "PR-3"),), (("PR-3", "PR-1"),))
    weights = [solve_programme(one.problem, effort=Effort(lists=60)) for one in (usual, other)]
    assert all(one is not None for one in weights)
    found, assumed, _ = made(job)
    taken = next(one.value for one in assumed if one.what == "programme.street_order")
    best = min(one.weight for one in weights if one is not None)
    assert taken == ("PR-1 – PR-3" if weights[0] is not None and weights[0].weight == best else "PR-3 – PR-1")
    assert found.bound <= min(lower_bound(one.problem).slots for one in (usual, other)) / usual.calendar.shift


def test_a_street_that_is_opened_comes_first_whatever_is_shorter() -> None:
    job = not_with(PR1="PR-3")
    steps = steps_of(job, demo().runs)
    far = Progressed({"O712-opening": datetime.fromisoformat("2026-05-18 07:00")}, date(2026, 5, 20))
    apart = lay(job, steps, days=200, progressed=far, keep_last_days=True).apart
    assert apart.order == (("PR-3", "PR-1"),)
    assert apart.free == ()


def test_the_order_of_streets_that_was_issued_stands() -> None:
    job = not_with(PR1="PR-3")
    job = replace(job, crews=tuple(replace(one, last_day=None) for one in job.crews))
    steps = steps_of(job, demo().runs)
    turned = lay(job, steps, days=200, progressed=None, keep_last_days=True, turned=(0,))
    timetable = solve_programme(turned.problem, effort=Effort(lists=0))
    assert timetable is not None
    issued = {step.id: turned.calendar.begin(begin) for step, begin in zip(steps.steps, timetable.starts, strict=True)}
    found, assumed, _ = make_programme(job, runs=demo().runs, issued=issued)
    assert found is not None
    assert [one.value for one in assumed if one.what == "programme.street_order"] == ["PR-3 – PR-1"]


def night_job(*, start: time, hours: str) -> Job:
    job = demo().job
    permits = tuple(replace(one, hours=hours) if one.ref == "PR-2" else one for one in job.permits)
    return replace(job, permits=permits, shift=replace(job.shift, start=start, length=8.0 * HOUR))


def test_hours_over_midnight_bind_a_shift_that_goes_over_midnight() -> None:
    job = night_job(start=time(20), hours="22:00-05:00")
    others = tuple(replace(one, hours=None) if one.ref != "PR-2" else one for one in job.permits)
    found, _, warnings = made(replace(job, permits=others))
    assert not {"permit_hours", "programme_broken"} & {one.code for one in warnings}
    lined = [one for one in found.activities if one.kind == "lining" and one.start < 662.0 and one.end > 470.0]
    assert lined
    assert any(one.finish.date() > one.begin.date() for one in lined)
    for one in lined:
        night = datetime.combine((one.begin - timedelta(hours=12)).date(), time(22))
        assert night <= one.begin < one.finish <= night + timedelta(hours=7)


def test_hours_in_which_nobody_works_are_told() -> None:
    found, _, warnings = made(night_job(start=time(7), hours="22:00-05:00"))
    told = [one for one in warnings if one.code == "permit_hours"]
    assert [dict(one.text.values)["ref"] for one in told] == ["PR-2"]
    assert found.activities


def test_work_under_two_permits_keeps_to_the_hours_of_both_and_is_told_where_they_never_meet() -> None:
    job = demo().job
    both = {"PR-1": "07:00-13:30", "PR-2": "07:30-16:00"}
    found, _, warnings = made(replace(job, permits=tuple(replace(one, hours=both.get(one.ref)) for one in job.permits)))
    assert not {"permit_hours", "programme_broken"} & {one.code for one in warnings}
    shared = next(one for one in found.activities if one.id == "R04-lining")
    assert time(7, 30) <= shared.begin.time() < shared.finish.time() <= time(13, 30)
    never = {"PR-1": "07:00-10:00", "PR-2": "12:00-16:00"}
    _, _, warnings = made(replace(job, permits=tuple(replace(one, hours=never.get(one.ref)) for one in job.permits)))
    assert {"PR-1", "PR-2"} == {dict(one.text.values)["ref"] for one in warnings if one.code == "permit_hours"}
    assert "programme_broken" not in {one.code for one in warnings}
