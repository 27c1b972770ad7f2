"""Thickness along one run by its record: a line with the band of its uncertainty, what was asked, and where it falls short or is silent."""

from collections.abc import Sequence

from mainwright.figures.frame import LABEL, SMALL, Frame
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.place import ticks
from mainwright.figures.svg import Drawing
from mainwright.plan.result import LinedStretch
from mainwright.prove.proof import RunProof
from mainwright.units import from_si, to_si
from mainwright.words.wording import Wording, shown_unit

__all__ = ["thickness_strip"]

_HEIGHT = 126.0
_TOP, _BOTTOM, _LEFT, _RIGHT = 16.0, 34.0, 30.0, 8.0


def thickness_strip(
    one: RunProof, stretches: Sequence[LinedStretch], *, width: float, theme: Theme = "light", language: str = "en", units: str = "metric"
) -> str:
    """Return the thickness along a run as SVG text.

    Parameters
    ----------
    one : RunProof
        The run; it has readings. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    width : float
        Of the drawing. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language, units : str
        Of the reader. [-]

    Returns
    -------
    str
        SVG; without readings an empty frame that says so.
    """
    look, reader = PALETTES[theme], Wording(language, "us" if units == "us" else "metric", "\u00a0")
    drawing = Drawing(width=width, height=_HEIGHT, title=reader.text("Thickness along the run"))
    run, laid = one.run, one.laid
    frame = Frame(drawing, look, reader, run.start, run.end, _LEFT, (width - _LEFT - _RIGHT) / run.length)
    if laid is None:
        drawing.text(
            width / 2.0, _HEIGHT / 2.0, reader.text("no readings of odometer and pump"), size=LABEL, ink=look.quiet, anchor="middle"
        )
        return drawing.svg()
    asked = [part for part in stretches if part.start < run.end and part.end > run.start]
    tops = [value + 2.0 * deviation for value, deviation in zip(laid.thicknesses, laid.deviations, strict=True)]
    most = 1.1 * max([*tops, *(part.maximum or part.nominal for part in asked)])
    # A ring of a stop would flatten all the rest; it is cut at twice the greatest that was asked, and the table has its value.
    most = min(most, 2.0 * max(part.maximum or 1.5 * part.nominal for part in asked))
    floor = _HEIGHT - _BOTTOM

    def y(value: float) -> float:
        return floor - (floor - _TOP) * min(max(value, 0.0), most) / most

    unit = shown_unit("mm", reader.units)
    marks = ticks(0.0, from_si(most, unit), 5)
    digits = 0 if all(value == int(value) for value in marks) else 2
    for value in marks:
        at = y(to_si(value, unit))
        drawing.line(_LEFT, at, frame.right, at, ink=look.hair, weight=0.3)
        drawing.text(_LEFT - 3.0, at + 2.2, reader.number(value, digits), size=SMALL, ink=look.quiet, anchor="end")
    drawing.text(0.0, 8.0, f"{reader.text('Thickness')} [{reader.unit('mm')}]", size=SMALL, ink=look.quiet)
    _chainages(frame, floor)
    _zones(frame, one, floor)
    steps = list(zip(laid.chainages, laid.thicknesses, laid.deviations, strict=True))
    band = [(frame.x(at), y(value + 2.0 * deviation)) for at, value, deviation in steps]
    band += [(frame.x(at), y(value - 2.0 * deviation)) for at, value, deviation in reversed(steps)]
    drawing.path(band, fill=look.hair, closed=True)
    for part in asked:
        low, high = frame.clipped(part.start, part.end) or (_LEFT, _LEFT)
        drawing.line(low, y(part.minimum), high, y(part.minimum), ink=look.ink, weight=1.1)
        drawing.line(low, y(part.nominal), high, y(part.nominal), ink=look.ink, weight=0.6, dash="4 3")
        if part.maximum is not None:
            drawing.line(low, y(part.maximum), high, y(part.maximum), ink=look.ink, weight=0.6)
    drawing.path([(frame.x(at), y(value)) for at, value, _ in steps], ink=look.run, weight=1.2)
    _legend(frame, one)
    return drawing.svg()


def _chainages(frame: Frame, floor: float) -> None:
    drawing, look, reader = frame.drawing, frame.look, frame.reader
    drawing.line(frame.left, floor, frame.right, floor, ink=look.ink, weight=0.6)
    unit = shown_unit("m", reader.units)
    for value in ticks(from_si(frame.start, unit), from_si(frame.end, unit), 8):
        x = frame.x(to_si(value, unit))
        drawing.line(x, floor, x, floor + 3.0, ink=look.ink, weight=0.6)
        drawing.text(x, floor + 10.0, reader.number(value, 0), size=SMALL, ink=look.quiet, anchor="middle")


def _zones(frame: Frame, one: RunProof, floor: float) -> None:
    """Mark lengths under the minimum and lengths without readings, each by its own pattern."""
    drawing, look = frame.drawing, frame.look
    if one.thickness is not None and one.thickness.under_minimum:
        fill = drawing.pattern(f"thin-{one.run.id}", ink=look.caution, ground="none", kind="rising")
        for part in one.thickness.under_minimum:
            low, high = frame.x(part.start), frame.x(part.end)
            drawing.rect(low, _TOP, max(high - low, 1.0), floor - _TOP, fill=fill, ink=look.caution, weight=0.5)
    if one.laid is not None and one.laid.gaps:
        fill = drawing.pattern(f"gap-{one.run.id}", ink=look.quiet, ground="none", kind="falling")
        for gap in one.laid.gaps:
            low, high = frame.x(gap.start), frame.x(gap.end)
            drawing.rect(low, _TOP, max(high - low, 1.0), floor - _TOP, fill=fill, ink=look.quiet, weight=0.4)


def _legend(frame: Frame, one: RunProof) -> None:
    drawing, look, reader = frame.drawing, frame.look, frame.reader
    y = _HEIGHT - 8.0
    x = frame.left
    lines = (
        (reader.text("by the readings"), look.run, 1.2, ""),
        (reader.text("minimum"), look.ink, 1.1, ""),
        (reader.text("nominal"), look.ink, 0.6, "4 3"),
        (reader.text("maximum"), look.ink, 0.6, ""),
    )
    fills = _fills(frame, one)
    wide = sum(29.0 + text_width(name, SMALL) for name, *_ in lines) + sum(27.0 + text_width(name, SMALL) for name, *_ in fills)
    two_rows = x + wide - 12.0 > drawing.width
    if two_rows:
        y -= 6.0
    for name, ink, weight, dash in lines:
        drawing.line(x, y - 2.0, x + 14.0, y - 2.0, ink=ink, weight=weight, dash=dash)
        drawing.text(x + 17.0, y, name, size=SMALL, ink=look.quiet)
        x += 29.0 + text_width(name, SMALL)
    if two_rows:
        x, y = frame.left, y + 11.0
    for name, fill, ink in fills:
        drawing.rect(x, y - 6.0, 12.0, 7.0, fill=fill, ink=ink, weight=0.5)
        drawing.text(x + 15.0, y, name, size=SMALL, ink=look.quiet)
        x += 27.0 + text_width(name, SMALL)


def _fills(frame: Frame, one: RunProof) -> list[tuple[str, str, str]]:
    """Return the name, ground and edge of each kind of area."""
    drawing, look, reader = frame.drawing, frame.look, frame.reader
    fills = [(reader.text("two deviations to each side"), look.hair, look.quiet)]
    if one.thickness is not None and one.thickness.under_minimum:
        thin = drawing.pattern("thin-sign", ink=look.caution, ground="none", kind="rising")
        fills.append((reader.text("under the minimum"), thin, look.caution))
    if one.laid is not None and one.laid.gaps:
        fills.append((reader.text("no readings"), drawing.pattern("gap-sign", ink=look.quiet, ground="none", kind="falling"), look.quiet))
    return fills
