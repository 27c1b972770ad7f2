"""A layout made by hand: the same price as the solver's where it is the solver's, and the limits that it breaks."""

import random
from dataclasses import replace

import pytest

from mainwright.errors import InputError
from mainwright.job.survey import Ground, OpeningChoice
from mainwright.plan.host import resolve_host
from mainwright.plan.layout.choose import choose_layout
from mainwright.plan.layout.tried import tried_layout
from mainwright.plan.placing import Linings
from tests.unit.plan.layout.jobs import BASE, prices, with_runs
from tests.unit.plan.layout.random_jobs import random_job

JOB = replace(with_runs(BASE, max_length=100.0), prices=prices(set_up_run=500.0, opening_verge=1000.0))


def test_the_solver_s_own_layout_costs_what_the_solver_says() -> None:
    rng = random.Random(2026)
    compared = 0
    for number in range(80):
        job = random_job(rng)
        host = resolve_host(job)
        found = choose_layout(job, host, prices_of_limits=False)
        if found.total_cost is None:
            continue
        again = tried_layout(job, host, [one.chainage for one in found.openings])
        assert again.cost == pytest.approx(found.total_cost, rel=1e-9), number
        assert [(run.start, run.end, run.direction) for run in again.runs] == [(run.start, run.end, run.direction) for run in found.runs], (
            number
        )
        assert not any(run.broken for run in again.runs), number
        compared += 1
    assert compared > 30


def test_no_other_layout_is_cheaper_and_keeps_the_limits() -> None:
    job = replace(JOB, ground=(Ground(0.0, 300.0, "verge", 1.0),))
    host = resolve_host(job)
    best = choose_layout(job, host, prices_of_limits=False).total_cost
    rng = random.Random(7)
    for _ in range(60):
        tried = tried_layout(job, host, [round(rng.uniform(1.0, 299.0), 1) for _ in range(rng.randint(1, 6))])
        assert not tried.keeps or tried.cost >= (best or 0.0) - 1e-6


def test_a_run_that_is_too_long_says_so_and_is_priced_all_the_same() -> None:
    host = resolve_host(JOB)
    tried = tried_layout(JOB, host, [120.0, 200.0])
    assert [run.broken != () for run in tried.runs] == [True, False, False]
    assert "{need} long" in tried.runs[0].broken[0].text
    assert tried.cost == pytest.approx(3 * 500.0)
    assert not tried.keeps


def test_an_opening_where_nobody_may_dig_is_marked() -> None:
    job = replace(JOB, ground=(Ground(90.0, 110.0, "railway", 1.0, dig=False),), openings=(OpeningChoice(200.0, "forbidden"),))
    tried = tried_layout(job, resolve_host(job), [100.0, 200.0])
    assert [one.barred for one in tried.openings] == [False, True, True, False]


def test_an_opening_off_the_main_is_refused() -> None:
    with pytest.raises(InputError, match="on the main"):
        tried_layout(JOB, resolve_host(JOB), [-4.0])


def test_what_runs_ask_is_found_again_at_the_next_question() -> None:
    host = resolve_host(BASE)
    linings = Linings(BASE, host)
    first = choose_layout(BASE, host, prices_of_limits=False, linings=linings)
    known = {key: len(found) for key, (_, found) in linings._demands.items()}
    again = choose_layout(BASE, host, prices_of_limits=False, linings=linings)
    assert known
    assert {key: len(found) for key, (_, found) in linings._demands.items()} == known
    assert (again.total_cost, again.runs) == (first.total_cost, first.runs)
