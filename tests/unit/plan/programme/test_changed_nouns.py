"""A programme after an issued one whose job has changed in one noun: there is one, done stays done, it keeps everything, and it says what moved."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import pytest

from mainwright.job.job import Job
from mainwright.job.office import CalendarDay, CrewMember, Output, ProgrammeRules
from mainwright.job.records import Records, RunDone
from mainwright.plan.programme.kept import breaches
from mainwright.plan.programme.programme import Search, make_programme
from mainwright.plan.programme.progress import how_far, moved
from mainwright.plan.programme.solve import Effort
from mainwright.plan.result import Run
from mainwright.plan.timetable import Programme
from tests.unit.prove.demo_plan import demo_plan

FEW = Search(effort=Effort(lists=20))
Changed = tuple[Job, tuple[Run, ...]]


@cache
def issued() -> tuple[Programme, Mapping[str, datetime]]:
    made, _, _ = make_programme(demo_plan().job, runs=demo_plan().runs, search=FEW)
    assert made is not None
    return made, {one.id: one.begin for one in made.everything}


@cache
def records() -> Records:
    """Return that the first two runs were lined, each a working day later than issued."""
    made, _ = issued()
    zone = ZoneInfo(demo_plan().job.info.time_zone)
    first = sorted((one for one in made.activities if one.kind == "lining"), key=lambda one: one.begin)[:2]
    rows = []
    for one in first:
        late = one.begin + timedelta(days=1)
        while late.weekday() > 4 or late.date() in made.days_off:
            late += timedelta(days=1)
        begin = late.replace(tzinfo=zone)
        rows.append(RunDone(one.run or "", one.start, one.end, time_from=begin, time_to=begin + timedelta(hours=5), outcome="complete"))
    return Records(runs_done=tuple(rows))


def crews(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, crews=tuple(one for one in job.crews if one.skill != "cleaning")), tuple(runs)


def another_crew(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, crews=(*job.crews, CrewMember("second gang", "cleaning", 4))), tuple(runs)


def crews_in_turn(job: Job, runs: Sequence[Run]) -> Changed:
    """Let a second gang do what the first one is away for."""
    away = (CalendarDay(date(2026, 5, 10) + timedelta(days=day), "no_work", "cleaning gang") for day in range(40))
    more = CrewMember("second gang", "cleaning", 4, first_day=date(2026, 5, 11), last_day=date(2026, 6, 30))
    return replace(job, crews=(*job.crews, more), calendar=(*job.calendar, *away)), tuple(runs)


def crew_goes(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, crews=tuple(replace(one, last_day=date(2026, 6, 1)) if one.skill == "lining" else one for one in job.crews)), tuple(
        runs
    )


def crew_off(job: Job, runs: Sequence[Run]) -> Changed:
    days = (date(2026, 5, 26) + timedelta(days=day) for day in range(10))
    return replace(job, calendar=(*job.calendar, *(CalendarDay(day, "no_work", "supply gang") for day in days))), tuple(runs)


def permit_moved(job: Job, runs: Sequence[Run]) -> Changed:
    fortnight = timedelta(days=14)
    moved_on = (
        replace(one, first_day=one.first_day and one.first_day + fortnight, last_day=one.last_day and one.last_day + fortnight)
        if one.ref == "PR-3"
        else one
        for one in job.permits
    )
    return replace(job, permits=tuple(moved_on)), tuple(runs)


def permit_shorter(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, permits=tuple(replace(one, last_day=date(2026, 6, 15)) for one in job.permits)), tuple(runs)


def permit_hours(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, permits=tuple(replace(one, hours="09:00-12:00") for one in job.permits)), tuple(runs)


def permits_gone(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, permits=()), tuple(runs)


def streets_apart(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, permits=tuple(replace(one, not_with="PR-4") if one.ref == "PR-3" else one for one in job.permits)), tuple(runs)


def run_split(job: Job, runs: Sequence[Run]) -> Changed:
    """Split the run that is lined last, as where something in it has to be dug out."""
    last = runs[-1]
    middle = round((last.start + last.end) / 2.0, 1)
    halves = (
        replace(last, end=middle, length=middle - last.start, lining_time=last.lining_time / 2.0),
        replace(last, id="R99", start=middle, length=last.end - middle, lining_time=last.lining_time / 2.0),
    )
    return job, (*runs[:-1], *halves)


def block_less(job: Job, runs: Sequence[Run]) -> Changed:
    return job, tuple(one for one in runs if one.end <= 1010.0)


def block_more(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, features=tuple(replace(one, state="lets_by") if one.ref == "V2" else one for one in job.features)), tuple(runs)


def output_halved(job: Job, runs: Sequence[Run]) -> Changed:
    halved = (replace(one, rate=one.rate and one.rate / 2.0) if one.activity.startswith("cleaning") else one for one in job.outputs)
    return replace(job, outputs=tuple(halved)), tuple(runs)


def lining_over_the_shift(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(
        job, outputs=(*(one for one in job.outputs if not one.activity.startswith("lining")), Output("lining", "each", rate=0.6))
    ), tuple(runs)


def outputs_gone(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, outputs=()), tuple(runs)


def holiday(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, calendar=(*job.calendar, CalendarDay(date(2026, 5, 20), "holiday"))), tuple(runs)


def saturday(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, calendar=(*job.calendar, CalendarDay(date(2026, 5, 23), "extra_shift", "cleaning gang"))), tuple(runs)


def shift_shorter(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, shift=replace(job.shift, length=7.0 * 3600.0)), tuple(runs)


def frost(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, programme=ProgrammeRules(frost_from=date(2026, 6, 1), frost_to=date(2026, 6, 12))), tuple(runs)


def hold_points(job: Job, runs: Sequence[Run]) -> Changed:
    day = 86400.0
    return replace(job, programme=ProgrammeRules(hold_cleaned=day, hold_lined=2 * day, hold_tested=day, hold_released=day)), tuple(runs)


def cures_longer(job: Job, runs: Sequence[Run]) -> Changed:
    assert job.curing is not None
    return replace(job, curing=replace(job.curing, fill=96.0 * 3600.0)), tuple(runs)


def laboratory_slower(job: Job, runs: Sequence[Run]) -> Changed:
    assert job.giving_back is not None
    return replace(job, giving_back=replace(job.giving_back, laboratory=7 * 86400.0)), tuple(runs)


def customer_of_need(job: Job, runs: Sequence[Run]) -> Changed:
    return replace(job, services=tuple(replace(one, use="dialysis") if one.chainage > 1100.0 else one for one in job.services)), tuple(runs)


def less_pipe(job: Job, runs: Sequence[Run]) -> Changed:
    pipes = tuple(replace(one, stock=one.stock and one.stock / 2.0) for one in job.plant.supply_pipes)
    return replace(job, plant=replace(job.plant, supply_pipes=pipes)), tuple(runs)


CHANGES = (
    crews,
    another_crew,
    crews_in_turn,
    crew_goes,
    crew_off,
    permit_moved,
    permit_shorter,
    permit_hours,
    permits_gone,
    streets_apart,
    run_split,
    block_less,
    block_more,
    output_halved,
    lining_over_the_shift,
    outputs_gone,
    holiday,
    saturday,
    shift_shorter,
    frost,
    hold_points,
    cures_longer,
    laboratory_slower,
    customer_of_need,
    less_pipe,
)


def test_what_was_issued_keeps_everything() -> None:
    made, _ = issued()
    assert breaches(demo_plan().job, demo_plan().runs, made) == ()


@pytest.mark.parametrize("change", CHANGES, ids=lambda one: one.__name__)
def test_a_changed_noun_gives_a_programme_that_keeps_what_is_done_and_says_what_moves(change: Callable[..., Changed]) -> None:
    _, begins = issued()
    job, runs = change(demo_plan().job, demo_plan().runs)
    far = how_far(job, runs, records(), begins)
    assert far is not None
    made, _, told = make_programme(job, runs=runs, search=FEW, progressed=far, issued=begins)
    assert made is not None
    # What is done is done when it was done.
    by_id = {one.id: one for one in made.activities}
    for row in records().runs_done:
        assert row.time_from is not None
        assert by_id[f"{row.run}-lining"].done
        assert by_id[f"{row.run}-lining"].begin == row.time_from.replace(tzinfo=None)
        assert by_id[f"{row.run}-cleaning"].done
    # Everything else keeps what it must, by code that did not make it.
    late = "crews_too_short" in {one.code for one in told}
    assert breaches(job, runs, made, today=far.today, last_days=not late) == ()
    # What is on another day is told with its reason.
    other = [one for one in made.activities if not one.done and one.id in begins and begins[one.id].date() != one.begin.date()]
    said = moved(made, begins)
    assert bool(other) == bool(said)
    for one in [one for one in other if one.kind == "lining"][:8]:
        text = next(row.text for row in said if dict(row.text.values).get("run") == one.run)
        assert dict(text.values)["because"] == one.because
        assert text.values


def test_the_same_job_after_the_same_records_moves_only_what_must() -> None:
    before, begins = issued()
    job, runs = demo_plan().job, demo_plan().runs
    far = how_far(job, runs, records(), begins)
    assert far is not None
    made, _, _ = make_programme(job, runs=runs, search=FEW, progressed=far, issued=begins)
    assert made is not None
    # Cleaning that was to be begun before today and is not on record begins today: the end moves by no more than that and a weekend.
    lost = max((far.today - begins[one.id].date()).days for one in made.activities if one.kind == "cleaning" and not one.done)
    assert 0 < lost < 10
    assert made.last_day <= before.last_day + timedelta(days=lost + 2)
