"""Where a letter belongs: the line of the main from above, the block that is closed, and the connections that are meant."""

import math
from collections.abc import Sequence
from itertools import pairwise

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.place import spread
from mainwright.figures.svg import Drawing
from mainwright.job.job import Job
from mainwright.plan.result_giving_back import Block, Notice
from mainwright.words.wording import UnitSystem, Wording

__all__ = ["street_strip"]

_HEIGHT = 118.0
_EDGE = 26.0
_OFF = 11.0
"""How far a connection stands beside the main. [point]"""
_FLATTEST = 0.28
"""A line that is flatter or steeper than it fits is drawn straight: turned lines in a strip are not read."""


class _Path:
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

    def part(self, start: float, end: float) -> list[tuple[float, float]]:
        """Return the points of a length of it."""
        low, high = (max((one - self._start) * self._scale, 0.0) for one in (start, end))
        inside = [point for point, reach in zip(self.points, self._reach, strict=True) if low < reach < high]
        first, last = self.at(start), self.at(end)
        return [(first[0], first[1]), *inside, (last[0], last[1])]


def _path(job: Job, width: float) -> tuple[_Path, bool]:
    """Return the line, and whether it is that of the map; a straight one where there is no map or it does not fit the strip."""
    start, end = job.main[0].start, job.main[-1].end
    middle = _HEIGHT / 2.0 + 2.0
    straight = _Path([(_EDGE, middle), (width - _EDGE, middle)], start, end)
    if job.alignment is None:
        return straight, False
    points = job.alignment.points
    # Degrees shrink with latitude east to west; a plane system has no such squeeze and far greater numbers.
    degrees = all(abs(x) <= 180.0 and abs(y) <= 90.0 for x, y in points)
    squeeze = math.cos(math.radians(points[0][1])) if degrees else 1.0
    xs, ys = [x * squeeze for x, _ in points], [y for _, y in points]
    wide, tall = max(xs) - min(xs), max(ys) - min(ys)
    if not wide > 0.0 or tall / wide > _FLATTEST:
        return straight, False
    scale = min((width - 2.0 * _EDGE) / wide, (_HEIGHT - 2.0 * _EDGE - 8.0) / tall if tall > 0.0 else math.inf)
    left, low = (width - wide * scale) / 2.0, middle + tall * scale / 2.0
    return _Path([(left + (x - min(xs)) * scale, low - (y - min(ys)) * scale) for x, y in zip(xs, ys, strict=True)], start, end), True


def street_strip(
    job: Job, notice: Notice, block: Block, *, width: float, theme: Theme = "light", language: str = "en", units: UnitSystem = "metric"
) -> str:
    """Return the place of a letter as SVG text.

    Parameters
    ----------
    job : Job
        The job. [-]
    notice : Notice
        The letter. [-]
    block : Block
        What is closed. [-]
    width : float
        Of the drawing. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language, units : str
        Of the reader. [-]

    Returns
    -------
    str
        SVG.
    """
    look, reader = PALETTES[theme], Wording(language, units, "\u00a0")
    drawing = Drawing(width=width, height=_HEIGHT, title=reader.text("Where it is"))
    path, mapped = _path(job, width)
    drawing.rect(0.3, 0.3, width - 0.6, _HEIGHT - 0.6, ink=look.hair, weight=0.6)
    drawing.path(path.points, ink=look.hair, weight=5.0)
    drawing.path(path.part(block.start, block.end), ink=look.water, weight=9.0)
    drawing.path(path.part(block.start, block.end), ink=look.run, weight=2.2)
    drawing.path(path.points, ink=look.iron, weight=0.8, dash="3 2")
    for end in (block.start, block.end):
        x, y, along_x, along_y = path.at(end)
        drawing.line(x - 6.0 * along_y, y + 6.0 * along_x, x + 6.0 * along_y, y - 6.0 * along_x, ink=look.ink, weight=1.4)
    meant = set(notice.refs)
    for service in job.services:
        name = service.ref or f"{service.chainage:g}"
        x, y, along_x, along_y = path.at(service.chainage)
        # Left looking up-chainage is against the clock of the direction; y runs downwards here.
        side = -1.0 if service.side == "right" else 1.0
        to_x, to_y = x + side * _OFF * along_y, y - side * _OFF * along_x
        mine = name in meant
        drawing.line(x, y, to_x, to_y, ink=look.run if mine else look.hair, weight=1.2 if mine else 0.5)
        drawing.circle(
            to_x, to_y, 2.6 if mine else 1.2, fill=look.run if mine else look.paper, ink=look.run if mine else look.quiet, weight=0.8
        )
    _streets(drawing, job, path, ink=look.ink)
    first, last = (reader.quantity(one, "m", 0) for one in (block.start, block.end))
    legend = f"{reader.text('thick: closed at once')}, {first}–{last}   ●\u00a0{reader.text('connections of this letter')}"
    drawing.text(6.0, _HEIGHT - 6.0, legend, size=SMALL, ink=look.quiet)
    note = reader.text("from the map; not for digging") if mapped else reader.text("a sketch, not to be measured")
    drawing.text(width - 6.0, _HEIGHT - 6.0, note, size=SMALL, ink=look.quiet, anchor="end")
    return drawing.svg()


def _streets(drawing: Drawing, job: Job, path: _Path, *, ink: str) -> None:
    """Name the streets over their lengths."""
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
