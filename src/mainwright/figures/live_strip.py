"""Thickness along the run while the head is in the pipe: what lies there, its band, what was asked, and where the head is."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.figures.palette import Palette
from mainwright.figures.place import ticks
from mainwright.figures.svg import Drawing
from mainwright.units import from_si, to_si
from mainwright.words.wording import Wording, shown_unit

__all__ = ["PAGE", "Asked", "live_strip"]

PAGE: Final = Palette(
    paper="var(--paper)",
    ink="var(--ink)",
    quiet="var(--quiet)",
    hair="var(--hair)",
    earth="var(--earth)",
    earth_line="var(--earth-line)",
    iron="var(--iron)",
    water="var(--water)",
    deposit="var(--deposit)",
    mortar="var(--mortar)",
    run="var(--run)",
    pump="var(--pump)",
    opening="var(--opening)",
    forbidden="var(--forbidden)",
    caution="var(--caution)",
)
"""Colours by their names in a page, so that one drawing serves both lights."""

_TOP: Final = 10.0
_LEFT: Final = 34.0
_RIGHT: Final = 10.0
_FOOT: Final = 24.0
_SIZE: Final = 11.0


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked on one length of one bore: chainages, aim, minimum and maximum. [m]."""

    start: float
    end: float
    aim: float
    minimum: float
    maximum: float | None


def live_strip(
    asked: Sequence[Asked],
    *,
    points: Sequence[tuple[float, float, float]],
    head: float | None,
    reader: Wording,
    width: float = 1000.0,
    height: float = 170.0,
) -> str:
    """Return the strip as SVG text in the colours of the page.

    Parameters
    ----------
    asked : sequence of Asked
        In order of chainage, without a gap. [-]
    points : sequence of tuple
        Chainage, thickness and one standard deviation, in order of chainage. [m]
    head : float or None
        Chainage of the spray plane. [m]
    reader : Wording
        Whose language and units. [-]
    width, height : float
        Of the drawing. [point]

    Returns
    -------
    str
        SVG.
    """
    drawing = Drawing(width=width, height=height, title=reader.text("Thickness along the run"))
    start, end = asked[0].start, asked[-1].end
    scale = (width - _LEFT - _RIGHT) / (end - start)
    floor = height - _FOOT
    most = 1.25 * max(one.maximum or 1.5 * one.aim for one in asked)

    def x(chainage: float) -> float:
        return _LEFT + scale * (min(max(chainage, start), end) - start)

    def y(value: float) -> float:
        return floor - (floor - _TOP) * min(max(value, 0.0), most) / most

    for one in asked:
        top = _TOP if one.maximum is None else y(one.maximum)
        drawing.rect(x(one.start), top, x(one.end) - x(one.start), y(one.minimum) - top, fill=PAGE.water)
    _scales(drawing, reader, x=x, y=y, start=start, end=end, most=most, floor=floor)
    band = [(x(at), y(value + 2.0 * deviation)) for at, value, deviation in points]
    band += [(x(at), y(value - 2.0 * deviation)) for at, value, deviation in reversed(points)]
    drawing.path(band, fill=PAGE.mortar, closed=True)
    for one in asked:
        low, high = x(one.start), x(one.end)
        drawing.line(low, y(one.minimum), high, y(one.minimum), ink=PAGE.caution, weight=1.6)
        drawing.line(low, y(one.aim), high, y(one.aim), ink=PAGE.ink, weight=1.0, dash="6 4")
        if one.maximum is not None:
            drawing.line(low, y(one.maximum), high, y(one.maximum), ink=PAGE.quiet, weight=1.2)
        if one.start > start:
            drawing.line(low, _TOP, low, floor, ink=PAGE.iron, weight=1.0, dash="2 3")
    drawing.path([(x(at), y(value)) for at, value, _ in points], ink=PAGE.run, weight=2.6)
    if head is not None:
        at = x(head)
        drawing.line(at, _TOP, at, floor, ink=PAGE.ink, weight=1.6)
        drawing.path([(at - 6.0, _TOP - 8.0), (at + 6.0, _TOP - 8.0), (at, _TOP + 2.0)], fill=PAGE.ink, closed=True)
    return drawing.svg()


def _scales(
    drawing: Drawing,
    reader: Wording,
    *,
    x: Callable[[float], float],
    y: Callable[[float], float],
    start: float,
    end: float,
    most: float,
    floor: float,
) -> None:
    unit = shown_unit("mm", reader.units)
    marks = ticks(0.0, from_si(most, unit), 4)
    digits = 0 if all(value == int(value) for value in marks) else 2
    for value in marks:
        at = y(to_si(value, unit))
        drawing.line(_LEFT - 4.0, at, _LEFT, at, ink=PAGE.quiet, weight=0.8)
        drawing.text(_LEFT - 7.0, at + 4.0, reader.number(value, digits), size=_SIZE, ink=PAGE.quiet, anchor="end")
    drawing.line(_LEFT, floor, x(end), floor, ink=PAGE.ink, weight=1.0)
    unit = shown_unit("m", reader.units)
    scale_room = x(end) - x(start)
    for value in ticks(from_si(start, unit), from_si(end, unit), 9 if scale_room > 600.0 else 4):
        at = x(to_si(value, unit))
        drawing.line(at, floor, at, floor + 4.0, ink=PAGE.ink, weight=0.8)
        drawing.text(at, floor + 16.0, reader.number(value, 0), size=_SIZE, ink=PAGE.quiet, anchor="middle")
