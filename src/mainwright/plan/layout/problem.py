"""The line of candidates as the solver wants it: how far each run may go, and what everything weighs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from mainwright.errors import InputError
from mainwright.plan.layout.candidates import ANGLE_SLACK, LENGTH_SLACK, Candidate
from mainwright.plan.layout.limits import Line, by_pull, by_times, size_after, usable_length
from mainwright.plan.layout.money import Rates
from mainwright.plan.layout.solve import UNREACHABLE, LineProblem, reach, two_pointer
from mainwright.plan.lining import Equipment
from mainwright.plan.result import Direction
from mainwright.science.mortar.hose import static_pressure

__all__ = ["DIRECTIONS", "LayoutProblem", "Reaches", "Weighed", "alike", "build", "find_reaches", "weigh"]

DIRECTIONS: Final[tuple[Direction, Direction]] = ("increasing", "decreasing")
_FINEST: Final = 10**6  # parts of the currency's unit that a weight still tells apart
_ROOM: Final = 1 << 59
_MOST_RUNS: Final = 5_000_000
"""More runs than this are no layout that anybody can want: a grid far finer than the runs are long, for hours of work."""


@dataclass(frozen=True, slots=True)
class Reaches:
    """How far runs may go.

    Attributes
    ----------
    lasts
        For each way and each set of equipment how far it reaches from each candidate, single runs that it cannot do apart.
    blocked
        Those single runs: way, set, start, end.
    """

    lasts: tuple[list[list[int]], list[list[int]]]
    blocked: frozenset[tuple[int, int, int, int]]


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
        return _first_set(self.reaches.lasts[way], self.reaches.blocked, start, end, way)

    def price_of(self, start: int, end: int, way: int) -> float:
        """Return what a run costs alone, openings and places of the pump apart."""
        inner = math.fsum(self.passed[start + 1 : end])
        single = self.prices[way][self.starts[start] + end - start - 1] if self.starts else 0.0
        return self.run + inner + single


def _first_set(
    lasts: Sequence[Sequence[int]],
    blocked: frozenset[tuple[int, int, int, int]],
    start: int,
    end: int,
    way: int,
) -> int | None:
    for number, row in enumerate(lasts):
        if end <= row[start] and (not blocked or (way, number, start, end) not in blocked):
            return number
    return None


def _geometric(line: Line, equipment: Equipment) -> list[int]:
    """Return how far each run may go by what lies along the main and by plain lengths."""
    candidates = line.candidates
    count = len(candidates)
    most_bend = line.bend_limit(equipment.head) + ANGLE_SLACK
    most_step = line.raised("bore_step", line.job.runs.bore_step_max) + LENGTH_SLACK
    wall = [count] * count
    following = count
    for index in range(count - 1, -1, -1):
        wall[index] = following
        here = candidates[index]
        if here.must or here.dn_change or here.bore_step > most_step or max(here.bends, default=0.0) > most_bend:
            following = index
    turn = [0.0]
    for here in candidates:
        turn.append(turn[-1] + math.fsum(here.bends))
    longest = min(
        line.raised("max_length", math.inf if line.job.runs.max_length is None else line.job.runs.max_length),
        line.raised("hose_length", usable_length(equipment)),
        math.inf if equipment.rope is None else line.raised("rope_length", equipment.rope.length),
    )
    most_turn = line.raised("max_bends_total", line.job.runs.max_bends_total) + ANGLE_SLACK
    last = [0] * count
    reach([one.chainage for one in candidates], turn, wall, longest + LENGTH_SLACK, most_turn, last)
    head = equipment.head
    if line.job.plant.heads:
        for index in range(count - 1):
            if head is None or not head.dn_from <= size_after(line, index) <= head.dn_to:
                last[index] = index
    return last


def _pulled(line: Line, equipment: Equipment, last: list[int], direction: Direction) -> list[int]:
    """Return how far each run may go when the rope's working load counts too."""
    if equipment.rope is None or not any(by_pull(line, start, end, equipment, direction) for start, end in enumerate(last) if end > start):
        return last
    pulled = two_pointer(
        len(last), lambda start, end: end <= max(last[start], start + 1) and not by_pull(line, start, end, equipment, direction)
    )
    return [max(index, min(a, b)) for index, (a, b) in enumerate(zip(last, pulled, strict=True))]


def _timed(line: Line, equipment: Equipment, last: Sequence[int], way: int, number: int) -> set[tuple[int, int, int, int]]:
    """Return the runs within reach that pressure, hose, connections or shift forbid.

    Most starts need one look: where the longest run from it keeps them with room, so does every shorter one.
    """
    direction = DIRECTIONS[way]
    linings = line.linings
    flow, speed_max = linings.draw(equipment)
    safe = True
    most = linings.pressure_limit(equipment)
    if equipment.hose is not None:
        friction = linings.day.friction_in(equipment.hose, flow)
        if friction is not None and most is not None:
            climb = static_pressure(density=linings.day.mix.density, rise=linings.greatest_climb)
            safe = friction + climb <= line.raised("hose_pressure", most)
        stay = linings.filling(equipment.hose) / linings.least_flow(flow=flow, speed_max=speed_max)
        safe = safe and stay <= line.raised("hose_residence", linings.day.usable)
    rate = line.job.plant.clearing_rate
    window = linings.day.set_time - linings.day.clearing_from
    blocked = set()
    for start, end in enumerate(last):
        if end <= start:
            continue
        if safe:
            low, high = line.candidates[start].chainage, line.candidates[end].chainage
            count = 0 if rate is None else linings.count_services(low, high)
            roomy = count == 0 or (rate is not None and count <= line.raised("connections", rate) * window)
            if roomy and not by_times(line, start, end, equipment, direction):
                continue
        blocked |= {
            (way, number, start, other) for other in range(start + 1, end + 1) if by_times(line, start, other, equipment, direction)
        }
    return blocked


def alike(before: Sequence[Candidate], after: Sequence[Candidate]) -> tuple[int, int]:
    """Return how many candidates are the same from the first on, and how many from the last back.

    Parameters
    ----------
    before, after : sequence of Candidate
        Two lines of candidates. [-]

    Returns
    -------
    int, int
        No candidate is counted twice.
    """
    most = min(len(before), len(after))
    head = 0
    while head < most and (before[head] is after[head] or before[head] == after[head]):
        head += 1
    tail = 0
    while tail < most - head and (before[-1 - tail] is after[-1 - tail] or before[-1 - tail] == after[-1 - tail]):
        tail += 1
    return head, tail


def find_reaches(line: Line, fixed: Sequence[tuple[int, int]] = ()) -> Reaches:
    """Return how far runs may go with each set of equipment, each way.

    Parameters
    ----------
    line : Line
        Candidates, limits and how runs are lined. [-]
    fixed : sequence of pair
        Candidates at which a run begins that is done already, and its way (0 increasing, 1 decreasing); it ends at the next candidate. [-]

    Returns
    -------
    Reaches
        By candidate.

    Raises
    ------
    InputError
        If the grid is so fine that nobody could wait for the answer.
    """
    lasts: tuple[list[list[int]], list[list[int]]] = ([], [])
    blocked: set[tuple[int, int, int, int]] = set()
    for number, equipment in enumerate(line.sets):
        geometric = _geometric(line, equipment)
        runs = sum(geometric) - len(geometric) * (len(geometric) - 1) // 2
        if runs > _MOST_RUNS:
            spacing = line.job.runs.opening_spacing_grid
            raise InputError("opening_spacing_grid", spacing, "m", f"a spacing that gives at most {_MOST_RUNS} runs, not {runs}")
        for way, direction in enumerate(DIRECTIONS):
            last = list(_pulled(line, equipment, geometric, direction))
            blocked |= _timed(line, equipment, last, way, number)
            lasts[way].append(last)
    for start, way in fixed:
        for row in lasts[way]:
            row[start] = start + 1
        for row in lasts[1 - way]:
            row[start] = start
        blocked -= {(way, number, start, start + 1) for number in range(len(line.sets))}
    return Reaches(lasts, frozenset(blocked))


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
    lasts, blocked = reaches.lasts, reaches.blocked
    furthest = tuple([max(row[start] for row in way) for start in range(count)] for way in lasts)
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
        places = [one.chainage for one in line.candidates]
        rows = _rows_of(reaches)
        kept = _kept_rows(line, rates, rows, before)
        blocked = reaches.blocked
        increasing, decreasing = self.prices
        for start, (far, barred) in enumerate(rows):
            self.starts.append(len(increasing))
            old = kept.get(start)
            if old is not None and before is not None:
                low, high = before.starts[old], before.starts[old] + max(far)
                increasing += before.prices[0][low:high]
                decreasing += before.prices[1][low:high]
                continue
            low = places[start]
            end = start + max(far)
            for way, prices in enumerate(self.prices):
                if way == 1 and not barred and far[: len(line.sets)] == far[len(line.sets) :]:
                    decreasing += increasing[self.starts[-1] :]
                    break
                begin = start + 1
                if not barred:
                    for number, equipment in enumerate(line.sets):
                        last = start + far[way * len(line.sets) + number]
                        for other in range(begin, last + 1):
                            prices.append(by_volume * line.linings.mortar_over_nominal(low, places[other], equipment))
                        begin = max(begin, last + 1)
                    prices += [math.inf] * (end + 1 - begin)
                    continue
                for other in range(begin, end + 1):
                    number = _first_set(reaches.lasts[way], blocked, start, other, way)
                    price = math.inf
                    if number is not None:
                        price = by_volume * line.linings.mortar_over_nominal(low, places[other], line.sets[number])
                    prices.append(price)


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
