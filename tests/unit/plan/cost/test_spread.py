"""The spread of the cost: against closed forms, by the laws it must keep, and with the same figures for the same seed."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.job.job import Job
from mainwright.job.office import Price
from mainwright.plan.bill import bill_of_plan
from mainwright.plan.cost.model import Model, model_of
from mainwright.plan.cost.moving import Moved, axis_of, moving_steps, new_end, new_ends
from mainwright.plan.cost.spread import CAUSES, MARGINS, cost_spread, draw
from mainwright.plan.result import BillLine
from mainwright.plan.result_cost import CostSpread
from mainwright.science.money.sampling import quantile
from mainwright.science.money.three_point import triangular_mean, triangular_quantile, triangular_variance
from tests.unit.prove.demo_plan import demo_plan

THREES = ((80.0, 100.0, 150.0), (10.0, 30.0, 35.0), (200.0, 210.0, 300.0), (5.0, 5.0, 25.0), (40.0, 60.0, 60.0))


def flat(sets: list[list[float]]) -> list[float]:
    return sorted(value for one in sets for value in one)


@pytest.mark.outside("mean and variance of a sum of independent triangular amounts: sums of the closed forms")
def test_independent_prices_add_up_as_their_closed_forms_say() -> None:
    costs, _ = draw(Model(fixed=7.0, items=THREES, share=0.0), sets=10, count=2000)
    values = flat(costs)
    mean = 7.0 + sum(triangular_mean(low=a, likely=b, high=c) for a, b, c in THREES)
    deviation = math.sqrt(sum(triangular_variance(low=a, likely=b, high=c) for a, b, c in THREES))
    found = math.fsum(values) / len(values)
    assert found == pytest.approx(mean, abs=0.02 * deviation)
    assert math.sqrt(math.fsum((one - found) ** 2 for one in values) / len(values)) == pytest.approx(deviation, rel=0.03)
    # Nearly normal by then: its 10 and 90 % lie 1.28 deviations away.
    assert quantile(values, 0.9) - quantile(values, 0.1) == pytest.approx(2.0 * 1.2815515655446004 * deviation, rel=0.05)


@pytest.mark.outside("amounts that go wholly together: the quantile of the sum is the sum of the quantiles")
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_prices_that_go_together_add_their_quantiles(share: float) -> None:
    costs, _ = draw(Model(items=THREES, share=1.0), sets=10, count=500)
    wanted = sum(triangular_quantile(share, low=a, likely=b, high=c) for a, b, c in THREES)
    assert quantile(flat(costs), share) == pytest.approx(wanted, rel=0.002)


@pytest.mark.outside("Poisson's law: mean and variance of a count are the same")
def test_obstructions_come_as_often_as_they_should() -> None:
    costs, _ = draw(Model(obstructions=(2.5, 100.0)), sets=20, count=1000)
    counts = [one / 100.0 for one in flat(costs)]
    mean = math.fsum(counts) / len(counts)
    assert mean == pytest.approx(2.5, abs=0.01)
    assert math.fsum((one - mean) ** 2 for one in counts) / len(counts) == pytest.approx(2.5, rel=0.02)


def test_more_draws_are_surer_by_the_root_of_their_count() -> None:
    def error(count: int) -> float:
        # Without strata each set is plain chance: its error falls with the root. With them it falls at least as fast.
        sets, _ = draw(Model(items=THREES, share=0.5), sets=40, count=count)
        means = [math.fsum(one) / count for one in sets]
        mean = math.fsum(means) / len(means)
        return math.sqrt(math.fsum((one - mean) ** 2 for one in means) / (len(means) - 1))

    few, many = error(25), error(400)
    assert many <= few / 3.0


def test_the_same_seed_gives_the_same_draws_and_another_others() -> None:
    model = Model(items=THREES)
    assert draw(model) == draw(model)
    assert draw(model) != draw(model, seed=1)


def steps(*days: float) -> tuple[Moved, ...]:
    found, begin = [], 0.0
    for place, one in enumerate(days):
        found.append(Moved("lining", None, 0.0, 1.0, begin, one, ((place - 1, 0.0),) if place else ()))
        begin += one
    return tuple(found)


@given(st.lists(st.floats(0.1, 20.0), min_size=1, max_size=12), st.floats(0.5, 3.0))
def test_a_chain_grows_with_its_activities(days: list[float], factor: float) -> None:
    assert new_end(steps(*days), [factor] * len(days)) == pytest.approx(factor * sum(days), rel=1e-9)


def test_a_day_of_the_calendar_is_never_gone_before_and_holds_up_what_comes_late() -> None:
    two = (
        Moved("cleaning", "R01", 0.0, 1.0, 0.0, 4.0),
        Moved("lining", "R01", 0.0, 1.0, 10.0, 2.0, ((0, 0.0),), 0.0, 10.0),
    )
    assert new_end(two, [0.5, 1.0]) == pytest.approx(12.0)
    assert new_end(two, [3.0, 1.0]) == pytest.approx(14.0)


def test_the_demo_moves_by_nothing_where_nothing_changes() -> None:
    plan = demo_plan()
    programme = plan.programme
    assert programme is not None
    found = moving_steps(plan.job, programme, plan.runs)
    last = max((one.finish - min(one.begin for one in programme.activities)).total_seconds() for one in programme.activities) / 86400.0
    axis = axis_of(plan.job, programme)
    assert axis.day(new_end(found, [1.0] * len(found))) - axis.zero == pytest.approx(last, abs=1e-6)
    assert new_end(found, [1.0] * len(found)) == pytest.approx(programme.shifts)
    # What waits for the slower activities moves too: half as long again is far more than the last chain alone.
    assert new_end(found, [1.5] * len(found)) > programme.shifts * 1.2


def the_spread(**changes: float) -> CostSpread:
    plan = demo_plan()
    job = replace(plan.job, money=replace(plan.job.money, **changes))
    found = cost_spread(job, bill=plan.bill, openings=plan.openings, runs=plan.runs, programme=plan.programme, blocks=4)
    assert found is not None
    return found


def test_the_plan_has_it_and_says_how_sure_it_is() -> None:
    found = demo_plan().spread
    assert found is not None
    assert found.cost.low < found.cost.middle < found.cost.high
    assert max(found.cost.errors) < 0.02 * found.cost.middle
    assert [cost for _, cost in found.curve] == sorted(cost for _, cost in found.curve)
    assert {one.name for one in found.causes} == set(CAUSES)
    assert [one.swing for one in found.causes] == sorted((one.swing for one in found.causes), reverse=True)
    assert all(min(one.low, one.high) - 1e-6 <= found.centre <= max(one.low, one.high) + 1e-6 for one in found.causes)
    assert not any(one.code == "not_built" for one in demo_plan().warnings)


def test_what_has_no_spread_moves_nothing() -> None:
    plan = demo_plan()
    bill = [replace(line, low=line.rate, high=line.rate) for line in plan.bill]
    # A single output is sure of itself; an overrun that is planned already costs whatever happens.
    sure = tuple(replace(one, low=None, high=None) for one in plan.job.outputs)
    job = replace(
        plan.job, outputs=sure, permits=(), money=replace(plan.job.money, obstructions_per_km=0.0, sample_failure=0.0, lost_shifts=0.0)
    )
    found = cost_spread(job, bill=bill, openings=plan.openings, runs=plan.runs, programme=plan.programme, blocks=4)
    assert found is not None
    assert plan.cost.rate is not None
    assert found.cost.low == pytest.approx(plan.cost.rate)
    assert found.cost.high == pytest.approx(plan.cost.rate)
    assert found.causes == ()


def test_more_in_common_is_wider_and_more_in_the_way_is_dearer() -> None:
    apart, together = the_spread(common_share=0.0), the_spread(common_share=1.0)
    assert together.cost.high - together.cost.low > 1.5 * (apart.cost.high - apart.cost.low)
    assert the_spread(obstructions_per_km=10.0).cost.middle > the_spread(obstructions_per_km=0.0).cost.middle


def test_a_greater_margin_loses_less_often() -> None:
    tender = the_spread().tender
    assert [margin for margin, _ in tender.margins] == list(MARGINS)
    chances = [chance for _, chance in tender.margins]
    assert chances == sorted(chances, reverse=True)
    plan = demo_plan()
    assert plan.cost.rate is not None
    at_90 = the_spread(margin=tender.safe_margin).tender
    assert at_90.chance_of_loss == pytest.approx(0.1, abs=0.002)


def test_nothing_priced_is_nothing_said() -> None:
    plan = demo_plan()
    bill = [replace(line, low=None, rate=None, high=None) for line in plan.bill]
    assert cost_spread(plan.job, bill=bill, openings=(), runs=plan.runs, programme=None, blocks=0) is None


def test_days_that_are_paid_by_the_day_cost_with_the_days() -> None:
    plan = demo_plan()
    model = model_of(plan.job, bill=plan.bill, openings=plan.openings, runs=plan.runs, programme=plan.programme, blocks=4)
    assert model.by_day > 0.0
    assert model.planned == pytest.approx(plan.spread.planned_days if plan.spread else 0.0)


def test_supervision_and_standing_plant_are_paid_where_they_have_a_price_and_as_long_as_the_work_goes_on() -> None:
    plan = demo_plan()
    assert plan.programme is not None
    prices = (*plan.job.prices, Price("supervision_day", "day", rate=700.0), Price("standing_plant_day", "day", rate=300.0))
    job = replace(plan.job, prices=prices)

    def billed(job: Job) -> dict[str, BillLine]:
        lines = bill_of_plan(
            job,
            openings=plan.openings,
            runs=plan.runs,
            cleaning=plan.cleaning,
            supply=plan.supply,
            shifts=plan.programme.shifts if plan.programme else 0.0,
        )
        return {line.item: line for line in lines}

    with_it, without = billed(job), billed(plan.job)
    assert set(with_it) - set(without) == {"supervision_day", "standing_plant_day"}
    days = math.ceil(plan.programme.shifts)
    assert {with_it[item].quantity for item in ("supervision_day", "standing_plant_day")} == {days}
    model = model_of(job, bill=tuple(with_it.values()), openings=plan.openings, runs=plan.runs, programme=plan.programme, blocks=4)
    assert model.by_day - the_model().by_day == pytest.approx(1000.0 * days)
    assert model.fixed - the_model().fixed == pytest.approx(1000.0 * days)


def the_model() -> Model:
    plan = demo_plan()
    return model_of(plan.job, bill=plan.bill, openings=plan.openings, runs=plan.runs, programme=plan.programme, blocks=4)


def test_as_planned_the_overruns_cost_what_the_programme_says() -> None:
    model, programme = the_model(), demo_plan().programme
    assert programme is not None
    ends = new_ends(model.steps, [1.0] * len(model.steps))
    late = [math.ceil(model.days(max(ends[place] for place in places)) - last - 1e-9) for places, last, _ in model.overruns]
    assert [max(0, days) for days in late] == [one.overrun for one in programme.permits]
    assert [over(max(0, days)) for days, (_, _, over) in zip(late, model.overruns, strict=True)] == [
        one.charge for one in programme.permits
    ]


def test_slower_crews_move_everything_that_waits_for_them() -> None:
    model = the_model()
    planned = new_ends(model.steps, [1.0] * len(model.steps))
    # The openings are dug well before they are needed.
    for kind, factor in (("cleaning", 1.4), ("supply", 1.4), ("opening", 4.0)):
        slow = new_ends(model.steps, [factor if one.kind == kind else 1.0 for one in model.steps])
        assert max(slow) > max(planned)
        assert all(after >= before - 1e-9 for before, after in zip(planned, slow, strict=True))


def test_what_stops_a_run_and_what_fails_for_a_block_takes_time() -> None:
    model = the_model()
    ones = [1.0] * len(model.steps)
    assert len(model.cleanings) == len(demo_plan().runs)
    programme = demo_plan().programme
    assert programme is not None
    assert len(model.givings) == sum(one.kind == "reconnection" for one in programme.activities)
    last = max(model.givings)
    assert new_end(model.steps, ones, {last: 3.0}) == pytest.approx(new_end(model.steps, ones) + 3.0)
    late = new_ends(model.steps, ones, {model.cleanings[0]: 50.0})
    assert max(late) > max(new_ends(model.steps, ones)) + 20.0


@given(st.lists(st.floats(0.3, 3.0), min_size=5, max_size=5), st.floats(1.0, 2.0))
def test_slower_is_never_sooner(factors: list[float], more: float) -> None:
    chain = tuple(
        replace(one, after=((place - 1, 0.5),) if place else (), idle=0.2, earliest=7.0 if place == 3 else 0.0)
        for place, one in enumerate(steps(1.0, 2.0, 1.0, 3.0, 1.0))
    )
    before = new_ends(chain, factors)
    for place in range(5):
        after = new_ends(chain, [one * more if number == place else one for number, one in enumerate(factors)])
        assert all(b >= a - 1e-9 for a, b in zip(before, after, strict=True))
