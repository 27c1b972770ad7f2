"""The table of units."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.units import UNITS, US_PARTNER, from_si, significant, to_si

PINT = {
    "l_min": "liter/minute", "bar": "bar", "psi": "psi", "gpm": "gallon/minute", "kn": "kilonewton", "lbf": "pound_force", "ft_s": "foot/second",
    "gal_ft": "gallon/foot", "ton": "short_ton", "lb_ft3": "pound/foot**3", "kwh": "kilowatt_hour", "mi": "mile", "mm2": "millimeter**2",
}  # fmt: skip


@pytest.mark.outside("pint, unit registry")
@pytest.mark.parametrize("unit", sorted(PINT))
def test_factor_agrees_with_a_unit_library(unit: str) -> None:
    pint = pytest.importorskip("pint")
    assert to_si(1.0, unit) == pytest.approx(pint.UnitRegistry()(PINT[unit]).to_base_units().magnitude, rel=1e-12)


@pytest.mark.outside("NIST SP 811 (2008), appendix B: 32 degF is 0 degC, 212 degF is 100 degC")
def test_fahrenheit() -> None:
    assert from_si(to_si(32.0, "f"), "c") == pytest.approx(0.0, abs=1e-12)
    assert from_si(to_si(212.0, "f"), "c") == pytest.approx(100.0)


@given(st.sampled_from(sorted(UNITS)), st.decimals(min_value=-99999, max_value=99999, places=3))
def test_what_was_typed_comes_back(unit: str, typed: object) -> None:
    value = float(str(typed))
    if UNITS[unit].offset == 0.0:
        assert significant(from_si(to_si(value, unit), unit)) == value


def test_partners_measure_the_same_thing() -> None:
    for metric, us in US_PARTNER.items():
        assert metric in UNITS
        assert us in UNITS


def test_unknown_unit_is_told() -> None:
    with pytest.raises(InputError, match="unit is furlong; allowed: one of"):
        to_si(1.0, "furlong")
