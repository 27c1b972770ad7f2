"""What no programme can be shorter than, and why."""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from mainwright.plan.programme.problem import Holding, SchedulingProblem

__all__ = ["Bound", "earliest_starts", "lower_bound", "tails"]


@dataclass(frozen=True, slots=True)
class Bound:
    """No schedule ends before this slot; ``because`` is ``work`` (the longest chain of activities) or the name of the resource that is short."""

    slots: int
    because: str


def earliest_starts(problem: SchedulingProblem) -> tuple[int, ...]:
    """Return when each task could begin if nothing were short.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]

    Returns
    -------
    tuple of int
        For each task; its calendar, its shift and what it waits for are kept. [slots]
    """
    waits: list[list[tuple[int, int]]] = [[] for _ in problem.tasks]
    for link in problem.links:
        waits[link.after].append((link.before, link.table))
    starts = [0] * len(problem.tasks)
    for one in problem.order():
        task = problem.tasks[one]
        if task.fixed is not None:
            starts[one] = task.fixed
            continue
        begin = task.earliest
        for before, table in waits[one]:
            end = min(starts[before] + problem.tasks[before].duration, problem.horizon)
            begin = max(begin, problem.tables[table][end] if problem.tables else end)
        if task.one_shift and problem.shift and begin % problem.shift + task.duration > problem.shift:
            begin = (begin // problem.shift + 1) * problem.shift
        starts[one] = begin
    return tuple(starts)


def tails(problem: SchedulingProblem) -> tuple[int, ...]:
    """Return how long it takes at least from the end of each task to the end of everything. [slots]."""
    after: list[list[int]] = [[] for _ in problem.tasks]
    for link in problem.links:
        # What is fixed waits for nothing.
        if problem.tasks[link.after].fixed is None:
            after[link.before].append(link.after)
    # Another clock adds to the chain at least what it adds at best.
    least = [min(table[slot] - slot for slot in range(problem.horizon)) for table in problem.tables] or [0]
    wait = {(link.before, link.after): least[link.table] for link in problem.links}
    found = [0] * len(problem.tasks)
    for one in reversed(problem.order()):
        for other in after[one]:
            found[one] = max(found[one], wait[one, other] + problem.tasks[other].duration + found[other])
    return tuple(found)


def lower_bound(problem: SchedulingProblem) -> Bound:
    """Return the best of the bounds that can be had without a search.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem; its penalties are not reckoned with. [-]

    Returns
    -------
    Bound
        Of the longest chain, and for each resource of the work that needs it: before its first use and after its last it stands idle, and
        what lies between has to hold the work. What is held counts for as long as it is held at least.
    """
    heads, rests = earliest_starts(problem), tails(problem)
    best = Bound(
        max((start + task.duration + rest for start, task, rest in zip(heads, problem.tasks, rests, strict=True)), default=0), "work"
    )
    spans = _spans(problem, heads)
    for number, name in enumerate(problem.resources):
        jobs = [
            (heads[one], task.duration, amount, rests[one])
            for one, task in enumerate(problem.tasks)
            for resource, amount in task.needs
            if resource == number and task.duration and amount
        ]
        jobs += [
            (heads[hold.taken_by], span, hold.amount, rests[hold.given_back_by])
            for hold, span in zip(problem.holdings, spans, strict=True)
            if hold.resource == number and span and hold.amount
        ]
        if jobs:
            least = _energy(problem.capacities[number], jobs)
            if least > best.slots:
                best = Bound(least, name)
    return best


def _spans(problem: SchedulingProblem, heads: Sequence[int]) -> list[int]:
    """Return how long each holding lasts at least: the longest chain from its taking to its giving back."""
    after: list[list[tuple[int, int]]] = [[] for _ in problem.tasks]
    least = [min(table[slot] - slot for slot in range(problem.horizon)) for table in problem.tables] or [0]
    for link in problem.links:
        after[link.before].append((link.after, least[link.table]))
    order = problem.order()
    place = {one: number for number, one in enumerate(order)}
    return [_chain(problem, hold, order[place[hold.taken_by] :], after) for hold in problem.holdings]


def _chain(problem: SchedulingProblem, hold: Holding, order: Sequence[int], after: Sequence[Sequence[tuple[int, int]]]) -> int:
    reached = {hold.taken_by: 0}
    for one in order:
        if one in reached:
            end = reached[one] + problem.tasks[one].duration
            for other, wait in after[one]:
                reached[other] = max(reached.get(other, 0), end + wait)
    if hold.given_back_by not in reached:
        return problem.tasks[hold.taken_by].duration
    return reached[hold.given_back_by] + problem.tasks[hold.given_back_by].duration


def _energy(capacity: Sequence[int], jobs: Sequence[tuple[int, int, int, int]]) -> int:
    """Return the least end: for each head, the jobs that begin no earlier have to fit behind it, their smallest tail behind them.

    Besides the work itself, a job that needs more than half of a capacity leaves no room for another such: the same holds with sizes
    rounded by any function that keeps sums under the capacity (dual feasible functions).
    """
    best = 0
    most, least = max(capacity), min(capacity)
    # Of those that can begin at the same slot the ones with the longest tails count first: every set that could say more is looked at.
    jobs = sorted(jobs, key=lambda job: (-job[0], -job[3]))
    # Where every job takes all there is, rounding changes nothing.
    rules = range(1 if all(amount == most for _, _, amount, _ in jobs) else 4)
    # Sizes are reckoned in 60ths of a step, so that both rules stay whole numbers.
    for rule in rules:
        room: list[int] | None = None
        if least < most:
            # Where less than all is there, a rounded size could be more than the room has: then the room is taken as full.
            sizes = {there: there * 60 if rule == 0 or there == 0 else most * 60 for there in set(capacity)}
            room = list(accumulate(map(sizes.__getitem__, capacity), initial=0))
        work, rest_least = 0, jobs[0][3]
        for head, span, amount, rest in jobs:
            work += span * _size(amount, most, rule)
            rest_least = min(rest_least, rest)
            first = min(head, len(capacity))
            always = min(first - -work // (60 * most), len(capacity) + 1)
            best = max(best, rest_least + (always if room is None else bisect_left(room, room[first] + work)))
    return best


def _size(amount: int, most: int, rule: int) -> int:
    """Return a size that may stand for an amount: rule 0 leaves it, rule k rounds it to kths of the capacity (Fekete and Schepers 2001)."""
    if rule == 0:
        return amount * 60
    scaled = (rule + 1) * amount
    return amount * 60 if scaled % most == 0 else scaled // most * most * 60 // rule
