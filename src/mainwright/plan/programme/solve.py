"""A good timetable, how far it may be from the best, and by what bound."""

from collections.abc import Callable, MutableSequence, Sequence
from dataclasses import dataclass
from functools import cache
from types import FunctionType, ModuleType
from typing import Any, Final, cast

from mainwright.errors import InputError
from mainwright.plan.programme import kernel
from mainwright.plan.programme.bounds import Bound, lower_bound, tails
from mainwright.plan.programme.check import violations, weight_of
from mainwright.plan.programme.exact import solve_exactly
from mainwright.plan.programme.problem import SchedulingProblem, flatten

__all__ = ["COMPILE_FROM", "Effort", "Timetable", "search", "solve_programme"]

COMPILE_FROM: Final = 120_000
"""Tasks times lists from which the compiled search is worth its import: plain Python places about 100,000 tasks a second, loading it takes 1 s."""

_SEED: Final = 20_111
_STEP: Final = 256
"""Lists between two looks at the progress."""

_PLAIN_STEP: Final = 20_000
"""Tasks of the lists between two looks where nothing is compiled: a fifth of a second."""


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
    told: Callable[[Timetable], None] | None = None,
    stand: bool = False,
) -> Timetable | None:
    """Return a good timetable, None where none was found within the horizon.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    effort : Effort or None
        How long to look; the usual where not given. [-]
    warm : tuple of int or None
        Starts of an earlier timetable: the search begins with its order, and where it still keeps everything nothing worse comes out. [slots]
    progress : callable or None
        Told the weight and the bound so far; raises to stop without a timetable.
    enough : callable or None
        Asked now and then: true ends the search with the best so far.
    told : callable or None
        Told the best so far whenever it or its bound changes; must not raise.
    stand : bool
        Whether an earlier timetable that still keeps everything stands as it is: nothing is looked for then.

    Returns
    -------
    Timetable or None
        The best of our own search, of the exact solver, and of the earlier one.
    """
    effort = effort or Effort()
    floor = lower_bound(problem)
    best = _Best(problem, floor, told)
    if warm is not None and not violations(problem, warm):
        best.take(warm, weight_of(problem, warm))
        if stand:
            return best.timetable()
    found = search(problem, lists=effort.lists, lowest=floor.slots, warm=warm, progress=progress, enough=enough, better=best.take)
    if found is not None:
        best.take(*found)
    if effort.exact > 0.0 and not best.proven and not (enough is not None and enough()):
        exact = solve_exactly(
            problem, hint=best.starts, effort=effort.exact, progress=progress, enough=enough, better=best.take, bounded=best.bounded
        )
        if exact.starts is not None and exact.weight is not None:
            best.take(exact.starts, exact.weight)
        best.bounded(exact.bound)
    return best.timetable()


class _Best:
    """The best timetable so far and its bound; whoever looks on is told whenever either changes."""

    def __init__(self, problem: SchedulingProblem, floor: Bound, told: Callable[[Timetable], None] | None) -> None:
        self._problem = problem
        self._told = told
        self.starts: tuple[int, ...] | None = None
        self._weight = 0
        self._bound, self._because = floor.slots, floor.because

    @property
    def proven(self) -> bool:
        return self.starts is not None and self._weight <= self._bound

    def take(self, starts: Sequence[int], weight: int) -> None:
        """Keep a timetable if it is better."""
        if self.starts is None or weight < self._weight:
            self.starts, self._weight = tuple(starts), weight
            self._tell()

    def bounded(self, bound: int) -> None:
        """Take a bound of the exact solver if it says more."""
        if bound > self._bound:
            self._bound, self._because = bound, "exact"
            self._tell()

    def timetable(self) -> Timetable | None:
        if self.starts is None:
            return None
        makespan = max((start + task.duration for start, task in zip(self.starts, self._problem.tasks, strict=True)), default=0)
        return Timetable(self.starts, makespan, self._weight, self._bound, self._because)

    def _tell(self) -> None:
        made = self.timetable()
        if self._told is not None and made is not None:
            self._told(made)


def search(
    problem: SchedulingProblem,
    *,
    lists: int,
    lowest: int,
    warm: tuple[int, ...] | None = None,
    progress: Callable[[int, int], None] | None = None,
    enough: Callable[[], bool] | None = None,
    better: Callable[[Sequence[int], int], None] | None = None,
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
    better : callable or None
        Told starts and weight of each better timetable; must not raise.
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
    if compiled is None:
        compiled = len(order) * lists >= COMPILE_FROM
    # A single list is placed whatever comes of it: what no trial can be shorter than is of no use then.
    flat = flatten(problem, rests=tails(problem) if lists else None)
    anneal: Callable[..., int] = _compiled() if compiled else kernel.anneal
    hold: Callable[..., MutableSequence[int]] = _as_array if compiled else _as_list
    nothing = (0,) * len(order)
    sizes, given, room = hold(flat.sizes), hold(*flat.given), hold(*flat.room)
    rows = (hold(order), hold(nothing), hold(nothing), hold(nothing))
    best = hold(nothing)
    state = hold((_SEED, 0, 0, 0, max(lists, 1)))
    weight = int(anneal(sizes, given, room, rows, best, state, 0, lowest))
    if weight == 0:
        return None
    left, step = lists, _STEP if compiled else min(_STEP, max(1, _PLAIN_STEP // len(order)))
    if better is not None:
        better([int(one) for one in best], weight)
    while left > 0 and weight > lowest and not (enough is not None and enough()):
        before, weight = weight, int(anneal(sizes, given, room, rows, best, state, min(left, step), lowest))
        left -= step
        if better is not None and weight < before:
            better([int(one) for one in best], weight)
        if progress is not None:
            progress(weight, lowest)
    return tuple(int(one) for one in best), weight


def _as_list(*pieces: Sequence[int]) -> MutableSequence[int]:
    return [value for piece in pieces for value in piece]


def _piece(np: ModuleType, piece: Sequence[int]) -> Any:  # noqa: ANN401 an array
    """Return a sequence as an array: what counts up or is the same all along, as a clock and a crew mostly are, is not read one by one."""
    if isinstance(piece, range):
        return np.arange(piece.start, piece.stop, piece.step, dtype=np.int64)
    if isinstance(piece, tuple) and len(piece) > 0 and piece.count(piece[0]) == len(piece):
        return np.full(len(piece), piece[0], dtype=np.int64)
    return np.asarray(piece, dtype=np.int64)


def _as_array(*pieces: Sequence[int]) -> MutableSequence[int]:
    import numpy as np

    made = [_piece(np, piece) for piece in pieces]
    # An array serves the kernel as a sequence does.
    return cast("MutableSequence[int]", np.concatenate(made))


@cache
def _compiled() -> Callable[..., int]:
    import numba

    compiled: dict[str, Callable[..., Any]] = {}
    # A compiled function has to call compiled ones, the plain one plain ones: each is bound to those before it.
    for name, source in list(vars(kernel).items()):
        if isinstance(source, FunctionType) and source.__module__ == kernel.__name__:
            bound = FunctionType(source.__code__, {**vars(kernel), **compiled}, name)
            bound.__module__, bound.__qualname__ = kernel.__name__, name
            compiled[name] = numba.njit(cache=True, nogil=True)(bound)
    return compiled["anneal"]
