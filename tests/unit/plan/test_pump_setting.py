"""The pump's setting: from its own test, with what the test leaves open."""

from dataclasses import replace

import pytest

from mainwright.job.plant import Pump
from mainwright.plan.pump_setting import pump_setting, pump_warnings
from tests.unit.plan.small_job import small_plant

PUMP = small_plant().pumps[0]


def codes(pump: Pump, flow: float = 0.0005) -> list[str]:
    return [one.code for one in pump_warnings(pump, pump_setting(pump, flow=flow), name="R01", start=0.0, end=10.0)]


def test_setting_is_read_backwards_from_the_line() -> None:
    found = pump_setting(PUMP, flow=30.0 / 60000.0)
    assert found is not None
    # Least squares by hand: slope 0.504 l/min a step through (50, 25.25).
    assert found.value == pytest.approx(50.0 + (30.0 - 25.25) / 0.504, abs=1e-6)
    assert not found.extrapolated
    assert found.low is not None
    assert found.high is not None
    assert 58.0 < found.low < found.value < found.high < 61.0


def test_two_points_give_a_setting_but_not_how_sure_it_is() -> None:
    short = replace(PUMP, points=PUMP.points[1:3])
    found = pump_setting(short, flow=25.0 / 60000.0)
    assert found is not None
    assert (found.low, found.high) == (None, None)
    assert codes(short, 25.0 / 60000.0) == ["pump_test_weak"]


@pytest.mark.parametrize("flow", [10.0, 40.5])
def test_outside_what_was_tested_is_said(flow: float) -> None:
    found = pump_setting(PUMP, flow=flow / 60000.0)
    assert found is not None
    assert found.extrapolated
    assert codes(PUMP, flow / 60000.0) == ["pump_extrapolated"]


def test_no_test_no_setting() -> None:
    bare = replace(PUMP, points=())
    assert pump_setting(bare, flow=0.0005) is None
    assert codes(bare) == ["no_pump_test"]


@pytest.mark.parametrize("points", [((20.0, 1e-4),), ((20.0, 1e-4), (20.0, 2e-4)), ((20.0, 3e-4), (40.0, 2e-4))])
def test_a_test_without_a_line_gives_no_setting(points: tuple[tuple[float, float], ...]) -> None:
    useless = replace(PUMP, points=points)
    assert pump_setting(useless, flow=2e-4) is None
    assert codes(useless) == ["pump_test_useless"]


def test_an_open_bucket_is_said() -> None:
    assert codes(PUMP) == []
    assert codes(replace(PUMP, tested_through_hose=False)) == ["open_bucket_test"]
    assert codes(replace(PUMP, tested_through_hose=None)) == ["pump_test_unsaid"]
