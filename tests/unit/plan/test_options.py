"""The comparison with a new pipe: cost, bore, capacity, and what is missing."""

import pytest

from mainwright.job.office import Price
from mainwright.plan.options import compare, compare_new_pipes
from mainwright.plan.result import Comparison, Cost, HydraulicResult, LinedStretch
from tests.unit.plan.small_job import small_job, small_prices

STRETCHES = (
    LinedStretch(0.0, 240.0, 150, 0.152, "record", 0.006, 0.005, None, None, 0.0061, 0.1398, None, ""),
    LinedStretch(240.0, 300.0, 200, 0.204, "record", 0.006, 0.005, None, None, 0.0061, 0.1918, None, ""),
)


def ways(*prices: Price) -> dict[str, Comparison]:
    found = compare(
        small_job(prices=prices), stretches=STRETCHES, cost=Cost(1.0, 2.0, 3.0, ("camera",)),
        bore_new=lambda dn: dn / 1000.0, capacity=lambda bores: 20.0 * sum(bore or 0.0 for bore in bores),
    )  # fmt: skip
    return {way.name: way for way in found}


def test_same_size_is_priced_by_metre_and_stretch() -> None:
    same = ways(*small_prices())["new_pipe_same"]
    assert same.cost == pytest.approx(240 * 300 + 60 * 340)
    assert same.cost_low == pytest.approx(240 * 250 + 60 * 280)
    assert same.cost_high == pytest.approx(240 * 380 + 60 * 420)
    assert same.bore == 0.150
    assert same.capacity_gain == pytest.approx(7.0)
    assert same.missing == ()


def test_next_size_without_a_price_is_named_and_has_no_cost() -> None:
    following = ways(*small_prices())["new_pipe_next"]
    assert following.cost is None
    assert following.missing == ("new_pipe_dn>200",)
    assert following.capacity_gain is None


def test_next_size_with_all_prices() -> None:
    following = ways(*small_prices(), Price("new_pipe_dn250", "m", None, 400.0, None))["new_pipe_next"]
    assert following.cost == pytest.approx(240 * 340 + 60 * 400)
    assert following.cost_high == pytest.approx(240 * 420 + 60 * 400)
    assert following.bore == 0.200


def test_same_size_without_one_price_is_not_half_a_cost() -> None:
    same = ways(Price("new_pipe_dn150", "m", None, 300.0, None))["new_pipe_same"]
    assert same.cost is None
    assert same.missing == ("new_pipe_dn200",)


def test_lined_stands_first_with_the_cost_of_the_bill() -> None:
    lined = ways(*small_prices())["lined"]
    assert (lined.cost_low, lined.cost, lined.cost_high) == (1.0, 2.0, 3.0)
    assert lined.bore == pytest.approx(0.1398)
    assert lined.capacity_gain == pytest.approx(20.0 * (0.1398 + 0.1918))
    assert lined.missing == ("camera",)


def test_without_prices_of_new_pipes_there_is_nothing_to_compare() -> None:
    assert list(ways()) == ["lined"]


def unusual(cost: float, unpriced: tuple[str, ...] = ()) -> list[str]:
    job = small_job()
    gains = tuple(HydraulicResult(one.start, one.end, *([None] * 12), 0.0001) for one in STRETCHES)  # type: ignore[arg-type, call-arg]
    return [one.code for one in compare_new_pipes(job, stretches=STRETCHES, gains=gains, cost=Cost(cost, cost, cost, unpriced)).warnings]


def test_a_saving_that_the_trade_does_not_know_is_told() -> None:
    new = 240 * 300 + 60 * 340
    assert unusual(0.7 * new) == []
    assert unusual(0.4 * new) == ["saving_unusual"]
    assert unusual(1.1 * new) == ["saving_unusual"]
    assert unusual(0.4 * new, ("camera",)) == [], "half a cost says nothing"
