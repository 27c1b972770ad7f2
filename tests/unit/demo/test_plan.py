"""The plan of the demo job is one that a practitioner could take to site, and shows what a plan can show."""

import pytest

from mainwright.demo.job import write_demo
from mainwright.folder.reading import read_folder
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    folder = tmp_path_factory.mktemp("demo") / "marrowby"
    write_demo(folder)
    job = read_folder(folder).job
    assert job is not None
    return make_plan(job)


def test_nothing_stops_it(plan: Plan) -> None:
    assert plan.layout.total_cost is not None
    assert [warning.code for warning in plan.warnings if warning.severity == "stop"] == []


def test_runs_cover_the_main_and_end_at_different_limits(plan: Plan) -> None:
    assert (plan.runs[0].start, plan.runs[-1].end) == (0.0, 1236.0)
    assert {"cost", "opening", "hose_length", "max_bend"} <= {run.limit for run in plan.runs}
    assert len({run.hose for run in plan.runs}) == 2
    assert len({run.lining_head for run in plan.runs}) == 2
    assert {"hose_length", "max_bend", "max_bends_total", "connections"} <= {price.limit for price in plan.layout.limit_prices}


def test_a_cut_in_piece_has_a_speed_of_its_own(plan: Plan) -> None:
    settings = {(setting.start, setting.end): setting for run in plan.runs for setting in run.settings}
    piece, before = settings[(478.0, 483.5)], next(one for (_, end), one in settings.items() if end == 478.0)
    assert piece.bore > before.bore
    assert piece.speed < before.speed


def test_no_opening_lies_in_a_no_dig_zone(plan: Plan) -> None:
    zones = [(row.start, row.end) for row in plan.job.ground if row.dig is False]
    assert len(zones) == 3
    assert [one.chainage for one in plan.openings for start, end in zones if start < one.chainage < end] == []


def test_it_is_cheaper_than_a_new_pipe_by_what_the_trade_knows(plan: Plan) -> None:
    """Common practice without a source: lining comes 15 to 50 % cheaper, by diameter."""
    costs = {item.name: item.cost for item in plan.comparisons}
    lined, new = costs["lined"], costs["new_pipe_same"]
    assert lined is not None
    assert new is not None
    assert 0.15 < 1.0 - lined / new < 0.50


def test_soft_water_and_the_dialysis_patient_are_told(plan: Plan) -> None:
    verdicts = {item.verdict for item in plan.suitability}
    assert verdicts == {"with_measures"}
    rules = {reason.rule.text for item in plan.suitability for reason in item.reasons if reason.verdict == "with_measures"}
    assert {"Dialysis patients", "Lead service pipes", "Dead end"} <= rules
    assert any("Alkalinity" in rule for rule in rules)


def test_the_supply_goes_by_the_rule_that_the_job_names_and_uses_every_feed(plan: Plan) -> None:
    supply = plan.supply
    assert supply is not None
    assert plan.job.supply is not None
    assert supply.rule == plan.job.supply.demand_rule == "din_1988_300"
    assert "supply.demand_rule" not in {one.what for one in plan.assumed}
    given = {one.id: one.given or 0.0 for one in supply.points or () if one.source}
    assert set(given) == {one.ref for one in plan.job.feeds}
    told = {code for code, _, _ in supply.warnings}
    assert all(flow > 0.0 for flow in given.values()) or "supply_feed_shut" in told
