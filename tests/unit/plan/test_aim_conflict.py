"""What must shrink where minimum and maximum cannot both be kept."""

from dataclasses import replace

import pytest

from mainwright.plan.aim_conflict import aim_conflict
from mainwright.plan.host import resolve_host
from mainwright.plan.layout.choose import choose_layout
from mainwright.science.placement.aim import aim_thickness
from mainwright.science.placement.confidence import AimLength
from mainwright.science.placement.scatter import Scatter
from mainwright.words.message import Quantity
from tests.unit.plan.small_job import small_job

SCATTER = Scatter(flow_bias=0.0, flow=0.10, speed=0.03, bore=0.001, eccentricity=0.0, pit_allowance=0.0, correlation=1.0)
PART = AimLength(150.0, 0.15, 0.006, 0.005, maximum=0.0065, single_coat_max=0.001)


def test_the_deviation_that_is_enough_is_named_with_its_value() -> None:
    found = aim_conflict([PART], scatter=SCATTER, confidence=0.95)
    values = dict(found.values)
    needed = values["needed"]
    assert isinstance(needed, Quantity)
    assert values["present"] == Quantity(0.10, "pct", 2)
    better = replace(SCATTER, flow=needed.value)
    assert "maximum" not in aim_thickness(lengths=[PART], scatter=better, confidence=0.95).exceeded


def test_where_one_is_not_enough_all_must_shrink() -> None:
    found = aim_conflict([PART], scatter=replace(SCATTER, speed=0.10), confidence=0.95)
    assert "all of them" in found.text
    assert "helps" in aim_conflict([replace(PART, nominal=0.007)], scatter=SCATTER, confidence=0.95).text


@pytest.mark.parametrize(("maximum", "told"), [(0.0062, True), (0.010, False)])
def test_the_plan_tells_it_at_the_run(maximum: float, told: bool) -> None:
    job = small_job()
    job = replace(job, lining=replace(job.lining, flow_deviation=0.10, maximum=maximum))
    found = choose_layout(job, resolve_host(job), prices_of_limits=False)
    conflicts = [one for one in found.warnings if one.code == "aim_conflict"]
    assert bool(conflicts) == told
    assert all("{remedy}" in one.text.text for one in conflicts)
