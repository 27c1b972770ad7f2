"""The checker of dates finds each kind of breach in a programme that was spoilt by hand, and none in one that was not."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from mainwright.demo.job import demo_files
from mainwright.folder.reading import read_files
from mainwright.job.office import CalendarDay, ProgrammeRules
from mainwright.plan.plan import make_plan
from mainwright.plan.programme.kept import breaches
from mainwright.plan.result import Plan
from mainwright.plan.timetable import Activity, Programme, Waiting
from tests.unit.prove.demo_plan import demo_plan

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)


def demo() -> Programme:
    made = demo_plan().programme
    assert made is not None
    return made


def with_activity(name: str, change: Callable[[Activity], Activity]) -> Programme:
    assert any(one.id == name for one in demo().activities), name
    return replace(demo(), activities=tuple(change(one) if one.id == name else one for one in demo().activities))


def with_wait(name: str, change: Callable[[Waiting], Waiting]) -> Programme:
    assert any(one.id == name for one in demo().waits), name
    return replace(demo(), waits=tuple(change(one) if one.id == name else one for one in demo().waits))


def at(one: Activity, begin: datetime) -> Activity:
    return replace(one, begin=begin, finish=begin + (one.finish - one.begin))


def found(programme: Programme, plan: Plan | None = None, *, today: date | None = None) -> set[tuple[str, str]]:
    plan = plan or demo_plan()
    return {(one.rule, one.id) for one in breaches(plan.job, plan.runs, programme, today=today)}


def times(name: str) -> Activity:
    return next(one for one in demo().activities if one.id == name)


def test_the_plan_of_the_invented_job_keeps_everything() -> None:
    assert breaches(demo_plan().job, demo_plan().runs, demo()) == ()


def test_a_plan_that_asks_nothing_of_the_giving_back_keeps_everything() -> None:
    files = demo_files()
    files["job.toml"] = files["job.toml"].split(b"[giving_back]", maxsplit=1)[0]
    job = read_files(files).job
    assert job is not None
    plan = make_plan(job)
    assert plan.programme is not None
    assert breaches(job, plan.runs, plan.programme) == ()


def test_a_cure_cut_short_is_seen_by_the_camera_and_by_itself() -> None:
    lined = times("R01-lining")
    early = with_activity("R01-camera_lined", lambda one: at(one, lined.finish + HOUR))
    assert ("order", "R01-camera_lined") in found(early)
    assert ("waits", "R01-camera_lined") in found(early)
    assert ("waits", "R01-cure") in found(with_wait("R01-cure", lambda one: replace(one, finish=one.begin + 2 * HOUR)))
    assert ("waits", "R01-cure") in found(with_wait("R01-cure", lambda one: replace(one, begin=one.begin - HOUR)))
    assert ("waits", "R01-cure") in found(replace(demo(), waits=tuple(one for one in demo().waits if one.id != "R01-cure")))


def test_a_notice_that_is_late_forgotten_or_on_a_sunday_is_found() -> None:
    late = with_wait("B0-notice", lambda one: replace(one, begin=one.begin + DAY))
    assert ("notices", "B0-isolating") in found(late)
    gone = replace(demo(), waits=tuple(one for one in demo().waits if one.kind != "notice"))
    assert {("notices", f"{block}-isolating") for block in ("B0", "B662", "B1010")} <= found(gone)
    notice = next(one for one in demo().waits if one.id == "B0-notice")
    sunday = datetime.combine(notice.begin.date() - timedelta(days=notice.begin.weekday() + 1), notice.begin.time())
    assert ("notices", "B0-notice") in found(with_wait("B0-notice", lambda one: replace(one, begin=sunday)))


def test_a_result_that_is_not_waited_for_is_found() -> None:
    early = with_activity("B0-reconnection", lambda one: at(one, times("B0-disinfection").finish))
    assert ("order", "B0-reconnection") in found(early)


@pytest.mark.parametrize(
    ("name", "begin", "rule"),
    [
        ("R01-lining", datetime.fromisoformat("2026-05-16 09:00"), "hours"),  # a Saturday
        ("R01-lining", datetime.fromisoformat("2026-05-15 04:00"), "hours"),  # before the shift
        ("R01-cleaning", datetime.fromisoformat("2026-05-14 07:00"), "hours"),  # a holiday
        ("O1236-opening", datetime.fromisoformat("2026-06-05 07:00"), "permits"),
        ("O110-opening", datetime.fromisoformat("2026-04-13 07:00"), "crews"),
        ("R03-cleaning", datetime.fromisoformat("2026-04-15 07:00"), "crews"),  # the gang comes on the 20th
        ("O0-reinstatement", datetime.fromisoformat("2026-05-29 09:30"), "order"),
        ("B662-isolating", datetime.fromisoformat("2026-06-04 07:00"), "closings"),
    ],
)
def test_each_rule_finds_its_breach(name: str, begin: datetime, rule: str) -> None:
    assert (rule, name) in found(with_activity(name, lambda one: at(one, begin)))


def test_what_is_missing_or_too_short_is_found() -> None:
    less = replace(demo(), activities=tuple(one for one in demo().activities if one.id != "B0-pressure_test"))
    assert ("all there", "B0-pressure_test") in found(less)
    assert ("hours", "R01-lining") in found(with_activity("R01-lining", lambda one: replace(one, finish=one.begin + timedelta(minutes=40))))
    split = with_activity(
        "R01-lining",
        lambda one: replace(one, begin=datetime.fromisoformat("2026-05-15 15:00"), finish=datetime.fromisoformat("2026-05-18 10:00")),
    )
    assert ("hours", "R01-lining") in found(split)


def test_frost_a_crew_s_own_day_off_and_today_are_looked_at() -> None:
    plan, lined = demo_plan(), times("R03-lining")
    day = lined.begin.date()
    frost = replace(plan, job=replace(plan.job, programme=ProgrammeRules(frost_from=day, frost_to=day)))
    assert ("frost", "R03-lining") in found(demo(), frost)
    off = replace(plan, job=replace(plan.job, calendar=(*plan.job.calendar, CalendarDay(day, "no_work", lined.crew))))
    assert ("crews", "R03-lining") in found(demo(), off)
    pipes = tuple(replace(one, stock=200.0) for one in plan.job.plant.supply_pipes)
    short = replace(plan, job=replace(plan.job, plant=replace(plan.job.plant, supply_pipes=pipes)))
    assert {rule for rule, _ in found(demo(), short)} == {"stock"}
    assert ("today", "R03-lining") in found(demo(), today=day + DAY)
    assert not found(with_activity("R03-lining", lambda one: replace(one, done=True)), today=demo().first_day)


def test_streets_that_are_open_together_and_work_beside_the_hours_of_a_permit_are_found() -> None:
    plan = demo_plan()
    apart = tuple(replace(one, not_with="PR-3") if one.ref == "PR-1" else one for one in plan.job.permits)
    assert {rule for rule, _ in found(demo(), replace(plan, job=replace(plan.job, permits=apart)))} == {"streets"}
    # Both in one closed length cannot be kept apart: that is told elsewhere.
    apart = tuple(replace(one, not_with="PR-2") if one.ref == "PR-1" else one for one in plan.job.permits)
    assert found(demo(), replace(plan, job=replace(plan.job, permits=apart))) == set()
    early = with_activity("R05-lining", lambda one: at(one, datetime.fromisoformat("2026-05-22 07:30")))
    assert ("permits", "R05-lining") in found(early)
