"""What is to be scheduled, in whole slots of working time, without a word of what it means."""

from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.errors import InputError

__all__ = ["Flat", "Holding", "Link", "Penalty", "SchedulingProblem", "Task", "flatten"]


@dataclass(frozen=True, slots=True)
class Task:
    """One activity.

    Attributes
    ----------
    name
        Unique.
    duration
        Working time. [slots]
    needs
        Resource and how much of it, while the activity goes on.
    earliest
        Not before this slot.
    one_shift
        Whether it may not go on over the end of a shift.
    section
        What belongs together; sections are finished in the order in which they are begun.
    fixed
        The slot at which it began, or must begin; None where it is free.
    """

    name: str
    duration: int
    needs: tuple[tuple[int, int], ...] = ()
    earliest: int = 0
    one_shift: bool = False
    section: int = 0
    fixed: int | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """``after`` begins when ``before`` has ended: at the same slot or later, and where the time between counts by another clock, at ``table[end]``."""

    before: int
    after: int
    table: int = 0


@dataclass(frozen=True, slots=True)
class Holding:
    """Something that stays taken from the start of one task to the end of another, whatever lies between."""

    resource: int
    amount: int
    taken_by: int
    given_back_by: int


@dataclass(frozen=True, slots=True)
class Penalty:
    """What it adds to the weight when the last of some tasks ends at a slot: ``weights[end]``, one for each slot and one for the end."""

    name: str
    tasks: tuple[int, ...]
    weights: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SchedulingProblem:
    """Activities, what they wait for, and what they share.

    Attributes
    ----------
    horizon
        Slots in all.
    shift
        Slots of a shift; 0 where there are none.
    resources
        Their names.
    capacities
        For each resource how much there is in each slot.
    tables
        For each clock the first slot at which a task may begin when the one before ended at a slot, ``horizon + 1`` long; the first is the
        working clock itself.
    """

    horizon: int
    shift: int
    resources: tuple[str, ...]
    capacities: tuple[tuple[int, ...], ...]
    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    holdings: tuple[Holding, ...] = ()
    penalties: tuple[Penalty, ...] = ()
    tables: tuple[tuple[int, ...], ...] = ()

    def __post_init__(self) -> None:
        if len(self.capacities) != len(self.resources) or any(len(one) != self.horizon for one in self.capacities):
            raise InputError(
                "capacities", len(self.capacities), "", f"one for each of {len(self.resources)} resources, {self.horizon} slots long"
            )
        names = {task.name for task in self.tasks}
        if len(names) != len(self.tasks):
            raise InputError("tasks", len(self.tasks), "", "each name once")
        if any(len(table) != self.horizon + 1 for table in self.tables):
            raise InputError("tables", len(self.tables), "", f"each {self.horizon + 1} long")
        if _in_order(len(self.tasks), self.links) is None:
            raise InputError("links", len(self.links), "", "no task that waits for itself")

    def order(self) -> tuple[int, ...]:
        """Return the tasks so that each stands after what it waits for, else section by section."""
        found = _in_order(len(self.tasks), self.links, [task.section for task in self.tasks])
        return tuple(found or ())


def _in_order(count: int, links: Sequence[Link], section: Sequence[int] | None = None) -> list[int] | None:
    from heapq import heappop, heappush

    waits = [0] * count
    after: list[list[int]] = [[] for _ in range(count)]
    for link in links:
        waits[link.after] += 1
        after[link.before].append(link.after)
    ready: list[tuple[int, int]] = []
    for task in range(count):
        if waits[task] == 0:
            heappush(ready, (0 if section is None else section[task], task))
    found: list[int] = []
    while ready:
        _, task = heappop(ready)
        found.append(task)
        for other in after[task]:
            waits[other] -= 1
            if waits[other] == 0:
                heappush(ready, (0 if section is None else section[other], other))
    return found if len(found) == count else None


@dataclass(frozen=True, slots=True)
class Flat:
    """A problem as plain sequences, in the order in which `kernel.list_schedule` takes them."""

    sizes: list[int]
    task: list[int]
    need: list[int]
    link: list[int]
    table: list[int]
    hold: tuple[list[int], list[int]]
    capacity: list[int]
    penalty: tuple[list[int], list[int]]


def flatten(problem: SchedulingProblem) -> Flat:
    """Return a problem as lists of whole numbers.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]

    Returns
    -------
    Flat
        ``sizes``: tasks, resources, horizon, shift, penalties. ``task``: duration, earliest, one shift, fixed (-1 free) and section, one after the
        other for each task. ``need``, ``link``: where each task's rows begin, then resource and amount, or task waited for and table.
        ``hold``: where each task's takings begin, where its givings begin, then resource and amount of each. ``penalty``: where each
        penalty's tasks begin, then the tasks, then the weights.
    """
    count = len(problem.tasks)
    task = [value for one in problem.tasks for value in _of_task(one)]
    need = _rows([list(one.needs) for one in problem.tasks])
    waits: list[list[tuple[int, int]]] = [[] for _ in range(count)]
    for link in problem.links:
        waits[link.after].append((link.before, link.table))
    takes: list[list[tuple[int, int]]] = [[] for _ in range(count)]
    gives: list[list[tuple[int, int]]] = [[] for _ in range(count)]
    for hold in problem.holdings:
        takes[hold.taken_by].append((hold.resource, hold.amount))
        gives[hold.given_back_by].append((hold.resource, hold.amount))
    tables = problem.tables or (tuple(range(problem.horizon + 1)),)
    members = _rows([[(member, 0) for member in one.tasks] for one in problem.penalties])
    weights = [weight for one in problem.penalties for weight in one.weights]
    return Flat(
        sizes=[count, len(problem.resources), problem.horizon, problem.shift, len(problem.penalties)],
        task=task,
        need=need,
        link=_rows(waits),
        table=[value for one in tables for value in one],
        hold=(_rows(takes), _rows(gives)),
        capacity=[value for one in problem.capacities for value in one],
        penalty=(members, weights),
    )


def _of_task(one: Task) -> tuple[int, int, int, int, int]:
    return one.duration, one.earliest, int(one.one_shift), -1 if one.fixed is None else one.fixed, one.section


def _rows(rows: Sequence[Sequence[tuple[int, int]]]) -> list[int]:
    """Return where each row begins, counted in pairs, and then all pairs."""
    starts, pairs = [0], []
    for row in rows:
        starts.append(starts[-1] + len(row))
        pairs += [value for pair in row for value in pair]
    return starts + pairs
