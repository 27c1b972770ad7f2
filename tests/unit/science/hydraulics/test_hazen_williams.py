"""Hazen and Williams' formula."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.hydraulics.hazen_williams import (
    equivalent_coefficient,
    hazen_williams_coefficient,
    hazen_williams_flow,
    hazen_williams_loss,
)

GRID = json.loads((Path(__file__).parents[3] / "data" / "outside" / "hazen_williams_grid.json").read_text(encoding="utf-8"))
INCH, FOOT, GPM = 0.0254, 0.3048, 231 * 0.0254**3 / 60


@pytest.mark.outside(
    "engineeringtoolbox.com, hazen-williams-water-d_797: 200 gpm, 3.048 in, C 140: 9 ft per 100 ft (rounded), 30 ft 2.7 ft"
)
def test_us_example() -> None:
    loss = hazen_williams_loss(flow=200 * GPM, bore=3.048 * INCH, length=30 * FOOT, coefficient=140.0)
    # The US form of the formula differs by up to 1.5 % from the SI one with rounded constants.
    assert loss / FOOT == pytest.approx(2.7, abs=0.05)


@pytest.mark.outside("trade requirement list, A7 (with 10.67): C 140; 2 and 3 l/s in 51.4 mm, 8 l/s in 73.6 mm, 150 m: 3.2, 6.8, 7.3 m")
@pytest.mark.parametrize(("litres", "bore", "loss"), [(2, 51.4, 3.2), (3, 51.4, 6.8), (8, 73.6, 7.3)])
def test_temporary_pipe(litres: float, bore: float, loss: float) -> None:
    found = hazen_williams_loss(flow=litres / 1e3, bore=bore / 1e3, length=150.0, coefficient=140.0)
    assert found == pytest.approx(loss, abs=0.06)


@pytest.mark.outside("trade requirement list, A6: 152 mm with C 45 lined to 145.6 mm with C 120 carries 2.38 times as much")
def test_before_and_after() -> None:
    flows = [hazen_williams_flow(bore=bore, slope=0.004, coefficient=c) for bore, c in ((0.152, 45.0), (0.1456, 120.0))]
    assert flows[1] / flows[0] == pytest.approx(2.38, abs=0.006)


@pytest.mark.outside("four published forms of the formula, 30 l/s in 200 mm, 1000 m, C 130: 4.975 to 4.990 m")
def test_spread_of_published_forms() -> None:
    found = hazen_williams_loss(flow=0.03, bore=0.2, length=1000.0, coefficient=130.0)
    assert found == pytest.approx(4.98564, rel=1e-4)
    for other in (4.97455, 4.98108, 4.98999):
        assert found == pytest.approx(other, rel=5e-3)


@pytest.mark.outside("reference grid of C equivalent to k at 1 m/s and 10 degC, computed by others")
@pytest.mark.parametrize(("bore", "rough", "coefficient"), GRID["rows"])
def test_equivalent_grid(bore: float, rough: float, coefficient: float) -> None:
    flow = 0.25 * 3.141592653589793 * (bore / 1e3) ** 2
    found = equivalent_coefficient(flow=flow, bore=bore / 1e3, roughness=rough / 1e3, viscosity=1.307e-6)
    # That grid was made with 9.81 m/s2.
    assert found == pytest.approx(coefficient, rel=3e-4)


@given(st.floats(1e-4, 1.0), st.floats(0.05, 1.0), st.floats(30.0, 160.0))
def test_inverses(flow: float, bore: float, coefficient: float) -> None:
    slope = hazen_williams_loss(flow=flow, bore=bore, length=1.0, coefficient=coefficient)
    assert hazen_williams_coefficient(flow=flow, bore=bore, slope=slope) == pytest.approx(coefficient)
    assert hazen_williams_flow(bore=bore, slope=slope, coefficient=coefficient) == pytest.approx(flow)


def test_impossible_values_are_told() -> None:
    with pytest.raises(InputError, match="coefficient is 0"):
        hazen_williams_loss(flow=0.01, bore=0.1, length=1.0, coefficient=0.0)
    with pytest.raises(InputError, match="slope is 0"):
        hazen_williams_coefficient(flow=0.01, bore=0.1, slope=0.0)
