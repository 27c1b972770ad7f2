from dataclasses import replace
from functools import cache

import pytest

from mainwright.job.job import Job
from mainwright.job.lining import SupplySpec
from mainwright.job.plant import SupplyPipe
from mainwright.job.survey import Feed, Level, Service
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.plan.result_supply import TemporarySupply
from mainwright.plan.supply.check import supply_faults
from mainwright.plan.supply.demand import Users, mean_demand, peak_demand, users_of
from mainwright.plan.supply.solution import temporary_supply
from mainwright.science.hydraulics.water import kinematic_viscosity
from mainwright.standards.demand import demand_rules, find_rule
from tests.unit.plan.small_job import small_job

PIPES = (SupplyPipe("32", 0.0262, 2e-5, 500.0, 3.2), SupplyPipe("63", 0.0514, 2e-5, 600.0, 6.5))
SPEC = SupplySpec(1.5e5, "both", "din_1988_300", None)
FEEDS = (Feed(0.0, "left", "hydrant", 4.0e5, 20.0, 0.008, "X1"), Feed(300.0, "right", "neighbouring_main", 4.2e5, 18.0, 0.01, "N1"))
SERVICES = tuple(
    Service(
        20.0 + 30.0 * number,
        "left" if number % 2 else "right",
        size=0.025,
        dwellings=1 + number % 3,
        use="dwelling",
        live=True,
        ref=f"S{number}",
    )
    for number in range(9)
)


def supply_job(**changes: object) -> Job:
    plain = small_job()
    job = replace(
        plain,
        supply=SPEC,
        feeds=FEEDS,
        services=SERVICES,
        levels=(Level(0.0, 20.0), Level(300.0, 18.0)),
        plant=replace(plain.plant, supply_pipes=PIPES),
    )
    return replace(job, **changes)  # type: ignore[arg-type]


@cache
def planned() -> Plan:
    return make_plan(supply_job())


def supply_of(job: Job) -> TemporarySupply:
    """Return the supply of another job of the same layout."""
    return temporary_supply(job, back=planned().return_to_service, programme=planned().programme)


def codes(found: TemporarySupply) -> set[str]:
    return {code for code, _, _ in found.warnings}


def test_every_tap_keeps_its_pressure_and_another_code_finds_no_fault() -> None:
    found = planned().supply
    assert found is not None
    assert found.lines
    assert found.points
    assert {ref for one in found.points for ref in one.feeds} == {one.ref for one in SERVICES}
    assert all(one.pressure >= 1.5e5 - 2.0 for one in found.points if one.feeds)
    job = supply_job()
    warm = job.water.temperature if job.water is not None and job.water.temperature is not None else job.hydraulics.temperature
    assert supply_faults(found, viscosity=kinematic_viscosity(warm), stock={one.name: one.stock for one in PIPES}) == ()
    assert found.cost == pytest.approx(sum(one.length * {"32": 3.2, "63": 6.5}[one.stock] for one in found.lines))
    assert found.without == ()


def test_the_check_finds_what_was_tampered_with() -> None:
    found = supply_of(supply_job())
    assert found.lines is not None
    bad = replace(found, lines=(replace(found.lines[0], flow=found.lines[0].flow + 1e-3), *found.lines[1:]))
    faults = supply_faults(bad, viscosity=1.3e-6, stock={})
    assert any(one.startswith("balance") for one in faults)
    assert any(one.startswith("loss") for one in faults)


def test_the_whole_plan_names_no_section_that_is_not_built_for_it() -> None:
    texts = [one.text.text for one in planned().warnings if one.code == "not_built"]
    assert not any("temporary supply" in one for one in texts)


def test_one_feed_is_a_tree_and_its_sizes_are_proven() -> None:
    found = supply_of(supply_job(feeds=FEEDS[:1], supply=replace(SPEC, sides="left")))
    assert found.exact
    assert found.lines is not None
    first = next(one for one in found.lines if one.start == "X1")
    rule = find_rule("din_1988_300")
    assert rule is not None
    assert first.flow == pytest.approx(peak_demand(rule, users_of(SERVICES)))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"feeds": ()}, "feeds.csv"),
        ({"supply": None}, "pressure_min_bar"),
        ({"services": ()}, "no live connection"),
    ],
)
def test_what_lacks_is_told_and_nothing_is_made_up(changes: dict[str, object], words: str) -> None:
    found = supply_of(supply_job(**changes))
    assert found.lines is None
    assert found.points is None
    assert any(words in text.text for code, _, text in found.warnings if code == "no_temporary_supply")
    assert [one.ref for one in found.without or ()] == [one.ref for one in supply_job(**changes).services]


def test_a_job_without_a_rule_gets_one_that_is_listed_as_assumed() -> None:
    found = supply_of(supply_job(supply=replace(SPEC, demand_rule=None)))
    assert [one.value for one in found.assumed if one.what == "supply.demand_rule"] == ["din_1988_300"]


def test_a_fire_line_is_off_supply_and_told() -> None:
    found = supply_of(supply_job(services=(*SERVICES, Service(100.0, "left", size=0.08, use="fire_line", live=True, ref="FL"))))
    assert [one.ref for one in found.without or ()] == ["FL"]


def test_flow_for_fire_is_kept_or_what_can_be_had_is_told() -> None:
    kept = supply_of(supply_job(supply=replace(SPEC, fire=0.0005)))
    assert kept.fire == 0.0005
    assert kept.fire_most is not None
    assert kept.fire_most >= -1e-6
    asked = supply_of(supply_job(supply=replace(SPEC, fire=0.05)))
    assert asked.fire is None
    assert "supply_fire" in codes(asked)


def test_a_weak_feed_leaves_taps_short_and_names_them() -> None:
    found = supply_of(supply_job(feeds=(replace(FEEDS[0], pressure=1.6e5),), supply=replace(SPEC, pressure_min=2.5e5)))
    assert "supply_pressure" in codes(found)
    assert {one.ref for one in found.without or ()} == {one.ref for one in SERVICES}


def test_a_feed_without_pressure_is_not_used() -> None:
    found = supply_of(supply_job(feeds=(FEEDS[0], replace(FEEDS[1], pressure=None))))
    assert "feed_unknown" in codes(found)
    assert [one.id for one in found.points or () if one.source] == ["X1"]


@pytest.mark.parametrize("name", [rule.name for rule in demand_rules()])
def test_peaks_of_many_grow_but_less_than_their_sum(name: str) -> None:
    rule = find_rule(name)
    assert rule is not None
    peaks = [peak_demand(rule, Users(float(count))) for count in (1, 5, 20, 80, 300)]
    assert peaks == sorted(peaks)
    assert peaks[-1] < 300.0 * peaks[0]
    assert peak_demand(rule, Users(20.0, 0.001)) == pytest.approx(peaks[2] + 0.001)
    assert mean_demand(Users(20.0)) < peaks[2]


def test_parts_cover_the_pipes_in_whole_lengths() -> None:
    found = planned().supply
    assert found is not None
    by = {(one.item, one.size): one.quantity for one in found.parts}
    for size in {one.stock for one in found.lines or ()}:
        assert by["pipe_length", size] * 6.0 >= by["pipe", size] > (by["pipe_length", size] - 1) * 6.0
    assert by["connection", ""] == len(SERVICES)
    assert by["feed_with_check_valve", ""] == 2
