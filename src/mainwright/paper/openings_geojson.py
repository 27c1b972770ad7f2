"""Openings and runs on the map: ``openings.geojson``, in WGS 84 as the format asks."""

import json
import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from itertools import pairwise

from mainwright import __version__
from mainwright.paper.pen import pen_for
from mainwright.plan.result import Opening, Plan, Run
from mainwright.units import from_si, significant
from mainwright.words.message import Message, message

__all__ = ["render_openings"]

_Point = tuple[float, float]
_DIGITS = 8
"""Decimals of a degree: about a millimetre on the ground."""


class _Line:
    """The line of the main, by length along it in metres, with the way to longitude and latitude."""

    def __init__(self, points: Sequence[_Point], reach: Sequence[float], to_degrees: Callable[[float, float], _Point]) -> None:
        self._points = points
        self.reach = reach
        self._to_degrees = to_degrees

    @property
    def length(self) -> float:
        return self.reach[-1]

    def raw(self, along: float) -> _Point:
        """Return the point so far along the line, in the line's own axes."""
        along = min(max(along, 0.0), self.length)
        index = min(bisect_right(self.reach, along), len(self.reach) - 1)
        low, high = self.reach[index - 1], self.reach[index]
        share = 0.0 if high <= low else (along - low) / (high - low)
        (x1, y1), (x2, y2) = self._points[index - 1], self._points[index]
        return (x1 + (x2 - x1) * share, y1 + (y2 - y1) * share)

    def degrees(self, point: _Point) -> list[float]:
        longitude, latitude = self._to_degrees(*point)
        return [round(longitude, _DIGITS), round(latitude, _DIGITS)]

    def part(self, start: float, end: float) -> list[list[float]]:
        """Return the line between two lengths, with the corners inside."""
        inside = [point for point, reach in zip(self._points, self.reach, strict=True) if start < reach < end]
        return [self.degrees(point) for point in (self.raw(start), *inside, self.raw(end))]


def _line(plan: Plan) -> tuple[_Line, float | None] | None:
    """Return the line of the main and the stated accuracy of its way to WGS 84 [m], None where there is no line."""
    alignment = plan.job.alignment
    if alignment is None or len(alignment.points) < 2:
        return None
    from pyproj import CRS, Geod
    from pyproj.transformer import TransformerGroup

    # A line without a stated system is in longitude and latitude of WGS 84, as the format says.
    system = CRS.from_user_input(alignment.crs or "OGC:CRS84")
    if system.is_geographic:
        geod = system.get_geod() or Geod(ellps="WGS84")
        steps = [geod.line_length([a[0], b[0]], [a[1], b[1]]) for a, b in pairwise(alignment.points)]
    else:
        unit = system.axis_info[0].unit_conversion_factor if system.axis_info else 1.0
        steps = [math.dist(a, b) * unit for a, b in pairwise(alignment.points)]
    reach = [0.0]
    for step in steps:
        reach.append(reach[-1] + step)
    if reach[-1] <= 0.0:
        return None
    group = TransformerGroup(system, "OGC:CRS84", always_xy=True)
    transformer = group.transformers[0]
    accuracy = transformer.accuracy if transformer.accuracy is not None and transformer.accuracy >= 0 else None
    return _Line(alignment.points, reach, transformer.transform), accuracy


def _opening(line: _Line, one: Opening, *, number: int, along: float, word: Callable[[Message], str]) -> dict[str, object]:
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": line.degrees(line.raw(along))},
        "properties": {
            "kind": "opening",
            "number": number,
            "chainage_m": significant(one.chainage),
            "reason": [word(reason) for reason in one.reasons],
            "surface": one.surface,
            "cover_m": None if one.cover is None else significant(one.cover),
            "pump_here": one.pump_here,
            "cost": None if one.cost is None else significant(one.cost),
        },
    }


def _run(line: _Line, scale: float, one: Run, zero: float) -> dict[str, object]:
    return {
        "type": "Feature",
        "geometry": {"type": "LineString", "coordinates": line.part((one.start - zero) * scale, (one.end - zero) * scale)},
        "properties": {
            "kind": "run",
            "id": one.id,
            "from_m": significant(one.start),
            "to_m": significant(one.end),
            "direction": one.direction,
            "length_m": significant(one.length),
            "dn": one.dn,
            "aim_mm": significant(from_si(one.aim, "mm")),
            "speed_m_min": significant(from_si(one.speed, "m_min")),
            "mortar_l": significant(from_si(one.mortar, "l")),
            "limit": one.limit,
            "done": one.done,
        },
    }


def render_openings(plan: Plan) -> bytes | None:
    """Return openings as points and runs as lines along the main.

    Parameters
    ----------
    plan : Plan
        The plan. [-]

    Returns
    -------
    bytes or None
        GeoJSON in longitude and latitude of WGS 84; None where the job has no line of the main. Chainage is measured along the
        line; where line and main differ in length it is scaled, and the file says so.
    """
    found = _line(plan)
    if found is None:
        return None
    line, accuracy = found
    zero, last = plan.job.main[0].start, plan.job.main[-1].end
    length = last - zero
    scale = line.length / length
    say = pen_for(plan).say
    features = [
        _opening(line, one, number=number, along=(one.chainage - zero) * scale, word=say.word)
        for number, one in enumerate(plan.openings, start=1)
    ]
    features += [_run(line, scale, one, zero) for one in plan.runs]
    differs = abs(line.length - length) > 0.005 * length
    note = message(
        "The line is {line} long and the main {main}: chainage is scaled by {scale}.",
        line=f"{line.length:.1f} m",
        main=f"{length:.1f} m",
        scale=f"{scale:.4f}",
    )
    document = {
        "type": "FeatureCollection",
        "mainwright": __version__,
        "job": plan.job.info.name,
        "revision": plan.job.revision,
        "line_length_m": significant(line.length),
        "main_length_m": significant(length),
        "transformation_accuracy_m": accuracy,
        "note": say.word(note) if differs else None,
        "features": features,
    }
    return (json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()
