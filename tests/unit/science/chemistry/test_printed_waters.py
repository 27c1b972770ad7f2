"""The printed examples of PHREEQC."""

import numpy as np
import pytest

from mainwright.science.chemistry.equilibrium import GIVEN, RESULT, solve_waters


def _solve(**values: float) -> dict[str, float]:
    row = np.zeros((1, len(GIVEN)))
    row[0, GIVEN.index("ph")] = row[0, GIVEN.index("carbon")] = np.nan
    for name, content in values.items():
        row[0, GIVEN.index(name)] = content
    return dict(zip(RESULT, (float(cell) for cell in solve_waters(row, calcite=True)[0]), strict=True))


def _sea() -> dict[str, float]:
    """Return sea water of example 1, from ppm of the solution to mol/kg of water."""
    ppm = {"calcium": 412.3, "magnesium": 1291.8, "sodium": 10768.0, "potassium": 399.1, "chloride": 19353.0, "sulfate": 2712.0}
    mass = {"calcium": 40.08, "magnesium": 24.312, "sodium": 22.9898, "potassium": 39.102, "chloride": 35.453, "sulfate": 96.064}
    scale = 1e-3 / (1.0 - 1e-6 * (sum(ppm.values()) + 141.682 + 4.28))
    found = {name: content / mass[name] * scale for name, content in ppm.items()}
    return {**found, "alkalinity": 141.682 / 61.0171 * scale, "silica": 4.28 / 60.0843 * scale, "temperature": 25.0}


_FRESH = {"temperature": 25.0, "calcium": 1.623e-3, "alkalinity": 3.245e-3}


@pytest.mark.outside("USGS PHREEQC distribution, example 1: sea water, calcite index 0.78, ionic strength 0.6736; editions differ by 0.03")
def test_sea_water() -> None:
    found = _solve(ph=8.22, **_sea())
    assert found["saturation_index"] == pytest.approx(0.78, abs=0.02)
    assert found["ionic_strength"] == pytest.approx(0.6736, rel=0.006)


@pytest.mark.outside(
    "USGS PHREEQC distribution, example 3A: calcite at log pCO2 = -2, 25 degC: pH 7.295, Ca 1.623 mmol/kg; log K of CO2 -1.468"
)
def test_calcite_under_carbon_dioxide() -> None:
    found = _solve(ph=7.295, **_FRESH)
    assert found["saturation_index"] == pytest.approx(0.0, abs=0.005)
    assert found["ph_at_calcite"] == pytest.approx(7.295, abs=0.004)
    assert np.log10(found["free_carbon_dioxide"]) == pytest.approx(-3.468, abs=0.005)


@pytest.mark.outside("USGS PHREEQC distribution, example 3C: 70 % of 3A with 30 % of sea water: pH 7.325, calcite index -0.12")
def test_mixing_makes_a_water_that_dissolves() -> None:
    sea = _sea()
    carbon = 0.7 * _solve(ph=7.295, **_FRESH)["carbon"] + 0.3 * _solve(ph=8.22, **sea)["carbon"]
    mixed = {name: 0.7 * _FRESH.get(name, 0.0) + 0.3 * content for name, content in sea.items()}
    found = _solve(carbon=carbon, **mixed)
    assert found["ph"] == pytest.approx(7.325, abs=0.02)
    assert found["saturation_index"] == pytest.approx(-0.12, abs=0.02)
    assert found["capacity"] > 0.0
