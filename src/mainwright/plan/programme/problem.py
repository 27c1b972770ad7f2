"""What is to be scheduled, in whole slots of working time, without a word of what it means."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from mainwright.errors import InputError

__all__ = ["FIELDS", "Flat", "Holding", "Link", "Penalty", "SchedulingProblem", "Task", "flatten", "order_of"]

FIELDS: Final = 12
"""How many numbers of `Flat.given` describe a task; the pairs of each kind end where those of the next begin."""


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
        if order_of(len(self.tasks), self.links) is None:
            raise InputError("links", len(self.links), "", "no task that waits for itself")

    def order(self) -> tuple[int, ...]:
        """Return the tasks so that each stands after what it waits for, else section by section."""
        found = order_of(len(self.tasks), self.links, [task.section for task in self.tasks])
        return tuple(found or ())


def order_of(count: int, links: Sequence[Link], section: Sequence[int] | None = None) -> list[int] | None:
    """Return tasks so that each stands after what it waits for, the lowest section first.

    Parameters
    ----------
    count : int
        How many tasks there are. [-]
    links : sequence of Link
        What waits for what. [-]
    section : sequence of int, optional
        Of each task. [-]

    Returns
    -------
    list of int or None
        None where a task waits for itself.
    """
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
    """A problem as plain sequences, in the order in which `kernel.list_schedule` takes them; pieces of ``given`` and ``room`` follow each other.

    Attributes
    ----------
    sizes
        Tasks, horizon, shift, penalties, sections, and where in ``given`` the penalties stand.
    given
        For each task `FIELDS` numbers: duration, earliest, one shift, fixed (-1 free), section, least time from its end to the end of
        everything, then where in ``given`` its pairs begin and end: tasks that it waits for and their tables; resources and amounts that it
        needs slot by slot, that it needs of what is held, that it takes, and that it gives back. Then tables and pairs; for each
        penalty where its tasks begin and end and where its weights begin.
    room
        Start of each task, the tasks in the order in which they were placed, how far the list was looked at for each, how many are placed;
        then for each resource what is free in each slot, or, where it is held, how many changes there are, what is there after
        the last, and slot and change of each.
    """

    sizes: tuple[int, ...]
    given: tuple[Sequence[int], ...]
    room: tuple[Sequence[int], ...]


def flatten(problem: SchedulingProblem, *, rests: Sequence[int] | None = None) -> Flat:
    """Return a problem as sequences of whole numbers.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    rests : sequence of int or None
        Least time from the end of each task to the end of everything; nothing where not given. [slots]

    Returns
    -------
    Flat
        As the kernel takes it.
    """
    count = len(problem.tasks)
    room, at, held = _room(problem)
    given = _Pieces(FIELDS * count)
    tables = [given.add(one) for one in (problem.tables or (range(problem.horizon + 1),))]
    waits: list[list[int]] = [[] for _ in range(count)]
    for link in problem.links:
        waits[link.after] += (link.before, tables[link.table])
    takes: list[list[int]] = [[] for _ in range(count)]
    gives: list[list[int]] = [[] for _ in range(count)]
    for hold in problem.holdings:
        takes[hold.taken_by] += (at[hold.resource], hold.amount)
        gives[hold.given_back_by] += (at[hold.resource], hold.amount)
    task: list[int] = []
    pairs: list[int] = []
    begin = given.length
    for number, one in enumerate(problem.tasks):
        task += (
            one.duration,
            one.earliest,
            int(one.one_shift and problem.shift > 0),
            -1 if one.fixed is None else one.fixed,
            one.section,
            0 if rests is None else rests[number],
            begin + len(pairs),
        )
        needs: list[int] = []
        spans: list[int] = []
        for resource, amount in one.needs:
            (spans if resource in held else needs).extend((at[resource], amount))
        for these in (waits[number], needs, spans, takes[number], gives[number]):
            pairs += these
            task.append(begin + len(pairs))
    given.add(pairs)
    heads: list[int] = []
    for penalty in problem.penalties:
        first = given.add(penalty.tasks)
        heads += (first, first + len(penalty.tasks), given.add(penalty.weights))
    sections = max((one.section for one in problem.tasks), default=0) + 1
    sizes = (count, problem.horizon, problem.shift, len(problem.penalties), sections, given.length)
    given.add(heads)
    return Flat(sizes, (task, *given.pieces), room)


class _Pieces:
    """Sequences one after the other, behind a first one that is still to come."""

    def __init__(self, length: int) -> None:
        self.length = length
        self.pieces: list[Sequence[int]] = []

    def add(self, piece: Sequence[int]) -> int:
        """Return where a sequence begins that is put at the end."""
        self.pieces.append(piece)
        self.length += len(piece)
        return self.length - len(piece)


def _room(problem: SchedulingProblem) -> tuple[tuple[Sequence[int], ...], list[int], set[int]]:
    """Return the room to work in, where in it each resource stands, and which of them are held."""
    count = len(problem.tasks)
    held = {hold.resource for hold in problem.holdings}
    changes = dict.fromkeys(held, 0)
    for hold in problem.holdings:
        changes[hold.resource] += 2
    if held:
        for task in problem.tasks:
            for resource, _ in task.needs:
                if resource in held:
                    changes[resource] += 2
    found = _Pieces(3 * count + 1)
    at = []
    for resource, capacity in enumerate(problem.capacities):
        if resource in held:
            steps = _steps(capacity)
            at.append(found.add((len(steps) // 2, capacity[-1], *steps, *(0,) * (2 * changes[resource]))))
        else:
            at.append(found.add(capacity))
    return ((-1,) * count, (0,) * (2 * count + 1), *found.pieces), at, held


def _steps(capacity: Sequence[int]) -> list[int]:
    """Return slot and change of each step of what is there: none of the usual stock, which is there all along."""
    if capacity.count(capacity[0]) == len(capacity):
        return []
    return [
        value for slot, (before, after) in enumerate(pairwise(capacity), start=1) if before != after for value in (slot, after - before)
    ]
