"""How far each run may go: by what lies along the main, by the rope, and by what takes time."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.errors import InputError
from mainwright.plan.layout.candidates import ANGLE_SLACK, LENGTH_SLACK, Candidate
from mainwright.plan.layout.limits import Line, by_pull, by_times, over, size_after, usable_length
from mainwright.plan.layout.solve import reach, two_pointer
from mainwright.plan.lining import Equipment
from mainwright.plan.result import Direction
from mainwright.science.mortar.hose import static_pressure

__all__ = ["DIRECTIONS", "Reaches", "alike", "find_reaches", "first_set"]

DIRECTIONS: Final[tuple[Direction, Direction]] = ("increasing", "decreasing")
_MOST_RUNS: Final = 5_000_000
"""More runs than this are no layout that anybody can want: a grid far finer than the runs are long, for hours of work."""

_OF_TIME: Final = frozenset({"hose_pressure", "hose_residence", "connections", "shift"})
"""Limits that single runs within reach may break."""


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


def first_set(
    lasts: Sequence[Sequence[int]],
    blocked: frozenset[tuple[int, int, int, int]],
    start: int,
    end: int,
    way: int,
) -> int | None:
    """Return which set of equipment does a run: the first that can, None where none can.

    Parameters
    ----------
    lasts : sequence of sequence of int
        How far each set reaches from each candidate, one way. [-]
    blocked : frozenset
        Single runs that a set cannot do: way, set, start, end. [-]
    start, end, way : int
        The run. [-]

    Returns
    -------
    int or None
        In the order in which they are tried.
    """
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


def _safe(line: Line, equipment: Equipment) -> bool:
    """Return whether no run with this equipment can break the limits of its hose, whatever its flow and its climb."""
    linings = line.linings
    if equipment.hose is None:
        return True
    flow, speed_max = linings.draw(equipment)
    most = linings.pressure_limit(equipment)
    friction = linings.day.friction_in(equipment.hose, flow)
    if friction is not None and most is not None:
        climb = static_pressure(density=linings.day.mix.density, rise=linings.greatest_climb)
        if not friction + climb <= line.raised("hose_pressure", most):
            return False
    stay = linings.filling(equipment.hose) / linings.least_flow(flow=flow, speed_max=speed_max)
    return stay <= line.raised("hose_residence", linings.day.usable)


def _roomy(line: Line, start: int, end: int) -> bool:
    """Return whether the connections of a run can be cleared even if all were passed at once."""
    rate = line.job.plant.clearing_rate
    window = line.linings.day.set_time - line.linings.day.clearing_from
    count = 0 if rate is None else line.linings.count_services(line.candidates[start].chainage, line.candidates[end].chainage)
    return count == 0 or (rate is not None and count <= line.raised("connections", rate) * window)


def _closed_too_long(line: Line, known: Reaches) -> set[tuple[int, int, int, int]]:
    """Return the runs, of those that keep every other limit, whose connections are off for longer than asked for."""
    longest = line.closing or math.inf
    found = set()
    for number, equipment in enumerate(line.sets):
        safe = _safe(line, equipment)
        for way, direction in enumerate(DIRECTIONS):
            for start, end in enumerate(known.lasts[way][number]):
                if end <= start:
                    continue
                if safe and _roomy(line, start, end) and not by_times(line, start, end, equipment, direction):
                    continue
                low = line.candidates[start].chainage
                for other in range(start + 1, end + 1):
                    high = line.candidates[other].chainage
                    if line.linings.has_customers(low, high) and over(line.linings.closing(low, high, equipment, direction), longest):
                        found.add((way, number, start, other))
    return found


def _timed(line: Line, last: Sequence[int], *, way: int, number: int, before: Reaches | None) -> set[tuple[int, int, int, int]]:
    """Return the runs within reach that pressure, hose, connections or shift forbid.

    Most starts need one look: where the longest run from it keeps them with room, so does every shorter one. What is known from before,
    under the same of these limits, is not looked at again.
    """
    direction, equipment = DIRECTIONS[way], line.sets[number]
    safe = _safe(line, equipment)
    known = before.lasts[way][number] if before is not None else [-1] * len(last)
    blocked = set()
    if before is not None:
        blocked = {one for one in before.blocked if one[:2] == (way, number) and one[3] <= last[one[2]]}
    for start, end in enumerate(last):
        if end <= start or end <= known[start]:
            continue
        if safe and _roomy(line, start, end) and not by_times(line, start, end, equipment, direction):
            continue
        blocked |= {
            (way, number, start, other)
            for other in range(max(start, known[start]) + 1, end + 1)
            if by_times(line, start, other, equipment, direction)
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


def find_reaches(line: Line, fixed: Sequence[tuple[int, int]] = (), before: tuple[Line, Reaches] | None = None) -> Reaches:
    """Return how far runs may go with each set of equipment, each way.

    Parameters
    ----------
    line : Line
        Candidates, limits and how runs are lined. [-]
    fixed : sequence of pair
        Candidates at which a run begins that is done already, and its way (0 increasing, 1 decreasing); it ends at the next candidate. [-]
    before : pair, optional
        The very same candidates, done runs and equipment with no limit raised and any closing allowed, and how far runs go there: only
        what may have changed is looked at. Then either one limit is raised or a closing is asked for, not both. [-]

    Returns
    -------
    Reaches
        By candidate.

    Raises
    ------
    InputError
        If the grid is so fine that nobody could wait for the answer.
    """
    known = None
    if before is not None and before[0].relaxed is None and before[0].closing is None:
        known = before[1]
        if line.closing is not None:
            return Reaches(known.lasts, known.blocked | _closed_too_long(line, known))
        if line.relaxed is not None and line.relaxed.name in _OF_TIME:
            # How far runs go is as it was; of those that were forbidden some may be no more.
            still = (one for one in known.blocked if by_times(line, one[2], one[3], line.sets[one[1]], DIRECTIONS[one[0]]))
            return Reaches(known.lasts, frozenset(still))
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
            blocked |= _timed(line, last, way=way, number=number, before=known)
            lasts[way].append(last)
    for start, way in fixed:
        for row in lasts[way]:
            row[start] = start + 1
        for row in lasts[1 - way]:
            row[start] = start
        blocked -= {(way, number, start, start + 1) for number in range(len(line.sets))}
    return Reaches(lasts, frozenset(blocked))
