"""Roughness from a flow test."""

import math

import pytest

from mainwright.errors import InputError
from mainwright.science.hydraulics.head_loss import head_loss
from mainwright.science.hydraulics.two_gauges import FlowTest, Measured, head_between_gauges, hydrant_flow, wall_of_main

INCH, FOOT, PSI, GPM = 0.0254, 0.3048, 6894.757, 231 * 0.0254**3 / 60
TEST = FlowTest(Measured(0.0126, 0.0126 * 0.02), Measured(0.1524, 0.001524), Measured(4.719715276, 0.1), 300.0)


@pytest.mark.outside("constructed C test, recomputed by others: C 60.0, relative deviation 0.03496562")
def test_worked_test() -> None:
    found = wall_of_main(test=TEST, viscosity=1.307e-6)
    assert found.coefficient.value == pytest.approx(60.0, rel=2e-3)
    assert found.coefficient.deviation / found.coefficient.value == pytest.approx(0.03496562462, rel=1e-6)


@pytest.mark.outside("C-factor test in US form, C = 8.71 V / (D^0.63 (h/L)^0.54) with V ft/s, D in, h/L per 1000 (AWWA M32, from memory)")
def test_us_constant() -> None:
    found = wall_of_main(test=TEST, viscosity=1.307e-6).coefficient.value
    speed = 0.0126 / (0.25 * math.pi * 0.1524**2) / FOOT
    assert found == pytest.approx(8.71 * speed / (6.0**0.63 * (4.719715276 / 300.0) ** 0.54), rel=4e-3)


@pytest.mark.outside("hydrant outlet by pitot, Q = 29.84 c d^2 sqrt(p): c 0.9, 2.5 in, 10 psi")
def test_pitot() -> None:
    found = hydrant_flow(outlet=2.5 * INCH, coefficient=0.9, pressure=10 * PSI, density=62.4 * 0.45359237 / FOOT**3)
    assert found / GPM == pytest.approx(29.84 * 0.9 * 2.5**2 * math.sqrt(10), rel=1e-3)


def test_roughness_comes_back() -> None:
    loss = head_loss(flow=0.012, bore=0.15, length=250.0, roughness=2.5e-3, viscosity=1.3e-6)
    test = FlowTest(Measured(0.012, 0.0), Measured(0.15, 0.0), Measured(loss, 0.0), 250.0)
    found = wall_of_main(test=test, viscosity=1.3e-6)
    assert found.roughness == pytest.approx(2.5e-3, rel=1e-6)
    assert found.roughness_low == found.roughness == found.roughness_high
    assert not found.smoother_than_smooth


def test_interval_holds_the_value_and_leans_to_the_rough_side() -> None:
    found = wall_of_main(test=TEST, viscosity=1.3e-6)
    assert found.roughness_low < found.roughness < found.roughness_high
    assert found.roughness_high - found.roughness > found.roughness - found.roughness_low


def test_less_loss_than_smooth_is_told() -> None:
    loss = 0.8 * head_loss(flow=0.012, bore=0.15, length=250.0, roughness=0.0, viscosity=1.3e-6)
    found = wall_of_main(test=FlowTest(Measured(0.012, 0.0), Measured(0.15, 0.0), Measured(loss, 0.0), 250.0), viscosity=1.3e-6)
    assert found.smoother_than_smooth
    assert found.roughness == 0.0


def test_static_readings_take_height_out() -> None:
    # The lower gauge stands 12 m higher and reads 3 kPa too much.
    offset = (0.0, -12 * 998 * 9.80665 + 3e3)
    static = (5e5 + offset[0], 5e5 + offset[1])
    flowing = (4.6e5 + offset[0], 4.6e5 - 6 * 998 * 9.80665 + offset[1])
    assert head_between_gauges(flowing=flowing, static=static, density=998.0) == pytest.approx(6.0)


def test_slow_flow_is_refused() -> None:
    with pytest.raises(InputError, match="in slower flow the wall does not show"):
        wall_of_main(test=FlowTest(Measured(1e-4, 0.0), Measured(0.15, 0.0), Measured(0.1, 0.0), 250.0), viscosity=1.3e-6)
