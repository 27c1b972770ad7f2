"""Checking a job and planning it: read, decide, write papers. Whoever wires this gives the reader and the writer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.workflow.ports import JobRead, NotKnown, PaperWriter, Progress, ReadFault

    Planner = Callable[[Job, Progress | None], Plan]

__all__ = ["Checked", "Planned", "check_job", "plan_job", "with_records"]


@dataclass(frozen=True, slots=True)
class Checked:
    """What a folder holds, and the plan that it would give; no plan where it has faults."""

    read: JobRead
    plan: Plan | None


@dataclass(frozen=True, slots=True)
class Planned:
    """What a folder holds, its plan, and the names of the papers that were written; nothing is written where it has faults."""

    read: JobRead
    plan: Plan | None
    papers: Sequence[str]


def check_job(read: JobRead, planner: Planner, *, progress: Progress | None = None) -> Checked:
    """Return what is wrong with a job, and the plan that says what it would assume and ask.

    Parameters
    ----------
    read : JobRead
        What was read. [-]
    planner : callable
        Makes the plan. [-]
    progress : callable, optional
        Told how far it is. [-]

    Returns
    -------
    Checked
        Both.
    """
    return Checked(read, None if read.job is None else planner(read.job, progress))


def plan_job(
    read: JobRead, planner: Planner, papers: PaperWriter, *, progress: Progress | None = None, writing: Progress | None = None
) -> Planned:
    """Return the plan of a job, its papers written.

    Parameters
    ----------
    read : JobRead
        What was read. [-]
    planner : callable
        Makes the plan. [-]
    papers : PaperWriter
        Writes the papers. [-]
    progress, writing : callable, optional
        Told how far the plan is, and the writing. [-]

    Returns
    -------
    Planned
        Plan and papers; neither where the job has faults.
    """
    if read.job is None:
        return Planned(read, None, ())
    plan = planner(read.job, progress)
    return Planned(read, plan, papers(plan, writing))


@dataclass(frozen=True, slots=True)
class _Read:
    job: Job | None
    faults: Sequence[ReadFault]
    warnings: Sequence[ReadFault]
    unknown: Sequence[NotKnown]


def with_records(read: JobRead, *, faults: Sequence[ReadFault], unknown: Sequence[NotKnown]) -> JobRead:
    """Return what was read of a folder together with what its records say is wrong; no job where either has faults.

    Parameters
    ----------
    read : JobRead
        The folder without its records. [-]
    faults, unknown : sequence
        Of the records. [-]

    Returns
    -------
    JobRead
        Both.
    """
    return _Read(None if faults else read.job, (*read.faults, *faults), read.warnings, (*read.unknown, *unknown))
