"""Speed for a thickness, and thickness for a speed."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.placement.travel import laid_thickness, thickness_from_masses, travel

LITRE_MINUTE = 1e-3 / 60.0


def _speed(bore: float, thickness: float, flow: float) -> float:
    found = travel(
        thickness=thickness / 1e3, bore=bore / 1e3, flow=flow * LITRE_MINUTE, deposit_efficiency=1.0, pit_allowance=0.0, speed_max=None
    )
    assert not found.lowered
    return 60.0 * found.speed


@pytest.mark.outside("worked example of a trade requirement list, A2: DN 200, 5 mm, 20 l/min gives 6.5 m/min")
def test_set_point() -> None:
    assert _speed(200, 5, 20) == pytest.approx(6.5, abs=0.05)


# Travel speed at 10, 20, 30 and 45 l/min, bore taken as DN.
SPEEDS = [
    (80, 4, (10.5, 20.9, 31.4, 47.1)), (100, 4, (8.3, 16.6, 24.9, 37.3)), (150, 5, (4.4, 8.8, 13.2, 19.8)), (200, 5, (3.3, 6.5, 9.8, 14.7)),
    (250, 5, (2.6, 5.2, 7.8, 11.7)), (300, 5, (2.2, 4.3, 6.5, 9.7)), (400, 6, (1.3, 2.7, 4.0, 6.1)), (500, 6, (1.1, 2.1, 3.2, 4.8)),
    (600, 8, (0.7, 1.3, 2.0, 3.0)),
]  # fmt: skip


@pytest.mark.outside("trade requirement list, section 6.1, table of travel speeds, rounded to 0.1 m/min")
@pytest.mark.parametrize(("bore", "thickness", "speeds"), SPEEDS)
def test_table_of_speeds(bore: float, thickness: float, speeds: tuple[float, ...]) -> None:
    for flow, speed in zip((10, 20, 30, 45), speeds, strict=True):
        assert _speed(bore, thickness, flow) == pytest.approx(speed, abs=0.055)


@pytest.mark.outside("trade tables, section 4.4: speed at 20 l/min and 4 mm by DN, rounded to 0.1 m/min")
@pytest.mark.parametrize(("bore", "speed"), [(80, 20.9), (100, 16.6), (150, 10.9), (200, 8.1), (300, 5.4), (400, 4.0), (600, 2.7)])
def test_table_of_speeds_at_four_millimetres(bore: float, speed: float) -> None:
    assert _speed(bore, 4, 20) == pytest.approx(speed, abs=0.055)


@pytest.mark.outside("constructed example: bore 150 mm, 6 mm, 20 l/min, ten digits")
def test_speed_to_all_digits() -> None:
    assert _speed(150, 6, 20) == pytest.approx(7.368284402, rel=1e-9)


@pytest.mark.outside("trade requirement list, A4: DN 150, 5 mm; flow, speed and bore off by a tenth or a twentieth, rounded to 0.01 mm")
@pytest.mark.parametrize(
    ("flow", "speed", "bore", "thickness"),
    [
        (1.1, 1.0, 1.0, 5.52),
        (0.9, 1.0, 1.0, 4.48),
        (1.0, 1.1, 1.0, 4.53),
        (1.0, 0.9, 1.0, 5.58),
        (1.0, 1.0, 1.05, 4.75),
        (1.0, 1.0, 0.95, 5.28),
    ],
)
def test_sensitivities(flow: float, speed: float, bore: float, thickness: float) -> None:
    set_point = travel(thickness=0.005, bore=0.15, flow=20 * LITRE_MINUTE, deposit_efficiency=1.0, pit_allowance=0.0, speed_max=None)
    laid = laid_thickness(
        bore=0.15 * bore, flow=flow * set_point.flow, speed=speed * set_point.speed, deposit_efficiency=1.0, pit_allowance=0.0
    )
    assert 1e3 * laid == pytest.approx(thickness, abs=0.0055)


@given(st.floats(0.08, 0.6), st.floats(0.003, 0.02), st.floats(0.5, 1.0), st.floats(0.0, 0.002))
def test_laid_thickness_is_the_inverse_of_the_speed(bore: float, thickness: float, efficiency: float, pits: float) -> None:
    found = travel(thickness=thickness, bore=bore, flow=5e-4, deposit_efficiency=efficiency, pit_allowance=pits, speed_max=0.05)
    assert found.speed <= 0.05
    assert found.flow <= 5e-4
    assert found.lowered == (found.flow < 5e-4)
    back = laid_thickness(bore=bore, flow=found.flow, speed=found.speed, deposit_efficiency=efficiency, pit_allowance=pits)
    assert back == pytest.approx(thickness, rel=1e-9)


def test_a_slow_head_lowers_the_flow() -> None:
    free = travel(thickness=0.004, bore=0.1, flow=30 * LITRE_MINUTE, deposit_efficiency=0.97, pit_allowance=0.0, speed_max=None)
    held = travel(thickness=0.004, bore=0.1, flow=30 * LITRE_MINUTE, deposit_efficiency=0.97, pit_allowance=0.0, speed_max=0.2)
    assert held.lowered
    assert held.speed == 0.2
    assert held.flow / free.flow == pytest.approx(held.speed / free.speed)


def test_exactly_the_greatest_speed_is_allowed() -> None:
    free = travel(thickness=0.004, bore=0.1, flow=30 * LITRE_MINUTE, deposit_efficiency=0.97, pit_allowance=0.0, speed_max=None)
    held = travel(thickness=0.004, bore=0.1, flow=30 * LITRE_MINUTE, deposit_efficiency=0.97, pit_allowance=0.0, speed_max=free.speed)
    assert held == free


def test_mass_balance_gives_the_mean_back() -> None:
    ring = math.pi * 0.006 * (0.2 - 0.006)
    placed = 2148.0 * 120.0 * ring
    found = thickness_from_masses(pumped=placed + 100.0, in_hose=70.0, returned=20.0, wasted=10.0, density=2148.0, length=120.0, bore=0.2)
    assert found == pytest.approx(0.006)


def test_impossible_values_are_told() -> None:
    with pytest.raises(InputError, match=r"deposit_efficiency is 1\.2; allowed: over 0, up to 1"):
        travel(thickness=0.004, bore=0.1, flow=1e-3, deposit_efficiency=1.2, pit_allowance=0.0, speed_max=None)
    with pytest.raises(InputError, match="area is"):
        laid_thickness(bore=0.1, flow=1e-3, speed=0.01, deposit_efficiency=1.0, pit_allowance=0.0)
    with pytest.raises(InputError, match=r"pumped is 5\.0 kg; allowed: at least 10 kg"):
        thickness_from_masses(pumped=5.0, in_hose=8.0, returned=2.0, wasted=0.0, density=2148.0, length=1.0, bore=0.2)
