"""Ways over the years, the length from which a run pays, and the saving that the trade knows."""

from dataclasses import replace
from pathlib import Path

import pytest

from mainwright.job.office import Price
from mainwright.plan.bill import bill_of_plan, price_of
from mainwright.plan.cost.whole_life import break_even, whole_life
from mainwright.plan.options import USUAL_SAVING
from mainwright.plan.result import Plan
from mainwright.plan.result_cost import LifeWay
from mainwright.science.money.present_value import annuity_present_value, capital_recovery
from tests.unit.prove.demo_plan import demo_plan


def ways(plan: Plan, *, energy_price: float | None = None) -> dict[str, LifeWay]:
    job = replace(plan.job, money=replace(plan.job.money, energy_price=energy_price))
    found = whole_life(job, stretches=plan.stretches, gains=plan.hydraulics, comparisons=plan.comparisons, bill=plan.bill)
    return {one.name: one for one in found}


@pytest.mark.outside("equal payments over each life: capital recovery and annuity of engineering economics, checked as N-03 and N-04")
def test_first_cost_over_its_life_is_worth_today_what_the_formulas_say() -> None:
    found = ways(demo_plan())["new_pipe_same"]
    assert found.first is not None
    wanted = annuity_present_value(capital_recovery(found.first, rate=0.03, years=80.0), rate=0.03, years=50.0)
    assert found.worth == pytest.approx(wanted, rel=1e-9)


def test_a_life_as_long_as_the_horizon_is_worth_its_first_cost() -> None:
    found = ways(demo_plan())["lined"]
    assert found.worth == pytest.approx(found.first, rel=1e-9)
    assert dict(found.sensitivity)["life_short"] > found.first  # type: ignore[operator]


def test_energy_counts_where_it_has_a_price_and_a_flow() -> None:
    plan = demo_plan()
    without, dear = ways(plan)["lined"], ways(plan, energy_price=0.25)["lined"]
    assert without.energy is None
    if dear.energy is not None:
        assert dear.worth > without.worth  # type: ignore[operator]
    narrow = ways(plan, energy_price=0.25)["slip_lining"]
    if dear.energy and narrow.energy:
        assert narrow.energy > dear.energy


def test_a_way_without_a_price_says_which_and_is_worth_nothing_said() -> None:
    plan = demo_plan()
    job = replace(plan.job, prices=tuple(one for one in plan.job.prices if not one.item.startswith(("slip_lining", "spraying"))))
    found = {
        one.name: one
        for one in whole_life(job, stretches=plan.stretches, gains=plan.hydraulics, comparisons=plan.comparisons, bill=plan.bill)
    }
    assert found["spraying"].first is None
    assert found["spraying"].worth is None
    assert "spraying_dn150" in found["spraying"].missing


def test_at_the_break_even_length_both_cost_the_same() -> None:
    plan = demo_plan()
    found = break_even(plan.job, bill=plan.bill, stretches=plan.stretches)
    assert [one.dn for one in found if one.here] == sorted({one.dn for one in plan.stretches})
    assert [one.dn for one in found] == [100, 150, 200, 250, 300, 350, 400, 500, 600]
    runs = sum(line.quantity for line in plan.bill if line.item == "set_up_run")
    length = sum(line.quantity for line in plan.bill if line.item.startswith("lining_dn"))
    for one in found:
        assert one.saving == pytest.approx(1.0 - (one.set_up * runs / length + one.by_length) / one.new_pipe)
        assert USUAL_SAVING[0] <= one.saving <= USUAL_SAVING[1]
        assert one.length is not None
        assert one.set_up + one.length * one.by_length == pytest.approx(one.length * one.new_pipe)
    dear = replace(
        plan.job, prices=(*(p for p in plan.job.prices if p.item != "new_pipe_dn150"), Price("new_pipe_dn150", "m", 1.0, 1.0, 1.0))
    )
    assert next(one for one in break_even(dear, bill=plan.bill, stretches=plan.stretches) if one.dn == 150).length is None


@pytest.mark.parametrize("dn", [100, 150, 200, 300, 400, 500, 600])
def test_lining_is_cheaper_than_a_new_pipe_by_what_the_trade_knows(dn: int) -> None:
    """Common practice without a source: 15 to 50 % by diameter. The invented prices of the demo keep to it over its whole main as of one DN."""
    plan = demo_plan()
    job = plan.job
    runs = [replace(run, dn=dn) for run in plan.runs]
    bill = bill_of_plan(job, openings=plan.openings, runs=runs, cleaning=plan.cleaning, supply=plan.supply)
    assert not [line.item for line in bill if line.rate is None]
    lined = sum(line.quantity * (line.rate or 0.0) for line in bill)
    new = price_of(job, f"new_pipe_dn{dn}")
    assert new is not None
    assert new.rate is not None
    saving = 1.0 - lined / (new.rate * sum(run.length for run in runs))
    assert USUAL_SAVING[0] <= saving <= USUAL_SAVING[1]


def test_the_page_that_explains_the_money_shows_these_savings() -> None:
    page = (Path(__file__).parents[4] / "docs" / "explanation" / "money.md").read_text(encoding="utf-8")
    head, row = (next(line for line in page.splitlines() if line.startswith(start)) for start in ("| DN |", "| as planned |"))
    plan = demo_plan()
    told = zip(head.strip("| ").split(" | ")[1:], row.strip("| ").split(" | ")[1:], strict=True)
    for dn, share in told:
        runs = [replace(run, dn=int(dn)) for run in plan.runs]
        bill = bill_of_plan(plan.job, openings=plan.openings, runs=runs, cleaning=plan.cleaning, supply=plan.supply)
        new = price_of(plan.job, f"new_pipe_dn{dn}")
        assert new is not None
        assert new.rate is not None
        saving = 1.0 - sum(line.quantity * (line.rate or 0.0) for line in bill) / (new.rate * sum(run.length for run in runs))
        assert 100.0 * saving == pytest.approx(float(share.removesuffix(" %")), abs=0.6)
