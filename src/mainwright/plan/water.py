"""What a water does to fresh mortar, and the mortar to it: one assessment for each analysis, many at once."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from mainwright.errors import require_not_negative, require_positive
from mainwright.job.water import WaterAnalysis
from mainwright.plan.dissolved import CALCITE, CARBON_DIOXIDE, greatest_ph, ion_balance, lime_to_ph, missing_charges, water_mass, water_rows
from mainwright.plan.water_forecast import Cement, release_law
from mainwright.science.chemistry.leaching import WEEK, age_at_uptake, stay_share
from mainwright.standards.published import value
from mainwright.standards.water import AlkalinityClass, alkalinity_class, as_calcite, time_over_ph
from mainwright.words.message import Message, Quantity, message

__all__ = ["WaterAssessment", "assess_waters", "duration", "lime_to_limit", "time_over_limit"]

_LONGEST: Final = 520 * WEEK
_NINETY: Final = 1.645
"""A range of so many deviations either way holds nine tenths of a normal distribution."""


@dataclass(frozen=True, slots=True)
class WaterAssessment:
    """What one analysis says; None where it does not say enough.

    Attributes
    ----------
    saturation_index
        Of calcite. [-]
    capacity
        Calcite that dissolves to saturation, closed to air; negative where it falls out. [kg/m3]
    aggressive
        Aggressive carbon dioxide. [kg/m3]
    buffer
        Base that raises the pH by one, at this pH. [mol/m3]
    ion_balance
        (cations - anions) / (cations + anions), in charges. [-]
    name
        Class of the alkalinity.
    over_ph_9_5
        Time from placing until the pH stays under 9.5: low, middle, high. [s]
    ph_after_lime
        pH after the lime that was asked for. [-]
    notes
        What is assumed, taken as none, out of the ordinary, or cannot be right and what would be.
    """

    saturation_index: float | None = None
    capacity: float | None = None
    aggressive: float | None = None
    buffer: float | None = None
    ion_balance: float | None = None
    name: AlkalinityClass | None = None
    over_ph_9_5: tuple[float, float, float] | None = None
    ph_after_lime: float | None = None
    notes: tuple[Message, ...] = ()


def duration(middle: float, *, name: AlkalinityClass) -> tuple[float, float, float]:
    """Return a duration with its stated uncertainty.

    Parameters
    ----------
    middle : float
        As the law gives it. [s]
    name : AlkalinityClass
        Class of the water. [-]

    Returns
    -------
    tuple of float
        Low, middle, high; at most ten years. [s]
    """
    factor = math.exp(_NINETY * value("leaching", "deviation").value)
    low, mid, high = (min(one, _LONGEST) for one in (middle / factor, middle, middle * factor))
    # The trials found nothing adverse after a first week, and say nothing of that week: in hard water the law alone would say too little.
    return low, mid, max(high, time_over_ph("over_55").value) if name == "over_55" else high


@lru_cache(maxsize=16)
def lime_to_limit(water: WaterAnalysis) -> float | None:
    """Return the lime that brings a water to the upper limit of pH.

    Parameters
    ----------
    water : WaterAnalysis
        The water. [-]

    Returns
    -------
    float or None
        Ca(OH)2; 0 where it is there already, infinite where no lime does it, None where the water has no answer. [mol/m3]
    """
    if water.alkalinity is None:
        return None
    found = float(lime_to_ph(water_rows([water]), value("water", "ph_high").value)[0]) * water_mass(water)
    return None if math.isnan(found) else found


def time_over_limit(lime: float, *, name: AlkalinityClass, stay: float, bore: float, cement: Cement) -> tuple[float, float, float] | None:
    """Return how long a lining keeps a water over the upper limit of pH.

    Parameters
    ----------
    lime : float
        Lime that brings the water to it, `lime_to_limit`. [mol/m3]
    name : AlkalinityClass
        Class of the water. [-]
    stay : float
        Stay in the lined main. [s]
    bore : float
        Bore of the lining. [m]
    cement : str
        Cement of the mortar. [-]

    Returns
    -------
    tuple of float or None
        Low, middle, high; None where the water is over it without any lime. [s]
    """
    # A water that is over the limit without any lime is not the lining's doing.
    if not lime > 0.0:
        return None
    if math.isinf(lime):
        return duration(0.0, name=name)  # So much free carbon dioxide that no lime brings it there.
    share = stay_share(stay=stay, scale=value("leaching", "stay_scale").value)
    return duration(age_at_uptake(uptake=lime, share=share, bore=bore, **release_law(cement)), name=name)


def _gaps(water: WaterAnalysis) -> list[Message]:
    notes = []
    if water.temperature is None:
        warm = value("leaching", "assumed_temperature").value
        notes.append(
            message("Temperature not known: no calcite index; {assumed} assumed for the forecast.", assumed=Quantity(warm, "c", 0))
        )
    if water.ph is None:
        notes.append(
            message(
                "pH not known: no calcite index; {assumed} assumed for the forecast.",
                assumed=Quantity(value("leaching", "assumed_ph").value, "-", 1),
            )
        )
    if water.alkalinity is None:
        notes.append(message("Alkalinity not known: no index, no class, no forecast."))
    elif water.calcium is None:
        notes.append(message("Calcium not known: no calcite index."))
    missing = [name for name in ("magnesium", "sodium", "sulfate", "chloride") if getattr(water, name) is None]
    if missing:
        notes.append(message("Not known and taken as none, which makes the index a little too high: {what}.", what=", ".join(missing)))
    return notes


def _range_notes(water: WaterAnalysis, stay: float) -> list[Message]:
    notes = []
    alkalinity, time = value("leaching", "alkalinity_range"), value("leaching", "stay_range")
    content = as_calcite(water.alkalinity or 0.0)
    if water.alkalinity is not None and not (alkalinity.low or 0.0) <= content <= (alkalinity.high or math.inf):
        notes.append(
            message(
                "Alkalinity outside the field trials ({low} to {high} as CaCO3): the forecast is carried on from them.",
                low=Quantity(alkalinity.low or 0.0, "mg_l", 0),
                high=Quantity(alkalinity.high or 0.0, "mg_l", 0),
            )
        )
    if not (time.low or 0.0) <= stay <= (time.high or math.inf):
        notes.append(
            message(
                "A stay of {found} is outside the field trials ({low} to {high}): the forecast is carried on from them.",
                found=Quantity(stay, "hours", 2),
                low=Quantity(time.low or 0.0, "hours", 0),
                high=Quantity(time.high or 0.0, "hours", 0),
            )
        )
    return notes


def _balance_note(water: WaterAnalysis, balance: float | None) -> list[Message]:
    limit = value("leaching", "balance").value
    if balance is None or abs(balance) <= limit:
        return []
    lacking = missing_charges(water)
    fits = (water.alkalinity or 0.0) + lacking
    text = (
        "Ion balance {found}: anions are missing or cations too high; within {limit} is right. It would close with {more} of anions more, or cations less. No ion was changed."
        if balance > 0.0
        else "Ion balance {found}: cations are missing or anions too high; within {limit} is right. It would close with {more} of cations more, or anions less. No ion was changed."
    )
    told = [message(text, found=Quantity(balance, "pct", 1), limit=Quantity(limit, "pct", 0), more=Quantity(abs(lacking), "mmol_l", 2))]
    if fits > 0.0:
        told.append(
            message(
                "If the other ions are right, an alkalinity of {fits} would fit them; the analysis says {given}.",
                fits=Quantity(fits, "mmol_l", 2),
                given=Quantity(water.alkalinity or 0.0, "mmol_l", 2),
            )
        )
    return told


def assess_waters(
    waters: Sequence[WaterAnalysis], *, stay: float, bore: float, lime: float | None = None, cement: Cement = "portland"
) -> tuple[WaterAssessment, ...]:
    """Return what each analysis says of calcite, and how long a fresh lining keeps its pH over the limit.

    Parameters
    ----------
    waters : sequence of WaterAnalysis
        The analyses. [-]
    stay : float
        Stay of the water in the lined main. [s]
    bore : float
        Bore of the lining. [m]
    lime : float, optional
        Ca(OH)2 that dissolves, closed to air, nothing precipitated. [mol/m3]
    cement : str
        Cement of the mortar. [-]

    Returns
    -------
    tuple of WaterAssessment
        One for each.

    Raises
    ------
    InputError
        If the stay or bore is not positive, or the lime negative.

    Notes
    -----
    An ion that is not known is taken as none and no ion is moved to close the balance.
    """
    import numpy as np

    from mainwright.science.chemistry.equilibrium import GIVEN, IMPOSSIBLE, RESULT, SOLVED, solve_waters

    require_positive("stay", stay, "s")
    require_positive("bore", bore, "m")
    require_not_negative("lime", lime or 0.0, "mol/m3")
    if not waters:
        return ()
    table = water_rows(waters)
    found = solve_waters(table, calcite=True)
    needed = lime_to_ph(table, value("water", "ph_high").value)
    masses = np.array([water_mass(water) for water in waters])
    limed = table.copy()
    limed[:, GIVEN.index("lime")] = (lime or 0.0) / masses
    after = solve_waters(limed, calcite=False)[:, RESULT.index("ph")]
    assessed = []
    for place, water in enumerate(waters):
        one = dict(zip(RESULT, (float(cell) for cell in found[place]), strict=True))
        balance = ion_balance(water)
        notes = [*_gaps(water), *_range_notes(water, stay), *_balance_note(water, balance)]
        name = None if water.alkalinity is None else alkalinity_class(water.alkalinity)
        solved = water.alkalinity is not None and one["status"] == SOLVED
        if water.alkalinity is not None and one["status"] == IMPOSSIBLE:
            notes.append(
                message(
                    "pH and alkalinity cannot both be right: with this alkalinity the pH is at most {most}.",
                    most=Quantity(greatest_ph(table[place]), "-", 2),
                )
            )
        full = solved and water.ph is not None and water.temperature is not None
        carbon_dioxide = one["free_carbon_dioxide"] * masses[place] * CARBON_DIOXIDE
        limit = value("leaching", "free_carbon_dioxide").value
        if full and carbon_dioxide > limit:
            notes.append(
                message(
                    "pH and alkalinity together mean {found} of free CO2, which a drinking water hardly holds (up to {limit}): "
                    "with this alkalinity a pH of about {ph} or more would go together, with this pH an alkalinity of about {alkalinity} or less.",
                    ph=Quantity((water.ph or 0.0) + math.log10(carbon_dioxide / limit), "-", 1),
                    alkalinity=Quantity((water.alkalinity or 0.0) * limit / carbon_dioxide, "mmol_l", 2),
                    found=Quantity(carbon_dioxide, "mg_l", 0),
                    limit=Quantity(limit, "mg_l", 0),
                )
            )
        over = (
            time_over_limit(float(needed[place]) * masses[place], name=name, stay=stay, bore=bore, cement=cement)
            if solved and name
            else None
        )
        if solved and over is None:
            notes.append(message("The water is over the upper limit of pH before it meets the mortar: no duration."))
        calcite = full and water.calcium is not None
        capacity = one["capacity"] * masses[place] if calcite and math.isfinite(one["capacity"]) else None
        assessed.append(
            WaterAssessment(
                saturation_index=one["saturation_index"] if calcite and math.isfinite(one["saturation_index"]) else None,
                capacity=None if capacity is None else capacity * CALCITE,
                aggressive=None if capacity is None else max(capacity, 0.0) * CARBON_DIOXIDE,
                buffer=one["buffer"] * masses[place] if full else None,
                ion_balance=balance,
                name=name,
                over_ph_9_5=over,
                ph_after_lime=float(after[place]) if full and lime is not None and math.isfinite(after[place]) else None,
                notes=tuple(notes),
            )
        )
    return tuple(assessed)
