"""An analysis as the equilibrium takes it, and what is asked of it alone: balance of ions, lime to a pH, greatest possible pH."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from mainwright.job.water import WaterAnalysis
from mainwright.standards.published import value
from mainwright.units import from_si

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["CALCITE", "CARBON_DIOXIDE", "greatest_ph", "ion_balance", "lime_to_ph", "missing_charges", "water_mass", "water_rows"]

_MOLAR_MASS: Final = {
    "calcium": 0.040078,
    "magnesium": 0.024305,
    "sodium": 0.02298977,
    "potassium": 0.0390983,
    "sulfate": 0.09606,
    "chloride": 0.03545,
    "nitrate": 0.062004,
    "ammonium": 0.018039,
    "silica": 0.060084,
}
"""[kg/mol] Standard atomic weights, IUPAC 2021; silica as SiO2."""
_CATIONS: Final = (("calcium", 2), ("magnesium", 2), ("sodium", 1), ("potassium", 1), ("ammonium", 1))
_ANIONS: Final = (("sulfate", 2), ("chloride", 1), ("nitrate", 1))
_BALANCED: Final = ("calcium", "magnesium", "sodium", "sulfate", "chloride")
"""Without one of these a balance says nothing."""
CALCITE: Final = 0.100087
"""[kg/mol] Standard atomic weights, IUPAC 2021."""
CARBON_DIOXIDE: Final = 0.0440095
"""[kg/mol] Standard atomic weights, IUPAC 2021."""
_STEPS: Final = 60
"""More steps than any water has needed; a dozen are usual."""
_CLOSE: Final = 1e-9
"""Difference of pH that is none."""
_MOST_LIME: Final = 0.02
"""Lime beyond this no water needs: portlandite is saturated. [mol/kg]"""


def _charges(water: WaterAnalysis, ions: tuple[tuple[str, int], ...]) -> float:
    return sum(charge * (getattr(water, name) or 0.0) / _MOLAR_MASS[name] for name, charge in ions)


def ion_balance(water: WaterAnalysis) -> float | None:
    """Return the balance of the ions, in charges.

    Parameters
    ----------
    water : WaterAnalysis
        The water. [-]

    Returns
    -------
    float or None
        (cations - anions) / (cations + anions) as analysed; None where a major ion is missing. [-]
    """
    if water.alkalinity is None or any(getattr(water, name) is None for name in _BALANCED):
        return None
    cations, anions = _charges(water, _CATIONS), _charges(water, _ANIONS) + water.alkalinity
    return (cations - anions) / (cations + anions) if cations + anions > 0.0 else None


def missing_charges(water: WaterAnalysis) -> float:
    """Return what the cations have over the anions.

    Parameters
    ----------
    water : WaterAnalysis
        The water, its major ions known. [-]

    Returns
    -------
    float
        Charges of cations less those of anions, the alkalinity among them. [mol/m3]
    """
    return _charges(water, _CATIONS) - _charges(water, _ANIONS) - (water.alkalinity or 0.0)


def water_mass(water: WaterAnalysis) -> float:
    """Return the mass of water in a volume of solution, whose density is taken as 1000 kg/m3.

    Parameters
    ----------
    water : WaterAnalysis
        The water. [-]

    Returns
    -------
    float
        Mass. [kg/m3]
    """
    dissolved = sum(getattr(water, name) or 0.0 for name in _MOLAR_MASS) + 0.06102 * (water.alkalinity or 0.0)
    # More salt than brine is no water: what is left then only keeps the sums finite, and the equilibrium has no answer.
    return max(1000.0 - dissolved, 1.0)


def water_rows(waters: Sequence[WaterAnalysis]) -> "NDArray[np.float64]":
    """Return the analyses as rows for the equilibrium; an ion that is not known is none, no ion is moved.

    Parameters
    ----------
    waters : sequence of WaterAnalysis
        The waters. [-]

    Returns
    -------
    numpy.ndarray
        One row a water, columns as in ``GIVEN``.
    """
    import numpy as np

    from mainwright.science.chemistry.equilibrium import GIVEN

    warm, ph = value("leaching", "assumed_temperature").value, value("leaching", "assumed_ph").value
    table = np.zeros((len(waters), len(GIVEN)))
    for row, water in zip(table, waters, strict=True):
        mass = water_mass(water)
        row[GIVEN.index("temperature")] = from_si(warm if water.temperature is None else water.temperature, "c")
        row[GIVEN.index("ph")] = ph if water.ph is None else water.ph
        row[GIVEN.index("alkalinity")] = (water.alkalinity or 0.0) / mass
        row[GIVEN.index("carbon")] = np.nan
        for name, molar in _MOLAR_MASS.items():
            row[GIVEN.index(name)] = (getattr(water, name) or 0.0) / molar / mass
    return table


def lime_to_ph(table: "NDArray[np.float64]", ph: float) -> "NDArray[np.float64]":
    """Return the lime that brings each water to a pH, closed to air, nothing precipitated.

    Parameters
    ----------
    table : numpy.ndarray
        One row a water, columns as in ``GIVEN``. [degC, -, mol/kg]
    ph : float
        The pH. [-]

    Returns
    -------
    numpy.ndarray
        Ca(OH)2; 0 where the water is there already, infinite where no lime does it, NaN where there is no answer. [mol/kg]
    """
    import numpy as np

    from mainwright.science.chemistry.equilibrium import GIVEN, RESULT, SOLVED, solve_waters

    trial = table.copy()
    where = GIVEN.index("lime")
    found = np.full(len(table), np.nan)
    todo = np.arange(len(table))
    low, high, lime = np.zeros(len(table)), np.full(len(table), _MOST_LIME), np.zeros(len(table))
    for _ in range(_STEPS):
        trial[todo, where] = lime[todo]
        solved = solve_waters(trial[todo], calcite=False)
        at, buffer = solved[:, RESULT.index("ph")], solved[:, RESULT.index("buffer")]
        good = solved[:, RESULT.index("status")] == SOLVED
        over = at > ph
        high[todo[good & over]] = lime[todo[good & over]]
        low[todo[good & ~over]] = lime[todo[good & ~over]]
        done = good & ((np.abs(at - ph) < _CLOSE) | (over & (lime[todo] == 0.0)))
        found[todo[done]] = lime[todo[done]]
        beyond = good & (low[todo] > 0.999 * _MOST_LIME)
        found[todo[beyond]] = np.inf
        done |= beyond
        # Each mole of lime brings two of charge, and the buffer says what they do; where that leaves the bracket, halve it.
        step = lime[todo] + 0.5 * buffer * (ph - at)
        inside = (step > low[todo]) & (step < high[todo])
        lime[todo] = np.where(inside, step, 0.5 * (low[todo] + high[todo]))
        todo = todo[good & ~done]
        if not len(todo):
            break
    return found


def greatest_ph(row: "NDArray[np.float64]") -> float:
    """Return the greatest pH that a water of this alkalinity can have.

    Parameters
    ----------
    row : numpy.ndarray
        One water, columns as in ``GIVEN``. [degC, -, mol/kg]

    Returns
    -------
    float
        pH. [-]
    """
    from mainwright.science.chemistry.equilibrium import GIVEN, RESULT, SOLVED, solve_waters

    low, high = 4.0, 14.0
    trial = row.reshape(1, -1).copy()
    for _ in range(24):
        middle = 0.5 * (low + high)
        trial[0, GIVEN.index("ph")] = middle
        good = solve_waters(trial, calcite=False)[0, RESULT.index("status")] == SOLVED
        low, high = (middle, high) if good else (low, middle)
    return low
