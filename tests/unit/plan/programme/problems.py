"""Problems for the tests of the scheduler: small random ones, instances in the RCP format, and sections like those of a main."""

import random

from mainwright.plan.programme.problem import Holding, Link, Penalty, SchedulingProblem, Task

CREWS = ("supply", "openings", "cleaning", "lining", "camera", "laboratory", "paving")


def read_rcp(text: str) -> SchedulingProblem:
    """Read an instance of the public scheduling library in its short format."""
    values = [int(word) for word in text.split()]
    count, resources = values[0], values[1]
    capacity, place = values[2 : 2 + resources], 2 + resources
    tasks, links = [], []
    for one in range(count):
        needs = values[place + 1 : place + 1 + resources]
        successors = values[place + 1 + resources]
        first = place + 2 + resources
        tasks.append(Task(f"t{one}", values[place], tuple((r, amount) for r, amount in enumerate(needs) if amount)))
        links += [Link(one, after - 1) for after in values[first : first + successors]]
        place = first + successors
    horizon = sum(task.duration for task in tasks)
    names = tuple(f"r{r}" for r in range(resources))
    return SchedulingProblem(horizon, 0, names, tuple((one,) * horizon for one in capacity), tuple(tasks), tuple(links))


def random_problem(generator: random.Random, *, count: int, calendars: bool = True) -> SchedulingProblem:
    """Make a small problem with everything a problem may have."""
    horizon, shift = 60, 6
    resources = ("a", "b", "stock")
    capacities = [[2] * horizon, [generator.randint(1, 2)] * horizon, [3] * horizon]
    if calendars:
        for slot in range(6, 12):
            capacities[0][slot] = generator.randint(0, 2)
    tasks = tuple(
        Task(
            f"t{one}",
            generator.randint(1, 4),
            tuple((r, 1) for r in range(2) if generator.random() < 0.6),
            earliest=generator.choice([0, 0, 0, 5]),
            one_shift=generator.random() < 0.4,
            section=one // 3,
        )
        for one in range(count)
    )
    links = tuple(
        Link(one, after, generator.choice([0, 0, 1])) for one in range(count) for after in range(one + 1, count) if generator.random() < 0.2
    )
    holdings = tuple(Holding(2, generator.randint(1, 3), first, first + 2) for first in range(0, count - 2, 3))
    links += tuple(Link(hold.taken_by, hold.given_back_by) for hold in holdings)
    late = tuple(3 * max(0, slot - 15) for slot in range(horizon + 1))
    waiting = tuple(min(horizon, -(-(slot + 3) // shift) * shift) for slot in range(horizon + 1))
    return SchedulingProblem(
        horizon,
        shift,
        resources,
        tuple(tuple(one) for one in capacities),
        tasks,
        links,
        holdings,
        (Penalty("late", tuple(range(min(2, count))), late),),
        (tuple(range(horizon + 1)), waiting),
    )


def sections(count: int, *, seed: int) -> SchedulingProblem:
    """Make sections of twelve activities with crews, pipe stock and permits, as the lining of a town's mains has them."""
    generator = random.Random(seed)
    tasks: list[Task] = []
    links: list[Link] = []
    holdings = []
    kinds = (
        (0, 4, 10),
        (1, 6, 16),
        (None, 1, 3),
        (2, 5, 12),
        (4, 2, 4),
        (3, 4, 9),
        (None, 24, 24),
        (4, 2, 4),
        (1, 3, 8),
        (5, 2, 4),
        (None, 48, 48),
        (0, 3, 8),
    )
    for section in range(count):
        first = len(tasks)
        for number, (crew, low, high) in enumerate(kinds):
            tasks.append(Task(f"s{section}.{number}", generator.randint(low, high), () if crew is None else ((crew, 1),), section=section))
            if number:
                links.append(Link(first + number - 1, first + number))
        holdings.append(Holding(7, generator.randint(2, 5), first, first + 11))
        holdings.append(Holding(8, 1, first + 1, first + 11))
    horizon = sum(task.duration for task in tasks)
    names = (*CREWS, "pipe stock", "permits")
    amounts = (2, 2, 1, 1, 1, 1, 1, 9, 4)
    return SchedulingProblem(horizon, 0, names, tuple((one,) * horizon for one in amounts), tuple(tasks), tuple(links), tuple(holdings))
