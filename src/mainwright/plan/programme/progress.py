"""How far the work is by its records, and what a new programme moves against the one that was issued."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from mainwright.job.job import Job
from mainwright.job.records import Records
from mainwright.plan.programme.laying import Progressed
from mainwright.plan.programme.steps import Wait, steps_of
from mainwright.plan.result import Change, Run
from mainwright.plan.timetable import Programme
from mainwright.words.message import message

__all__ = ["how_far", "moved"]

_SHOWN: Final = 8
"""Activities that are told one by one; more are counted."""


def how_far(job: Job, runs: Sequence[Run], records: Records, issued: Mapping[str, datetime]) -> Progressed | None:
    """Return what the records say is done, and the day after the last of them.

    Parameters
    ----------
    job : Job
        With its time zone. [-]
    runs : sequence of Run
        Of the plan that is made now; those that are done keep their id. [-]
    records : Records
        What happened. [-]
    issued : mapping
        When the activities of the issued programme begin. [-]

    Returns
    -------
    Progressed or None
        A run that was lined to its end is done, and so is everything that it had to wait for; a run that the camera saw lined is
        seen. None where no record has a time.
    """
    zone = ZoneInfo(job.info.time_zone)

    def local(moment: datetime) -> datetime:
        return moment.astimezone(zone).replace(tzinfo=None)

    lined = {one.run: one for one in records.runs_done if one.outcome in {None, "complete"} and one.time_from is not None}
    seen = {one.run: one.time for one in records.observations if one.camera_pass == "lined" and one.time is not None}  # noqa: S105 a pass of the camera
    times = [local(one.time_to or one.time_from) for one in lined.values() if one.time_from is not None]
    times += [local(one.time) for one in records.events]
    times += [local(moment) for moment in seen.values()]
    if not times:
        return None
    steps = steps_of(job, runs)
    done: dict[str, datetime] = {}
    for run in runs:
        record = lined.get(run.id)
        if record is not None and record.time_from is not None:
            done[f"{run.id}-lining"] = local(record.time_from)
            if run.id in seen:
                done[f"{run.id}-camera_lined"] = local(seen[run.id])
    _before(done, steps.waits, issued)
    return Progressed(done, max(times).date() + timedelta(days=1))


def _before(done: dict[str, datetime], waits: Sequence[Wait], issued: Mapping[str, datetime]) -> None:
    """Add what had to be done before: when it was issued to begin, but not after what it came before."""
    open_ = list(done)
    while open_:
        after = open_.pop()
        for wait in waits:
            if wait.after == after:
                begin = min(issued.get(wait.before, done[after]), done[after])
                if wait.before not in done or begin < done[wait.before]:
                    done[wait.before] = begin
                    open_.append(wait.before)


def moved(programme: Programme, issued: Mapping[str, datetime]) -> tuple[Change, ...]:
    """Return what a programme moves against the one that was issued, and why.

    Parameters
    ----------
    programme : Programme
        The new one. [-]
    issued : mapping
        When the activities of the old one begin. [-]

    Returns
    -------
    tuple of Change
        Of the day on which the last activity begins, of every lining that is on another day, and how many other activities are.
    """
    if not issued:
        return ()
    other = [one for one in programme.activities if not one.done and one.id in issued and issued[one.id].date() != one.begin.date()]
    before, after = max(issued.values()).date(), max(one.begin for one in programme.activities).date()
    found = []
    if before != after:
        text = message("The last activity begins on {after}, not on {before}.", before=before, after=after)
        found.append(Change("programme", text, None, _days(before, after)))
    linings = [one for one in other if one.kind == "lining"]
    for one in linings[:_SHOWN]:
        text = message(
            "Run {run} is lined on {after}, not on {before}: it {because}.",
            run=one.run or "",
            before=issued[one.id].date(),
            after=one.begin.date(),
            because=one.because,
        )
        found.append(Change("programme", text, None, _days(issued[one.id].date(), one.begin.date())))
    rest = len(other) - len(linings[:_SHOWN])
    if rest:
        found.append(Change("programme", message("Other activities that are on another day: {n}.", n=rest), None, float(rest)))
    return tuple(found)


def _days(before: date, after: date) -> float:
    return float((after - before).days)
