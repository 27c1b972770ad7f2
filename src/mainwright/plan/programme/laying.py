"""A programme as a problem of the scheduler: crews, permits, hours, pipe stock and closed blocks in slots of working time."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import Final

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.job.office import Permit
from mainwright.plan.programme.calendar import WorkCalendar, work_calendar
from mainwright.plan.programme.crews import Gang, gang_of, gangs_of
from mainwright.plan.programme.problem import Holding, Link, Penalty, SchedulingProblem, Task, order_of
from mainwright.plan.programme.steps import Block, Step, Steps
from mainwright.plan.programme.street_order import ROAD, Apart, streets_apart, under
from mainwright.plan.return_to_service.notices import owed

__all__ = ["Laid", "Progressed", "charge", "day_count", "frost_days", "lay"]

_DAY: Final = 86400.0

_PLENTY: Final = 1000
"""More than can ever be wanted of something at once."""


@dataclass(frozen=True, slots=True)
class Progressed:
    """How far the work is: what was done and when it began (by the local clock), and the first day that is still open."""

    done: Mapping[str, datetime]
    today: date


@dataclass(frozen=True, slots=True)
class Laid:
    """The problem, and everything that it was made from.

    Attributes
    ----------
    gang
        Number of each step's gang, None where nobody has the skill.
    apart
        Streets that are closed one after the other.
    no_hours
        Permits whose hours hold no time of the shift.
    untold
        Numbers of the steps that close a block whose customers have still to be told.
    """

    steps: Steps
    calendar: WorkCalendar
    gangs: tuple[Gang, ...]
    problem: SchedulingProblem
    gang: tuple[int | None, ...]
    apart: Apart
    no_hours: tuple[Permit, ...] = ()
    untold: frozenset[int] = frozenset()


def day_count(job: Job, steps: Steps) -> int:
    """Return as many working days as everything would take one after the other, and some for what begins late."""
    work = sum(math.ceil(step.shifts) for step in steps.steps)
    wait = sum(math.ceil(wait.duration / _DAY) for wait in steps.waits)
    first = job.info.first_day
    begins = [*(one.first_day for one in job.permits), *(one.first_day for one in job.crews)]
    late = max([(day - first).days for day in begins if first is not None and day is not None], default=0)
    late = max(late, max((math.ceil(_notice(job, block) / _DAY) for block in steps.blocks), default=0))
    return work + wait + max(0, late) + 10 + len(frost_days(job, steps))


def lay(
    job: Job,
    steps: Steps,
    *,
    days: int,
    progressed: Progressed | None,
    keep_last_days: bool,
    issued: Mapping[str, datetime] | None = None,
    turned: Collection[int] = (),
) -> Laid:
    """Return the problem of a job's activities.

    Parameters
    ----------
    job : Job
        With its first day. [-]
    steps : Steps
        Its activities. [-]
    days : int
        Working days of the horizon. [-]
    progressed : Progressed or None
        What is done: it is fixed, and nothing else begins before today. [-]
    keep_last_days : bool
        Whether crews are away after their last day. [-]
    issued : mapping or None
        When the activities of the programme that was issued begin, by their id: its customers were told of its closings. [-]
    turned : collection of int
        Pairs of streets that are closed in the other order than the usual one. [-]

    Returns
    -------
    Laid
        Permits make activities in the road begin late and weigh their overrun; hours of a permit bind what cannot go on over the night
        and lengthen the rest; the pipe stock is held from laying to removal; blocks that share a valve are not closed together; no mortar is
        sprayed in frost; streets that are kept apart are opened one after the other, as `streets_apart` says.
    """
    calendar = work_calendar(job, days=days)
    gangs = gangs_of(job, calendar, keep_last_days=keep_last_days)
    gang = tuple(gang_of(gangs, step.kind) for step in steps.steps)
    place = {step.id: number for number, step in enumerate(steps.steps)}
    durations = sorted({wait.duration for wait in steps.waits} | {0.0})
    tables = tuple(tuple(range(calendar.horizon + 1)) if duration == 0.0 else calendar.waiting(duration) for duration in durations)
    links = tuple(Link(place[wait.before], place[wait.after], durations.index(wait.duration)) for wait in steps.waits)
    shared = _Shared(calendar, [(" + ".join(one.crews), one.capacity) for one in gangs])
    tasks = [_task(job, step, calendar, number) for step, number in zip(steps.steps, gang, strict=True)]
    no_hours = _keep_hours(job.permits, steps, calendar, shared, tasks)
    _keep_from_frost(job, steps, calendar, shared, tasks)
    done = frozenset() if progressed is None else frozenset(progressed.done)
    apart = streets_apart(job, steps, place, links, done=done, issued=issued, turned=turned)
    tasks = [replace(task, section=section) for task, section in zip(tasks, _sections(steps, apart.links), strict=True)]
    links = (*links, *apart.links)
    if progressed is not None:
        tasks = [_as_today(task, calendar, progressed) for task in tasks]
    untold = {} if progressed is None else _untold(job, steps, calendar, place=place, progressed=progressed, issued=issued or {})
    for number, earliest in untold.items():
        tasks[number] = replace(tasks[number], earliest=max(tasks[number].earliest, earliest))
    holdings = (*_stock(job, steps, place, shared), *_neighbours(steps, place, shared))
    penalties = tuple(one for one in (_penalty(permit, steps, calendar, place) for permit in job.permits) if one is not None)
    problem = SchedulingProblem(
        horizon=calendar.horizon,
        shift=calendar.shift,
        resources=tuple(name for name, _ in shared.rows),
        capacities=tuple(capacity for _, capacity in shared.rows),
        tasks=tuple(tasks),
        links=links,
        holdings=holdings,
        penalties=penalties,
        tables=tables,
    )
    return Laid(steps, calendar, gangs, problem, gang, apart, no_hours, frozenset(untold))


class _Shared:
    """The resources, one after the other, with what there is of each in each slot."""

    def __init__(self, calendar: WorkCalendar, rows: list[tuple[str, tuple[int, ...]]]) -> None:
        self.calendar = calendar
        self.rows = rows

    def add(self, name: str, capacity: tuple[int, ...]) -> int:
        self.rows.append((name, capacity))
        return len(self.rows) - 1

    def always(self, name: str, amount: int) -> int:
        return self.add(name, (amount,) * self.calendar.horizon)


def _task(job: Job, step: Step, calendar: WorkCalendar, gang: int | None) -> Task:
    days = [one.first_day for one in job.permits if step.kind in ROAD and one.first_day is not None and under(one, step)]
    slots = calendar.slots(step.shifts)
    return Task(
        name=step.id,
        duration=slots,
        needs=() if gang is None else ((gang, 1),),
        earliest=max((calendar.slot_of_day(day) for day in days), default=0),
        one_shift=step.one_shift and slots <= calendar.shift,
        section=step.block,
    )


def _as_today(task: Task, calendar: WorkCalendar, progressed: Progressed) -> Task:
    """Fix what is done where it was, without its crew; begin everything else today at the earliest."""
    today = calendar.slot_of_day(progressed.today)
    began = progressed.done.get(task.name)
    if began is None:
        return replace(task, earliest=max(task.earliest, today))
    fixed = min(calendar.slot_at(began), max(0, today - 1))
    return replace(task, duration=max(1, min(task.duration, today - fixed)), needs=(), one_shift=False, fixed=fixed)


def _sections(steps: Steps, apart: Sequence[Link]) -> list[int]:
    """Return for each activity which block's turn it is: by chainage, but a block in a street that is closed first comes before the other's."""
    number = {block.number: place for place, block in enumerate(steps.blocks)}
    of = [number[step.block] for step in steps.steps]
    before = {(of[link.before], of[link.after]): None for link in apart}
    turns = order_of(len(number), [Link(one, other) for one, other in before if one != other], list(range(len(number))))
    # Blocks that lie in both streets have no order: then it is that of the chainage.
    rank = {block: turn for turn, block in enumerate(turns or range(len(number)))}
    return [rank[block] for block in of]


def _notice(job: Job, block: Block) -> float:
    """Return the longest notice that is owed to anybody in a block [s]."""
    asked = job.giving_back or GivingBack()
    here = [one for one in job.services if one.live is not False and block.start <= one.chainage <= block.end]
    return max((owed(asked, one.use or "unknown") or 0.0 for one in here), default=0.0)


def _untold(
    job: Job,
    steps: Steps,
    calendar: WorkCalendar,
    *,
    place: Mapping[str, int],
    progressed: Progressed,
    issued: Mapping[str, datetime],
) -> dict[int, int]:
    """Return the slot before which no block is closed: its customers are told from today on, or were told of the day that was issued."""
    found = {}
    for block in steps.blocks:
        closing, notice = f"{block.name}-isolating", _notice(job, block)
        if closing in progressed.done or notice <= 0.0:
            continue
        # Letters are taken round on a day of work.
        tell = next((day for day in calendar.days if day >= progressed.today), progressed.today)
        day = tell + timedelta(days=math.ceil(notice / _DAY))
        told = issued.get(closing)
        if told is not None:
            day = min(day, told.date())
        found[place[closing]] = min(calendar.slot_of_day(day), calendar.horizon)
    return found


def _keep_hours(permits: Sequence[Permit], steps: Steps, calendar: WorkCalendar, shared: _Shared, tasks: list[Task]) -> tuple[Permit, ...]:
    """Keep activities in the road to the hours of all their permits together; return those whose hours hold no time of the shift."""
    windows = [(permit, window) for permit in permits if (window := _window(permit.hours)) is not None]
    hours = {
        number: frozenset(slot for slot in range(calendar.shift) if _inside(window, calendar.begin(slot), calendar.slot))
        for number, (_, window) in enumerate(windows)
    }
    without = {number for number, slots in hours.items() if not slots}
    rows: dict[frozenset[int], int] = {}
    for place, step in enumerate(steps.steps):
        over = [number for number in hours if step.kind in ROAD and hours[number] and under(windows[number][0], step)]
        allowed = frozenset(range(calendar.shift)).intersection(*(hours[number] for number in over))
        if not allowed:
            # Two permits that allow no hour together keep their days alone.
            without.update(over)
            continue
        if len(allowed) == calendar.shift:
            continue
        task = tasks[place]
        if task.one_shift and task.duration <= len(allowed):
            if allowed not in rows:
                name = "hours of " + ", ".join(windows[number][0].ref for number in over)
                capacity = tuple(_PLENTY if slot % calendar.shift in allowed else 0 for slot in range(calendar.horizon))
                rows[allowed] = shared.add(name, capacity)
            tasks[place] = replace(task, needs=(*task.needs, (rows[allowed], 1)))
        else:
            tasks[place] = replace(task, duration=calendar.slots(step.shifts * calendar.shift / len(allowed)), one_shift=False)
    return tuple(windows[number][0] for number in sorted(without))


def frost_days(job: Job, steps: Steps) -> tuple[date, ...]:
    """Return the days on which no mortar is sprayed: those of the frost, and as many before them as the mortar cures [-].

    Parameters
    ----------
    job : Job
        With what it says of frost. [-]
    steps : Steps
        With the time that mortar cures. [-]

    Returns
    -------
    tuple of date
        In order; none where the job names no frost. One end alone is the whole of it.
    """
    rules = job.programme
    if rules is None or (rules.frost_from is None and rules.frost_to is None):
        return ()
    first, last = rules.frost_from or rules.frost_to, rules.frost_to or rules.frost_from
    if first is None or last is None or last < first:
        return ()
    kinds = {step.id: step.kind for step in steps.steps}
    cure = max((wait.duration for wait in steps.waits if kinds.get(wait.before) == "lining"), default=0.0)
    first -= timedelta(days=math.ceil(cure / _DAY))
    return tuple(first + timedelta(days=number) for number in range((last - first).days + 1))


def _keep_from_frost(job: Job, steps: Steps, calendar: WorkCalendar, shared: _Shared, tasks: list[Task]) -> None:
    frost = frozenset(frost_days(job, steps))
    if not frost:
        return
    resource = shared.add(
        "days without frost", tuple(amount for day in calendar.days for amount in [0 if day in frost else _PLENTY] * calendar.shift)
    )
    for number, step in enumerate(steps.steps):
        if step.kind == "lining":
            tasks[number] = replace(tasks[number], needs=(*tasks[number].needs, (resource, 1)))


def _window(hours: str | None) -> tuple[float, float] | None:
    """Return when the hours begin that a permit names as ``09:00-15:30``, from midnight, and how long they are [s].

    Those that end before they begin go on over midnight; None where it names none that way.
    """
    if not hours or "-" not in hours:
        return None
    try:
        first, last = (time.fromisoformat(part.strip()) for part in hours.split("-", 1))
    except ValueError:
        return None
    begin, end = (3600.0 * one.hour + 60.0 * one.minute + one.second for one in (first, last))
    return None if begin == end else (begin, (end - begin) % _DAY)


def _inside(window: tuple[float, float], moment: datetime, length: float) -> bool:
    """Return whether a time of some length [s] lies in the hours of a permit."""
    since = (3600.0 * moment.hour + 60.0 * moment.minute + moment.second - window[0]) % _DAY
    return since + length <= window[1] + 1e-6


def _stock(job: Job, steps: Steps, place: Mapping[str, int], shared: _Shared) -> list[Holding]:
    stock = [pipe.stock for pipe in job.plant.supply_pipes if pipe.stock is not None]
    supplied = [block for block in steps.blocks if block.supplied]
    if not stock or not supplied:
        return []
    sides = 2.0 if job.supply is not None and job.supply.sides == "both" else 1.0
    there = math.floor(sum(stock))
    resource = shared.always("stock of temporary pipe", there)
    return [
        # A block that is longer than the stock takes all of it: the temporary supply says what is short.
        Holding(
            resource,
            min(there, math.ceil(block.length * sides)),
            place[f"{block.name}-supply"],
            place[f"{block.name}-supply_removal"],
        )
        for block in supplied
    ]


def _neighbours(steps: Steps, place: Mapping[str, int], shared: _Shared) -> list[Holding]:
    found = []
    for pair in pairwise(steps.blocks):
        if pair[0].end == pair[1].start:
            resource = shared.always(f"blocks {pair[0].name} and {pair[1].name}", 1)
            found += [Holding(resource, 1, place[f"{one.name}-isolating"], place[f"{one.name}-reconnection"]) for one in pair]
    return found


def _penalty(permit: Permit, steps: Steps, calendar: WorkCalendar, place: Mapping[str, int]) -> Penalty | None:
    """Weigh the days over a permit: the least charge is as much as the longest programme, so that overruns are kept out first."""
    tasks = tuple(place[step.id] for step in steps.steps if step.kind in ROAD and under(permit, step))
    if permit.last_day is None or not tasks:
        return None
    rates = [rate for rate in (permit.overrun_first_rate, permit.overrun_later_rate) if rate]
    unit = min(rates, default=1.0)
    weights = [0]
    for day in calendar.days:
        # What ends with a shift ends that day.
        days = max(0, (day - permit.last_day).days)
        costs = charge(permit, days)
        weights += [round((days if costs is None else costs / unit) * calendar.horizon)] * calendar.shift
    return Penalty(permit.ref, tasks, tuple(weights))


def charge(permit: Permit, days: int) -> float | None:
    """Return what so many days over a permit cost: the first rate for the first days, then the later one; None without a rate."""
    first = permit.overrun_first_rate
    if first is None:
        return None
    many = days if permit.overrun_first_days is None else min(days, permit.overrun_first_days)
    later = first if permit.overrun_later_rate is None else permit.overrun_later_rate
    return many * first + (days - many) * later
