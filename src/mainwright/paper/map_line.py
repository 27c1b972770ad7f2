"""The line of the main on the map, by length along it."""

import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from itertools import pairwise

from mainwright.job.job import Job

__all__ = ["MapLine", "map_line"]

_Point = tuple[float, float]
_DIGITS = 8
"""Decimals of a degree: about a millimetre on the ground."""


class MapLine:
    """The line of the main, by length along it in metres, with the way to longitude and latitude."""

    def __init__(self, points: Sequence[_Point], reach: Sequence[float], to_degrees: Callable[[float, float], _Point]) -> None:
        self._points = points
        self.reach = reach
        self._to_degrees = to_degrees

    @property
    def length(self) -> float:
        """Length of the line. [m]."""
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
        """Return longitude and latitude of a point of the line's own axes."""
        longitude, latitude = self._to_degrees(*point)
        return [round(longitude, _DIGITS), round(latitude, _DIGITS)]

    def raw_part(self, start: float, end: float) -> list[_Point]:
        """Return the line between two lengths in its own axes, with the corners inside."""
        inside = [point for point, reach in zip(self._points, self.reach, strict=True) if start < reach < end]
        return [self.raw(start), *inside, self.raw(end)]

    def part(self, start: float, end: float) -> list[list[float]]:
        """Return the line between two lengths, with the corners inside."""
        return [self.degrees(point) for point in self.raw_part(start, end)]


def map_line(job: Job) -> tuple[MapLine, float | None] | None:
    """Return the line of the main and the stated accuracy of its way to WGS 84.

    Parameters
    ----------
    job : Job
        The job. [-]

    Returns
    -------
    tuple or None
        Line and accuracy [m], which may not be known; None where the job has no line of the main.
    """
    alignment = job.alignment
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
    return MapLine(alignment.points, reach, transformer.transform), accuracy
