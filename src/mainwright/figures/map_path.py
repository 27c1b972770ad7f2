"""The line of the main from above, in the points of a drawing, and the streets along it."""

import math
from collections.abc import Sequence
from itertools import pairwise

from mainwright.figures.frame import LABEL
from mainwright.figures.metrics import text_width
from mainwright.figures.place import spread
from mainwright.figures.svg import Drawing
from mainwright.job.job import Job

__all__ = ["MapPath", "street_names"]


class MapPath:
    """The line of the main in the drawing: place and direction by chainage."""

    def __init__(self, points: Sequence[tuple[float, float]], start: float, end: float) -> None:
        self.points = list(points)
        self._reach = [0.0]
        for a, b in pairwise(points):
            self._reach.append(self._reach[-1] + math.dist(a, b))
        self._start, self._scale = start, self._reach[-1] / (end - start)

    def at(self, chainage: float) -> tuple[float, float, float, float]:
        """Return x, y and the unit vector up-chainage there."""
        along = min(max((chainage - self._start) * self._scale, 0.0), self._reach[-1])
        k = next((k for k in range(1, len(self._reach)) if along <= self._reach[k]), len(self._reach) - 1)
        a, b = self.points[k - 1], self.points[k]
        long = self._reach[k] - self._reach[k - 1] or 1.0
        share = (along - self._reach[k - 1]) / long
        return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), (b[0] - a[0]) / long, (b[1] - a[1]) / long

    @property
    def points_by_metre(self) -> float:
        """Points of the drawing to a metre of chainage."""
        return self._scale

    def part(self, start: float, end: float) -> list[tuple[float, float]]:
        """Return the points of a length of it."""
        low, high = (max((one - self._start) * self._scale, 0.0) for one in (start, end))
        inside = [point for point, reach in zip(self.points, self._reach, strict=True) if low < reach < high]
        first, last = self.at(start), self.at(end)
        return [(first[0], first[1]), *inside, (last[0], last[1])]


def street_names(drawing: Drawing, job: Job, path: MapPath, *, ink: str) -> None:
    """Name the streets over their lengths, in a row at the top; none where they find no room together.

    Parameters
    ----------
    drawing : Drawing
        Where they are set. [-]
    job : Job
        Its permits name them. [-]
    path : MapPath
        The main. [-]
    ink : str
        Colour of the text. [-]
    """
    width = drawing.width
    named = [one for one in job.permits if one.street and one.start is not None and one.end is not None]
    middles = [path.at(0.5 * ((one.start or 0.0) + (one.end or 0.0)))[0] for one in named]
    widths = [text_width(one.street or "", LABEL, "semibold") + 6.0 for one in named]
    order = sorted(range(len(named)), key=lambda k: middles[k])
    if not named or sum(widths) > width - 12.0:
        return
    places = spread([middles[k] for k in order], [widths[k] for k in order], 6.0, width - 6.0)
    for k, x in zip(order, places, strict=True):
        drawing.text(x, 12.0, named[k].street or "", size=LABEL, ink=ink, anchor="middle", weight="semibold")
