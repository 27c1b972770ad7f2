"""Friction factor."""

import json
import math
import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.hydraulics.friction import (
    friction_factor,
    friction_factor_colebrook_1939,
    friction_factor_laminar,
    reynolds_number,
    roughness_of_factor,
)

GRID = json.loads((Path(__file__).parents[3] / "data" / "outside" / "colebrook_grid.json").read_text(encoding="utf-8"))


@pytest.mark.outside("reference grid of Colebrook and White's equation solved with 30 digits (mpmath)")
@pytest.mark.parametrize(("reynolds", "relative_roughness", "factor"), GRID["rows"])
def test_thirty_digit_grid(reynolds: float, relative_roughness: float, factor: float) -> None:
    found = friction_factor_colebrook_1939(reynolds=reynolds, relative_roughness=relative_roughness)
    assert found == pytest.approx(factor, rel=1e-12)


@pytest.mark.outside(
    "Chapra, Applied Numerical Methods with MATLAB, 2nd ed., pp. 157-161: f = 0.02896781017144 (digits past those by mpmath)"
)
def test_printed_factor() -> None:
    reynolds = 1.23 * 40 * 0.005 / 1.79e-5
    assert friction_factor_colebrook_1939(reynolds=reynolds, relative_roughness=0.0015 / 5) == pytest.approx(0.02896781017144057, abs=1e-12)


@pytest.mark.outside("fluids 1.3, friction.Colebrook and friction_factor")
def test_agrees_with_a_general_library() -> None:
    fluids = pytest.importorskip("fluids")
    rng = random.Random(3)
    for _ in range(300):
        reynolds, rough = 10 ** rng.uniform(3.61, 8), 10 ** rng.uniform(-6, -1.31)
        found = friction_factor(reynolds=reynolds, relative_roughness=rough)
        assert found == pytest.approx(fluids.friction.Colebrook(reynolds, rough), rel=1e-12)
    assert friction_factor(reynolds=1500.0, relative_roughness=0.01) == pytest.approx(fluids.friction_factor(1500.0, 0.01), rel=1e-12)


@pytest.mark.outside("Cengel and Cimbala, 1st ed., example 8-3 p. 360 (f 0.0172) and example 8-8 p. 377 (f 0.0315)")
@pytest.mark.parametrize(("density", "viscosity", "rough", "factor"), [(999, 0.001138, 0.002, 0.0172), (999.7, 0.001307, 0.26, 0.0315)])
def test_printed_textbook_factors(density: float, viscosity: float, rough: float, factor: float) -> None:
    reynolds = reynolds_number(flow=0.006, bore=0.05, viscosity=viscosity / density)
    assert friction_factor(reynolds=reynolds, relative_roughness=rough / 50) == pytest.approx(factor, abs=1e-4)


@given(st.floats(2000.0, 4000.0), st.floats(0.0, 0.2))
def test_transition_is_smooth_and_the_loss_rises_in_it(reynolds: float, rough: float) -> None:
    step = 1e-4 * reynolds

    def loss(at: float) -> float:
        return friction_factor(reynolds=at, relative_roughness=rough) * at * at

    assert loss(reynolds + step) > loss(reynolds - step)


@pytest.mark.parametrize("edge", [2000.0, 4000.0])
@pytest.mark.parametrize("rough", [0.0, 1e-3, 0.05])
def test_transition_meets_both_laws_with_value_and_slope(edge: float, rough: float) -> None:
    below, at, above = (friction_factor(reynolds=edge + d, relative_roughness=rough) for d in (-0.01, 0.0, 0.01))
    assert below == pytest.approx(above, rel=2e-5)
    assert (at - below) / 0.01 == pytest.approx((above - at) / 0.01, rel=1e-3, abs=1e-11)


def test_rough_pipe_has_a_limit_and_smooth_pipe_has_none() -> None:
    rough = friction_factor_colebrook_1939(reynolds=1e12, relative_roughness=0.01)
    assert rough == pytest.approx((2 * math.log10(370)) ** -2, rel=1e-6)
    assert friction_factor_laminar(640.0) == 0.1


@given(st.floats(4e3, 1e8), st.floats(1e-5, 0.3))
def test_roughness_is_the_inverse(reynolds: float, rough: float) -> None:
    factor = friction_factor(reynolds=reynolds, relative_roughness=rough)
    assert roughness_of_factor(factor=factor, reynolds=reynolds, bore=2.0) == pytest.approx(2.0 * rough, rel=1e-6, abs=1e-9)


def test_impossible_values_are_told() -> None:
    with pytest.raises(InputError, match=r"relative_roughness is 1\.5; allowed: 0 to 1"):
        friction_factor_colebrook_1939(reynolds=1e5, relative_roughness=1.5)
    with pytest.raises(InputError, match="reynolds is nan"):
        friction_factor(reynolds=math.nan, relative_roughness=0.01)
    with pytest.raises(InputError, match="reynolds is 100"):
        roughness_of_factor(factor=0.02, reynolds=100.0, bore=0.1)
