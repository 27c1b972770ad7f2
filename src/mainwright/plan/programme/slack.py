"""How long each activity of a timetable may slip, who does it, and what it waits for."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from mainwright.plan.programme.problem import SchedulingProblem

__all__ = ["Binding", "bindings", "floats", "units"]

Binding = tuple[Literal["start", "calendar", "link", "resource"], int]
"""What decides when a task begins: nothing before it, a day or a shift, the task that it waits for, or the task that had what it needs."""


def units(problem: SchedulingProblem, starts: Sequence[int], resource: int) -> dict[int, int]:
    """Return which unit of a resource does each task that needs one of it.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    starts : sequence of int
        A timetable that keeps everything. [slots]
    resource : int
        Number of the resource; tasks that need more than one of it take the first of theirs. [-]

    Returns
    -------
    dict
        Task to unit, from 0: each goes on with the unit that was free last, so that few of them stand idle in between.
    """
    users = [
        (starts[one], one, amount)
        for one, task in enumerate(problem.tasks)
        for number, amount in task.needs
        if number == resource and amount and task.duration
    ]
    free_from: list[tuple[int, int]] = []
    count = 0
    found: dict[int, int] = {}
    for start, one, amount in sorted(users):
        free = sorted((unit for unit in free_from if unit[0] <= start), reverse=True)[:amount]
        for unit in free:
            free_from.remove(unit)
        numbers = [number for _, number in free]
        while len(numbers) < amount:
            numbers.append(count)
            count += 1
        found[one] = min(numbers)
        free_from += [(start + problem.tasks[one].duration, number) for number in numbers]
    return found


def _arcs(problem: SchedulingProblem, starts: Sequence[int]) -> list[tuple[int, int]]:
    """Return which task must be over before which begins because they share something."""
    ends = [start + task.duration for start, task in zip(starts, problem.tasks, strict=True)]
    arcs = []
    for number in range(len(problem.resources)):
        if any(amount > 1 for task in problem.tasks for resource, amount in task.needs if resource == number):
            users = [one for one, task in enumerate(problem.tasks) if any(resource == number for resource, _ in task.needs)]
            arcs += [(one, other) for one in users for other in users if one != other and ends[one] <= starts[other]]
        else:
            by_unit: dict[int, list[int]] = {}
            for one, unit in units(problem, starts, number).items():
                by_unit.setdefault(unit, []).append(one)
            for row in by_unit.values():
                row.sort(key=lambda one: starts[one])
                arcs += list(pairwise(row))
        holds = [hold for hold in problem.holdings if hold.resource == number]
        if sum(hold.amount for hold in holds) > max(problem.capacities[number]):
            arcs += [
                (hold.given_back_by, other.taken_by)
                for hold in holds
                for other in holds
                if hold is not other and ends[hold.given_back_by] <= starts[other.taken_by]
            ]
    return arcs


def floats(problem: SchedulingProblem, starts: Sequence[int]) -> tuple[int, ...]:
    """Return how long each task may slip without moving the end of everything, crews kept as they are.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    starts : sequence of int
        A timetable that keeps everything. [slots]

    Returns
    -------
    tuple of int
        0 where the task is critical. [slots]

    Notes
    -----
    Backwards through what waits for what, and through what each crew does next; what is held counts as handed on in the order of the
    timetable. With another order of crews there may be more.
    """
    makespan = max((start + task.duration for start, task in zip(starts, problem.tasks, strict=True)), default=0)
    after: list[list[tuple[int, int]]] = [[] for _ in problem.tasks]
    for link in problem.links:
        after[link.before].append((link.after, link.table))
    for one, other in _arcs(problem, starts):
        after[one].append((other, 0))
    latest = [0] * len(problem.tasks)
    for one in sorted(
        range(len(problem.tasks)), key=lambda one: (starts[one] + problem.tasks[one].duration, starts[one], one), reverse=True
    ):
        task = problem.tasks[one]
        end = makespan
        for other, table in after[one]:
            end = min(end, _latest_end(problem, table, latest[other], starts[one] + task.duration))
        latest[one] = max(starts[one], _latest_start(problem, one, end - task.duration, starts[one]))
    return tuple(late - start for late, start in zip(latest, starts, strict=True))


def _latest_end(problem: SchedulingProblem, table: int, start: int, least: int) -> int:
    """Return the last slot at which something may end so that what waits for it may begin at a slot."""
    if table == 0 or not problem.tables:
        return start
    end = start
    while end > least and problem.tables[table][end] > start:
        end -= 1
    return end


def _latest_start(problem: SchedulingProblem, one: int, start: int, least: int) -> int:
    task = problem.tasks[one]
    if task.fixed is not None:
        return least
    while start > least:
        over = task.one_shift and problem.shift and start % problem.shift + task.duration > problem.shift
        absent = any(
            problem.capacities[number][slot] < amount for number, amount in task.needs for slot in range(start, start + task.duration)
        )
        if not over and not absent:
            return start
        start -= 1
    return least


def bindings(problem: SchedulingProblem, starts: Sequence[int]) -> tuple[Binding, ...]:
    """Return what decides when each task begins.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    starts : sequence of int
        A timetable that keeps everything. [slots]

    Returns
    -------
    tuple of Binding
        For each task; the last one to be ready where several decide.
    """
    ends = [start + task.duration for start, task in zip(starts, problem.tasks, strict=True)]
    waits: list[list[tuple[int, int]]] = [[] for _ in problem.tasks]
    for link in problem.links:
        ready = problem.tables[link.table][ends[link.before]] if problem.tables else ends[link.before]
        waits[link.after].append((ready, link.before))
    shared: list[list[tuple[int, int]]] = [[] for _ in problem.tasks]
    for one, other in _arcs(problem, starts):
        shared[other].append((ends[one], one))
    found: list[Binding] = []
    for one, start in enumerate(starts):
        ready, before = max(waits[one], default=(-1, -1))
        over, user = max(shared[one], default=(-1, -1))
        if start == 0 or (before < 0 and user < 0):
            found.append(("start", -1) if start == 0 else ("calendar", -1))
        elif ready == start:
            found.append(("link", before))
        elif over == start:
            found.append(("resource", user))
        else:
            found.append(("calendar", -1))
    return tuple(found)
