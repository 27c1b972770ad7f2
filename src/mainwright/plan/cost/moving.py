"""How a programme moves when its activities take longer or shorter: along everything that each waits for, and the order of each crew."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from mainwright.job.job import Job
from mainwright.plan.programme.calendar import WorkCalendar, work_calendar
from mainwright.plan.programme.steps import Steps, steps_of
from mainwright.plan.result import Run
from mainwright.plan.timetable import Activity, Kind, Programme

__all__ = ["Axis", "Moved", "axis_of", "moving_steps", "new_end", "new_ends"]

_DAY: Final = 86400.0

_A_DATE: Final = 1.0
"""What stands idle for longer than this waits for a date (of a permit, a crew); for less it waits for the next shift. [shifts]"""

_LATER: Final = 3
"""How many times as long as the programme the calendar reaches."""

_NOTHING: Final[Mapping[int, float]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Moved:
    """One activity as it is laid out, in working time from the first day of the job. [shifts].

    Attributes
    ----------
    kind, run
        What it is, and of which run.
    start, end
        Chainages. [m]
    begin, length
        When it begins and how long it takes.
    after
        Places of those that must be over, each with the shifts that pass then before the mortar has cured or the laboratory has answered.
    idle
        Between the last of these and its beginning: a shift too short for it, hours of a permit.
    earliest
        Before this it does not begin whatever is over; 0 where no date binds it.
    """

    kind: Kind
    run: str | None
    start: float
    end: float
    begin: float
    length: float
    after: tuple[tuple[int, float], ...] = ()
    idle: float = 0.0
    earliest: float = 0.0


@dataclass(frozen=True, slots=True)
class Axis:
    """Working time on the calendar.

    Attributes
    ----------
    mornings
        When each working day begins, from midnight of the job's first day. [d]
    shift
        Length of a shift. [d]
    zero
        When the work begins. [d]
    """

    mornings: tuple[float, ...]
    shift: float
    zero: float = 0.0

    def day(self, shifts: float) -> float:
        """Return when so many shifts are over: what ends with a shift ends that evening. [d]."""
        place = min(max(math.ceil(shifts - 1e-9) - 1, 0), len(self.mornings) - 1)
        return self.mornings[place] + (shifts - place) * self.shift


def _calendar(job: Job, programme: Programme) -> WorkCalendar:
    return work_calendar(job, days=_LATER * max(1, (programme.last_day - programme.first_day).days) + 60)


def axis_of(job: Job, programme: Programme) -> Axis:
    """Return the calendar of a programme, far beyond its end.

    Parameters
    ----------
    job : Job
        The job with its first day. [-]
    programme : Programme
        As it was laid out. [-]

    Returns
    -------
    Axis
        Its zero is where what is not done begins.
    """
    calendar = _calendar(job, programme)
    first = calendar.days[0] if job.info.first_day is None else job.info.first_day
    clock = (calendar.start.hour * 3600.0 + calendar.start.minute * 60.0) / _DAY
    mornings = tuple((day - first).days + clock for day in calendar.days)
    begin = min((one.begin for one in _ahead(programme)), default=datetime.combine(first, calendar.start))
    zero = (begin - datetime.combine(first, time.min)).total_seconds() / _DAY
    return Axis(mornings, calendar.shift * calendar.slot / _DAY, zero)


def moving_steps(job: Job, programme: Programme, runs: Sequence[Run]) -> tuple[Moved, ...]:
    """Return the activities of a programme that are not done, in the order in which they begin.

    Parameters
    ----------
    job : Job
        The job. [-]
    programme : Programme
        As it was laid out. [-]
    runs : sequence of Run
        What the plan decided. [-]

    Returns
    -------
    tuple of Moved
        Each after those on which it hangs: what it waits for by the order of the work, what its crew does before, and who hands on a block or
        pipe to it. With the lengths as they were laid out they give the programme again.
    """
    ahead = _ahead(programme)
    if not ahead:
        return ()
    calendar = _calendar(job, programme)
    slot = timedelta(seconds=calendar.slot)
    places = {one.id: place for place, one in enumerate(ahead)}
    begins = [calendar.slot_at(one.begin) / calendar.shift for one in ahead]
    ends = [(calendar.slot_at(one.finish - slot) + 1) / calendar.shift for one in ahead]
    after: list[dict[int, float]] = [{} for _ in ahead]
    steps = steps_of(job, runs)
    waits = [(one.before, one.after, one.duration) for one in steps.waits]
    for before, then, duration in [*waits, *((one, other, 0.0) for one, other in _handed_on(job, ahead, steps))]:
        one, other = places.get(before), places.get(then)
        if one is None or other is None:
            continue
        ready = ends[one]
        if duration:
            ready = calendar.slot_at(ahead[one].finish + timedelta(seconds=duration)) / calendar.shift
        # What does not keep this order as it was laid out binds nothing.
        if one < other and ready <= begins[other] + 1e-9:
            after[other][one] = max(ready - ends[one], after[other].get(one, 0.0))
    found: list[Moved] = []
    for place, activity in enumerate(ahead):
        ready = max((ends[one] + wait for one, wait in after[place].items()), default=0.0)
        idle = begins[place] - ready
        dated = idle > _A_DATE
        found.append(
            Moved(
                kind=activity.kind,
                run=activity.run,
                start=activity.start,
                end=activity.end,
                begin=begins[place],
                length=ends[place] - begins[place],
                after=tuple(sorted(after[place].items())),
                idle=0.0 if dated else idle,
                earliest=begins[place] if dated else 0.0,
            )
        )
    return tuple(found)


def _ahead(programme: Programme) -> list[Activity]:
    return sorted((one for one in programme.activities if not one.done), key=lambda one: (one.begin, one.finish, one.id))


def _handed_on(job: Job, ahead: Sequence[Activity], steps: Steps) -> list[tuple[str, str]]:
    """Return which activity hands on a crew, a block or pipe to which."""
    found: list[tuple[str, str]] = []
    by_crew: dict[str, list[str]] = {}
    for one in ahead:
        found += [(str(value), one.id) for name, value in one.because.values if name == "before"]
        if one.crew is not None:
            by_crew.setdefault(one.crew, []).append(one.id)
    for row in by_crew.values():
        found += pairwise(row)
    for pair in pairwise(steps.blocks):
        if pair[0].end == pair[1].start:
            found += [(f"{one.name}-reconnection", f"{other.name}-isolating") for one, other in (pair, pair[::-1])]
    stock = [pipe.stock for pipe in job.plant.supply_pipes if pipe.stock is not None]
    supplied = [block for block in steps.blocks if block.supplied]
    sides = 2.0 if job.supply is not None and job.supply.sides == "both" else 1.0
    if stock and sides * sum(block.length for block in supplied) > sum(stock):
        found += [(f"{one.name}-supply_removal", f"{other.name}-supply") for one in supplied for other in supplied if one is not other]
    return found


def new_ends(steps: Sequence[Moved], factors: Sequence[float], held: Mapping[int, float] = _NOTHING) -> list[float]:
    """Return when each activity is over if it takes so many times as long.

    Parameters
    ----------
    steps : sequence of Moved
        The activities. [-]
    factors : sequence of float
        One for each. [-]
    held : mapping of int to float
        By how much later some begin for another reason, by their places. [shifts]

    Returns
    -------
    list of float
        From the first day of the job. [shifts]

    Notes
    -----
    The order stays; a crew does one after the other. A date that decides is never gone before. Curing and laboratory take the
    shifts that they take in the programme, wherever the weekend falls.
    """
    ends: list[float] = []
    for place, (one, factor) in enumerate(zip(steps, factors, strict=True)):
        ready = 0.0
        for before, wait in one.after:
            free = ends[before] + wait
            ready = max(ready, free)
        begin = max(ready + one.idle, one.earliest)
        if held:
            begin += held.get(place, 0.0)
        ends.append(begin + one.length * factor)
    return ends


def new_end(steps: Sequence[Moved], factors: Sequence[float], held: Mapping[int, float] = _NOTHING) -> float:
    """Return when all is over if each activity takes so many times as long.

    Parameters
    ----------
    steps, factors, held
        As in `new_ends`. [-]

    Returns
    -------
    float
        From the first day of the job. [shifts]
    """
    return max(new_ends(steps, factors, held), default=0.0)
