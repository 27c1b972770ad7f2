"""Whom to tell by when: the customers of one street and one need, with the last day on which they can be told."""

import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Final

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.job.survey import Service
from mainwright.plan.result_giving_back import Block, Notice
from mainwright.plan.timetable import Programme

__all__ = ["CARE", "NEEDS", "closing_days", "days_back", "latest_day", "owed", "return_days", "run_days", "street_notices", "works"]

NEEDS: Final = ("dialysis", "hospital", "school", "shop", "works", "farm", "fire_line", "dwelling", "unknown")
"""In the order in which they are told."""

CARE: Final = ("dialysis", "hospital", "school", "unknown")
"""Who is told earlier where the job says so; one of unknown use may be one of need."""

_DAY: Final = 86400.0
_SATURDAY: Final = 5
_LONGEST: Final = 3660


def works(job: Job, day: date) -> bool:
    """Return whether a day is one of work: Monday to Friday without holidays and days without work, and the extra shifts.

    Parameters
    ----------
    job : Job
        Its calendar. [-]
    day : date
        The day. [-]

    Returns
    -------
    bool
        What the calendar says of one crew alone closes no day.
    """
    said = {one.kind for one in job.calendar if one.day == day and (one.kind == "extra_shift" or not one.crew)}
    if "extra_shift" in said:
        return True
    return day.weekday() < _SATURDAY and not said & {"holiday", "no_work"}


def latest_day(job: Job, closing: date, ahead: float) -> date:
    """Return the last working day on which somebody can be told: the days of notice before the closing, and then back to a day of work.

    Parameters
    ----------
    job : Job
        Its calendar. [-]
    closing : date
        First day off the main. [-]
    ahead : float
        Notice that is owed. [s]

    Returns
    -------
    date
        Nobody takes letters round on a Sunday or a holiday: the notice is then longer, never shorter.
    """
    day = closing - timedelta(days=math.ceil(ahead / _DAY))
    return next((one for back in range(_LONGEST) if works(job, one := day - timedelta(days=back))), day)


def run_days(job: Job, count: int) -> list[date] | None:
    """Return the earliest day of each run: one run a working day in order, from the job's first day.

    Parameters
    ----------
    job : Job
        The job: first day and calendar. [-]
    count : int
        How many runs. [-]

    Returns
    -------
    list of date or None
        None where the job names no first day. Mondays to Fridays without holidays and days without work, and the extra shifts: nobody
        can be sooner, so that a notice is never late.
    """
    if job.info.first_day is None:
        return None
    found: list[date] = []
    for ahead in range(_LONGEST):
        if len(found) == count:
            break
        day = job.info.first_day + timedelta(days=ahead)
        if works(job, day):
            found.append(day)
    return found if len(found) == count else None


def days_back(blocks: Sequence[Block], *, days: Mapping[str, date] | None, back: Mapping[str, float | None]) -> dict[str, date | None]:
    """Return the earliest day on which each block can be back, where there is no programme: the day of its last run and the time line.

    Parameters
    ----------
    blocks : sequence of Block
        What is closed at once. [-]
    days : mapping or None
        Day of each run; None where no first day is named. [-]
    back : mapping
        Time from the last ends of a block until it is given back; None where it is not known. [s]

    Returns
    -------
    dict
        Day by block; None where it is not known.
    """
    found: dict[str, date | None] = {}
    for block in blocks:
        done = None if days is None else max((days[run] for run in block.runs if run in days), default=None)
        time = back.get(block.id)
        found[block.id] = None if done is None or time is None else done + timedelta(days=math.ceil(time / _DAY))
    return found


def closing_days(programme: Programme) -> dict[str, date]:
    """Return the day from which the customers of each run are off the main, by the programme.

    Parameters
    ----------
    programme : Programme
        The programme. [-]

    Returns
    -------
    dict
        Day by run: when its block is isolated; where no isolating is named, when the first work at the run begins.
    """
    blocks = {one.run: one.block for one in programme.activities if one.run is not None}
    isolated: dict[int, date] = {}
    for one in programme.activities:
        if one.kind == "isolating":
            isolated[one.block] = min(isolated.get(one.block, one.begin.date()), one.begin.date())
    found = {}
    for run, block in blocks.items():
        own = min(one.begin.date() for one in programme.activities if one.run == run)
        found[run] = min(own, isolated.get(block, own))
    return found


def return_days(programme: Programme, blocks: Sequence[Block], *, back: Mapping[str, float | None]) -> dict[str, date | None]:
    """Return the earliest day on which each block can be back, by the programme and by the time line of giving back, the later of both.

    Parameters
    ----------
    programme : Programme
        The programme. [-]
    blocks : sequence of Block
        What is closed at once. [-]
    back : mapping
        Time from the last ends of a block until it is given back; None where it is not known. [s]

    Returns
    -------
    dict
        Day by block; None where the programme knows neither.
    """
    own = {one.run: one.block for one in programme.activities if one.run is not None}
    found: dict[str, date | None] = {}
    for block in blocks:
        theirs = {own[run] for run in block.runs if run in own}
        days = [one.finish.date() for one in programme.activities if one.kind == "reconnection" and one.block in theirs]
        lined = [one.finish.date() for one in programme.activities if one.kind == "lining" and one.run in block.runs]
        time = back.get(block.id)
        if lined and time is not None:
            days.append(max(lined) + timedelta(days=math.ceil(time / _DAY)))
        found[block.id] = max(days, default=None)
    return found


def owed(asked: GivingBack, need: str) -> float | None:
    """Return how long before the closing customers of a need are told, by the job.

    Parameters
    ----------
    asked : GivingBack
        The job's rules. [-]
    need : str
        One of `NEEDS`. [-]

    Returns
    -------
    float or None
        None where the job names no notice for them. [s]
    """
    if need not in CARE:
        return asked.notice
    return asked.notice if asked.care_notice is None and need != "unknown" else asked.care_notice


def _street(job: Job, chainage: float) -> str | None:
    for permit in job.permits:
        if permit.street and permit.start is not None and permit.end is not None and permit.start <= chainage <= permit.end:
            return permit.street
    return None


def _groups(job: Job, blocks: Sequence[Block]) -> dict[tuple[str, str | None, str], list[Service]]:
    groups: dict[tuple[str, str | None, str], list[Service]] = {}
    for service in job.services:
        block = next((one.id for one in blocks if one.start <= service.chainage <= one.end), None)
        if block is not None and service.live is not False:
            groups.setdefault((block, _street(job, service.chainage), service.use or "unknown"), []).append(service)
    return groups


def street_notices(
    job: Job, blocks: Sequence[Block], *, days: Mapping[str, date] | None, back: Mapping[str, date | None]
) -> tuple[Notice, ...]:
    """Return the notices, in order of blocks, streets and needs.

    Parameters
    ----------
    job : Job
        The job: connections, streets of the permits, days of notice. [-]
    blocks : sequence of Block
        What is closed at once. [-]
    days : mapping or None
        Day of each run; None where no first day is named. [-]
    back : mapping
        Earliest day on which a block can be back; None where it is not known. [-]

    Returns
    -------
    tuple of Notice
        A connection that is recorded as dead gets none; one of unknown use is told as one of need, for nobody knows.
    """
    asked = job.giving_back or GivingBack()
    found: list[Notice] = []
    order = {block.id: number for number, block in enumerate(blocks)}
    first = {block.id: _first(block, days) for block in blocks}
    for (block, street, need), services in _groups(job, blocks).items():
        ahead = owed(asked, need)
        closing = first[block]
        found.append(
            Notice(
                street=street,
                need=need,
                refs=tuple(_refs(services)),
                start=min(one.chainage for one in services),
                end=max(one.chainage for one in services),
                block=block,
                closing=closing,
                latest=None if closing is None or ahead is None else latest_day(job, closing, ahead),
                back=back.get(block),
                lead=any(one.material == "lead" for one in services),
            )
        )
    return tuple(
        sorted(
            found,
            key=lambda one: (
                order[one.block],
                one.start if one.street is None else _begin(found, one),
                one.street or "",
                NEEDS.index(one.need),
            ),
        )
    )


def _begin(found: Sequence[Notice], notice: Notice) -> float:
    return min(one.start for one in found if one.street == notice.street and one.block == notice.block)


def _refs(services: Iterable[Service]) -> list[str]:
    return [one.ref or f"{one.chainage:g}" for one in services]


def _first(block: Block, days: Mapping[str, date] | None) -> date | None:
    return None if days is None else min((days[run] for run in block.runs if run in days), default=None)
