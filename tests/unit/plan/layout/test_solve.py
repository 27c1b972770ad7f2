"""The solver against brute force, against itself compiled, and against what must hold of any optimum."""

import random
import subprocess
import sys
from collections.abc import Iterator
from itertools import pairwise

import pytest

from mainwright.errors import InputError
from mainwright.plan.layout.solve import UNREACHABLE, Choice, LineProblem, reach, solve, two_pointer


def random_problem(rng: random.Random, *, most: int = 9) -> LineProblem:
    count = rng.randint(2, most)
    classes = rng.randint(1, 3)

    def lasts() -> list[list[int]]:
        rows = []
        for _ in range(classes):
            row, last = [], 0
            for start in range(count):
                last = min(count - 1, max(last, start + rng.choice([0, 1, 1, 2, 3, 4])))
                row.append(last)
            rows.append(row)
        return rows

    increasing = lasts()
    decreasing = increasing if rng.random() < 0.5 else lasts()
    starts: list[int] = []
    forward: list[int] = []
    backward: list[int] = []
    if rng.random() < 0.5:
        for start in range(count):
            starts.append(len(forward))
            end = max(row[start] for row in [*increasing, *decreasing])
            forward += [UNREACHABLE if rng.random() < 0.1 else rng.randint(0, 4) for _ in range(end - start)]
        backward = forward if rng.random() < 0.5 else [rng.randint(0, 4) for _ in forward]
    inside = [0]
    for _ in range(count):
        inside.append(inside[-1] + rng.choice([0, 0, 0, 3]))
    return LineProblem(
        opening=[rng.randint(0, 9) for _ in range(count)],
        inside=inside,
        last_increasing=increasing,
        last_decreasing=decreasing,
        run=[rng.randint(0, 5) for _ in range(classes)],
        pump=rng.choice([0, 0, 4]),
        extra_start=starts,
        extra_increasing=forward,
        extra_decreasing=backward,
    )


def run_weight(problem: LineProblem, start: int, end: int, direction: int) -> int | None:
    lasts = problem.last_increasing if direction > 0 else problem.last_decreasing
    kind = next((k for k, row in enumerate(lasts) if start < end <= row[start]), None)
    if kind is None:
        return None
    weight = problem.run[kind] + problem.inside[end] - problem.inside[start + 1]
    if problem.extra_start:
        extra = (problem.extra_increasing if direction > 0 else problem.extra_decreasing)[problem.extra_start[start] + end - start - 1]
        if extra >= UNREACHABLE:
            return None
        weight += extra
    return weight


def every_choice(problem: LineProblem) -> Iterator[Choice]:
    """Walk through every set of openings and every set of directions: no cleverness at all."""
    count = len(problem.opening)
    for chosen in range(1 << max(count - 2, 0)):
        openings = [0, *(k for k in range(1, count - 1) if chosen >> (k - 1) & 1), count - 1]
        runs = list(pairwise(openings))
        for ways in range(1 << len(runs)):
            directions = [1 if ways >> k & 1 else -1 for k in range(len(runs))]
            weights = [run_weight(problem, a, b, d) for (a, b), d in zip(runs, directions, strict=True)]
            if any(weight is None for weight in weights):
                continue
            places = {b if d > 0 else a for (a, b), d in zip(runs, directions, strict=True)}
            total = sum(problem.opening[k] for k in openings) + sum(w for w in weights if w is not None) + problem.pump * len(places)
            yield Choice(tuple(openings), tuple(directions), total)


def weight_of(problem: LineProblem, choice: Choice) -> int:
    found = next(c.weight for c in every_choice(problem) if (c.openings, c.directions) == (choice.openings, choice.directions))
    assert isinstance(found, int)
    return found


def test_equals_brute_force_on_500_random_mains() -> None:
    rng = random.Random(20260413)
    feasible = 0
    for _ in range(500):
        problem = random_problem(rng)
        best = min((c.weight for c in every_choice(problem)), default=None)
        found = solve(problem, compiled=False)
        if best is None:
            assert found is None
            continue
        feasible += 1
        assert found is not None
        assert found.weight == best
        assert weight_of(problem, found) == best
    assert feasible > 250


def test_of_equal_weights_the_runs_reach_furthest_from_the_first_on() -> None:
    rng = random.Random(7)
    tied = 0
    for _ in range(300):
        problem = random_problem(rng, most=7)
        found = solve(problem, compiled=False)
        if found is None:
            continue
        equals = [c for c in every_choice(problem) if c.weight == found.weight]
        tied += len({c.openings for c in equals}) > 1
        assert found.openings == max(c.openings for c in equals)
    assert tied >= 10


def test_compiled_and_plain_give_the_same_choice() -> None:
    rng = random.Random(99)
    for _ in range(100):
        problem = random_problem(rng, most=40)
        assert solve(problem, compiled=True) == solve(problem, compiled=False)


def test_two_runs_drawn_into_one_opening_share_the_pump() -> None:
    last = [[1, 2, 2]]
    problem = LineProblem([5, 5, 5], [0, 0, 0, 0], last, last, [1], 4, [], [], [])
    found = solve(problem, compiled=False)
    assert found == Choice((0, 1, 2), (1, -1), 15 + 2 + 4)


def test_an_end_that_cannot_be_reached_gives_nothing() -> None:
    last = [[1, 1, 2]]
    assert solve(LineProblem([1, 1, 1], [0, 0, 0, 0], last, last, [1], 0, [], [], []), compiled=False) is None


def test_one_candidate_is_no_main() -> None:
    with pytest.raises(InputError, match="at least 2"):
        solve(LineProblem([1], [0, 0], [[0]], [[0]], [1], 0, [], [], []))


def test_reach_equals_trying_every_run() -> None:
    rng = random.Random(3)
    for _ in range(100):
        count = rng.randint(2, 25)
        position = sorted({round(rng.uniform(0.0, 100.0), 1) for _ in range(count)})
        count = len(position)
        bends = [rng.choice([0.0, 0.0, 0.2, 0.4]) for _ in position]
        turn = [0.0]
        for bend in bends:
            turn.append(turn[-1] + bend)
        musts = [k for k in range(count) if rng.random() < 0.1]
        wall = [next((k for k in musts if k > start), count) for start in range(count)]
        last = [0] * count
        reach(position, turn, wall, 30.0, 0.5, last)

        def allowed(start: int, end: int) -> bool:
            inner = range(start + 1, end)
            return (
                position[end] - position[start] <= 30.0  # noqa: B023
                and turn[end] - turn[start + 1] <= 0.5  # noqa: B023
                and not any(k in musts for k in inner)  # noqa: B023
            )

        tried = [max((e for e in range(s, count) if e == s or allowed(s, e)), default=s) for s in range(count)]
        assert last == tried
        assert two_pointer(count, allowed) == tried


def test_a_small_problem_in_a_fresh_process_loads_no_compiler() -> None:
    code = (
        "import sys\n"
        "from mainwright.plan.layout.solve import LineProblem, solve\n"
        "last = [[1, 2, 2]]\n"
        "assert solve(LineProblem([5, 5, 5], [0, 0, 0, 0], last, last, [1], 4, [], [], [])) is not None\n"
        "print(sorted({'numba', 'numpy', 'scipy'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603
    assert done.stdout.strip() == "[]"
