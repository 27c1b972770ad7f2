"""The pH of a water after its stay in a fresh lining, at any age of the lining, and the stay that keeps it within its range."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from mainwright.errors import require_positive
from mainwright.job.water import WaterAnalysis
from mainwright.plan.dissolved import lime_to_ph, water_mass, water_rows
from mainwright.science.chemistry.leaching import lime_uptake, stay_share
from mainwright.standards.published import value

__all__ = ["Cement", "Forecast", "forecast_ph", "longest_stay", "ph_after_lime", "release_law"]

Cement = Literal["portland", "slag"]


@dataclass(frozen=True, slots=True)
class Forecast:
    """pH at one age of the lining: what falls out is nothing, or all the calcite that can; the water is between the two."""

    age: float
    lime: float
    ph: float
    ph_at_calcite: float


def release_law(cement: Cement) -> dict[str, float]:
    """Return rate and exponent of the release for a cement, as the functions of ``leaching`` take them.

    Parameters
    ----------
    cement : str
        Cement of the mortar. [-]

    Returns
    -------
    dict
        ``rate`` [mol/m3] and ``exponent`` [-].
    """
    factor = value("leaching", "slag").value if cement == "slag" else 1.0
    return {"rate": factor * value("leaching", "rate").value, "exponent": value("leaching", "exponent").value}


def forecast_ph(
    water: WaterAnalysis, *, ages: Sequence[float], stay: float, bore: float, cement: Cement = "portland"
) -> tuple[Forecast, ...]:
    """Return the pH that water has after its stay in a lining, at each age of the lining.

    Parameters
    ----------
    water : WaterAnalysis
        The water, with its alkalinity. [-]
    ages : sequence of float
        Times since placing. [s]
    stay : float
        Stay in the lining. [s]
    bore : float
        Bore of the lining. [m]
    cement : str
        Cement of the mortar. [-]

    Returns
    -------
    tuple of Forecast
        One for each age; none where the water has no answer.
    """
    require_positive("stay", stay, "s")
    if water.alkalinity is None or not ages:
        return ()
    share = stay_share(stay=stay, scale=value("leaching", "stay_scale").value)
    limes = [lime_uptake(age=age, share=share, bore=bore, **release_law(cement)) for age in ages]
    found = ph_after_lime(water, limes)
    if not all(math.isfinite(ph) for ph, _ in found):
        return ()
    return tuple(Forecast(age, lime, ph, settled) for age, lime, (ph, settled) in zip(ages, limes, found, strict=True))


def ph_after_lime(water: WaterAnalysis, limes: Sequence[float]) -> list[tuple[float, float]]:
    """Return the pH of a water after each uptake of lime, closed to air.

    Parameters
    ----------
    water : WaterAnalysis
        The water. [-]
    limes : sequence of float
        Ca(OH)2. [mol/m3]

    Returns
    -------
    list of tuple
        pH with nothing precipitated, and with all the calcite that can fall out; NaN where there is no answer. Where none can fall out
        both are one: a lining dissolves no calcite in a stay.
    """
    import numpy as np

    from mainwright.science.chemistry.equilibrium import GIVEN, RESULT, solve_waters

    if not limes:
        return []
    table = np.repeat(water_rows([water]), len(limes), axis=0)
    table[:, GIVEN.index("lime")] = np.array(limes) / water_mass(water)
    found = solve_waters(table, calcite=False)
    ph = found[:, RESULT.index("ph")]
    settled = ph.copy()
    over = found[:, RESULT.index("saturation_index")] > 0.0
    if over.any():
        # What falls out is asked only where something can: it costs several times as much.
        settled[over] = np.minimum(ph[over], solve_waters(table[over], calcite=True)[:, RESULT.index("ph_at_calcite")])
    return [(float(one), float(other)) for one, other in zip(ph, settled, strict=True)]


def longest_stay(water: WaterAnalysis, *, age: float, bore: float, cement: Cement = "portland") -> float | None:
    """Return how long water may stay in a lining of some age without its pH going over the upper limit of drinking water.

    Parameters
    ----------
    water : WaterAnalysis
        The water. [-]
    age : float
        Time since placing. [s]
    bore : float
        Bore of the lining. [m]
    cement : str
        Cement of the mortar. [-]

    Returns
    -------
    float or None
        Stay; infinite where no stay brings it over, None where the water has no answer. [s]
    """
    if water.alkalinity is None:
        return None
    needed = float(lime_to_ph(water_rows([water]), value("water", "ph_high").value)[0]) * water_mass(water)
    if math.isnan(needed):
        return None
    share = needed / lime_uptake(age=age, share=1.0, bore=bore, **release_law(cement))
    return math.inf if share >= 1.0 else -value("leaching", "stay_scale").value * math.log1p(-share)
