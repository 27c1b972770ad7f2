"""The programme of the invented job: everybody at one place, nothing before its time, what is done stays done."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from mainwright.demo.job import write_demo
from mainwright.errors import InputError
from mainwright.folder.reading import read_folder
from mainwright.job.job import Job
from mainwright.job.office import CalendarDay, CrewMember
from mainwright.job.records import Records, RunDone
from mainwright.paper.programme_ics import crew_names, render_calendar
from mainwright.plan.plan import make_plan
from mainwright.plan.programme.calendar import work_calendar
from mainwright.plan.programme.programme import Search, make_programme
from mainwright.plan.programme.progress import how_far, moved
from mainwright.plan.programme.solve import Effort
from mainwright.plan.programme.steps import steps_of
from mainwright.plan.result import Plan
from mainwright.plan.return_to_service.notices import latest_day, works
from mainwright.plan.timetable import Programme
from mainwright.words.wording import Wording
from tests.unit.plan.small_job import small_job


@cache
def demo() -> Plan:
    with TemporaryDirectory() as folder:
        write_demo(Path(folder) / "job")
        job = read_folder(Path(folder) / "job").job
    assert job is not None
    return make_plan(job)


def programme(job: Job | None = None) -> Programme:
    made, _, _ = make_programme(job or demo().job, runs=demo().runs)
    assert made is not None
    return made


def test_every_run_is_cleaned_seen_lined_and_seen_again() -> None:
    made = demo().programme
    assert made is not None
    for run in demo().runs:
        times = [
            next(one for one in made.activities if one.id == f"{run.id}-{kind}")
            for kind in ("cleaning", "camera_cleaned", "lining", "camera_lined")
        ]
        assert all(before.finish <= after.begin for before, after in pairwise(times))


def test_nobody_is_at_two_places() -> None:
    made = programme()
    for crew in crew_names(made):
        own = sorted((one for one in made.activities if one.crew == crew), key=lambda one: one.begin)
        assert all(before.finish <= after.begin for before, after in pairwise(own)), crew


def test_the_lining_cures_before_the_camera_comes() -> None:
    made, curing = programme(), demo().job.curing
    assert curing is not None
    assert curing.fill is not None
    for run in demo().runs:
        lined = next(one for one in made.activities if one.id == f"{run.id}-lining")
        seen = next(one for one in made.activities if one.id == f"{run.id}-camera_lined")
        assert seen.begin - lined.finish >= timedelta(seconds=curing.fill)


def test_nobody_works_on_a_holiday_or_beside_the_shift() -> None:
    job, made = demo().job, programme()
    off = {one.day for one in job.calendar if one.kind != "extra_shift"}
    extra = {one.day for one in job.calendar if one.kind == "extra_shift"}
    start = datetime.combine(date(2026, 1, 1), job.shift.start)
    stop = (start + timedelta(seconds=job.shift.length)).time()
    for one in made.activities:
        for moment in (one.begin, one.finish):
            assert moment.date() not in off
            assert moment.weekday() < 5 or moment.date() in extra
            assert job.shift.start <= moment.time() <= stop


def test_neighbours_are_not_closed_together() -> None:
    made = programme()
    closed = {
        one.block: (
            one.begin,
            next(other.finish for other in made.activities if other.kind == "reconnection" and other.block == one.block),
            one.start,
            one.end,
        )
        for one in made.activities
        if one.kind == "isolating"
    }
    for begin, finish, _, end in closed.values():
        for other_begin, other_finish, start, _ in closed.values():
            if start == end:
                assert finish <= other_begin or other_finish <= begin


def test_work_under_a_permit_keeps_to_its_hours_and_its_first_day() -> None:
    made = programme()
    permit = next(one for one in made.permits if one.ref == "PR-2")
    assert permit.first is not None
    assert permit.first_day is not None
    assert permit.first >= permit.first_day
    lined = [one for one in made.activities if one.kind == "lining" and one.start < 662.0 and one.end > 470.0]
    assert lined
    assert all(one.begin.strftime("%H:%M") >= "09:00" and one.finish.strftime("%H:%M") <= "15:30" for one in lined)


def test_late_work_costs_what_the_permit_says() -> None:
    job = demo().job
    tight = tuple(replace(one, last_day=date(2026, 6, 12)) if one.ref == "PR-4" else one for one in job.permits)
    made, _, told = make_programme(replace(job, permits=tight), runs=demo().runs)
    assert made is not None
    use = next(one for one in made.permits if one.ref == "PR-4")
    assert use.last is not None
    assert use.overrun == (use.last - date(2026, 6, 12)).days > 3
    # Three days at the first rate, the rest at the later one.
    assert use.charge == 3 * 400 + (use.overrun - 3) * 1000
    assert use.next_day_costs == 1000
    assert use.spare is not None
    assert use.spare < 0
    assert "permit_overrun" in {one.code for one in told}


def test_a_crew_that_is_away_makes_it_longer() -> None:
    job = demo().job
    away = tuple(CalendarDay(date(2026, 5, 18) + timedelta(days=day), "no_work", "lining gang") for day in range(19))
    assert programme(replace(job, calendar=(*job.calendar, *away))).shifts > programme().shifts


def test_a_second_lining_gang_does_no_harm() -> None:
    job = demo().job
    more = (*job.crews, CrewMember("second gang", "lining", 6))
    made = programme(replace(job, crews=more))
    assert made.shifts <= programme().shifts + 3.0
    assert made.bound <= made.shifts


def test_of_two_gangs_the_one_that_is_there_is_named() -> None:
    job = demo().job
    away = tuple(CalendarDay(date(2026, 5, 10) + timedelta(days=day), "no_work", "cleaning gang") for day in range(40))
    more = CrewMember("second gang", "cleaning", 4, first_day=date(2026, 5, 11), last_day=date(2026, 6, 18))
    made, _, told = make_programme(replace(job, crews=(*job.crews, more), calendar=(*job.calendar, *away)), runs=demo().runs)
    assert made is not None
    assert "programme_broken" not in {one.code for one in told}
    cleaned = [(one.begin.date(), one.crew) for one in made.activities if one.kind == "cleaning"]
    assert {crew for day, crew in cleaned if date(2026, 5, 11) <= day <= date(2026, 6, 18)} == {"second gang"}
    assert {crew for day, crew in cleaned if day > date(2026, 6, 18)} == {"cleaning gang"}


def test_who_leaves_too_early_is_told() -> None:
    job = demo().job
    short = tuple(replace(one, last_day=date(2026, 5, 15)) for one in job.crews)
    made, _, told = make_programme(replace(job, crews=short), runs=demo().runs)
    assert made is not None
    assert "crews_too_short" in {one.code for one in told}


def test_without_a_skill_somebody_is_taken_as_free_and_that_is_told() -> None:
    job = demo().job
    few = tuple(one for one in job.crews if one.skill != "lining")
    made, _, told = make_programme(replace(job, crews=few), runs=demo().runs)
    assert made is not None
    assert "no_crew" in {one.code for one in told}
    assert all(one.crew is None for one in made.activities if one.kind == "lining")


def test_without_crews_and_outputs_there_is_none() -> None:
    made, _, told = make_programme(replace(small_job(), crews=(), outputs=()), runs=demo().runs)
    assert made is None
    assert [one.code for one in told] == ["no_programme"]


def test_what_is_not_given_is_assumed_once() -> None:
    what = [one.what for one in demo().assumed]
    assert len(what) == len(set(what))
    assert {"outputs.refitting", "programme.neighbours"} <= set(what)
    assert not {"programme.laboratory", "programme.contact"} & set(what)
    bare = [one.what for one in steps_of(replace(demo().job, giving_back=None), demo().runs).assumed]
    assert {"programme.laboratory", "programme.contact"} <= set(bare)


def test_the_job_s_own_times_of_giving_back_are_kept() -> None:
    job = demo().job
    asked = job.giving_back
    assert asked is not None
    assert asked.chlorine_time is not None
    assert asked.laboratory is not None
    waits = steps_of(job, demo().runs).waits
    given = {wait.duration for wait in waits if wait.after.endswith("-reconnection")}
    assert given == {asked.chlorine_time + asked.laboratory + (asked.sample_interval or 0.0)}
    assert {wait.duration for wait in waits if wait.after.endswith("-pressure_test")} == {asked.soak}
    # A wall of 9 degC makes 24 h of the document to nearly twice as many.
    cured = {wait.duration for wait in waits if wait.before.endswith("-lining") and wait.after.endswith("-camera_lined")}
    assert all(40 * 3600.0 < one < 50 * 3600.0 for one in cured)
    assert cured


def test_ids_are_unique_and_what_is_waited_for_is_there() -> None:
    steps = steps_of(demo().job, demo().runs)
    ids = [one.id for one in steps.steps]
    assert len(ids) == len(set(ids))
    assert {name for wait in steps.waits for name in (wait.before, wait.after)} <= set(ids)


def test_after_a_lost_week_what_is_done_stays_and_the_rest_says_why_it_moves() -> None:
    plan = demo()
    before = plan.programme
    assert before is not None
    issued = {one.id: one.begin for one in before.activities}
    first = next(one for one in before.activities if one.kind == "lining")
    late = first.begin + timedelta(days=7)
    # The shift is in summer time, two hours ahead of the clock of records.
    record = RunDone(
        first.run or "", first.start, first.end, time_from=datetime.fromisoformat(f"{late.isoformat()}+02:00"), outcome="complete"
    )
    far = how_far(plan.job, plan.runs, Records(runs_done=(record,)), issued)
    assert far is not None
    assert far.today == late.date() + timedelta(days=1)
    made, _, _ = make_programme(plan.job, runs=plan.runs, progressed=far, issued=issued)
    assert made is not None
    done = {one.id: one for one in made.activities if one.done}
    assert done[f"{first.run}-lining"].begin == late
    assert f"{first.run}-cleaning" in done
    assert all(one.begin.date() >= far.today for one in made.activities if not one.done)
    told = moved(made, issued)
    assert any("lined on" in one.text.text for one in told)
    # A reader sees dates as the language writes them.
    german = [Wording("de", "metric").word(one.text) for one in told]
    assert any("Mai 2026" in text or "Juni 2026" in text for text in german)
    assert not any("2026-" in text for text in german)


def test_without_times_in_the_records_nothing_is_known() -> None:
    assert how_far(demo().job, demo().runs, Records(), {}) is None


def test_the_calendar_of_a_crew_is_what_it_does() -> None:
    made = programme()
    text = render_calendar(demo().job, made, crew="lining gang")
    assert text is not None
    lines = text.decode("utf-8")
    assert lines.count("BEGIN:VEVENT") == len(demo().runs)
    assert render_calendar(demo().job, made, crew="lining gang") == text
    assert render_calendar(demo().job, None) is None


def test_the_end_of_a_shift_is_that_evening_and_waiting_goes_on_at_night() -> None:
    job = demo().job
    calendar = work_calendar(job, days=10)
    assert calendar.end(calendar.shift).isoformat() == "2026-04-13T16:00:00"
    assert calendar.begin(calendar.shift).isoformat() == "2026-04-14T07:00:00"
    day = calendar.waiting(86400.0)
    assert day[calendar.shift] == 2 * calendar.shift
    # Friday evening and a day is Saturday evening: Monday morning.
    assert calendar.begin(day[5 * calendar.shift]).isoformat() == "2026-04-20T07:00:00"


def test_a_job_without_a_first_day_has_no_calendar() -> None:
    job = demo().job
    with pytest.raises(InputError, match="first_day"):
        work_calendar(replace(job, info=replace(job.info, first_day=None)), days=5)


def test_a_calendar_without_a_working_day_is_refused() -> None:
    job = demo().job
    first = job.info.first_day
    assert first is not None
    off = tuple(CalendarDay(first + timedelta(days=day), "holiday") for day in range(200))
    with pytest.raises(InputError, match="a working day within half a year"):
        work_calendar(replace(job, calendar=off), days=5)


def test_programme_supply_giving_back_and_notices_have_the_same_blocks() -> None:
    plan = demo()
    assert plan.programme is not None
    assert plan.supply is not None
    assert plan.return_to_service is not None
    steps = steps_of(plan.job, plan.runs)
    want = [(one.name, one.start, one.end, tuple(run.id for run in one.runs)) for one in steps.blocks]
    assert len(want) > 1
    assert [(one.id, one.start, one.end, one.runs) for one in plan.supply.closed_blocks or ()] == want
    assert [(one.block.id, one.block.start, one.block.end, one.block.runs) for one in plan.return_to_service.blocks] == want
    assert {one.block for one in plan.return_to_service.notices} <= {one[0] for one in want}
    isolated = {one.id: one.begin.date() for one in plan.programme.activities if one.kind == "isolating"}
    assert all(one.closing == isolated[f"{one.block}-isolating"] for one in plan.return_to_service.notices)


def test_a_valve_that_lets_by_closes_no_block_of_the_programme() -> None:
    job = demo().job
    leaking = replace(job, features=tuple(replace(one, state="lets_by") if one.ref == "V2" else one for one in job.features))
    assert [one.name for one in steps_of(job, demo().runs).blocks] == ["B0", "B662", "B1010"]
    assert [one.name for one in steps_of(leaking, demo().runs).blocks] == ["B0", "B1010"]


def test_the_last_day_to_tell_is_a_day_of_work_and_no_later_than_owed() -> None:
    plan = demo()
    assert plan.return_to_service is not None
    told = plan.return_to_service.notices
    assert told
    for one in told:
        assert one.closing is not None
        assert one.latest is not None
        ahead = 28 if one.need in {"dialysis", "hospital", "school"} else 14
        assert one.latest <= one.closing - timedelta(days=ahead)
        assert works(plan.job, one.latest)
        assert one.closing - timedelta(days=ahead) - one.latest < timedelta(days=4)


def test_a_notice_due_on_a_holiday_goes_out_the_day_of_work_before() -> None:
    job = demo().job
    assert latest_day(job, date(2026, 5, 15), 14 * 86400.0) == date(2026, 4, 30)
    assert latest_day(job, date(2026, 5, 24), 14 * 86400.0) == date(2026, 5, 8)
    assert latest_day(job, date(2026, 6, 12), 14 * 86400.0) == date(2026, 5, 29)


def test_a_plan_finds_dates_that_keep_every_permit_of_the_invented_job() -> None:
    made = programme()
    first, _, _ = make_programme(demo().job, runs=demo().runs, search=Search(Effort(lists=0)))
    assert first is not None
    assert sum(one.overrun for one in first.permits) > 0
    assert sum(one.overrun for one in made.permits) == 0
    assert made.shifts < first.shifts
