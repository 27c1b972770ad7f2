"""Alternatives and the price of each limit."""

import math
import random
from dataclasses import replace

import pytest

from mainwright.job.job import Job
from mainwright.job.survey import Feature, Ground, Service, Stretch
from mainwright.plan.host import resolve_host
from mainwright.plan.layout.check import check_layout
from mainwright.plan.layout.choose import choose_layout
from mainwright.plan.layout.solution import LayoutSolution
from mainwright.units import to_si
from tests.unit.plan.layout.jobs import BASE, HOSE, prices, with_plant, with_runs
from tests.unit.plan.layout.random_jobs import random_job


def layout(job: Job) -> LayoutSolution:
    host = resolve_host(job)
    found = choose_layout(job, host)
    assert check_layout(job, host, found) == ()
    return found


def cost(job: Job) -> float:
    found = choose_layout(job, resolve_host(job), prices_of_limits=False).total_cost
    return math.inf if found is None else found


def raised(job: Job, name: str, step: float) -> Job:  # noqa: PLR0911 one for each limit
    """Return the job with one limit a step higher, made by hand."""
    runs, plant = job.runs, job.plant
    if name == "max_length":
        return with_runs(job, max_length=(runs.max_length or 0.0) + step)
    if name == "max_bends_total":
        return with_runs(job, max_bends_total=runs.max_bends_total + step)
    if name == "bore_step":
        return with_runs(job, bore_step_max=runs.bore_step_max + step)
    if name == "hose_length":
        longest = max(one.length - one.dead_length for one in plant.hoses)
        # The price of a longer reach alone: what the hose holds and how it resists stays as it is.
        hoses = tuple(
            replace(one, dead_length=one.dead_length - step) if one.length - one.dead_length >= longest else one for one in plant.hoses
        )
        return with_plant(job, hoses=hoses)
    if name == "rope_length":
        return with_plant(job, ropes=tuple(replace(one, length=one.length + step) for one in plant.ropes))
    if name == "connections":
        return with_plant(job, clearing_rate=(plant.clearing_rate or 0.0) + step)
    if name == "shift":
        return replace(job, shift=replace(job.shift, length=job.shift.length + step))
    if name == "max_bend":
        most = max(min(runs.max_bend, one.bend_max or 9.0) for one in plant.heads) + step
        heads = tuple(replace(one, bend_max=max(one.bend_max or 9.0, most)) for one in plant.heads)
        return with_plant(with_runs(job, max_bend=max(runs.max_bend, most)), heads=heads)
    raise AssertionError(name)


def test_the_step_of_each_limit_saves_what_it_says_and_a_smaller_one_nothing(full_size: bool) -> None:
    rng = random.Random(5)
    told = set()
    for _ in range(400 if full_size else 60):
        job = random_job(rng)
        found = layout(job)
        if found.total_cost is None:
            continue
        for price in found.limit_prices:
            if price.limit in ("hose_pressure", "hose_residence", "rope_pull"):
                continue
            told.add(price.limit)
            assert price.step > 0.0
            assert cost(raised(job, price.limit, price.step * (1.0 + 1e-9) + 1e-9)) == pytest.approx(
                found.total_cost - price.saves, abs=1e-3
            )
            assert cost(raised(job, price.limit, 0.98 * price.step)) == pytest.approx(found.total_cost, abs=1e-3)
    assert {"hose_length", "max_length", "max_bends_total", "shift"} & told
    assert len(told) >= 4


def test_a_limit_raised_never_costs_more(full_size: bool) -> None:
    rng = random.Random(6)
    for _ in range(100 if full_size else 25):
        job = random_job(rng)
        now = cost(job)
        for name, step in (("max_bends_total", 0.2), ("bore_step", 0.001), ("rope_length", 10.0), ("shift", 3600.0), ("hose_length", 10.0)):
            if name == "hose_length" and any(one.item == "cement" for one in job.prices):
                continue
            assert cost(raised(job, name, step)) <= now + 1e-6


def test_fewest_openings_and_shortest_closing_are_what_their_names_say(full_size: bool) -> None:
    rng = random.Random(8)
    differ = 0
    for _ in range(150 if full_size else 40):
        found = layout(random_job(rng))
        if found.total_cost is None:
            continue
        cheapest, fewest, shortest = found.alternatives
        assert [one.name for one in found.alternatives] == ["least_cost", "fewest_openings", "shortest_closing"]
        assert cheapest.total_cost == pytest.approx(found.total_cost)
        assert cheapest.openings == tuple(one.chainage for one in found.openings)
        assert len(fewest.openings) <= len(cheapest.openings)
        assert fewest.total_cost >= cheapest.total_cost - 1e-6
        assert shortest.longest_closing <= min(cheapest.longest_closing, fewest.longest_closing) + 1e-9
        assert shortest.total_cost >= cheapest.total_cost - 1e-6
        differ += len({one.openings for one in found.alternatives}) > 1
    assert differ > 3


def test_fewest_openings_avoids_cheap_ground_where_that_saves_an_opening() -> None:
    ground = (Ground(0.0, 55.0, "verge"), Ground(55.0, 105.0, "main_road"), Ground(105.0, 200.0, "verge"))
    job = replace(BASE, main=(Stretch(0.0, 160.0, 200, "grey_iron", bore=0.2),), ground=ground)
    job = replace(with_plant(job, hoses=(replace(HOSE, length=92.0),)), prices=prices(opening_verge=100.0, opening_main_road=5000.0))
    cheapest, fewest, _ = layout(job).alternatives
    assert (len(cheapest.openings), cheapest.total_cost) == (4, 400.0)
    assert (fewest.openings, fewest.total_cost) == ((0.0, 80.0, 160.0), 5200.0)


def test_the_closing_that_counts_is_the_customers() -> None:
    # Connections in the last 20 m alone: a short run there, and nobody minds how long the others take.
    services = tuple(Service(75.0 + k) for k in range(10))
    job = replace(with_plant(BASE, clearing_rate=6.0 / 3600.0), main=(Stretch(0.0, 90.0, 200, "grey_iron", bore=0.2),), services=services)
    job = replace(job, prices=prices(opening_verge=100.0, set_up_run=1400.0), ground=(Ground(0.0, 90.0, "verge"),))
    cheapest, _, shortest = layout(job).alternatives
    assert len(cheapest.openings) == 2
    assert shortest.openings == (0.0, 80.0, 90.0)  # five connections on each side
    assert shortest.longest_closing < cheapest.longest_closing


def test_the_price_of_a_hose_one_step_longer() -> None:
    job = replace(BASE, main=(Stretch(0.0, 210.0, 200, "grey_iron", bore=0.2),), ground=(Ground(0.0, 210.0, "verge"),))
    found = layout(replace(job, prices=prices(opening_verge=2000.0, set_up_run=1400.0)))
    assert len(found.runs) == 3
    # 210 m in two runs on a grid of 10 m: 110 and 100.
    assert [(one.limit, one.unit) for one in found.limit_prices] == [("hose_length", "m")]
    assert found.limit_prices[0].step == pytest.approx(10.0)
    assert found.limit_prices[0].saves == pytest.approx(3400.0)


def test_the_price_of_one_bend() -> None:
    features = (Feature(40.0, "bend", angle=to_si(30.0, "deg")),)
    job = replace(BASE, main=(Stretch(0.0, 90.0, 200, "grey_iron", bore=0.2),), features=features, ground=(Ground(0.0, 90.0, "verge"),))
    found = layout(replace(job, prices=prices(opening_verge=2000.0, set_up_run=1400.0)))
    assert [one.limit for one in found.limit_prices] == ["max_bend"]
    assert found.limit_prices[0].saves == pytest.approx(3400.0)
    assert found.limit_prices[0].step == pytest.approx(to_si(7.5, "deg"))
