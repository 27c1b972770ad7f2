"""What may be wrong with ``job.toml`` beyond single cells."""

from collections.abc import Mapping
from itertools import pairwise
from typing import Final
from zoneinfo import ZoneInfo

from mainwright.job.faults import Faults, Row, Rows
from mainwright.job.table import shown
from mainwright.words.message import Quantity

__all__ = ["check_job"]

_SMALLEST_DN: Final = 25

_ORDER: Final = ("minimum_mm", "mean_minimum_mm", "nominal_mm", "maximum_mm")
"""Thicknesses that may not fall in this order."""


def _value(row: Row, name: str) -> float | None:
    found = row.get(name)
    return found if isinstance(found, int | float) else None


def _thickness(value: float) -> Quantity:
    return Quantity(value / 1000.0, "mm")


def _check_order(table: str, place: int | None, row: Row, inherited: Row, faults: Faults) -> None:
    given = [(name, value, name in row) for name in _ORDER if (value := _value({**inherited, **row}, name)) is not None]
    for (name, value, own), (after, greater, after_own) in pairwise(given):
        if value > greater and (own or after_own):
            faults.fault(
                table,
                place,
                name if own else after,
                "{name} is {value} and {after} is {greater}: {name} up to {after} is right",
                name=name,
                value=_thickness(value),
                after=after,
                greater=_thickness(greater),
            )


def _check_inherited_mean(place: int, row: Row, lining: Row, faults: Faults) -> None:
    mean, nominal = _value(lining, "mean_minimum_mm"), _value({**lining, **row}, "nominal_mm")
    if mean is not None and nominal is not None and "mean_minimum_mm" not in row and mean > nominal:
        faults.warn(
            "by_dn",
            place,
            "nominal_mm",
            "the row has no mean_minimum_mm, and that of [lining], {mean}, is over its nominal {nominal}: it does not hold here",
            mean=_thickness(mean),
            nominal=_thickness(nominal),
        )


def _check_by_dn(rows: Rows, lining: Row, faults: Faults) -> None:
    for place, row in enumerate(rows):
        low, high = _value(row, "dn_from"), _value(row, "dn_to")
        _check_order("by_dn", place, row, {name: value for name, value in lining.items() if name != "mean_minimum_mm"}, faults)
        _check_inherited_mean(place, row, lining, faults)
        if low is None or high is None:
            continue
        if low > high:
            faults.fault(
                "by_dn",
                place,
                "dn_to",
                "it ends at DN {high} and begins at DN {low}: dn_from up to dn_to is right",
                high=int(high),
                low=int(low),
            )
            continue
        for other in rows[:place]:
            other_low, other_high = _value(other, "dn_from"), _value(other, "dn_to")
            if other_low is None or other_high is None or other.get("material") != row.get("material"):
                continue
            if low <= other_high and other_low <= high:
                faults.fault(
                    "by_dn",
                    place,
                    "dn_from",
                    "DN {low} to {high} overlaps DN {other_low} to {other_high} of the same material: one row for each DN is right",
                    low=int(low),
                    high=int(high),
                    other_low=int(other_low),
                    other_high=int(other_high),
                )
                break


def _check_zone(row: Row, faults: Faults) -> None:
    zone = row.get("time_zone")
    if not isinstance(zone, str):
        return
    try:
        ZoneInfo(zone[:100])
    except (KeyError, ValueError, OSError):
        faults.fault("job", None, "time_zone", "{zone} is no time zone: a name as Europe/Berlin is right", zone=shown(zone))


def _check_bore(lining: Row, main: Rows, faults: Faults) -> None:
    nominal = _value(lining, "nominal_mm")
    # A smaller DN is in inches, which is told where it stands.
    bores = [bore for row in main if (bore := _value(row, "bore_mm") or _value(row, "dn")) is not None and bore >= _SMALLEST_DN]
    if nominal is not None and bores and 2 * nominal >= min(bores):
        faults.fault(
            "lining",
            None,
            "nominal_mm",
            "a lining of {nominal} fills the smallest bore, {bore}: less than half the bore is right",
            nominal=_thickness(nominal),
            bore=_thickness(min(bores)),
        )


def _check_mortar(row: Row, faults: Faults) -> None:
    clearing, setting = _value(row, "clearing_from_minutes"), _value(row, "set_minutes")
    if clearing is not None and setting is not None and clearing >= setting:
        faults.fault(
            "mortar",
            None,
            "clearing_from_minutes",
            "clearing begins after {clearing}, the mortar sets after {setting}: clearing before setting is right",
            clearing=Quantity(clearing * 60.0, "minutes"),
            setting=Quantity(setting * 60.0, "minutes"),
        )


def _check_bends(row: Row, faults: Faults) -> None:
    single, total = _value(row, "max_bend_deg"), _value(row, "max_bends_total_deg")
    if single is not None and total is not None and single > total:
        faults.warn("runs", None, "max_bend_deg", "one bend may be larger than the sum of all bends of a run: the sum decides")


def _check_measurement(row: Row, classes: Rows, faults: Faults) -> None:
    if row.get("fittings") == "deducted" and _value(row, "fitting_length_m") is None:
        faults.fault(
            "measurement", None, "fitting_length_m", "fittings are deducted and nobody says by how much: the length of one fitting is right"
        )
    if row.get("fittings") != "deducted" and _value(row, "fitting_length_m") is not None:
        faults.warn("measurement", None, "fitting_length_m", "fittings are paid with the length: nothing is deducted")
    for place, one in enumerate(classes):
        low, high = _value(one, "dn_from"), _value(one, "dn_to")
        if low is None or high is None:
            continue
        if low > high:
            faults.fault(
                "classes",
                place,
                "dn_to",
                "it ends at DN {high} and begins at DN {low}: dn_from up to dn_to is right",
                high=int(high),
                low=int(low),
            )
            continue
        for other in classes[:place]:
            other_low, other_high = _value(other, "dn_from"), _value(other, "dn_to")
            if other_low is not None and other_high is not None and low <= other_high and other_low <= high:
                faults.fault(
                    "classes",
                    place,
                    "dn_from",
                    "DN {low} to {high} overlaps DN {other_low} to {other_high}: each DN in one class is right",
                    low=int(low),
                    high=int(high),
                    other_low=int(other_low),
                    other_high=int(other_high),
                )
                break


def check_job(tables: Mapping[str, Rows], faults: Faults) -> None:
    """Add what is wrong with the contract's values and the job's settings.

    Parameters
    ----------
    tables : mapping
        Rows of sound cells, by table. [-]
    faults : Faults
        Where it is added. [-]
    """

    def one(name: str) -> Row:
        rows = tables.get(name, [])
        return rows[0] if rows else {}

    _check_zone(one("job"), faults)
    _check_order("lining", None, one("lining"), {}, faults)
    _check_by_dn(tables.get("by_dn", []), one("lining"), faults)
    _check_bore(one("lining"), tables.get("main", []), faults)
    _check_mortar(one("mortar"), faults)
    _check_bends(one("runs"), faults)
    _check_measurement(one("measurement"), tables.get("classes", []), faults)
