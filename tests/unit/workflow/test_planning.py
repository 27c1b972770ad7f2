"""Checking and planning with fakes for the world outside: who is called, and who is not."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from mainwright.demo.job import demo_files
from mainwright.folder.located import LocatedFault, located
from mainwright.folder.reading import read_files
from mainwright.folder.tables import Unknown
from mainwright.job.job import Job
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.workflow.planning import check_job, plan_job, with_records
from mainwright.workflow.ports import Progress


@dataclass
class Read:
    job: Job | None
    faults: Sequence[LocatedFault] = ()
    warnings: Sequence[LocatedFault] = ()
    unknown: Sequence[Unknown] = ()


@dataclass
class Papers:
    plans: list[Plan] = field(default_factory=list)

    def __call__(self, plan: Plan, progress: Progress | None, /) -> Sequence[str]:
        self.plans.append(plan)
        if progress:
            progress(1, 1)
        return ["plan.json"]


def _never(job: Job, progress: Progress | None) -> Plan:
    raise AssertionError


def _planner(job: Job, progress: Progress | None) -> Plan:
    return make_plan(job, progress=progress)


FAULT = located("main.csv", 2, "dn", "it is missing")


def test_a_faulty_job_is_neither_planned_nor_written() -> None:
    papers = Papers()
    read = Read(None, [FAULT])
    assert check_job(read, _never).plan is None
    planned = plan_job(read, _never, papers)
    assert planned.plan is None
    assert planned.papers == ()
    assert papers.plans == []


def test_a_sound_job_is_planned_once_and_each_part_tells_its_own_progress() -> None:
    papers = Papers()
    job = read_files(demo_files()).job
    assert job is not None
    planning: list[tuple[int, int]] = []
    writing: list[tuple[int, int]] = []
    planned = plan_job(
        Read(job),
        _planner,
        papers,
        progress=lambda done, of: planning.append((done, of)),
        writing=lambda done, of: writing.append((done, of)),
    )
    assert planned.papers == ["plan.json"]
    assert papers.plans == [planned.plan]
    assert planning[-1][0] == planning[-1][1]
    assert writing == [(1, 1)]


def test_faulty_records_stop_a_sound_job() -> None:
    job = read_files(demo_files()).job
    unknown = Unknown("records/x.csv", 1, "", None)
    both = with_records(Read(job), faults=[FAULT], unknown=[unknown])
    assert both.job is None
    assert list(both.faults) == [FAULT]
    assert list(both.unknown) == [unknown]
    assert with_records(Read(job), faults=[], unknown=[]).job is job
