"""What may be wrong with plant, prices and calendars beyond single cells."""

import itertools
from collections.abc import Mapping
from datetime import time
from typing import Final

from mainwright.job.faults import Faults, Row, Rows
from mainwright.units import to_si
from mainwright.words.message import Quantity

__all__ = ["check_plant"]

_NAMED: Final = ("pump", "hose", "lining_head", "rope", "mixer", "supply_pipe")


def _value(row: Row, name: str) -> float | None:
    found = row.get(name)
    return found if isinstance(found, int | float) else None


def _check_once(table: str, rows: Rows, names: tuple[str, ...], faults: Faults) -> None:
    seen: set[tuple[object, ...]] = set()
    for place, row in enumerate(rows):
        key = tuple(row.get(name) for name in names)
        if key[0] is None:
            continue
        if key in seen:
            faults.fault(table, place, names[0], "{word} stands twice: each {name} once is right", word=str(key[0]), name=names[0])
        seen.add(key)


def _rising(values: list[float]) -> bool:
    return all(after > before for before, after in itertools.pairwise(values))


def _check_pump(place: int, row: Row, faults: Faults) -> None:
    points = row.get("points")
    if not isinstance(points, list) or not points:
        return
    pairs = sorted((float(point[0]), float(point[1])) for point in points if isinstance(point, list))  # type: ignore[arg-type]
    if len(pairs) < 2:
        faults.fault("pump", place, "points", "one point is no test: two or more are right")
        return
    if not _rising([setting for setting, _ in pairs]):
        faults.fault("pump", place, "points", "a setting stands twice: each setting once is right")
    elif not _rising([output for _, output in pairs]):
        faults.fault("pump", place, "points", "the output does not rise with the setting: a greater setting gives more")
    flow = _value(row, "flow_l_min")
    if flow is not None and not pairs[0][1] <= flow <= pairs[-1][1] and _rising([output for _, output in pairs]):
        faults.warn(
            "pump",
            place,
            "flow_l_min",
            "{flow} is outside its own test, from {low} to {high}",
            flow=Quantity(to_si(flow, "l_min"), "l_min"),
            low=Quantity(to_si(pairs[0][1], "l_min"), "l_min"),
            high=Quantity(to_si(pairs[-1][1], "l_min"), "l_min"),
        )


def _check_hose(place: int, row: Row, faults: Faults) -> None:
    length, dead = _value(row, "length_m"), _value(row, "dead_length_m")
    if length is not None and dead is not None and dead >= length:
        faults.fault(
            "hose",
            place,
            "dead_length_m",
            "{dead} of dead length leave nothing of {length}: less than the length is right",
            dead=Quantity(dead, "m"),
            length=Quantity(length, "m"),
        )


def _check_dn(table: str, place: int, row: Row, faults: Faults) -> None:
    low, high = _value(row, "dn_from"), _value(row, "dn_to")
    if low is not None and high is not None and low > high:
        faults.fault(
            table, place, "dn_to", "it ends at DN {high} and begins at DN {low}: dn_from up to dn_to is right", high=int(high), low=int(low)
        )


def _check_mortar_flow(row: Row, faults: Faults) -> None:
    values = [name for name in ("yield_stress_pa", "plastic_viscosity_pa_s") if name in row]
    readings = row.get("readings")
    if len(values) == 1:
        missing = "plastic_viscosity_pa_s" if values == ["yield_stress_pa"] else "yield_stress_pa"
        faults.fault("mortar_flow", None, missing, "it is missing: both values are right, or readings without them")
    if values and readings:
        faults.fault("mortar_flow", None, "readings", "values and readings stand side by side: one or the other is right")
    if not values and isinstance(readings, list):
        points = [point for point in readings if isinstance(point, list)]
        if len({str(point[0]) for point in points}) < 2:
            faults.fault("mortar_flow", None, "readings", "readings at one flow give no line: two flows or more are right")
        elif any(isinstance(one, int | float) and one <= 0 for point in points for one in point):
            faults.fault("mortar_flow", None, "readings", "a flow, a length or a pressure is 0: more than 0 is right")


def _check_three(table: str, rows: Rows, faults: Faults) -> None:
    for place, row in enumerate(rows):
        low, rate, high = (_value(row, name) for name in ("low", "rate", "high"))
        given = [value for value in (low, rate, high) if value is not None]
        if given != sorted(given):
            faults.fault(table, place, "rate", "low, rate and high do not rise: low up to rate up to high is right")
        elif rate is None and given:
            faults.fault(table, place, "rate", "low or high stand without a rate: the rate is right too")
        elif rate is None:
            faults.warn(table, place, "rate", "it has no rate, and counts as nothing")


def _check_days(table: str, rows: Rows, faults: Faults) -> None:
    for place, row in enumerate(rows):
        first, last = row.get("first_day"), row.get("last_day")
        if isinstance(first, str) and isinstance(last, str) and first > last:
            faults.fault(
                table,
                place,
                "last_day",
                "it ends on {last} and begins on {first}: first_day up to last_day is right",
                last=last,
                first=first,
            )


def _check_permits(rows: Rows, faults: Faults) -> None:
    for place, row in enumerate(rows):
        start, end = _value(row, "from_m"), _value(row, "to_m")
        if start is not None and end is not None and start >= end:
            faults.fault(
                "permits",
                place,
                "to_m",
                "it ends at {to} and begins at {start}: from_m under to_m is right",
                to=Quantity(end, "m"),
                start=Quantity(start, "m"),
            )
        _check_hours(place, row, faults)
    refs = {row.get("ref") for row in rows}
    for place, row in enumerate(rows):
        for other in str(row.get("not_with") or "").replace(",", " ").replace(";", " ").split():
            if other not in refs:
                faults.fault("permits", place, "not_with", "there is no permit {other}: the ref of another row is right", other=other)
            elif other == row.get("ref"):
                faults.fault("permits", place, "not_with", "the permit names itself: the ref of another row is right")


def _check_hours(place: int, row: Row, faults: Faults) -> None:
    hours = row.get("hours")
    if not hours:
        return
    parts = str(hours).split("-", 1)
    try:
        first, last = (time.fromisoformat(part.strip()) for part in parts)
    except ValueError:
        faults.warn("permits", place, "hours", "these hours bind nothing: written as 09:00-15:30 they bind the programme")
        return
    if first == last:
        faults.warn("permits", place, "hours", "these hours bind nothing: they end when they begin")


def _check_frost(row: Row, faults: Faults) -> None:
    first, last = row.get("frost_from"), row.get("frost_to")
    if isinstance(first, str) and isinstance(last, str) and last < first:
        faults.fault(
            "programme",
            None,
            "frost_to",
            "the frost ends on {last} and begins on {first}: frost_from up to frost_to is right",
            last=last,
            first=first,
        )
    if (first is None) != (last is None):
        missing = "frost_to" if last is None else "frost_from"
        faults.warn("programme", None, missing, "the frost has one end only: it is taken for a single day")


def check_plant(tables: Mapping[str, Rows], faults: Faults) -> None:
    """Add what is wrong with plant, prices, crews, permits and calendar.

    Parameters
    ----------
    tables : mapping
        Rows of sound cells, by table. [-]
    faults : Faults
        Where it is added. [-]
    """

    def rows(name: str) -> Rows:
        return tables.get(name, [])

    for name in _NAMED:
        _check_once(name, rows(name), ("name",), faults)
    for place, row in enumerate(rows("pump")):
        _check_pump(place, row, faults)
    for place, row in enumerate(rows("hose")):
        _check_hose(place, row, faults)
    for place, row in enumerate(rows("lining_head")):
        _check_dn("lining_head", place, row, faults)
    for row in rows("mortar_flow"):
        _check_mortar_flow(row, faults)
    _check_once("prices", rows("prices"), ("item",), faults)
    _check_once("outputs", rows("outputs"), ("activity",), faults)
    _check_once("permits", rows("permits"), ("ref",), faults)
    _check_once("calendar", rows("calendar"), ("day", "kind", "crew"), faults)
    for name in ("prices", "outputs"):
        _check_three(name, rows(name), faults)
    for name in ("crews", "permits"):
        _check_days(name, rows(name), faults)
    _check_permits(rows("permits"), faults)
    for row in rows("programme"):
        _check_frost(row, faults)
