"""The programme of a plan: its activities laid out in working time, and what is said of them."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import partial
from itertools import combinations, pairwise
from typing import Final

from mainwright.job.job import Job
from mainwright.job.office import Permit
from mainwright.plan.programme.bounds import Bound, lower_bound
from mainwright.plan.programme.calendar import WorkCalendar
from mainwright.plan.programme.crews import who_does
from mainwright.plan.programme.kept import Breach, breaches
from mainwright.plan.programme.laying import Laid, Progressed, charge, day_count, frost_days, lay
from mainwright.plan.programme.sighting import Sighting, sightings
from mainwright.plan.programme.slack import Binding, bindings, floats
from mainwright.plan.programme.solve import Effort, Timetable, solve_programme
from mainwright.plan.programme.steps import Step, Steps, steps_of
from mainwright.plan.programme.street_order import ROAD, under
from mainwright.plan.programme.waits import with_waits
from mainwright.plan.result import PlanWarning, Run
from mainwright.plan.timetable import Activity, PermitUse, Programme
from mainwright.standards.source import Assumed
from mainwright.words.message import Message, message

__all__ = ["QUICK", "Programmed", "Search", "make_programme"]

QUICK: Final = Effort(lists=200, exact=0.0)
"""What a plan spends on its programme: a good one at once; the command that makes programmes looks longer."""


@dataclass(frozen=True, slots=True)
class Search:
    """How a programme is looked for.

    Attributes
    ----------
    effort
        How long.
    progress
        Told the weight and the bound so far; raises to stop without a programme.
    enough
        Asked now and then: true ends the search with the best so far.
    seen
        Told the best so far whenever it or its bound changes; must not raise.
    begins
        When the activities of a programme that is at hand begin, by their id: the search sets out from it; empty leaves the issued one.
    """

    effort: Effort = QUICK
    progress: Callable[[int, int], None] | None = None
    enough: Callable[[], bool] | None = None
    seen: Callable[[Sighting], None] | None = None
    begins: Mapping[str, datetime] = field(default_factory=dict)


_TURNED: Final = 3
"""Pairs of streets whose order is tried both ways: eight orders."""

_TRIAL: Final = 50
"""Lists at least of a search for the better order."""

_SHOWN: Final = 8
"""Activities that are told one by one."""

Programmed = tuple[Programme | None, tuple[Assumed, ...], tuple[PlanWarning, ...]]
"""The programme, None where there is none; what was assumed; and what must be told."""


def make_programme(
    job: Job,
    *,
    runs: Sequence[Run],
    search: Search | None = None,
    progressed: Progressed | None = None,
    issued: Mapping[str, datetime] | None = None,
) -> Programmed:
    """Return the programme of a plan.

    Parameters
    ----------
    job : Job
        The job. [-]
    runs : sequence of Run
        What the plan decided. [-]
    search : Search or None
        How long to look for a better one; the usual where not given. [-]
    progressed : Progressed or None
        What is done already; None at the beginning. [-]
    issued : mapping
        When the activities of the programme that was issued begin, by their id: it stands where it still can, unless somebody looks
        longer than usual; else the search sets out from its order. [-]

    Returns
    -------
    tuple
        The programme, None where the job has no first day, neither crews nor outputs, or no runs; what was assumed; and warnings.
    """
    if job.info.first_day is None or not runs or not (job.crews or job.outputs):
        text = message("There is no programme: it needs the first day, runs, and crews or outputs by shift.")
        return None, (), (PlanWarning("no_programme", None, None, text, "note"),)
    steps = steps_of(job, runs)
    last_days = True
    found = _solved(job, steps, search or Search(), progressed=progressed, issued=issued or {}, keep_last_days=True)
    told: list[PlanWarning] = []
    if found is None and any(one.last_day is not None for one in job.crews):
        text = message("The work does not fit into the days on which the crews are there: the programme goes on after their last days.")
        told.append(PlanWarning("crews_too_short", None, None, text, "act"))
        last_days = False
        found = _solved(job, steps, search or Search(), progressed=progressed, issued=issued or {}, keep_last_days=False)
    if found is None:
        text = message("No programme was found: somebody who is needed is never there, or a run does not fit into a shift.")
        return None, steps.assumed, (PlanWarning("no_programme", None, None, text, "act"),)
    laid, made = found
    programme = _programme(laid, made, job.permits, frozenset() if progressed is None else frozenset(progressed.done))
    programme = with_waits(job, programme, runs=runs, laid=laid, starts=made.starts, progressed=progressed)
    told += [*_nobody(laid), *_not_apart(laid), *_no_hours(laid)]
    told += _broken(breaches(job, runs, programme, today=None if progressed is None else progressed.today, last_days=last_days))
    told += [_overrun(permit, job.info.currency) for permit in programme.permits if permit.overrun]
    return programme, (*steps.assumed, *_granted(job, laid)), tuple(told)


def _solved(
    job: Job,
    steps: Steps,
    search: Search,
    *,
    progressed: Progressed | None,
    issued: Mapping[str, datetime],
    keep_last_days: bool,
) -> tuple[Laid, Timetable] | None:
    """Return a timetable: within a third of the days that everything would take one after the other, or within all of them."""
    most = day_count(job, steps)
    for days in (most // 3, most):
        laying = partial(lay, job, steps, days=days, progressed=progressed, keep_last_days=keep_last_days, issued=issued)
        # An order of streets that was issued stands, too, unless somebody looks longer than usual.
        orders = [laying()] if issued and _stands(search) else _orders(laying)
        laid = orders[0] if len(orders) == 1 else _better(job, orders, search, issued)
        # What is bound is the best of all orders, not the one that was taken.
        floor = min((lower_bound(one.problem) for one in orders), key=lambda one: one.slots) if len(orders) > 1 else None
        made = _timetable(job, laid, search, issued, floor=floor)
        if made is not None:
            return laid, made
    return None


def _stands(search: Search) -> bool:
    """Return whether what was issued stands where it still can: it is only left for a better one where somebody asks for that."""
    return search.effort == QUICK and not search.begins


def _orders(laying: Callable[..., Laid]) -> list[Laid]:
    """Return the work laid out for every order in which streets that are not closed together can be closed, the usual one first."""
    usual = laying()
    free = usual.apart.free[:_TURNED]
    found = [usual]
    for turned in (one for count in range(1, len(free) + 1) for one in combinations(free, count)):
        other = laying(turned=turned)
        # An order that cannot keep as many streets apart is none.
        if len(other.apart.failed) <= len(usual.apart.failed) and other.apart.order != usual.apart.order:
            found.append(other)
    return found


def _better(job: Job, orders: Sequence[Laid], search: Search, issued: Mapping[str, datetime]) -> Laid:
    """Return the order that a short search finds best, the usual one where none is better."""
    short = replace(search, effort=Effort(lists=max(_TRIAL, search.effort.lists // 4)), seen=None)
    tried = [(made.weight, number) for number, laid in enumerate(orders) if (made := _timetable(job, laid, short, issued)) is not None]
    return orders[min(tried, default=(0, 0))[1]]


def _timetable(job: Job, laid: Laid, search: Search, issued: Mapping[str, datetime], *, floor: Bound | None = None) -> Timetable | None:
    calendar, known = laid.calendar, search.begins or issued
    begins = [known.get(step.id) for step in laid.steps.steps]
    warm = None if not known else tuple(calendar.horizon if one is None else calendar.slot_at(one) for one in begins)
    seen = None if search.seen is None else sightings(laid, job.permits, search.seen)
    told = None if seen is None else lambda made: seen(_bound_by(made, floor))
    made = solve_programme(
        laid.problem, effort=search.effort, warm=warm, progress=search.progress, enough=search.enough, told=told, stand=_stands(search)
    )
    return None if made is None else _bound_by(made, floor)


def _bound_by(made: Timetable, floor: Bound | None) -> Timetable:
    """Return a timetable that no more is said of than holds for every order of the streets."""
    return made if floor is None or made.bound <= floor.slots else replace(made, bound=floor.slots, because=floor.because)


def _granted(job: Job, laid: Laid) -> tuple[Assumed, ...]:
    """Return what the programme takes for granted."""
    found = [
        Assumed("calendar", "Monday to Friday", "", message("Days of work: Monday to Friday but for what the calendar says.")),
        Assumed("crews.count", "1", "", message("A crew does one activity at a time, whatever its count of people.")),
    ]
    if laid.apart.order:
        because = message(
            "Of two streets that are not closed together the first is closed again before the other is opened; one that is opened comes first, else "
            "the order was taken that a short search found best."
        )
        found.append(Assumed("programme.street_order", ", ".join(f"{one} – {other}" for one, other in laid.apart.order), "", because))
    frost = frost_days(job, laid.steps)
    if frost:
        because = message("No mortar is sprayed from here to the end of the frost: what is sprayed has cured before.")
        found.append(Assumed("programme.last_mortar_before", frost[0].isoformat(), "", because))
    if any(one.end == other.start for one, other in pairwise(laid.steps.blocks)):
        because = message("Two blocks that share a line valve are not closed at the same time: each is fed past the other.")
        found.append(Assumed("programme.neighbours", "not together", "", because))
    return tuple(found)


def _not_apart(laid: Laid) -> tuple[PlanWarning, ...]:
    text = "The streets of permits {refs} cannot be closed one after the other: both lie in one length that is closed as a whole."
    return tuple(PlanWarning("streets_together", None, None, message(text, refs=refs), "act") for refs in laid.apart.failed)


def _no_hours(laid: Laid) -> tuple[PlanWarning, ...]:
    text = (
        "No time of the shift lies in the hours {hours} of permit {ref}: the programme keeps its days and not its hours. All crews work the one "
        "shift of the job; there is no other to give them."
    )
    return tuple(
        PlanWarning("permit_hours", one.start, one.end, message(text, hours=one.hours or "", ref=one.ref), "act") for one in laid.no_hours
    )


def _broken(found: Sequence[Breach]) -> tuple[PlanWarning, ...]:
    """Say what a check that did not make the programme finds in it."""
    if not found:
        return ()
    names = ", ".join(dict.fromkeys(one.id for one in found[:_SHOWN]))
    text = message(
        "The programme does not keep what it must at {names}: do not follow it, and report this as a fault of the program.", names=names
    )
    return (PlanWarning("programme_broken", None, None, text, "stop"),)


def _nobody(laid: Laid) -> tuple[PlanWarning, ...]:
    kinds = sorted({step.kind for step, gang in zip(laid.steps.steps, laid.gang, strict=True) if gang is None})
    if not kinds:
        return ()
    text = message("No crew has the skill for {kinds}: these activities are timed as if somebody were always free.", kinds=", ".join(kinds))
    return (PlanWarning("no_crew", None, None, text, "act"),)


def _programme(laid: Laid, made: Timetable, permits: Sequence[Permit], done: frozenset[str]) -> Programme:
    problem, calendar = laid.problem, laid.calendar
    slack = floats(problem, made.starts)
    why = bindings(problem, made.starts)
    crews = _crews(laid, made.starts)
    activities = [
        Activity(
            id=step.id,
            kind=step.kind,
            block=step.block,
            run=step.run,
            start=step.start,
            end=step.end,
            crew=crews.get(number),
            begin=calendar.begin(begin),
            finish=calendar.end(begin + task.duration),
            slack=slack[number] / calendar.shift,
            because=_because(laid, number, why[number]),
            done=step.id in done,
        )
        for number, (step, task, begin) in enumerate(zip(laid.steps.steps, problem.tasks, made.starts, strict=True))
    ]
    activities.sort(key=lambda one: (one.begin, one.finish, one.id))
    # With a charge for overruns the weight is no length of time: then the length has the bound that knows no charges.
    floor = lower_bound(problem)
    bound, because = (made.bound, made.because) if made.weight == made.makespan else (floor.slots, floor.because)
    return Programme(
        first_day=activities[0].begin.date(),
        last_day=max(one.finish for one in activities).date(),
        shifts=made.makespan / calendar.shift,
        bound=bound / calendar.shift,
        because=because,
        gap=made.gap,
        proven=made.proven,
        activities=tuple(activities),
        permits=tuple(_use(permit, activities, calendar) for permit in permits),
    )


def _crews(laid: Laid, starts: Sequence[int]) -> dict[int, str]:
    """Return who does what: of crews that stand in for each other one that is there, and was free last."""
    found: dict[int, str] = {}
    tasks = laid.problem.tasks
    for resource, gang in enumerate(laid.gangs):
        spans = [
            (starts[number], starts[number] + task.duration, number)
            for number, task in enumerate(tasks)
            if any(one == resource and amount for one, amount in task.needs)
        ]
        found |= who_does(gang, spans, shift=laid.calendar.shift)
    return found


def _because(laid: Laid, number: int, why: Binding) -> Message:
    kind, other = why
    if kind == "link":
        return message("follows {before}", before=laid.steps.steps[other].id)
    if kind == "resource":
        return message("waits for the crew, pipe or block of {before}", before=laid.steps.steps[other].id)
    if kind == "start":
        return message("begins with the programme")
    if number in laid.untold:
        return message("waits until its customers have been told in time")
    return message("begins when its crew, permit and shift allow")


def _use(permit: Permit, activities: Sequence[Activity], calendar: WorkCalendar) -> PermitUse:
    inside = [
        one for one in activities if one.kind in ROAD and under(permit, Step(one.id, one.kind, one.block, one.start, one.end, one.run, 0.0))
    ]
    first = min((one.begin.date() for one in inside), default=None)
    last = max((one.finish.date() for one in inside), default=None)
    over, spare = 0, None
    if last is not None and permit.last_day is not None:
        over = max(0, (last - permit.last_day).days)
        spare = sum(last < day <= permit.last_day for day in calendar.days) - sum(permit.last_day < day <= last for day in calendar.days)
    costs, following = charge(permit, over), charge(permit, over + 1)
    return PermitUse(
        ref=permit.ref,
        street=permit.street,
        start=permit.start,
        end=permit.end,
        first_day=permit.first_day,
        last_day=permit.last_day,
        first=first,
        last=last,
        spare=spare,
        overrun=over,
        charge=costs,
        next_day_costs=None if costs is None or following is None else following - costs,
    )


def _overrun(use: PermitUse, currency: str) -> PlanWarning:
    if use.charge is None:
        text = message("The work under permit {ref} goes on {n} {n:day/days} after its last day.", ref=use.ref, n=use.overrun)
    else:
        text = message(
            "The work under permit {ref} goes on {n} {n:day/days} after its last day: that costs {charge} {currency}.",
            ref=use.ref,
            n=use.overrun,
            charge=round(use.charge),
            currency=currency,
        )
    return PlanWarning("permit_overrun", use.start, use.end, text, "act")
