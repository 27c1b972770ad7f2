"""A good timetable, how far it may be from the best, and by what bound."""

from collections.abc import Callable, MutableSequence, Sequence
from dataclasses import dataclass
from functools import cache
from types import FunctionType
from typing import Final, cast

from mainwright.errors import InputError
from mainwright.plan.programme import kernel
from mainwright.plan.programme.bounds import lower_bound
from mainwright.plan.programme.exact import solve_exactly
from mainwright.plan.programme.problem import Flat, SchedulingProblem, flatten

__all__ = ["COMPILE_FROM", "Effort", "Timetable", "search", "solve_programme"]

COMPILE_FROM: Final = 40_000
"""Tasks times lists from which the compiled search is worth its import: plain Python places about 15,000 tasks a second, loading it takes 1 s."""

_SEED: Final = 20_111
_STEP: Final = 256
"""Lists between two looks at the progress."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to look: lists that our own search tries, and deterministic seconds of the exact solver (0 leaves it out)."""

    lists: int = 2_000
    exact: float = 0.0


@dataclass(frozen=True, slots=True)
class Timetable:
    """A timetable that keeps everything.

    Attributes
    ----------
    starts
        Of each task. [slots]
    makespan, weight
        End of the last task, and that with the penalties. [slots]
    bound, because
        No timetable has a smaller weight, and what says so: ``work``, a resource, or ``exact`` for the solver. [slots]
    proven
        Whether the weight is the bound.
    """

    starts: tuple[int, ...]
    makespan: int
    weight: int
    bound: int
    because: str

    @property
    def proven(self) -> bool:
        """Return whether nothing better exists."""
        return self.weight <= self.bound

    @property
    def gap(self) -> float:
        """Return how far the weight may be from the best, relative to the bound. [-]."""
        return 0.0 if self.bound <= 0 else (self.weight - self.bound) / self.bound


def solve_programme(
    problem: SchedulingProblem,
    *,
    effort: Effort | None = None,
    warm: tuple[int, ...] | None = None,
    progress: Callable[[int, int], None] | None = None,
    enough: Callable[[], bool] | None = None,
) -> Timetable | None:
    """Return a good timetable, None where none was found within the horizon.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    effort : Effort or None
        How long to look; the usual where not given. [-]
    warm : tuple of int or None
        Starts of an earlier timetable: the search begins with its order. [slots]
    progress : callable or None
        Told the weight and the bound so far; raises to stop without a timetable.
    enough : callable or None
        Asked now and then: true ends the search with the best so far.

    Returns
    -------
    Timetable or None
        The best of our own search and of the exact solver.
    """
    effort = effort or Effort()
    floor = lower_bound(problem)
    found = search(problem, lists=effort.lists, lowest=floor.slots, warm=warm, progress=progress, enough=enough)
    bound, because = floor.slots, floor.because
    if effort.exact > 0.0 and (found is None or found[1] > bound) and not (enough is not None and enough()):
        hint = None if found is None else found[0]
        exact = solve_exactly(problem, hint=hint, effort=effort.exact, progress=progress, enough=enough)
        if exact.bound > bound:
            bound, because = exact.bound, "exact"
        if exact.starts is not None and exact.weight is not None and (found is None or exact.weight < found[1]):
            found = exact.starts, exact.weight
    if found is None:
        return None
    starts, weight = found
    makespan = max((start + task.duration for start, task in zip(starts, problem.tasks, strict=True)), default=0)
    return Timetable(starts, makespan, weight, bound, because)


def search(
    problem: SchedulingProblem,
    *,
    lists: int,
    lowest: int,
    warm: tuple[int, ...] | None = None,
    progress: Callable[[int, int], None] | None = None,
    enough: Callable[[], bool] | None = None,
    compiled: bool | None = None,
) -> tuple[tuple[int, ...], int] | None:
    """Return the best timetable of a search over lists, and its weight.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    lists : int
        How many lists are tried after the first. [-]
    lowest : int
        Stop there. [slots]
    warm : tuple of int or None
        Starts of an earlier timetable. [slots]
    progress : callable or None
        Told the weight and the lowest; raises to stop.
    enough : callable or None
        Asked now and then: true ends the search.
    compiled : bool or None
        Whether numba runs it; None decides by the work. [-]

    Returns
    -------
    tuple or None
        Starts and weight; None where not even the first list can be placed.
    """
    if lists < 0:
        raise InputError("lists", lists, "", "0 or more")
    if not problem.tasks:
        return (), 0
    order = list(problem.order())
    if warm is not None:
        place = {one: number for number, one in enumerate(order)}
        order.sort(key=lambda one: (warm[one], place[one]))
    flat = flatten(problem)
    if compiled is None:
        compiled = len(order) * lists >= COMPILE_FROM
    anneal: Callable[..., int] = _compiled() if compiled else kernel.anneal
    hold: Callable[[Sequence[int]], MutableSequence[int]] = _as_array if compiled else list
    count = len(order)
    fixed = [hold(one) for one in _arguments(flat)]
    room = [hold([0] * len(flat.capacity)), hold([0] * count), hold([0] * count), hold([0] * count)]
    state = hold([_SEED, 0, 0, 0, max(lists, 1)])
    row = hold(order)
    weight = int(anneal(row, *fixed, *room, state, 0, lowest))
    if weight == 0:
        return None
    left = lists
    while left > 0 and weight > lowest and not (enough is not None and enough()):
        weight = int(anneal(row, *fixed, *room, state, min(left, _STEP), lowest))
        left -= _STEP
        if progress is not None:
            progress(weight, lowest)
    return tuple(int(one) for one in room[2]), weight


def _arguments(flat: Flat) -> tuple[Sequence[int], ...]:
    return (
        flat.sizes,
        flat.task,
        flat.need,
        flat.link,
        flat.table,
        flat.hold[0],
        flat.hold[1],
        flat.capacity,
        flat.penalty[0],
        flat.penalty[1],
    )


def _as_array(values: Sequence[int]) -> MutableSequence[int]:
    import numpy as np

    # An empty list has no type of its own; an array serves the kernel as a sequence does.
    return cast("MutableSequence[int]", np.asarray(values, dtype=np.int64))


@cache
def _compiled() -> Callable[..., int]:
    import numba

    inner = {name: numba.njit(cache=True, nogil=True)(getattr(kernel, name)) for name in ("list_schedule", "weigh")}
    # The compiled search has to call the compiled functions, the plain one the plain.
    bound = FunctionType(kernel.anneal.__code__, {**vars(kernel), **inner}, "anneal")
    bound.__module__ = kernel.__name__
    bound.__qualname__ = "anneal"
    compiled: Callable[..., int] = numba.njit(cache=True, nogil=True)(bound)
    return compiled
