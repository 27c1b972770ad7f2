"""Time of mortar by temperature."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.constants import GAS_CONSTANT
from mainwright.errors import InputError
from mainwright.science.mortar.setting import SETTING_TABLE, setting_factor, time_at_temperature

TABLE = [(40, 14), (50, 11), (60, 8), (70, 6), (80, 4), (90, 2.67), (100, 1.67)]


def _kelvin(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8 + 273.15


@pytest.mark.outside("cement association guidance, secondary: setting time in hours at 40 to 100 degF")
@pytest.mark.parametrize(("fahrenheit", "hours"), TABLE)
def test_points_of_the_table(fahrenheit: float, hours: float) -> None:
    found = setting_factor(_kelvin(fahrenheit)) / setting_factor(_kelvin(80)) * 4.0
    assert found == pytest.approx(hours, rel=2e-3)


@pytest.mark.outside(
    "apparent activation energies recomputed by others from that table: 34.5 kJ/mol from 40 to 70 degF, 58.5 from 70 to 100"
)
@pytest.mark.parametrize(("cold", "warm", "energy"), [(40, 70, 34.52558302), (70, 100, 58.46290143)])
def test_no_single_constant_fits(cold: float, warm: float, energy: float) -> None:
    ratio = math.log(setting_factor(_kelvin(cold)) / setting_factor(_kelvin(warm)))
    # The hot end was rounded to 1.67 h there.
    assert GAS_CONSTANT * ratio / (1 / _kelvin(cold) - 1 / _kelvin(warm)) / 1e3 == pytest.approx(energy, rel=2e-3)


@pytest.mark.outside("EN 1992-1-1 (B.10) and ASTM C1074 with 5000 K, factors at 10 degC recomputed by others: 0.6176 and 0.5475")
def test_spread_at_ten_degrees() -> None:
    found = time_at_temperature(at_reference=1.0, temperature=283.15)
    assert found.low == pytest.approx(1 / 0.6176111492, rel=2e-3)
    assert found.high == pytest.approx(1 / 0.5475123366, rel=1e-6)
    assert found.low <= found.value <= found.high


@given(st.floats(273.15, 318.15), st.floats(273.15, 318.15))
def test_colder_is_never_faster(first: float, second: float) -> None:
    cold, warm = sorted((first, second))
    assert setting_factor(cold) >= setting_factor(warm)


def test_reference_is_one() -> None:
    found = time_at_temperature(at_reference=600.0, temperature=293.15)
    assert (found.low, found.value, found.high) == (600.0, 600.0, 600.0)
    assert len(SETTING_TABLE) == len(TABLE)


def test_frost_is_refused() -> None:
    with pytest.raises(InputError, match="which is 0 to 45 degC"):
        setting_factor(270.0)
    with pytest.raises(InputError, match="at_reference is 0"):
        time_at_temperature(at_reference=0.0, temperature=290.0)
