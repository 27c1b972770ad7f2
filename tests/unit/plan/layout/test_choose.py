"""Layouts of whole jobs: against trying everything, and rule by rule."""

import random

import pytest

from mainwright.plan.host import resolve_host
from mainwright.plan.layout.check import check_layout
from mainwright.plan.layout.choose import choose_layout
from tests.unit.plan.layout.random_jobs import best_by_trying_all, candidates_of, random_job


def test_equals_trying_everything_on_random_mains(full_size: bool) -> None:
    rng = random.Random(4711)
    feasible = 0
    limits = set()
    for number in range(500 if full_size else 150):
        job = random_job(rng)
        host = resolve_host(job)
        found = choose_layout(job, host, prices_of_limits=False)
        best = best_by_trying_all(job)
        assert found.candidates == len(candidates_of(job)), number
        assert not check_layout(job, host, found), number
        if best is None:
            assert found.total_cost is None, number
            assert any(one.severity == "stop" and one.code.startswith("no_layout") for one in found.warnings), number
            continue
        feasible += 1
        assert found.total_cost is not None, number
        assert (round(found.total_cost, 6), len(found.openings)) == pytest.approx(best, abs=2e-6), number
        limits |= {run.limit for run in found.runs}
    assert feasible > 50
    assert {"hose_length", "max_length", "opening", "shift", "rope_length", "cost"} <= limits
