"""What may be wrong with a survey beyond single cells: what spans rows and tables, and what cannot have been."""

import itertools
import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from mainwright.job.faults import Faults, Row, Rows
from mainwright.words.message import Quantity

__all__ = ["check_survey"]

_JOIN: Final = 0.001
"""Stretches that miss one another by less than this meet. [m]"""

_NEAR: Final = 0.3
"""Connections nearer than this are perhaps one. [m] A rule for detecting doubles in surveys, practice."""

_REDUCER: Final = 1.0
"""A change of DN has its reducer within this. [m]"""

_FIRST_YEAR: Final = {"ductile_iron": 1950, "pvc": 1955, "pe": 1955}
"""No pipe of this material is older: years of first use, rounded down, practice."""

_SMALLEST_DN: Final = 25
_DN_CLASSES: Final = frozenset(
    (
        25, 32, 40, 50, 60, 63, 65, 70, 75, 76, 80, 90, 100, 102, 110, 125, 127, 140, 150, 152, 160, 175, 178, 180, 200, 203, 225, 229, 250,
        254, 275, 280, 300, 305, 315, 325, 350, 355, 356, 375, 381, 400, 406, 425, 450, 457, 475, 500, 508, 525, 533, 550, 560, 600, 610, 630,
        650, 675, 686, 700, 710, 750, 762, 800, 838, 850, 900, 914, 950, 991, 1000, 1050, 1067, 1100, 1200, 1219, 1300, 1350, 1372, 1400,
        1500, 1524, 1600, 1800, 2000, 2200, 2400, 2600, 2800, 3000,
    )
)  # fmt: skip
"""Sizes that are made or were made: metric classes, plastic pipe by outside diameter, and whole inches in millimetres."""


def _metres(value: float) -> Quantity:
    return Quantity(value, "m")


def _millimetres(value: float) -> Quantity:
    return Quantity(value / 1000.0, "mm")


def _value(row: Row, name: str) -> float | None:
    found = row.get(name)
    return found if isinstance(found, int | float) else None


def _span(row: Row) -> tuple[float, float] | None:
    start, end = _value(row, "from_m"), _value(row, "to_m")
    return None if start is None or end is None else (start, end)


@dataclass(frozen=True, slots=True)
class _Spans:
    """Stretches of a table in order, and the rows of it whose ends are not both known.

    Attributes
    ----------
    whole
        Start, end and place of each row with both.
    half
        The one end that is known of the others, in order.
    lost
        Places of the rows of which neither is known, in order.
    """

    whole: list[tuple[float, float, int]]
    half: list[float]
    lost: list[int]

    def explains(self, before: tuple[float, float, int], after: tuple[float, float, int]) -> bool:
        """Return whether a gap may be just a row that could not be read."""
        low, high = sorted((before[2], after[2]))
        half = bisect_left(self.half, before[1] - _JOIN)
        lost = bisect_right(self.lost, low)
        return (half < len(self.half) and self.half[half] <= after[0] + _JOIN) or (lost < len(self.lost) and self.lost[lost] < high)


def _spans(rows: Rows) -> _Spans:
    whole: list[tuple[float, float, int]] = []
    half: list[float] = []
    lost: list[int] = []
    for place, row in enumerate(rows):
        ends = [end for name in ("from_m", "to_m") if (end := _value(row, name)) is not None]
        if len(ends) == 2:
            whole.append((min(ends), max(ends), place))
        elif ends:
            half.append(ends[0])
        else:
            lost.append(place)
    return _Spans(sorted(whole), sorted(half), lost)


def _check_spans(table: str, rows: Rows, faults: Faults, *, gaps: bool) -> None:
    """Tell reversed, overlapping and (where asked) gapped stretches."""
    for place, row in enumerate(rows):
        span = _span(row)
        if span is not None and span[0] >= span[1]:
            text = "it ends at {to} and begins at {start}: from_m under to_m is right"
            faults.fault(table, place, "to_m", text, to=_metres(span[1]), start=_metres(span[0]))
    spans = _spans(rows)
    furthest: tuple[float, float, int] | None = None
    for one in spans.whole:
        if furthest is not None and one[0] < furthest[1] - _JOIN:
            text = "it begins at {start}, the stretch before it ends at {end}: they overlap; where one ends the next begins"
            faults.fault(table, one[2], "from_m", text, start=_metres(one[0]), end=_metres(furthest[1]))
        elif gaps and furthest is not None and one[0] > furthest[1] + _JOIN and not spans.explains(furthest, one):
            text = "it begins at {start}, the stretch before it ends at {end}: there is a gap; where one ends the next begins"
            faults.fault(table, one[2], "from_m", text, start=_metres(one[0]), end=_metres(furthest[1]))
        if furthest is None or one[1] > furthest[1]:
            furthest = one


def _ends(rows: Rows) -> tuple[float, float]:
    """Return where the main begins and ends; infinity where a row that could not be read may reach further."""
    starts = [start for row in rows if (start := _value(row, "from_m")) is not None]
    stops = [stop for row in rows if (stop := _value(row, "to_m")) is not None]
    low, high = min([*starts, *stops], default=-math.inf), max([*starts, *stops], default=math.inf)
    first_stop, last_start = min(stops, default=None), max(starts, default=None)
    for place, row in enumerate(rows):
        start, stop = _value(row, "from_m"), _value(row, "to_m")
        if start is None and (stop == first_stop or (stop is None and place in {0, len(rows) - 1})):
            low = -math.inf
        if stop is None and (start == last_start or (start is None and place in {0, len(rows) - 1})):
            high = math.inf
    return low, high


def _check_main_row(place: int, row: Row, first_year: int | None, faults: Faults) -> None:
    dn, material, year = _value(row, "dn"), row.get("material"), _value(row, "year")
    bore, deposit, wall = _value(row, "bore_mm"), _value(row, "deposit_mm"), _value(row, "wall_mm")
    if dn is not None and dn < _SMALLEST_DN:
        faults.warn("main", place, "dn", "DN {dn} is small for a main: perhaps inches; DN is in millimetres", dn=int(dn))
    elif dn is not None and dn not in _DN_CLASSES:
        faults.warn("main", place, "dn", "DN {dn} is in no list of sizes: please confirm it", dn=int(dn))
    if year is not None and year < 1850:
        faults.warn(
            "main", place, "year", "{year} is before mains of this kind were laid: empty is right where it is not known", year=int(year)
        )
    elif year is not None and isinstance(material, str) and year < _FIRST_YEAR.get(material, 0):
        faults.warn(
            "main",
            place,
            "year",
            "{material} was not laid in {year}: its first mains are of {first} or later; the year or the material is wrong",
            material=material,
            year=int(year),
            first=_FIRST_YEAR[material],
        )
    if year is not None and first_year is not None and year > first_year:
        faults.warn("main", place, "year", "{year} is after the first day of these works", year=int(year))
    if bore is not None and dn is not None and dn >= _SMALLEST_DN and not 0.6 * dn <= bore <= 1.3 * dn:
        faults.warn(
            "main",
            place,
            "bore_mm",
            "a clean bore of {bore} is unlikely in DN {dn}: please measure it",
            bore=_millimetres(bore),
            dn=int(dn),
        )
    inside = bore if bore is not None else dn if dn is not None and dn >= _SMALLEST_DN else None
    if deposit is not None and inside is not None and 2 * deposit >= inside:
        faults.fault(
            "main",
            place,
            "deposit_mm",
            "deposits of {deposit} fill the bore of {bore}: less than half the bore is right",
            deposit=_millimetres(deposit),
            bore=_millimetres(inside),
        )
    if wall is not None and inside is not None and wall > 0.25 * inside:
        faults.warn(
            "main", place, "wall_mm", "a wall of {wall} is unlikely in a bore of {bore}", wall=_millimetres(wall), bore=_millimetres(inside)
        )
    if bore is None and row.get("bore_source") not in (None, "table"):
        faults.warn("main", place, "bore_source", "it names a source, but no bore stands beside it")


def _check_reducers(rows: Rows, features: Rows, faults: Faults) -> None:
    reducers = sorted(chainage for row in features if row.get("kind") == "reducer" and (chainage := _value(row, "chainage_m")) is not None)
    stretches = sorted(
        (span, dn, place) for place, row in enumerate(rows) if (span := _span(row)) and (dn := _value(row, "dn")) is not None
    )
    for ((_, end), dn_before, _), ((start, _), dn, place) in itertools.pairwise(stretches):
        near = bisect_left(reducers, start - _REDUCER)
        has_reducer = near < len(reducers) and reducers[near] <= start + _REDUCER
        if dn != dn_before and abs(start - end) <= _JOIN and not has_reducer:
            faults.warn(
                "main",
                place,
                "dn",
                "DN changes from {before} to {dn} at {start}, and features.csv has no reducer there",
                before=int(dn_before),
                dn=int(dn),
                start=_metres(start),
            )


def _check_inside(table: str, rows: Rows, names: tuple[str, ...], ends: tuple[float, float], faults: Faults) -> None:
    first, last = ends
    for place, row in enumerate(rows):
        for name in names:
            chainage = _value(row, name)
            if chainage is None or first - _JOIN <= chainage <= last + _JOIN:
                continue
            if chainage < first:
                faults.fault(
                    table, place, name, "{found} is before the main, which begins at {first}", found=_metres(chainage), first=_metres(first)
                )
            else:
                faults.fault(
                    table, place, name, "{found} is beyond the main, which ends at {last}", found=_metres(chainage), last=_metres(last)
                )
            break


def _by_chainage(rows: Rows) -> list[tuple[float, int, Row]]:
    found = [(chainage, place, row) for place, row in enumerate(rows) if (chainage := _value(row, "chainage_m")) is not None]
    return sorted(found, key=lambda one: one[:2])


def _check_services(rows: Rows, faults: Faults) -> None:
    last: dict[Any, tuple[float, int]] = {}
    for chainage, place, row in _by_chainage(rows):
        side = row.get("side")
        before = last.get(side)
        if before is not None and chainage == before[0]:
            faults.warn(
                "services",
                place,
                "chainage_m",
                "another connection has the same chainage, {at}: perhaps it stands twice",
                at=_metres(chainage),
            )
        elif before is not None and chainage - before[0] < _NEAR:
            faults.warn(
                "services",
                place,
                "chainage_m",
                "another connection is {away} away: perhaps it stands twice",
                away=_metres(chainage - before[0]),
            )
        last[side] = (chainage, place)


def _check_once(table: str, rows: Rows, name: str, faults: Faults) -> None:
    seen: set[Any] = set()
    for place, row in enumerate(rows):
        word = row.get(name)
        if word is None:
            continue
        if word in seen:
            faults.fault(table, place, name, "{word} stands twice: each {name} once is right", word=str(word), name=name)
        seen.add(word)


def _check_features(rows: Rows, faults: Faults) -> None:
    seen: set[tuple[float, Any]] = set()
    for chainage, place, row in _by_chainage(rows):
        key = (chainage, row.get("kind"))
        if row.get("kind") is not None and key in seen:
            faults.warn("features", place, "chainage_m", "{kind} stands twice at {at}", kind=str(row["kind"]), at=_metres(chainage))
        seen.add(key)
        if row.get("kind") == "bend" and row.get("angle_deg") is None:
            faults.warn("features", place, "angle_deg", "a bend without its angle counts as one that no head passes")


def _check_levels(rows: Rows, faults: Faults) -> None:
    seen: set[float] = set()
    for chainage, place, row in _by_chainage(rows):
        if chainage in seen:
            faults.fault("levels", place, "chainage_m", "{at} stands twice: one height at one chainage is right", at=_metres(chainage))
        seen.add(chainage)
        ground, pipe = _value(row, "ground_m"), _value(row, "pipe_m")
        if ground is not None and pipe is not None and pipe > ground:
            faults.warn(
                "levels",
                place,
                "pipe_m",
                "the pipe at {pipe} lies above the ground at {ground}",
                pipe=_metres(pipe),
                ground=_metres(ground),
            )


def _check_openings(rows: Rows, faults: Faults) -> None:
    seen: set[float] = set()
    for chainage, place, _row in _by_chainage(rows):
        if chainage in seen:
            faults.fault("openings", place, "chainage_m", "{at} stands twice: one choice at one chainage is right", at=_metres(chainage))
        seen.add(chainage)


def _check_bore(rows: Rows, main: Rows, faults: Faults) -> None:
    stretches = sorted((*span, dn) for row in main if (span := _span(row)) and (dn := _value(row, "dn")) is not None and dn >= _SMALLEST_DN)
    starts = [start for start, _, _ in stretches]
    for chainage, place, row in _by_chainage(rows):
        at = bisect_right(starts, chainage) - 1
        bore = _value(row, "bore_mm")
        if bore is None or at < 0 or chainage > stretches[at][1]:
            continue
        dn = stretches[at][2]
        if not 0.6 * dn <= bore <= 1.3 * dn:
            text = "a clean bore of {bore} is unlikely in DN {dn}: please measure it again"
            faults.warn("bore", place, "bore_mm", text, bore=_millimetres(bore), dn=int(dn))


def check_survey(tables: Mapping[str, Rows], faults: Faults) -> None:
    """Add what is wrong with the survey.

    Parameters
    ----------
    tables : mapping
        Rows of sound cells, by table. [-]
    faults : Faults
        Where it is added. [-]
    """

    def rows(name: str) -> Rows:
        return tables.get(name, [])

    first_day = next((row.get("first_day") for row in rows("job")), None)
    first_year = int(first_day[:4]) if isinstance(first_day, str) else None
    for place, row in enumerate(rows("main")):
        _check_main_row(place, row, first_year, faults)
    _check_spans("main", rows("main"), faults, gaps=True)
    _check_spans("ground", rows("ground"), faults, gaps=False)
    _check_reducers(rows("main"), rows("features"), faults)
    checks: tuple[tuple[str, Callable[[Rows, Faults], None]], ...] = (
        ("features", _check_features),
        ("services", _check_services),
        ("levels", _check_levels),
    )
    for name, check in checks:
        check(rows(name), faults)
    _check_bore(rows("bore"), rows("main"), faults)
    for name in ("services", "feeds"):
        _check_once(name, rows(name), "ref", faults)
    ends = _ends(rows("main"))
    _check_openings(rows("openings"), faults)
    for name in ("bore", "features", "levels", "services", "feeds", "openings"):
        _check_inside(name, rows(name), ("chainage_m",), ends, faults)
    _check_inside("ground", rows("ground"), ("from_m", "to_m"), ends, faults)
