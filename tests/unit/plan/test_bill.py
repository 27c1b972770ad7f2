"""The bill: every item under its name in the price list, with its quantity, priced or not."""

from dataclasses import replace

import pytest

from mainwright.job.office import Price
from mainwright.plan.bill import bill_cost, make_bill, price_of, price_unit_warnings
from mainwright.plan.result import BillLine, Cleaning, Opening, Run
from mainwright.standards.source import Source
from mainwright.words.message import message
from tests.unit.paper.test_plan_json import sample_run
from tests.unit.plan.small_job import small_job


def opening(chainage: float, surface: str | None, cover: float | None, *, pump: bool = False) -> Opening:
    return Opening(chainage, (), surface, cover, pump, None, must=False)  # type: ignore[arg-type]


def runs() -> tuple[Run, ...]:
    first = sample_run()
    return (
        first,
        replace(first, id="R02", start=120.0, end=240.0),
        replace(first, id="R03", start=240.0, end=300.0, length=60.0, dn=200, cement=300.0),
    )


def bill() -> dict[str, BillLine]:
    scrape = Cleaning("R01", "scraping", message(""), Source("x", "", "", "practice"), 2, 1.0, 1800.0, 1, None, None, None, None)
    lines = make_bill(
        small_job(),
        openings=(opening(0.0, "verge", 1.2, pump=True), opening(120.0, "carriageway", 1.9), opening(240.0, "carriageway", 2.5, pump=True),
                  opening(300.0, None, None)),
        runs=runs(), cleaning=(scrape,), branches=1, temporary_supply=240.0, traffic_days=3.0,
    )  # fmt: skip
    assert len({line.item for line in lines}) == len(lines)
    return {line.item: line for line in lines}


def test_quantities_are_those_of_the_plan() -> None:
    quantities = {item: line.quantity for item, line in bill().items()}
    assert quantities == pytest.approx(
        {
            "opening_verge": 1, "opening_carriageway": 2, "opening_unknown": 1, "opening_extra_depth": 0.4 + 1.0, "set_up_run": 3,
            "set_up_pump": 2, "cleaning_dn150": 240, "cleaning_dn200": 60, "lining_dn150": 240, "lining_dn200": 60, "camera": 600,
            "branch_treatment": 1, "connection_clearing": 6, "temporary_supply": 240, "traffic_day": 3, "cement": 1.3, "sand": 1.545,
            "deposit_disposal": 1.8,
        }
    )  # fmt: skip


def test_a_missing_low_or_high_is_the_rate() -> None:
    line = bill()["set_up_pump"]
    assert (line.low, line.rate, line.high) == (600.0, 600.0, 600.0)


def test_cost_sums_what_is_priced_and_names_the_rest() -> None:
    lines = tuple(bill().values())
    cost = bill_cost(lines)
    by_hand = 2200 + 2 * 3800 + 1.4 * 300 + 3 * 1200 + 2 * 600 + 240 * 48 + 60 * 55 + 1.3 * 170 + 1.545 * 38
    assert cost.rate == pytest.approx(by_hand)
    assert cost.low is not None
    assert cost.high is not None
    assert cost.low < by_hand < cost.high
    assert "camera" in cost.unpriced
    assert "set_up_run" not in cost.unpriced


def test_without_prices_there_is_no_total() -> None:
    unpriced = tuple(replace(line, low=None, rate=None, high=None) for line in bill().values())
    assert bill_cost(unpriced).rate is None


def test_nothing_needed_is_no_line() -> None:
    lines = make_bill(small_job(), openings=(), runs=(), cleaning=(), branches=0, temporary_supply=0.0, traffic_days=0.0)
    assert lines == ()


def test_a_row_without_a_rate_is_no_price() -> None:
    job = small_job(prices=(Price("camera", "m", 3.0, None, 5.0),))
    assert price_of(job, "camera") is None


def test_a_price_by_another_unit_is_told() -> None:
    job = small_job()
    line = BillLine("camera", message("Camera"), "m", 100.0, None, 2.0, None, message(""))
    prices = (Price("camera", "ft", None, 2.0, None),)
    (told,) = price_unit_warnings(replace(job, prices=prices), (line,))
    assert (told.code, told.severity) == ("price_unit", "act")
    assert dict(told.text.values)["other"] == "ft"
    for unit in ("m", None):
        assert price_unit_warnings(replace(job, prices=(replace(prices[0], unit=unit),)), (line,)) == ()
