"""Speeds between which a stretch keeps its limits."""

import math
from dataclasses import replace

import pytest

from mainwright.science.measurement.distributions import normal_probability
from mainwright.science.placement.aim import aim_thickness
from mainwright.science.placement.band import SpeedBand, speed_band
from mainwright.science.placement.confidence import AimLength
from mainwright.science.placement.scatter import Scatter, sensitivity_to_flow
from mainwright.science.placement.travel import laid_thickness, travel

USUAL = Scatter(flow_bias=0.01, flow=0.03, speed=0.03, bore=0.001, eccentricity=0.0002, pit_allowance=0.0001, correlation=1.0)
PART = AimLength(length=150.0, bore=0.15, nominal=0.006, minimum=0.005, maximum=0.009)
FLOW = 5e-4


def _band(part: AimLength, scatter: Scatter, aim: float, speed_max: float | None = None) -> SpeedBand:
    return speed_band(part=part, aim=aim, scatter=scatter, confidence=0.95, flow=FLOW, deposit_efficiency=0.97, speed_max=speed_max)


def test_both_ends_lay_what_just_keeps_the_limit() -> None:
    band = _band(PART, USUAL, 0.0065)
    assert band.low is not None
    for speed, sign, limit in ((band.high, 1.0, 0.005), (band.low, -1.0, 0.009)):
        laid = laid_thickness(bore=0.15, flow=FLOW, speed=speed, deposit_efficiency=0.97, pit_allowance=0.0001)
        k = sensitivity_to_flow(thickness=laid, bore=0.15, pit_allowance=0.0001)
        s = math.hypot(k * math.hypot(0.01, 0.03), (laid + 0.0001) / (0.15 - 2 * laid) * 0.001)
        assert normal_probability((sign * (laid - limit) - 0.0002) / s) == pytest.approx(0.95, abs=1e-6)


def test_the_aims_own_speed_lies_inside() -> None:
    for length in (1.0, 40.0, 600.0):
        part = replace(PART, length=length, nominal=0.005)
        aim = aim_thickness(lengths=[part], scatter=USUAL, confidence=0.95).thickness
        own = travel(thickness=aim, bore=0.15, flow=FLOW, deposit_efficiency=0.97, pit_allowance=0.0001, speed_max=None).speed
        band = _band(part, USUAL, aim)
        assert band.low is not None
        assert band.low < own < band.high


def test_without_deviation_the_band_is_that_of_the_limits() -> None:
    sure = Scatter(flow_bias=0.0, flow=0.0, speed=0.0, bore=0.0, eccentricity=0.0, pit_allowance=0.0, correlation=1.0)
    band = _band(PART, sure, 0.006)
    assert band.low == pytest.approx(0.97 * FLOW / (math.pi * 0.009 * 0.141))
    assert band.high == pytest.approx(0.97 * FLOW / (math.pi * 0.005 * 0.145))


def test_no_maximum_no_slow_end_and_the_head_bounds_the_fast_one() -> None:
    band = _band(replace(PART, maximum=None), USUAL, 0.0065, speed_max=0.17)
    assert band.low is None
    assert band.high == 0.17


def test_a_maximum_too_near_is_said() -> None:
    band = _band(replace(PART, maximum=0.0066), USUAL, 0.0065)
    own = travel(thickness=0.0065, bore=0.15, flow=FLOW, deposit_efficiency=0.97, pit_allowance=0.0001, speed_max=None).speed
    assert not band.maximum_kept
    assert band.low == own
