"""Judging waters: from a table of analyses to indices, classes and how long fresh mortar shows."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from mainwright.science.chemistry.equilibrium import GIVEN, IMPOSSIBLE, RESULT, SOLVED, solve_waters
from mainwright.science.chemistry.fresh_lining import time_over_high_ph
from mainwright.standards.water import alkalinity_class, as_calcite
from mainwright.units import from_si, significant

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    Row = Mapping[str, object]

__all__ = ["COLUMNS", "LIME_COLUMN", "judge_waters", "water_remarks"]

COLUMNS: Final = (
    "id",
    "saturation_index",
    "dissolution_capacity_mg_l",
    "aggressive_co2_mg_l",
    "ion_balance_percent",
    "alkalinity_class",
    "weeks_over_ph_9_5_low",
    "weeks_over_ph_9_5",
    "weeks_over_ph_9_5_high",
)
LIME_COLUMN: Final = "ph_after_lime"

_GRAMS: Final = {
    "calcium": 40.08,
    "magnesium": 24.312,
    "sodium": 22.9898,
    "potassium": 39.102,
    "sulfate": 96.0616,
    "chloride": 35.453,
    "nitrate": 62.0049,
    "ammonium": 18.0386,
    "silica": 60.0843,
}
"""Grams by mole, as in the data base phreeqc.dat; silica as SiO2."""

_CALCITE: Final = 100.0894
_CO2: Final = 44.0098
_MAJOR: Final = ("calcium_mg_l", "magnesium_mg_l", "sodium_mg_l", "sulfate_mg_l", "chloride_mg_l")
"""Without these nothing is said of the balance of ions: a missing column is not known."""

_WORST_BALANCE: Final = 5.0


def judge_waters(rows: Sequence[Row], *, lime: float | None, contact: float, bore: float) -> list[dict[str, object]]:
    """Return one answer for each water.

    Parameters
    ----------
    rows : sequence of mapping
        Cells by the names of ``water.toml`` and ``id``; what is missing is not known. [-]
    lime : float or None
        Calcium hydroxide that dissolves, None where it is not asked. [mol/m3]
    contact : float
        Stay in the lined main. [s]
    bore : float
        Of the lined main. [m]

    Returns
    -------
    list of dict
        Columns as in `COLUMNS`; None where it is not known. A litre counts as a kilogram of water. An ion that is not known counts as none
        in the activities, and the balance of ions is then not told.
    """
    import numpy as np

    given = np.array([_given(row) for row in rows]).reshape(len(rows), len(GIVEN))
    plain = solve_waters(given, calcite=True)
    limed = None
    if lime is not None:
        given[:, GIVEN.index("lime")] = lime / 1000.0
        limed = solve_waters(given, calcite=False)
    answers = []
    for number, row in enumerate(rows):
        found = dict(zip(RESULT, map(float, plain[number]), strict=True))
        after = None if limed is None else float(limed[number, RESULT.index("ph")])
        answers.append(_answer(row, found, after, contact=contact, bore=bore, asked=lime is not None))
    return answers


def _number(row: Row, name: str) -> float | None:
    value = row.get(name)
    return float(value) if isinstance(value, int | float) else None


def _given(row: Row) -> list[float]:
    values = dict.fromkeys(GIVEN, 0.0)
    for name, grams in _GRAMS.items():
        values[name] = (_number(row, f"{name}_mg_l") or 0.0) / grams / 1000.0
    temperature, ph, alkalinity = (_number(row, name) for name in ("temperature_c", "ph", "alkalinity_mmol_l"))
    known = temperature is not None and ph is not None and alkalinity is not None
    values["temperature"] = temperature if temperature is not None else 10.0
    values["ph"] = ph if ph is not None else 7.0
    values["alkalinity"] = alkalinity / 1000.0 if alkalinity is not None and known else 1e-3
    values["carbon"] = math.nan
    return [values[name] for name in GIVEN]


def _told(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else significant(value) + 0.0


def _answer(row: Row, found: Mapping[str, float], after: float | None, *, contact: float, bore: float, asked: bool) -> dict[str, object]:
    answer: dict[str, object] = dict.fromkeys(COLUMNS)
    answer["id"] = row.get("id")
    alkalinity = _number(row, "alkalinity_mmol_l")
    whole = all(_number(row, name) is not None for name in ("temperature_c", "ph", "alkalinity_mmol_l"))
    solved = whole and found["status"] == SOLVED
    if solved and _number(row, "calcium_mg_l") is not None:
        capacity = found["capacity"] * 1000.0
        answer["saturation_index"] = _told(found["saturation_index"])
        answer["dissolution_capacity_mg_l"] = _told(capacity * _CALCITE)
        answer["aggressive_co2_mg_l"] = _told(max(capacity, 0.0) * _CO2)
    if alkalinity is not None and all(_number(row, name) is not None for name in _MAJOR):
        answer["ion_balance_percent"] = _told(_balance(row, alkalinity))
    if alkalinity is not None:
        answer["alkalinity_class"] = alkalinity_class(alkalinity)
        time = time_over_high_ph(alkalinity=as_calcite(alkalinity), contact=contact, bore=bore)
        names = ("weeks_over_ph_9_5_low", "weeks_over_ph_9_5", "weeks_over_ph_9_5_high")
        for name, value in zip(names, (time.low, time.middle, time.high), strict=True):
            answer[name] = _told(from_si(value, "weeks"))
    if asked:
        answer[LIME_COLUMN] = _told(after) if solved else None
    return answer


def _balance(row: Row, alkalinity: float) -> float:
    """Return 100 (cations - anions) / (cations + anions), in charges as analysed."""
    moles = {name: (_number(row, f"{name}_mg_l") or 0.0) / grams for name, grams in _GRAMS.items()}
    cations = 2.0 * (moles["calcium"] + moles["magnesium"]) + moles["sodium"] + moles["potassium"] + moles["ammonium"]
    anions = alkalinity + 2.0 * moles["sulfate"] + moles["chloride"] + moles["nitrate"]
    return 100.0 * (cations - anions) / (cations + anions) if cations + anions > 0.0 else math.nan


def water_remarks(rows: Sequence[Row], answers: Sequence[Mapping[str, object]]) -> list[str]:
    """Return what must be said of waters that cannot be as they were analysed; their rows are answered all the same."""
    import numpy as np

    status = solve_waters(np.array([_given(row) for row in rows]).reshape(len(rows), len(GIVEN)), calcite=False)[:, RESULT.index("status")]
    told = []
    for number, (row, answer) in enumerate(zip(rows, answers, strict=True)):
        name = answer["id"] or f"row {number + 1}"
        balance = answer["ion_balance_percent"]
        if isinstance(balance, float) and abs(balance) > _WORST_BALANCE:
            more = "cations" if balance > 0.0 else "anions"
            told.append(f"{name}: the ions are out of balance by {balance:.1f} %, with too many {more}: an ion is missing or wrong.")
        if status[number] == IMPOSSIBLE and _number(row, "ph") is not None and _number(row, "alkalinity_mmol_l") is not None:
            told.append(
                f"{name}: at pH {row['ph']} hydroxide alone is more than the alkalinity of {row['alkalinity_mmol_l']} mmol/l: one of the two is wrong."
            )
        missing = [one for one in ("temperature_c", "ph", "alkalinity_mmol_l", "calcium_mg_l") if _number(row, one) is None]
        if missing:
            told.append(f"{name}: without {', '.join(missing)} there is no saturation index.")
    return told
