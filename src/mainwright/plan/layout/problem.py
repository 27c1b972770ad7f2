"""The line of candidates as the solver wants it: how far each run may go, and what everything weighs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from mainwright.plan.layout.limits import Line
from mainwright.plan.layout.money import Rates
from mainwright.plan.layout.reaches import Reaches, alike, find_reaches, first_set
from mainwright.plan.layout.solve import UNREACHABLE, LineProblem

__all__ = ["LayoutProblem", "Weighed", "build", "weigh"]

_FINEST: Final = 10**6  # parts of the currency's unit that a weight still tells apart
_ROOM: Final = 1 << 59


@dataclass(frozen=True, slots=True)
class LayoutProblem:
    """Which runs are possible, with what, and what everything costs, in the job's currency.

    Attributes
    ----------
    opening, passed
        Of opening at each candidate, and of passing it within a run.
    run, pump
        Of each run, and of each place of the pump.
    furthest
        For each way (increasing, decreasing) how far a run from each candidate may reach with any equipment.
    starts, prices
        Prices of single runs for each way, as the solver wants them; infinite where no equipment can do it. Empty where runs differ by
        nothing.
    reaches
        The same for each set of equipment.
    fixed
        Candidates at which a run begins that is done already, with its way.
    """

    line: Line
    rates: Rates
    opening: tuple[float, ...]
    passed: tuple[float, ...]
    run: float
    pump: float
    furthest: tuple[list[int], list[int]]
    starts: list[int]
    prices: tuple[list[float], list[float]]
    reaches: Reaches
    fixed: tuple[tuple[int, int], ...]

    def set_of(self, start: int, end: int, way: int) -> int | None:
        """Return which set of equipment does a run: the first that can. ``way`` is 0 for increasing, 1 for decreasing."""
        return first_set(self.reaches.lasts[way], self.reaches.blocked, start, end, way)

    def price_of(self, start: int, end: int, way: int) -> float:
        """Return what a run costs alone, openings and places of the pump apart."""
        inner = math.fsum(self.passed[start + 1 : end])
        single = self.prices[way][self.starts[start] + end - start - 1] if self.starts else 0.0
        return self.run + inner + single


def build(
    line: Line,
    rates: Rates,
    fixed: Sequence[tuple[int, int]] = (),
    reaches: Reaches | None = None,
    before: "LayoutProblem | None" = None,
) -> LayoutProblem:
    """Return the problem for the solver.

    Parameters
    ----------
    line : Line
        Candidates, limits and how runs are lined. [-]
    rates : Rates
        Prices. [-]
    fixed : sequence of pair
        Runs that are done, as for `find_reaches`. [-]
    reaches : Reaches, optional
        What `find_reaches` gave for the same line. [-]
    before : LayoutProblem, optional
        An earlier problem of the same job: prices of runs that are still the same are taken from it. [-]

    Returns
    -------
    LayoutProblem
        With everything that is needed to read the answer.
    """
    count = len(line.candidates)
    reaches = reaches or find_reaches(line, fixed)
    furthest = tuple([max(row[start] for row in way) for start in range(count)] for way in reaches.lasts)
    table = _Table(line, rates, reaches, before)
    if table.starts:
        furthest = ([max(a, b) for a, b in zip(*furthest, strict=True)],) * 2
    elif furthest[0] == furthest[1]:
        furthest = (furthest[0],) * 2
    return LayoutProblem(
        line=line,
        rates=rates,
        opening=tuple(one.price or 0.0 for one in line.candidates),
        passed=tuple(rates.get("branch_treatment") * one.branches for one in line.candidates),
        run=rates.get("set_up_run") + rates.get("traffic_day"),
        pump=rates.get("set_up_pump"),
        furthest=(furthest[0], furthest[1]),
        starts=table.starts,
        prices=(table.prices[0], table.prices[0] if table.prices[0] == table.prices[1] else table.prices[1]),
        reaches=reaches,
        fixed=tuple(fixed),
    )


@dataclass(frozen=True, slots=True)
class Weighed:
    """A problem in whole numbers for the solver, and how many of them make one unit of the currency."""

    problem: LineProblem
    unit: int


def weigh(layout: LayoutProblem, objective: Literal["cost", "openings"]) -> Weighed:
    """Return the problem in whole numbers: by cost and then the number of openings, or the other way round.

    Parameters
    ----------
    layout : LayoutProblem
        The problem. [-]
    objective : str
        What comes first. [-]

    Returns
    -------
    Weighed
        Prices to a millionth of the currency's unit, coarser only where sums would not fit into 60 bits.
    """
    count = len(layout.opening)
    closed = [one.closed for one in layout.line.candidates]
    finite = [price for way in layout.prices for price in way if price < math.inf]
    greatest = math.fsum(map(abs, layout.opening)) + math.fsum(map(abs, layout.passed)) + 1.0
    greatest += count * (abs(layout.run) + abs(layout.pump) + max(map(abs, finite), default=0.0))
    unit = _FINEST
    while unit > 1 and greatest * unit * (count + 2) > _ROOM:
        unit //= 10
    factor, each = (count + 1, 1) if objective == "cost" else (1, round(greatest * unit) + 1)

    def weight(price: float) -> int:
        return round(price * unit) * factor if price < math.inf else UNREACHABLE

    inside = [0]
    for price in layout.passed:
        inside.append(inside[-1] + weight(price))

    def weights(prices: Sequence[float]) -> list[int]:
        # As `weight`, without a call for each: there are tens of thousands of runs.
        return [round(price * unit) * factor if price < math.inf else UNREACHABLE for price in prices]

    increasing = weights(layout.prices[0])
    decreasing = increasing if layout.prices[0] is layout.prices[1] else weights(layout.prices[1])
    last_increasing = [layout.furthest[0]]
    problem = LineProblem(
        opening=[UNREACHABLE if shut else weight(price) + each for shut, price in zip(closed, layout.opening, strict=True)],
        inside=inside,
        last_increasing=last_increasing,
        last_decreasing=last_increasing if layout.furthest[0] is layout.furthest[1] else [layout.furthest[1]],
        run=[weight(layout.run)],
        pump=weight(layout.pump),
        extra_start=layout.starts,
        extra_increasing=increasing,
        extra_decreasing=decreasing,
    )
    return Weighed(problem, unit * factor)


class _Table:
    """Prices of single runs beyond set-up and branches, where runs differ in price or some are blocked; empty otherwise.

    Such a price is the cement and sand of what the run mixes over the nominal ring: hose filling, and the thickness that its length asks.
    """

    def __init__(self, line: Line, rates: Rates, reaches: Reaches, before: LayoutProblem | None) -> None:
        self.starts: list[int] = []
        self.prices: tuple[list[float], list[float]] = ([], [])
        if not reaches.blocked and rates.get("cement") == 0.0 and rates.get("sand") == 0.0:
            return
        mix = line.linings.day.mix
        by_volume = (mix.cement * rates.get("cement") + mix.sand_moist * rates.get("sand")) / 1000.0
        rows = _rows_of(reaches)
        kept = _kept_rows(line, rates, rows, before)
        increasing, decreasing = self.prices
        for start, (far, barred) in enumerate(rows):
            self.starts.append(len(increasing))
            old = kept.get(start)
            if before is not None and old is not None:
                low, high = before.starts[old], before.starts[old] + max(far)
                increasing += before.prices[0][low:high]
                decreasing += before.prices[1][low:high]
                continue
            increasing += _run_prices(line, reaches, by_volume, start=start, far=far, barred=bool(barred), way=0)
            half = len(line.sets)
            if not barred and far[:half] == far[half:]:
                decreasing += increasing[self.starts[-1] :]
            else:
                decreasing += _run_prices(line, reaches, by_volume, start=start, far=far, barred=bool(barred), way=1)


def _run_prices(line: Line, reaches: Reaches, by_volume: float, *, start: int, far: Sequence[int], barred: bool, way: int) -> list[float]:
    """Return the prices of all runs from a start one way, as far as any set reaches either way."""
    low, end = line.candidates[start].chainage, start + max(far)
    prices: list[float] = []
    for number, equipment in enumerate(line.sets if not barred else ()):
        last = start + far[way * len(line.sets) + number]
        ends = [one.chainage for one in line.candidates[start + 1 + len(prices) : last + 1]]
        prices += [by_volume * line.linings.mortar_over_nominal(low, end_at, equipment) for end_at in ends]
    for other in range(start + 1 + len(prices), end + 1):
        able = first_set(reaches.lasts[way], reaches.blocked, start, other, way)
        price = math.inf
        if able is not None:
            price = by_volume * line.linings.mortar_over_nominal(low, line.candidates[other].chainage, line.sets[able])
        prices.append(price)
    return prices


_Row = tuple[tuple[int, ...], frozenset[tuple[int, int, int]]]
"""Of one start: by how many candidates each set reaches each way, and single runs that it cannot do: way, set, length in candidates."""


def _rows_of(reaches: Reaches) -> list[_Row]:
    far = zip(*([end - start for start, end in enumerate(row)] for way in reaches.lasts for row in way), strict=True)
    barred: dict[int, list[tuple[int, int, int]]] = {}
    for way, number, start, end in reaches.blocked:
        barred.setdefault(start, []).append((way, number, end - start))
    return [(one, frozenset(barred.get(start, ()))) for start, one in enumerate(far)]


def _kept_rows(line: Line, rates: Rates, rows: Sequence[_Row], before: LayoutProblem | None) -> dict[int, int]:
    """Return the starts whose runs are the same as they were, with their number then."""
    if before is None or not before.starts or before.rates != rates:
        return {}
    if before.line.linings is not line.linings or before.line.sets is not line.sets:
        return {}
    head, tail = alike(before.line.candidates, line.candidates)
    shift, old = len(line.candidates) - len(before.line.candidates), _rows_of(before.reaches)
    kept = {start: start for start in range(head) if rows[start] == old[start] and start + max(rows[start][0]) < head}
    kept |= {start: start - shift for start in range(len(rows) - tail, len(rows)) if rows[start] == old[start - shift]}
    return kept
