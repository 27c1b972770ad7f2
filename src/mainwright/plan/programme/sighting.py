"""What is seen of a programme while it is looked for: the best so far, and how far it may be from the best there is."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from mainwright.job.office import Permit
from mainwright.plan.programme.bounds import lower_bound
from mainwright.plan.programme.laying import Laid, charge
from mainwright.plan.programme.solve import Timetable

__all__ = ["Sighting", "sightings"]


@dataclass(frozen=True, slots=True)
class Sighting:
    """The best programme so far.

    Attributes
    ----------
    shifts, bound, because
        Its length, what none can be under, and what says so, as of `Programme`. [shifts]
    overrun, charge
        Days over permits in all, and what they cost in the job's currency; None where no rate is given. [days]
    gap, proven
        How far it may be from the best, overruns first, relative to the bound [-]; whether nothing better exists.
    weight
        What is made small: the length and the overruns as they are weighed. [slots]
    """

    shifts: float
    bound: float
    because: str
    overrun: int
    charge: float | None
    gap: float
    proven: bool
    weight: int


def sightings(laid: Laid, permits: Sequence[Permit], seen: Callable[[Sighting], None]) -> Callable[[Timetable], None]:
    """Return what a solver tells its timetables, so that somebody sees them.

    Parameters
    ----------
    laid : Laid
        What they are timetables of. [-]
    permits : sequence of Permit
        Of the job. [-]
    seen : callable
        Told each of them in the words of a programme. [-]

    Returns
    -------
    callable
        For `solve_programme`.
    """
    problem, calendar = laid.problem, laid.calendar
    floor = lower_bound(problem)
    streets = {permit.ref: permit for permit in permits}

    def told(made: Timetable) -> None:
        over, costs = 0, []
        for penalty in problem.penalties:
            permit = streets[penalty.name]
            last = max(made.starts[task] + problem.tasks[task].duration for task in penalty.tasks)
            days = 0 if permit.last_day is None else max(0, (calendar.end(last).date() - permit.last_day).days)
            over += days
            costs.append(charge(permit, days))
        given = [one for one in costs if one is not None]
        # With a charge for overruns the weight is no length of time: then the length has the bound that knows no charges.
        bound, because = (made.bound, made.because) if made.weight == made.makespan else (floor.slots, floor.because)
        seen(
            Sighting(
                shifts=made.makespan / calendar.shift,
                bound=bound / calendar.shift,
                because=because,
                overrun=over,
                charge=sum(given) if given else None,
                gap=made.gap,
                proven=made.proven,
                weight=made.weight,
            )
        )

    return told
