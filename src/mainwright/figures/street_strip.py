"""Where a letter belongs: the line of the main from above, the block that is closed, and the connections that are meant."""

import math

from mainwright.figures.frame import SMALL
from mainwright.figures.map_path import MapPath, street_names
from mainwright.figures.palette import PALETTES, Theme
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


def _path(job: Job, width: float) -> tuple[MapPath, bool]:
    """Return the line, and whether it is that of the map; a straight one where there is no map or it does not fit the strip."""
    start, end = job.main[0].start, job.main[-1].end
    middle = _HEIGHT / 2.0 + 2.0
    straight = MapPath([(_EDGE, middle), (width - _EDGE, middle)], start, end)
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
    return MapPath([(left + (x - min(xs)) * scale, low - (y - min(ys)) * scale) for x, y in zip(xs, ys, strict=True)], start, end), True


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
    street_names(drawing, job, path, ink=look.ink)
    first, last = (reader.quantity(one, "m", 0) for one in (block.start, block.end))
    legend = f"{reader.text('thick: closed at once')}, {first}–{last}   ●\u00a0{reader.text('connections of this letter')}"
    drawing.text(6.0, _HEIGHT - 6.0, legend, size=SMALL, ink=look.quiet)
    note = reader.text("from the map; not for digging") if mapped else reader.text("a sketch, not to be measured")
    drawing.text(width - 6.0, _HEIGHT - 6.0, note, size=SMALL, ink=look.quiet, anchor="end")
    return drawing.svg()
