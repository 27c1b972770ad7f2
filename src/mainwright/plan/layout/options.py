"""Solutions of one problem: the chosen one, its alternatives, and what each limit costs."""

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from mainwright.errors import InputError
from mainwright.plan.layout.limits import Line, Relaxed, breaches, usable_length
from mainwright.plan.layout.problem import LayoutProblem, build, weigh
from mainwright.plan.layout.reaches import DIRECTIONS, find_reaches
from mainwright.plan.layout.solve import solve
from mainwright.plan.result import Alternative, LimitPrice

__all__ = [
    "Picked",
    "alternative",
    "closing_of",
    "fewest_openings",
    "least_cost",
    "limit_prices",
    "longest_closing",
    "picked_of",
    "shortest_closing",
]

_SMALLEST_SAVING: Final = 1e-6
"""Share of the cost under which a saving is none: what weighed prices and sums round away."""

_LARGE: Final = 5_000
"""Candidates from which a limit is raised to twice its value at most when its price is looked for, for the sake of time."""


@dataclass(frozen=True, slots=True)
class Picked:
    """A solution: candidates that are opened, and the way of each run between them (0 increasing, 1 decreasing)."""

    openings: tuple[int, ...]
    ways: tuple[int, ...]
    cost: float


def _turn(layout: LayoutProblem, openings: tuple[int, ...]) -> tuple[int, ...]:
    """Return the way of each run: cheapest, then fewest places of the pump, then downhill, then with the chainage."""
    # For a pump of the run before at the opening or not: weight so far and ways so far.
    states: dict[bool, tuple[tuple[int, int, int, int], tuple[int, ...]]] = {False: ((0, 0, 0, 0), ())}
    for start, end in itertools.pairwise(openings):
        following: dict[bool, tuple[tuple[int, int, int, int], tuple[int, ...]]] = {}
        rise = layout.line.linings.rise(layout.line.candidates[start].chainage, layout.line.candidates[end].chainage)
        for pump_here, (so_far, ways) in states.items():
            for way in (0, 1):
                if layout.set_of(start, end, way) is None:
                    continue
                place = 0 if way == 1 and pump_here else 1
                money = round((layout.price_of(start, end, way) + place * layout.pump) * 1e6)
                uphill = int(rise > 0.0 if way == 0 else rise < 0.0)
                weight = (so_far[0] + money, so_far[1] + place, so_far[2] + uphill, so_far[3] + way)
                pump_ahead = way == 0
                if pump_ahead not in following or (weight, (*ways, way)) < following[pump_ahead]:
                    following[pump_ahead] = (weight, (*ways, way))
        states = following
    return min(states.values())[1]


def picked_of(layout: LayoutProblem, openings: tuple[int, ...]) -> Picked:
    """Return the solution that opens these candidates, each run the way that is best for all of them together."""
    ways = _turn(layout, openings)
    runs = list(zip(openings, openings[1:], ways, strict=False))
    places = {end if way == 0 else start for start, end, way in runs}
    parts = [layout.opening[index] for index in openings]
    parts += [layout.price_of(start, end, way) for start, end, way in runs]
    return Picked(openings, ways, math.fsum(parts) + len(places) * layout.pump)


def least_cost(layout: LayoutProblem) -> Picked | None:
    """Return the cheapest solution, of equals the one with fewest openings, then the one whose runs reach furthest."""
    choice = solve(weigh(layout, "cost").problem)
    return None if choice is None else picked_of(layout, choice.openings)


def fewest_openings(layout: LayoutProblem) -> Picked | None:
    """Return the solution with fewest openings, of equals the cheapest."""
    choice = solve(weigh(layout, "openings").problem)
    return None if choice is None else picked_of(layout, choice.openings)


def closing_of(layout: LayoutProblem, start: int, end: int, way: int) -> float:
    """Return how long a connection of a run is off the main, from the first cut to the end of closing; 0 where nobody's is. [s]."""
    number = layout.set_of(start, end, way)
    line = layout.line
    low, high = line.candidates[start].chainage, line.candidates[end].chainage
    if number is None or not line.linings.has_customers(low, high):
        return 0.0
    return line.linings.closing(low, high, line.sets[number], DIRECTIONS[way])


def longest_closing(layout: LayoutProblem, picked: Picked) -> float:
    """Return the longest time that any connection is off the main. [s]."""
    runs = zip(picked.openings, picked.openings[1:], picked.ways, strict=False)
    return max((closing_of(layout, start, end, way) for start, end, way in runs), default=0.0)


def shortest_closing(layout: LayoutProblem, start_with: Picked) -> tuple[LayoutProblem, Picked]:
    """Return the solution with the least longest closing, of equals the cheapest, and the problem that it solves.

    Parameters
    ----------
    layout : LayoutProblem
        The problem. [-]
    start_with : Picked
        Any solution of it: its longest closing is a bound. [-]

    Returns
    -------
    tuple
        The problem with the closing as a limit, and its cheapest solution.
    """
    least = _least_closing(layout)
    line = replace(layout.line, closing=least)
    reaches = find_reaches(line, layout.fixed, (layout.line, layout.reaches))
    tried = build(line, layout.rates, layout.fixed, reaches, layout)
    found = least_cost(tried)
    return (layout, start_with) if found is None else (tried, found)


def _least_closing(layout: LayoutProblem) -> float:
    """Return the least that the longest closing of a layout can be: the same walk as for the cost, with the greatest for the sum."""
    line = layout.line
    places = [one.chainage for one in line.candidates]
    count = len(places)
    least = [math.inf] * count
    least[count - 1] = 0.0
    for start in range(count - 2, -1, -1):
        if line.candidates[start].closed:
            continue
        for end in range(start + 1, max(way[start] for way in layout.furthest) + 1):
            # What is already longer after this opening cannot be the best from here.
            if least[end] < least[start]:
                closing = _quickest(layout, places, start, end)
                least[start] = min(least[start], max(closing, least[end]))
    return least[0]


def _quickest(layout: LayoutProblem, places: list[float], start: int, end: int) -> float:
    """Return the shortest closing of a run with any equipment, either way; infinite where none can do it."""
    line = layout.line
    shortest = math.inf
    for way, direction in enumerate(DIRECTIONS):
        for number, row in enumerate(layout.reaches.lasts[way]):
            if end <= row[start] and (way, number, start, end) not in layout.reaches.blocked:
                demand = line.linings.demand(places[start], places[end], line.sets[number], direction)
                shortest = min(shortest, demand.coats * demand.occupied if demand.customers else 0.0)
    return shortest


def alternative(name: str, layout: LayoutProblem, picked: Picked) -> Alternative:
    """Return a solution as an alternative of the plan."""
    places = [one.chainage for one in layout.line.candidates]
    return Alternative(
        name=name,
        openings=tuple(places[index] for index in picked.openings),
        runs=tuple(
            (places[start], places[end], DIRECTIONS[way])
            for start, end, way in zip(picked.openings, picked.openings[1:], picked.ways, strict=False)
        ),
        total_cost=picked.cost,
        longest_closing=longest_closing(layout, picked),
    )


def _present(line: Line) -> tuple[tuple[str, str, float], ...]:
    """Return every limit that can be raised: name, display unit, its greatest value on this main; those that are none left out."""
    plant, runs, linings = line.job.plant, line.job.runs, line.linings
    pressures = [most for one in line.sets if (most := linings.pressure_limit(one)) is not None]
    found = (
        ("max_length", "m", math.inf if runs.max_length is None else runs.max_length),
        ("hose_length", "m", max(map(usable_length, line.sets))),
        ("rope_length", "m", max(math.inf if one.rope is None else one.rope.length for one in line.sets)),
        ("rope_pull", "kn", max(math.inf if one.rope is None else one.rope.breaking / one.rope.safety for one in line.sets)),
        ("max_bend", "deg", max(line.bend_limit(one.head) for one in line.sets)),
        ("max_bends_total", "deg", runs.max_bends_total),
        ("bore_step", "mm", runs.bore_step_max),
        ("hose_pressure", "bar", max(pressures, default=math.inf) if len(pressures) == len(line.sets) else math.inf),
        ("hose_residence", "minutes", linings.day.usable if plant.hoses else math.inf),
        ("connections", "per_hour", math.inf if plant.clearing_rate is None else plant.clearing_rate),
        ("shift", "hours", line.job.shift.length),
    )
    return tuple(one for one in found if one[2] < math.inf)


_BY_LENGTH: Final = frozenset({"max_length", "hose_length", "rope_length"})


def _needs(layout: LayoutProblem, raised: LayoutProblem, name: str) -> list[float]:
    """Return what the runs that only this limit forbids need of it, in order, each once."""
    line = layout.line
    places = [one.chainage for one in line.candidates]
    needs = set()
    single = {start for _, _, start, _ in layout.reaches.blocked}
    sure = [min(max(row[start] for row in way) for way in layout.reaches.lasts) for start in range(len(places))]
    for start in range(len(places) - 1):
        # What can be done both ways already needs nothing.
        begin = start if start in single else sure[start]
        for end in range(begin + 1, max(way[start] for way in raised.furthest) + 1):
            if layout.set_of(start, end, 0) is not None and layout.set_of(start, end, 1) is not None:
                continue
            if name in _BY_LENGTH:
                needs.add(places[end] - places[start])
                continue
            for way, direction in enumerate(DIRECTIONS):
                if raised.set_of(start, end, way) is None:
                    continue
                for equipment in line.sets:
                    found = breaches(line, start, end, equipment, direction)
                    if len(found) == 1 and found[0].limit == name:
                        needs.add(found[0].need)
    return sorted(need for need in needs if need < math.inf)


def limit_prices(layout: LayoutProblem, picked: Picked, *, progress: Callable[[int, int], None] | None = None) -> tuple[LimitPrice, ...]:
    """Return what the next step of each limit would save, for those that would save anything.

    Parameters
    ----------
    layout : LayoutProblem
        The problem. [-]
    picked : Picked
        Its cheapest solution. [-]
    progress : callable, optional
        Is told how many limits of how many are tried. [-]

    Returns
    -------
    tuple of LimitPrice
        The smallest step that makes the layout cheaper, and by how much. Exact: the least cost falls only where another run becomes
        possible, so the values that blocked runs need are searched by halving, each time with the whole problem solved.
    """
    limits = _present(layout.line)
    found = []
    for number, (name, unit, value) in enumerate(limits):
        if progress is not None:
            progress(number, len(limits))
        price = _limit_price(layout, picked, name, unit, value)
        if price is not None:
            found.append(price)
    return tuple(found)


def _limit_price(layout: LayoutProblem, picked: Picked, name: str, unit: str, value: float) -> LimitPrice | None:
    worth = picked.cost - _SMALLEST_SAVING * max(picked.cost, 1.0)

    def attempt(most: float) -> tuple[LayoutProblem, float] | None:
        """Return the problem with this limit raised and its least cost, where that is less than now."""
        line = replace(layout.line, relaxed=Relaxed(name, most, value if name in _BY_LENGTH else 0.0))
        try:
            reaches = find_reaches(line, layout.fixed, (layout.line, layout.reaches))
        except InputError:  # too many runs become possible: no price that could be waited for
            return None
        if reaches == layout.reaches:
            return None
        raised = build(line, layout.rates, layout.fixed, reaches, layout)
        solution = least_cost(raised)
        return None if solution is None or not solution.cost < worth else (raised, solution.cost)

    most = math.inf if len(layout.opening) < _LARGE else 2.0 * value
    whole = attempt(most)
    if whole is None:
        return None
    needs = [need for need in _needs(layout, whole[0], name) if value < need <= most]
    low, high = 0, len(needs) - 1
    answer = None
    while low <= high:
        middle = (low + high) // 2
        here = attempt(needs[middle])
        if here is None:
            low = middle + 1
        else:
            answer, high = (needs[middle], here[1]), middle - 1
    if answer is None:
        return None
    return LimitPrice(limit=name, step=answer[0] - value, unit=unit, saves=picked.cost - answer[1])
