"""From a planned job to a run that is followed: which run, which part of it, and by what plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from mainwright.errors import InputError
from mainwright.line.run_plan import next_part, run_plan
from mainwright.workflow.live_ports import RunKey
from mainwright.workflow.run_records import follow_again

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.job.job import Job
    from mainwright.line.run_plan import RunPlan
    from mainwright.plan.result import LinedStretch, Run
    from mainwright.workflow.live_ports import RunLog
    from mainwright.workflow.run_records import Followed

__all__ = ["Beginning", "RunState", "choose_run", "how_it_stands", "job_name", "parts_of", "where_to_begin"]

RunState = Literal["new", "open", "broken_off", "complete"]
"""How a run stands: no log, begun and not ended, ended before its end, complete."""


@dataclass(frozen=True, slots=True)
class Beginning:
    """Where following begins: the part of the run, its plan, and whether it goes on from a log."""

    key: RunKey
    plan: RunPlan
    resumed: bool


def job_name(job: Job) -> str:
    """Return by what name a job is kept: its reference, or its name where it has none."""
    return job.info.reference or job.info.name


def choose_run(
    job: Job, name: str, *, runs: Sequence[Run], stretches: Sequence[LinedStretch], coat: int | None = None
) -> tuple[Run, RunPlan]:
    """Return a run of a plan and what following it needs.

    Parameters
    ----------
    job : Job
        The job. [-]
    name : str
        Id of the run. [-]
    runs : sequence of Run
        Of the plan that is followed. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    coat : int or None
        Which of several coats. [-]

    Returns
    -------
    tuple
        The run and its plan; the strictest minimum and maximum of the stretches that it passes hold for all of it.

    Raises
    ------
    InputError
        If there is no such run, or no such coat.
    """
    run = next((one for one in runs if one.id == name), None)
    if run is None:
        raise InputError("run", name, "", f"one of {', '.join(one.id for one in runs) or 'none: the plan has no runs'}")
    passed = [one for one in stretches if one.start < run.end and one.end > run.start]
    return run, run_plan(
        job,
        run,
        minimum=max((one.minimum for one in passed), default=0.0),
        maximum=min((one.maximum for one in passed if one.maximum is not None), default=None),
        coat=coat,
    )


def where_to_begin(log: RunLog, job: str, plan: RunPlan, *, turned: bool = False) -> Beginning:
    """Return the part of a run that is to be followed: the one that is open, or the next one after one that was broken off.

    Parameters
    ----------
    log : RunLog
        Keeps the runs. [-]
    job : str
        Name of the job. [-]
    plan : RunPlan
        Of the whole run. [-]
    turned : bool
        Whether a next part is lined from the other end. [-]

    Returns
    -------
    Beginning
        Its key and plan.

    Raises
    ------
    InputError
        If the run is complete.
    """
    key = RunKey(job, plan.id, plan.coat)
    latest = _latest(log, key)
    if latest is None:
        return Beginning(key, plan, resumed=False)
    state = latest.state
    if state.phase != "ended":
        return Beginning(latest.key, latest.plan, resumed=True)
    if state.outcome == "complete":
        raise InputError("run", plan.id, "", "one that is not complete; this one is, and its record stands")
    rest = next_part(latest.plan, way=max(state.deposit.furthest, 0.0), turned=turned)
    return Beginning(RunKey(job, plan.id, plan.coat, latest.key.part + 1), rest, resumed=False)


def how_it_stands(log: RunLog, job: str, plan: RunPlan) -> RunState:
    """Return how a coat of a run stands by its log.

    Parameters
    ----------
    log : RunLog
        Keeps the runs. [-]
    job : str
        Name of the job. [-]
    plan : RunPlan
        Of the coat. [-]

    Returns
    -------
    str
        ``new``, ``open``, ``broken_off`` or ``complete``.
    """
    latest = _latest(log, RunKey(job, plan.id, plan.coat))
    if latest is None:
        return "new"
    if latest.state.phase != "ended":
        return "open"
    return "complete" if latest.state.outcome == "complete" else "broken_off"


def parts_of(log: RunLog, key: RunKey) -> list[Followed]:
    """Return all coats and parts of the run to which a key belongs, in their order."""
    keys = [one for one in log.runs(key.job) if one.run == key.run]
    return [follow_again(log, one) for one in sorted(keys, key=lambda one: (one.coat, one.part))]


def _latest(log: RunLog, key: RunKey) -> Followed | None:
    """Return the last part of a coat that has a log."""
    keys = [one for one in log.runs(key.job) if (one.run, one.coat) == (key.run, key.coat)]
    return follow_again(log, max(keys, key=lambda one: one.part)) if keys else None
