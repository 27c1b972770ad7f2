"""The lined wall laid open: chainage along, the clock upwards, thickness in named classes, thin areas outlined."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from mainwright.figures.frame import SMALL, Frame
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Palette, Theme
from mainwright.figures.place import ticks
from mainwright.figures.svg import Drawing
from mainwright.science.rings.thin import ThinArea
from mainwright.units import from_si, to_si
from mainwright.words.wording import Wording, shown_unit

__all__ = ["unrolled"]

_HEIGHT = 190.0
_TOP, _BOTTOM, _LEFT, _RIGHT = 16.0, 46.0, 30.0, 8.0
_CLASSES: Final = ("under", "low", "good", "over", "unread")


@dataclass(frozen=True, slots=True)
class _Limits:
    minimum: float
    nominal: float
    maximum: float | None

    def of(self, value: float | None) -> str:
        if value is None:
            return "unread"
        if value < self.minimum:
            return "under"
        if value < self.nominal:
            return "low"
        return "over" if self.maximum is not None and value > self.maximum else "good"


def unrolled(
    rows: Sequence[Sequence[float | None]],
    areas: Sequence[ThinArea],
    *,
    start: float,
    end: float,
    minimum: float,
    nominal: float,
    maximum: float | None,
    name: str,
    width: float,
    theme: Theme = "light",
    language: str = "en",
    units: str = "metric",
) -> str:
    """Return the wall of a run laid open, as SVG text.

    Parameters
    ----------
    rows : sequence of sequence of float or None
        Least thickness in equal steps along the run, each in equal steps of the clock from 12 o'clock clockwise; None: not read. [m]
    areas : sequence of ThinArea
        What is outlined. [-]
    start, end : float
        Chainage of the run. [m]
    minimum, nominal : float
        What was asked. [m]
    maximum : float or None
        What was allowed. [m]
    name : str
        Of the run: it tells the patterns of one drawing from another's. [-]
    width : float
        Of the drawing. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language, units : str
        Of the reader. [-]

    Returns
    -------
    str
        SVG; 6 o'clock in the middle, 12 o'clock at both edges.
    """
    look, reader = PALETTES[theme], Wording(language, "us" if units == "us" else "metric", "\u00a0")
    drawing = Drawing(width=width, height=_HEIGHT, title=reader.text("The lined wall laid open"))
    frame = Frame(drawing, look, reader, start, end, _LEFT, (width - _LEFT - _RIGHT) / (end - start))
    floor = _HEIGHT - _BOTTOM
    fills = _fills(drawing, look, name)
    limits = _Limits(minimum, nominal, maximum)
    drawing.text(0.0, 8.0, reader.text("Least thickness of each step, by the clock looking up-chainage"), size=SMALL, ink=look.quiet)
    # One ground for all that is sound: no seams between its pieces.
    drawing.rect(_LEFT, _TOP, frame.right - _LEFT, floor - _TOP, fill=fills["good"])
    across = len(rows[0]) if rows else 1
    step, tall = (end - start) / max(len(rows), 1), (floor - _TOP) / across
    for place in range(across):
        column = [limits.of(row[place]) for row in rows]
        for kind, group in groupby(enumerate(column), key=lambda one: one[1]):
            places = [number for number, _ in group]
            if kind == "good":
                continue
            low, high = frame.x(start + places[0] * step), frame.x(start + (places[-1] + 1) * step)
            drawing.rect(low, _TOP + place * tall, high - low, tall, fill=fills[kind])
    for area in areas:
        _outline(frame, area, floor)
    for quarter, hour in enumerate((12, 3, 6, 9, 12)):
        y = _TOP + (floor - _TOP) * quarter / 4.0
        drawing.text(_LEFT - 3.0, y + 2.2, str(hour), size=SMALL, ink=look.quiet, anchor="end")
    drawing.rect(_LEFT, _TOP, frame.right - _LEFT, floor - _TOP, ink=look.ink, weight=0.6)
    _chainages(frame, floor)
    _legend(frame, fills, limits)
    return drawing.svg()


def _fills(drawing: Drawing, look: Palette, name: str) -> dict[str, str]:
    """Return a fill for each class: each with its own pattern, so that none needs its colour."""
    return {
        "under": drawing.pattern(f"wall-under-{name}", ink=look.caution, ground=look.paper, kind="crossed"),
        "low": drawing.pattern(f"wall-low-{name}", ink=look.ink, ground=look.mortar, kind="dots"),
        "good": look.mortar,
        "over": drawing.pattern(f"wall-over-{name}", ink=look.ink, ground=look.mortar, kind="rising"),
        "unread": drawing.pattern(f"wall-unread-{name}", ink=look.quiet, ground=look.paper, kind="falling"),
    }


def _outline(frame: Frame, area: ThinArea, floor: float) -> None:
    """Draw the outer edges of an area: two boxes where it lies over the crown."""
    clipped = frame.clipped(area.start, area.end)
    if clipped is None:
        return
    low, high = clipped
    # So small an area would vanish on paper.
    high = max(high, low + 2.0)
    spans = [(area.clock_start, area.clock_end)]
    if area.clock_start > area.clock_end:
        spans = [(area.clock_start, 12.0), (0.0, area.clock_end)]
    for begin, stop in spans:
        top, bottom = (_TOP + (floor - _TOP) * hour / 12.0 for hour in (begin, stop))
        frame.drawing.rect(low, top, high - low, max(bottom - top, 2.0), ink=frame.look.caution, weight=0.9)


def _chainages(frame: Frame, floor: float) -> None:
    drawing, look, reader = frame.drawing, frame.look, frame.reader
    unit = shown_unit("m", reader.units)
    for value in ticks(from_si(frame.start, unit), from_si(frame.end, unit), 8):
        x = frame.x(to_si(value, unit))
        drawing.line(x, floor, x, floor + 3.0, ink=look.ink, weight=0.6)
        drawing.text(x, floor + 10.0, reader.number(value, 0), size=SMALL, ink=look.quiet, anchor="middle")


def _legend(frame: Frame, fills: dict[str, str], limits: _Limits) -> None:
    drawing, look, reader = frame.drawing, frame.look, frame.reader
    unit = shown_unit("mm", reader.units)

    def told(value: float) -> str:
        return reader.number(from_si(value, unit), 1 if unit == "mm" else 2)

    least, usual = told(limits.minimum), told(limits.nominal)
    most = "" if limits.maximum is None else told(limits.maximum)
    names = {
        "under": f"{reader.text('under the minimum')}: < {least}",
        "low": f"{reader.text('minimum to nominal')}: {least}–{usual}",
        "good": f"{reader.text('nominal and more')}: ≥ {usual}",
        "over": f"{reader.text('over the maximum')}: > {most}",
        "unread": reader.text("no readings"),
    }
    x, y = frame.left, _HEIGHT - 22.0
    drawing.text(0.0, y, f"[{reader.unit('mm')}]", size=SMALL, ink=look.quiet)
    boxes = [(names[kind], fills[kind], look.ink, 0.4) for kind in _CLASSES if kind != "over" or most]
    for name, fill, ink, weight in (*boxes, (reader.text("thin area"), "none", look.caution, 0.9)):
        wide = 15.0 + text_width(name, SMALL)
        if x + wide > frame.right:
            x, y = frame.left, y + 11.0
        drawing.rect(x, y - 6.0, 12.0, 7.0, fill=fill, ink=ink, weight=weight)
        drawing.text(x + 15.0, y, name, size=SMALL, ink=look.quiet)
        x += wide + 12.0
