"""What has to pass between activities: notices, hold points, curing, soaking, contact and laboratory, dated from a programme that is laid out."""

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.plan.closed_blocks import closed_blocks
from mainwright.plan.programme.laying import Laid, Progressed
from mainwright.plan.result import Run
from mainwright.plan.return_to_service.notices import CARE, closing_days, owed, street_notices, works
from mainwright.plan.timetable import Activity, Programme, Waiting
from mainwright.words.message import message

if TYPE_CHECKING:
    from mainwright.plan.programme.steps import WaitPart

__all__ = ["BEYOND", "with_waits"]

BEYOND: Final = timedelta(days=21)
"""How far beyond the last day a programme knows which days are off: permits may end later."""

_DAY: Final = 86400.0


def with_waits(
    job: Job, programme: Programme, *, runs: Sequence[Run], laid: Laid, starts: Sequence[int], progressed: Progressed | None
) -> Programme:
    """Return a programme with everything that has to pass between its activities, and the days on which nobody works.

    Parameters
    ----------
    job : Job
        The job. [-]
    programme : Programme
        Its activities with their times. [-]
    runs : sequence of Run
        What the plan decided. [-]
    laid : Laid
        The problem that the programme solves. [-]
    starts : sequence of int
        Its solution. [slots]
    progressed : Progressed or None
        What is done already. [-]

    Returns
    -------
    Programme
        Nothing moves: the waits are those that the activities have kept.
    """
    by_id = {one.id: one for one in programme.activities}
    today = None if progressed is None else progressed.today
    found = [*_between(laid, by_id, starts, today), *_notices(job, programme, runs, laid, today)]
    waits = tuple(sorted(found, key=lambda one: (one.begin, one.finish, one.id)))
    first = min([programme.first_day, *(one.begin.date() for one in waits)])
    span = (programme.last_day + BEYOND - first).days
    off = tuple(day for number in range(span + 1) if not works(job, day := first + timedelta(days=number)))
    return replace(programme, waits=waits, days_off=off)


def _between(laid: Laid, by_id: Mapping[str, Activity], starts: Sequence[int], today: date | None) -> list[Waiting]:
    """Return what passes between two activities: one wait for each name, which begins with the last of those before it."""
    rows: dict[tuple[WaitPart, ...], list[tuple[str, str]]] = {}
    for wait in laid.steps.waits:
        if wait.parts:
            rows.setdefault(wait.parts, []).append((wait.before, wait.after))
    spare = _spare(laid, by_id, starts)
    found = []
    for parts, pairs in rows.items():
        before = tuple(dict.fromkeys(one for one, _ in pairs))
        after = tuple(dict.fromkeys(other for _, other in pairs))
        last = max((by_id[one] for one in before), key=lambda one: (one.finish, one.id))
        then = min((by_id[one] for one in after), key=lambda one: (one.begin, one.id))
        begin, because = last.finish, message("follows {before}", before=last.id)
        over = all(by_id[one].done for one in after)
        for part in parts:
            exact = begin + timedelta(seconds=part.duration)
            # Whole seconds, and never a second short; what follows at once is not thereby late.
            finish = min(_whole(exact), max(then.begin, exact))
            if over:
                # What the records say went on sooner did: the wait ended then.
                finish = max(begin, min(finish, then.begin))
            here = today is not None and finish <= datetime.combine(today, time.min) and all(by_id[one].done for one in before)
            found.append(
                Waiting(
                    id=part.id,
                    kind=part.kind,
                    block=last.block,
                    run=last.run if len(before) == 1 else None,
                    start=min(by_id[one].start for one in before) if len(before) == 1 else then.start,
                    end=max(by_id[one].end for one in before) if len(before) == 1 else then.end,
                    begin=begin,
                    finish=finish,
                    after=before,
                    before=after,
                    crew=then.crew,
                    slack=min(spare[one, other] for one in before for other in after if (one, other) in spare),
                    because=because,
                    done=over or here,
                )
            )
            begin, because = finish, message("follows {before}", before=part.id)
    return found


def _whole(moment: datetime) -> datetime:
    return moment if not moment.microsecond else moment.replace(microsecond=0) + timedelta(seconds=1)


def _spare(laid: Laid, by_id: Mapping[str, Activity], starts: Sequence[int]) -> dict[tuple[str, str], float]:
    """Return by how many shifts what is between two activities may begin later, with the slack of the one after."""
    place = {step.id: number for number, step in enumerate(laid.steps.steps)}
    problem, found = laid.problem, {}
    for wait, link in zip(laid.steps.waits, problem.links, strict=False):
        end = min(starts[place[wait.before]] + problem.tasks[place[wait.before]].duration, problem.horizon)
        latest = starts[place[wait.after]] + round(by_id[wait.after].slack * laid.calendar.shift)
        # What ends by then is over in time: a wait over the weekend may begin a day later at no cost.
        spare = bisect_right(problem.tables[link.table], latest) - 1 - end
        found[wait.before, wait.after] = max(0, spare) / laid.calendar.shift
    return found


def _notices(job: Job, programme: Programme, runs: Sequence[Run], laid: Laid, today: date | None) -> list[Waiting]:
    """Return a notice for the customers of each block, and one for those who are told earlier: from the last day to tell them to the closing."""
    asked = job.giving_back or GivingBack()
    by_id = {one.id: one for one in programme.activities}
    told = street_notices(job, closed_blocks(job, runs), days=closing_days(programme), back={})
    found = []
    for block in laid.steps.blocks:
        closing = by_id[f"{block.name}-isolating"]
        for care in (True, False):
            mine = [one for one in told if one.block == block.name and (one.need in CARE) is care]
            latest = min((one.latest for one in mine if one.latest is not None), default=None)
            if latest is None:
                continue
            days = max(math.ceil((owed(asked, one.need) or 0.0) / _DAY) for one in mine)
            found.append(
                Waiting(
                    id=f"{block.name}-notice" + ("-care" if care else ""),
                    kind="notice",
                    block=block.number,
                    run=None,
                    start=min(one.start for one in mine),
                    end=max(one.end for one in mine),
                    begin=datetime.combine(latest, laid.calendar.start),
                    finish=closing.begin,
                    after=(),
                    before=(closing.id,),
                    crew=closing.crew,
                    slack=closing.slack,
                    because=message("has to be given {n} {n:day/days} before {after}", n=days, after=closing.id),
                    done=closing.done or (today is not None and latest < today),
                )
            )
    return found
