"""The choice of openings against general tools: a graph library, integer programming, and one pass of ``numpy.sum`` over the list of all runs.

Everybody gets the same main and must give the same least cost to the last cent. The solver here makes the runs itself; the others get
them ready made. Run it with ``python benchmarks/layout.py [n ...]``: it prints a table and ends with an error where a goal is missed.
Figures are medians of the process's CPU time, taken in turns.
"""

import statistics
import sys
from collections.abc import Callable
from dataclasses import dataclass
from time import process_time
from typing import Any

import networkx as nx
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csc_array

from mainwright.plan.layout import solve as solver

LONGEST, MOST_TURN = 200.0, 90.0
HOSES = ((60.0, 0), (120.0, 15_000), (200.0, 40_000))
"""Length up to which each hose reaches [m], and what it costs a run [cent]."""
SET_UP = 140_000
PRICES = (210_000, 290_000, 390_000, 590_000)
GOALS = {"networkx": 150.0, "milp": 1000.0, "one pass": 8.0, "exponent": 1.1}

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Main:
    """Places about 5 m apart, bends at 8 % of them, fittings that must come out at 3 %, openings of four prices [cent]."""

    position: Floats
    bend: Floats
    must: NDArray[np.bool_]
    price: Ints


def make_main(count: int, seed: int) -> Main:
    rng = np.random.default_rng(seed)
    position = np.cumsum(rng.uniform(3.0, 7.0, count)).round(2)
    bend = np.where(rng.random(count) < 0.08, rng.choice([11.25, 22.5, 45.0], count), 0.0)
    must = rng.random(count) < 0.03
    must[[0, -1]] = True
    return Main(position, bend, must, rng.choice(PRICES, count).astype(np.int64))


def _walls(must: NDArray[np.bool_]) -> Ints:
    """Return for each place the next one that must be opened."""
    count = len(must)
    following = np.where(must, np.arange(count), count)
    following = np.minimum.accumulate(following[::-1])[::-1]
    return np.append(following[1:], count)


def least_cost(main: Main) -> int:
    """Return the least cost as Mainwright finds it, from the places alone."""
    count = len(main.position)
    turn = np.concatenate([[0.0], np.cumsum(main.bend)])
    wall = _walls(main.must)
    last = np.empty((len(HOSES), count), dtype=np.int64)
    reach = solver.kernel("reach")
    for row, (length, _) in zip(last, HOSES, strict=True):
        reach(main.position, turn, wall, min(length, LONGEST) + 1e-6, MOST_TURN + 1e-9, row)
    factor = count + 1
    none = np.zeros(0, dtype=np.int64)
    problem = solver.LineProblem(
        opening=main.price * factor + 1,  # type: ignore[arg-type] # arrays are sequences enough for the kernels
        inside=np.zeros(count + 1, dtype=np.int64),  # type: ignore[arg-type]
        last_increasing=last,  # type: ignore[arg-type]
        last_decreasing=last,  # type: ignore[arg-type]
        run=np.array([(SET_UP + cost) * factor for _, cost in HOSES]),  # type: ignore[arg-type]
        pump=0,
        extra_start=none,  # type: ignore[arg-type]
        extra_increasing=none,  # type: ignore[arg-type]
        extra_decreasing=none,  # type: ignore[arg-type]
    )
    choice = solver.solve(problem, compiled=True)
    assert choice is not None
    return choice.weight // factor


def make_runs(main: Main) -> tuple[Ints, Ints, Ints]:
    """Return start, end and cost of every allowed run, by trying each in turn; the cost of the opening at its end counts with it."""
    starts, ends, costs = [], [], []
    count = len(main.position)
    position, bend, must, price = main.position.tolist(), main.bend.tolist(), main.must.tolist(), main.price.tolist()
    for start in range(count):
        turned = 0.0
        for end in range(start + 1, count):
            length = position[end] - position[start]
            if length > LONGEST + 1e-6 or turned > MOST_TURN + 1e-9:
                break
            starts.append(start)
            ends.append(end)
            costs.append(SET_UP + next(cost for reach, cost in HOSES if length <= reach + 1e-6) + price[end])
            if must[end]:
                break
            turned += bend[end]
    return np.array(starts), np.array(ends), np.array(costs)


def by_graph(main: Main, runs: list[tuple[int, int, int]]) -> int:
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_weighted_edges_from(runs)
    return int(nx.dijkstra_path_length(graph, 0, len(main.position) - 1)) + int(main.price[0])


def by_milp(main: Main, runs: tuple[Ints, Ints, Ints]) -> int:
    """Return the least cost by set partition: each length between two places is lined by exactly one run."""
    starts, ends, costs = runs
    lengths = ends - starts
    columns = np.repeat(np.arange(len(starts)), lengths)
    rows = np.concatenate([np.arange(a, b) for a, b in zip(starts, ends, strict=True)])
    matrix = csc_array((np.ones(len(rows)), (rows, columns)), shape=(len(main.position) - 1, len(starts)))
    found = milp(
        costs.astype(float),
        constraints=LinearConstraint(matrix, 1.0, 1.0),
        bounds=Bounds(0.0, 1.0),
        integrality=np.ones(len(starts), dtype=np.int64),
        options={"mip_rel_gap": 0.0},
    )
    assert found.success, found.message
    return round(found.fun) + int(main.price[0])


def _one_pass(runs: tuple[Ints, Ints, Ints]) -> int:
    """Read every run once: what the least of all solvers has to do that is given the runs."""
    return int(sum(part.sum() for part in runs))


def _median(work: Callable[[], Any], times: int) -> float:
    spent = []
    for _ in range(times):
        # Short work is repeated within one reading: the clock of the process ticks coarsely.
        repeats = 1
        while True:
            before = process_time()
            for _ in range(repeats):
                work()
            taken = process_time() - before
            if taken > 0.02 or repeats > 10_000:
                break
            repeats *= 4
        spent.append(taken / repeats)
    return statistics.median(spent)


def measure(count: int, *, times: int = 5, solve_milp: bool = True, seed: int = 1) -> dict[str, float]:
    """Return CPU seconds of each tool on one main, after all agreed on the least cost."""
    main = make_main(count, seed)
    runs = make_runs(main)
    listed = list(zip(*(part.tolist() for part in runs), strict=True))
    cost = least_cost(main)
    assert cost == by_graph(main, listed)
    found = {
        "runs": float(len(listed)),
        "mainwright": _median(lambda: least_cost(main), times),
        "networkx": _median(lambda: by_graph(main, listed), 1 if count > 20_000 else times),
    }
    found["one pass"] = _median(lambda: _one_pass(runs), times)
    if solve_milp:
        before = process_time()
        assert cost == by_milp(main, runs)
        found["milp"] = process_time() - before
    return found


def main(sizes: list[int]) -> int:
    table = {}
    print("n, runs, mainwright ms, networkx ms (ratio), milp ms (ratio), one pass ms (ratio)")
    for count in sizes:
        found = table[count] = measure(count, solve_milp=count <= 1_000)
        own = found["mainwright"]
        integer = f"{1e3 * found['milp']:.0f} ({found['milp'] / own:.0f}x)" if "milp" in found else "-"
        print(
            f"{count:,}, {found['runs']:,.0f}, {1e3 * own:.3f}, {1e3 * found['networkx']:.2f} ({found['networkx'] / own:.0f}x), {integer}, "
            f"{1e3 * found['one pass']:.3f} ({own / found['one pass']:.1f}x)"
        )
    missed = []
    for count, found in table.items():
        own = found["mainwright"]
        if count >= 1_000 and found["networkx"] / own < GOALS["networkx"]:
            missed.append(f"networkx at {count}: {found['networkx'] / own:.0f}x")
        if count >= 1_000 and own / found["one pass"] > GOALS["one pass"]:
            missed.append(f"one pass at {count}: {own / found['one pass']:.1f}x")
        if "milp" in found and found["milp"] / own < GOALS["milp"]:
            missed.append(f"milp at {count}: {found['milp'] / own:.0f}x")
    large = [count for count in table if count >= 1_000]
    if len(large) > 1:
        first, last = large[0], large[-1]
        growth = np.log(table[last]["mainwright"] / table[first]["mainwright"]) / np.log(last / first)
        print(f"growth from {first:,} to {last:,}: exponent {growth:.2f}")
        if growth > GOALS["exponent"]:
            missed.append(f"exponent {growth:.2f}")
    for one in missed:
        print("missed:", one)
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main([int(one) for one in sys.argv[1:]] or [100, 1_000, 10_000, 100_000]))
