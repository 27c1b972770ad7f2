"""Density and viscosity of water."""

import pytest

from mainwright.errors import InputError
from mainwright.science.hydraulics.water import kinematic_viscosity, water_density, water_viscosity

# degC, kg/m3, mPa s: tables of the handbooks (IAPWS), from memory.
TABLE = [
    (0.01, 999.84, 1.7914),
    (10, 999.70, 1.3059),
    (20, 998.21, 1.0016),
    (30, 995.65, 0.7972),
    (40, 992.22, 0.6527),
    (80, 971.79, 0.3540),
]


@pytest.mark.outside("CRC Handbook of Chemistry and Physics, table of properties of water 0 to 100 degC (from memory)")
@pytest.mark.parametrize(("celsius", "density", "viscosity"), TABLE)
def test_table(celsius: float, density: float, viscosity: float) -> None:
    assert water_density(celsius + 273.15) == pytest.approx(density, abs=0.02)
    assert 1e3 * water_viscosity(celsius + 273.15) == pytest.approx(viscosity, rel=2e-3)


@pytest.mark.outside(
    "kinematic viscosities used in printed pipe examples: 1.023e-6 at 20 degC's neighbourhood, 2.938e-7 at 100 degC, 1.307e-6 at 10 degC"
)
def test_kinematic_viscosity_of_printed_examples() -> None:
    assert kinematic_viscosity(283.15) == pytest.approx(1.307e-6, rel=2e-3)
    assert kinematic_viscosity(373.15) == pytest.approx(2.938e-7, rel=5e-3)
    assert kinematic_viscosity(293.15) == pytest.approx(1.004e-6, rel=2e-3)


def test_water_is_heaviest_at_four_degrees() -> None:
    assert max(range(101), key=lambda t: water_density(t + 273.15)) == 4


def test_ice_is_refused() -> None:
    with pytest.raises(InputError, match=r"allowed: 273\.15 to 373\.15 K"):
        water_density(270.0)
    with pytest.raises(InputError, match=r"temperature is 10\.0 K"):
        water_viscosity(10.0)
