"""Bingham flow in a hose."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from mainwright.errors import InputError
from mainwright.science.mortar.hose import (
    friction_factor_bingham,
    hose_flow,
    hose_pressure,
    plug_velocity,
    residence_time,
    static_pressure,
    wall_stress,
)

# Yield stress [Pa], plastic viscosity [Pa s], bore [mm], flow [l/min], length [m], pressure [bar], share of the plug.
GRID = [
    (100, 1.5, 38.0, 20, 50, 11.7446715, 0.4481315544),
    (200, 2.0, 38.0, 20, 50, 20.03993296, 0.5252670161),
    (200, 2.0, 50.0, 40, 100, 29.14270476, 0.5490224786),
    (400, 3.0, 50.0, 40, 100, 53.41062803, 0.5991316931),
    (80, 1.0, 32.0, 10, 30, 5.804768027, 0.5168165181),
    (300, 3.0, 65.0, 60, 120, 36.04018582, 0.6146984442),
]


@pytest.mark.outside(
    "reference grid computed by others: exact root of Buckingham and Reiner's equation, and quadrature of the velocity profile"
)
@pytest.mark.parametrize("row", GRID)
def test_reference_grid(row: tuple[float, ...]) -> None:
    yield_stress, viscosity, bore, flow, length, bar, share = row
    pressure = hose_pressure(flow=flow / 60e3, length=length, bore=bore / 1e3, yield_stress=yield_stress, plastic_viscosity=viscosity)
    assert pressure / 1e5 == pytest.approx(bar, rel=1e-9)
    assert yield_stress / wall_stress(
        flow=flow / 60e3, bore=bore / 1e3, yield_stress=yield_stress, plastic_viscosity=viscosity
    ) == pytest.approx(share, rel=1e-9)
    back = hose_flow(pressure=pressure, length=length, bore=bore / 1e3, yield_stress=yield_stress, plastic_viscosity=viscosity)
    assert back == pytest.approx(flow / 60e3, rel=1e-12)


@pytest.mark.outside("Buckingham and Reiner in Fanning's form, worked value f = 4.025246 at Re 12.22980089, He 158.118")
def test_friction_factor_form() -> None:
    reynolds, hedstrom = 12.22980089, 158.118
    f = friction_factor_bingham(reynolds=reynolds, hedstrom=hedstrom)
    assert f == pytest.approx(4.025245793, rel=1e-9)
    right = 16 / reynolds * (1 + hedstrom / (6 * reynolds) - hedstrom**4 / (3 * f**3 * reynolds**7))
    assert f - right == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0.01, 200.0), st.floats(0.0, 1e5))
def test_both_forms_are_one_equation(reynolds: float, hedstrom: float) -> None:
    density, bore, viscosity = 2150.0, 0.038, 2.0
    speed = reynolds * viscosity / (density * bore)
    stress = wall_stress(
        flow=speed * 0.25 * math.pi * bore**2,
        bore=bore,
        yield_stress=hedstrom * viscosity**2 / (density * bore**2),
        plastic_viscosity=viscosity,
    )
    assert friction_factor_bingham(reynolds=reynolds, hedstrom=hedstrom) == pytest.approx(2 * stress / (density * speed**2), rel=1e-9)


@pytest.mark.outside(
    "Coulson and Richardson, volume 1, chapter 3: power law fluid at two shear rates, 626 kPa, plug 0.61 m/s (companion misprints 0.68)"
)
def test_printed_bingham_example() -> None:
    consistency, index, radius, length, centre = 10.0, 0.2, 0.02, 200.0, 1.0
    low, high = consistency * 10**index, consistency * 50**index
    viscosity = (high - low) / 40
    yield_stress = low - 10 * viscosity
    assert viscosity == pytest.approx(0.1505, abs=2e-4)
    assert yield_stress == pytest.approx(14.35, abs=0.02)
    pressure = 2 * consistency * length / radius * ((index + 1) / index * centre / radius) ** index
    assert pressure / 1e3 == pytest.approx(626, rel=0.002)
    speed = plug_velocity(
        wall_stress=pressure * radius / (2 * length), bore=2 * radius, yield_stress=yield_stress, plastic_viscosity=viscosity
    )
    assert speed == pytest.approx(0.61, abs=0.005)


def test_flow_is_the_integral_of_the_profile() -> None:
    stress, bore, yield_stress, viscosity = 380.0, 0.038, 200.0, 2.0
    radius = 0.5 * bore
    plug = radius * yield_stress / stress

    def velocity(r: float) -> float:
        r = max(r, plug)
        return (stress / (2 * radius) * (radius**2 - r**2) - yield_stress * (radius - r)) / viscosity

    total, _ = integrate.quad(lambda r: 2 * math.pi * r * velocity(r), 0.0, radius, points=[plug], epsabs=1e-16)
    found = hose_flow(pressure=stress * 4 * 10.0 / bore, length=10.0, bore=bore, yield_stress=yield_stress, plastic_viscosity=viscosity)
    assert found == pytest.approx(total, rel=1e-10)
    assert plug_velocity(wall_stress=stress, bore=bore, yield_stress=yield_stress, plastic_viscosity=viscosity) == pytest.approx(
        velocity(0.0)
    )


@pytest.mark.outside("common straight approximation dp = (2L/R)(4/3 tau + 4 mu Q / (pi R^3)): 20.548 bar here, a few per cent high")
def test_common_approximation_is_never_lower() -> None:
    rough = 2 * 50 / 0.019 * (4 / 3 * 200.0 + 4 * 2.0 * (20e-3 / 60) / (math.pi * 0.019**3))
    assert rough / 1e5 == pytest.approx(20.54843832, rel=1e-8)
    exact = hose_pressure(flow=20e-3 / 60, length=50.0, bore=0.038, yield_stress=200.0, plastic_viscosity=2.0)
    assert exact < rough < 1.03 * exact


@given(st.floats(1e-8, 5e-3), st.floats(0.02, 0.08), st.floats(0.0, 1000.0), st.floats(0.05, 10.0))
def test_flow_is_the_inverse_of_pressure(flow: float, bore: float, yield_stress: float, viscosity: float) -> None:
    pressure = hose_pressure(flow=flow, length=80.0, bore=bore, yield_stress=yield_stress, plastic_viscosity=viscosity)
    back = hose_flow(pressure=pressure, length=80.0, bore=bore, yield_stress=yield_stress, plastic_viscosity=viscosity)
    assert back == pytest.approx(flow, rel=1e-5)


def test_limits_of_the_law() -> None:
    # Without yield stress: Hagen and Poiseuille; without flow: the yield stress.
    newton = hose_pressure(flow=1e-4, length=10.0, bore=0.04, yield_stress=0.0, plastic_viscosity=1.0)
    assert newton == pytest.approx(128 * 1.0 * 10.0 * 1e-4 / (math.pi * 0.04**4))
    assert hose_pressure(flow=0.0, length=10.0, bore=0.04, yield_stress=100.0, plastic_viscosity=1.0) == pytest.approx(1e5)
    assert hose_flow(pressure=0.99e5, length=10.0, bore=0.04, yield_stress=100.0, plastic_viscosity=1.0) == 0.0


@pytest.mark.outside("trade figures: 150 m of 38 mm hose hold 170 l, at 20 l/min 8.5 minutes")
def test_residence() -> None:
    assert residence_time(flow=20e-3 / 60, length=150.0, bore=0.038) / 60 == pytest.approx(8.5, abs=0.05)


def test_lifting_and_lowering_are_opposite() -> None:
    assert static_pressure(density=2150.0, rise=3.0) == pytest.approx(2150 * 9.80665 * 3)
    assert static_pressure(density=2150.0, rise=-3.0) == -static_pressure(density=2150.0, rise=3.0)


def test_impossible_values_are_told() -> None:
    with pytest.raises(InputError, match=r"yield_stress is -1\.0 Pa"):
        wall_stress(flow=1e-4, bore=0.04, yield_stress=-1.0, plastic_viscosity=1.0)
    with pytest.raises(InputError, match="plastic_viscosity is 0"):
        hose_flow(pressure=1e5, length=1.0, bore=0.04, yield_stress=1.0, plastic_viscosity=0.0)
