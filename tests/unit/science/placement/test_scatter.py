"""Deviation of the thickness."""

import math
from dataclasses import replace

import numpy as np
import pytest

from mainwright.errors import InputError
from mainwright.science.bore.ring import thickness_of_deposit
from mainwright.science.placement.scatter import Scatter, scatter_of_thickness, sensitivity_to_flow, stretches_in

NONE = Scatter(flow_bias=0.0, flow=0.0, speed=0.0, bore=0.0, eccentricity=0.0, pit_allowance=0.0, correlation=1.0)


@pytest.mark.outside("trade requirement list, A4: pump 5 %, speed 3 %, bore 2 %, loss 3 % join to 6.9 % at DN 150 and 5 mm")
def test_joined_deviation_of_a_thin_lining() -> None:
    # The list joins the relative errors as they are, which is the limit of a thin lining; the loss counts as the flow does.
    scatter = replace(NONE, flow=math.hypot(0.05, 0.03), speed=0.03, bore=0.02 * 0.15)
    assert scatter_of_thickness(thickness=1e-6, bore=0.15, scatter=scatter) / 1e-6 == pytest.approx(0.069, abs=0.0005)


@pytest.mark.parametrize("pits", [0.0, 0.0004])
def test_sensitivity_is_the_slope_of_the_volume_balance(pits: float) -> None:
    bore, thickness, step = 0.2, 0.007, 1e-6
    area = math.pi * (thickness * (bore - thickness) + bore * pits)

    def laid(flow: float, width: float) -> float:
        return thickness_of_deposit(area=area * flow, bore=width, pit_allowance=pits)

    by_flow = (laid(1.0 + step, bore) - laid(1.0 - step, bore)) / (2.0 * step)
    assert sensitivity_to_flow(thickness=thickness, bore=bore, pit_allowance=pits) == pytest.approx(by_flow, rel=1e-7)
    by_bore = (laid(1.0, bore + step) - laid(1.0, bore - step)) / (2.0 * step)
    only_bore = scatter_of_thickness(thickness=thickness, bore=bore, scatter=replace(NONE, bore=0.001, pit_allowance=pits))
    assert only_bore == pytest.approx(-0.001 * by_bore, rel=1e-6)


def test_deviation_agrees_with_drawing_lots() -> None:
    rng = np.random.default_rng(4)
    scatter = replace(NONE, flow=0.03, speed=0.02, bore=0.0008, pit_allowance=0.0002)
    bore, thickness = 0.15, 0.006
    area = math.pi * (thickness * (bore - thickness) + bore * scatter.pit_allowance)
    drawn = [
        thickness_of_deposit(area=area * (1 + 0.03 * q) / (1 + 0.02 * v), bore=bore + 0.0008 * d, pit_allowance=0.0002)
        for q, v, d in rng.normal(size=(20_000, 3))
    ]
    assert float(np.std(drawn)) == pytest.approx(scatter_of_thickness(thickness=thickness, bore=bore, scatter=scatter), rel=0.02)


def test_stretches_are_rounded_up_but_not_by_rounding() -> None:
    assert stretches_in(length=0.2, correlation=1.0) == 1
    assert stretches_in(length=150.0, correlation=1.0) == 150
    assert stretches_in(length=0.3, correlation=0.1) == 3
    assert stretches_in(length=150.01, correlation=1.0) == 151


def test_impossible_scatter_is_told() -> None:
    with pytest.raises(InputError, match=r"flow_deviation is -0\.1"):
        replace(NONE, flow=-0.1)
    with pytest.raises(InputError, match="correlation is 0"):
        replace(NONE, correlation=0.0)
    with pytest.raises(InputError, match=r"thickness is 0\.1 m; allowed: 0 or more, under 0\.1 m"):
        sensitivity_to_flow(thickness=0.1, bore=0.2, pit_allowance=0.0)
