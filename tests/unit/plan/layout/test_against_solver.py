"""Layouts of middling mains against a general solver, which is given every run that the rules allow, each judged by hand."""

import random
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csc_array

from mainwright.job.job import Job
from mainwright.plan.host import resolve_host
from mainwright.plan.layout.check import check_layout
from mainwright.plan.layout.choose import choose_layout
from tests.unit.plan.layout.random_jobs import candidates_of, musts_of, opening_price, random_job, run_price


def least_cost_by_solver(job: Job) -> float | None:
    """Return the least cost by integer programming: a path of runs, an opening at each of its places, a pump where runs end."""
    places, musts = candidates_of(job), musts_of(job)
    pump = next((one.rate or 0.0 for one in job.prices if one.item == "set_up_pump"), 0.0)
    count = len(places)
    runs: list[tuple[int, int, bool, float]] = []
    for a in range(count):
        for b in range(a + 1, count):
            for way in (True, False):
                price = run_price(job, places[a], places[b], forward=way)
                if price is not None:
                    runs.append((a, b, way, price))
            if any(places[a] < must < places[b] for must in musts) or places[b] - places[a] > 90.0:
                break
    columns = len(runs) + count  # runs, then places of the pump
    weights = np.array([price + opening_price(job, places[b]) for _, b, _, price in runs] + [pump] * count)
    entries: list[tuple[int, int, float]] = []
    low, high = [], []
    for place in range(count):
        entries += [(place, k, 1.0) for k, (_, b, _, _) in enumerate(runs) if b == place]
        entries += [(place, k, -1.0) for k, (a, _, _, _) in enumerate(runs) if a == place]
        wanted = -1.0 if place == 0 else 1.0 if place == count - 1 else 0.0
        low.append(wanted)
        high.append(wanted)
    for place in range(count):
        for forward in (True, False):
            row = len(low)
            entries += [(row, k, -1.0) for k, (a, b, way, _) in enumerate(runs) if way == forward and (b if way else a) == place]
            entries.append((row, len(runs) + place, 1.0))
            low.append(0.0)
            high.append(np.inf)
    rows, cols, values = (np.array(part) for part in zip(*entries, strict=True))
    matrix = csc_array((values.astype(float), (rows.astype(int), cols.astype(int))), shape=(len(low), columns))
    found = milp(
        weights, constraints=LinearConstraint(matrix, low, high), bounds=Bounds(0.0, 1.0), integrality=np.ones(columns, dtype=np.int64)
    )
    return None if not found.success else float(found.fun) + opening_price(job, places[0])


@pytest.mark.outside("HiGHS through scipy.optimize.milp, a general integer programming solver")
def test_equals_a_general_solver_on_20_mains_of_60_candidates() -> None:
    rng = random.Random(60)
    feasible = number = 0
    while feasible < 20:
        number += 1
        assert number < 100
        job = random_job(rng, end=330.0, grid=6.0, features=8)
        places = candidates_of(job)
        if len(places) < 56 or any(b - a > 40.0 for a, b in pairwise(places)):
            continue
        host = resolve_host(job)
        found = choose_layout(job, host, prices_of_limits=False)
        assert not check_layout(job, host, found)
        best = least_cost_by_solver(job)
        if best is None:
            assert found.total_cost is None
            continue
        feasible += 1
        assert found.total_cost == pytest.approx(best, abs=1e-3)
        assert len(found.runs) > 3
