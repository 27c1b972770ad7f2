"""The gate before customers: no main goes back before its samples have passed. It is never opened silently."""

import re
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from mainwright.job.records import Records, WaterTest
from mainwright.standards.published import value
from mainwright.standards.source import Source
from mainwright.words.message import Message, Quantity, message

__all__ = ["Deviation", "WaterProof", "WaterResult", "WaterVerdict", "judge_water"]

WaterVerdict = Literal["released", "not_released", "missing"]

_NAMES: Final = {
    "e_coli": ("ecoli", "escherichiacoli"),
    "coliforms": ("coliform", "coliforms", "coliformbacteria", "totalcoliforms", "totalcoliform"),
    "ph": ("ph", "phvalue"),
    "aluminium": ("aluminium", "aluminum", "al"),
}
_NEEDED: Final = ("e_coli", "coliforms")
_ZERO: Final = {"e_coli": "e_coli", "coliforms": "coliforms"}
_SIGNS: Final = re.compile(r"[^a-z0-9]")


@dataclass(frozen=True, slots=True)
class WaterResult:
    """One result of the laboratory.

    Attributes
    ----------
    test
        As recorded.
    low, high, source
        Published limits in the unit of the result, and whose they are; None where none is known here.
    passes
        None where nothing is known to judge it by.
    counts
        Whether it was taken after the last run was lined; what was taken before shows nothing of the lining.
    """

    test: WaterTest
    low: float | None
    high: float | None
    source: Source | None
    passes: bool | None
    counts: bool


@dataclass(frozen=True, slots=True)
class Deviation:
    """Somebody signed that the gate was passed otherwise: when, who, and what was written."""

    time: datetime
    who: str
    note: str


@dataclass(frozen=True, slots=True)
class WaterProof:
    """The gate. ``deviations`` never change the verdict: they stand beside it with their names."""

    verdict: WaterVerdict
    tests: tuple[WaterResult, ...]
    because: tuple[Message, ...]
    deviations: tuple[Deviation, ...]


def judge_water(records: Records) -> WaterProof:
    """Return whether the samples of the main let it go back to its customers.

    Parameters
    ----------
    records : Records
        What happened. [-]

    Returns
    -------
    WaterProof
        Released where at every sampled point the latest results for E. coli and coliform bacteria are none and no latest result is outside
        a published limit; missing where one of both has no result that counts. What the local authority asks besides goes first.
    """
    lined = [when for one in records.runs_done for when in (one.time_to or one.time_from,) if when is not None]
    lined += [one.readings[-1].time for one in records.readings if one.readings]
    after = max(lined, default=None)
    tests = tuple(_result(one, after) for one in sorted(records.water_tests, key=lambda one: (one.time, one.point, one.parameter)))
    deviations = tuple(
        Deviation(one.time, one.who or "", one.note or "")
        for one in records.events
        if one.kind == "hold_point" and one.note and one.note.strip().lower().startswith("water release")
    )
    latest: dict[tuple[str, str], WaterResult] = {}
    for one in tests:
        if one.counts:
            latest[one.test.point, _parameter(one.test.parameter)] = one
    because: list[Message] = []
    failed = [one for one in latest.values() if one.passes is False]
    because += [_failure(one) for one in sorted(failed, key=lambda one: (one.test.point, one.test.parameter))]
    points = sorted({point for point, _ in latest})
    lacking = [(point, name) for point in points for name in _NEEDED if (point, name) not in latest or latest[point, name].passes is None]
    if not tests:
        because.append(message("no water test is on record"))
    elif not points:
        because.append(message("every water test was taken before the last run was lined"))
    because += [
        message(
            "no result for {name} at {point}", name=message("E. coli") if name == "e_coli" else message("coliform bacteria"), point=point
        )
        for point, name in lacking
    ]
    verdict: WaterVerdict = "not_released" if failed else "missing" if lacking or not points else "released"
    return WaterProof(verdict, tests, tuple(because), deviations)


def _parameter(name: str) -> str:
    plain = _SIGNS.sub("", name.lower())
    return next((own for own, names in _NAMES.items() if plain in names), plain)


def _result(one: WaterTest, after: datetime | None) -> WaterResult:
    low, high, source = _limits(_parameter(one.parameter), one.unit or "")
    passes = None
    if one.value is not None and (low is not None or high is not None):
        passes = (low is None or one.value >= low) and (high is None or one.value <= high)
    return WaterResult(one, low, high, source, passes, after is None or one.time >= after)


def _limits(parameter: str, unit: str) -> tuple[float | None, float | None, Source | None]:
    if parameter in _ZERO:
        found = value("water", _ZERO[parameter])
        return None, found.value, found.source
    if parameter == "ph":
        return value("water", "ph_low").value, value("water", "ph_high").value, value("water", "ph_high").source
    if parameter == "aluminium":
        # Laboratories write mg/l or micrograms; another unit is not guessed.
        scale = {"mg/l": 1e3, "mg_l": 1e3, "µg/l": 1e6, "ug/l": 1e6, "ug_l": 1e6}.get(unit.strip().lower())
        found = value("water", "aluminium")
        return (None, None, None) if scale is None else (None, found.value * scale, found.source)
    return None, None, None


def _failure(one: WaterResult) -> Message:
    return message(
        "{parameter} at {point}: {value}, outside {low} to {high}",
        parameter=one.test.parameter,
        point=one.test.point,
        value=Quantity(one.test.value or 0.0, "-", 2),
        low="0" if one.low is None else Quantity(one.low, "-", 1),
        high="–" if one.high is None else Quantity(one.high, "-", 1),
    )
