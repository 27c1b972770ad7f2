"""The main as it was built, in one strip: each run with its verdict, the thickness along it, and every length that is not as it was asked."""

from collections.abc import Sequence
from typing import Final

from mainwright.figures.frame import LABEL, SMALL, Frame, Tag, row_of
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.place import ticks
from mainwright.figures.svg import Drawing
from mainwright.plan.result import LinedStretch
from mainwright.prove.proof import Proof
from mainwright.units import from_si, to_si
from mainwright.words.wording import Wording, shown_unit

__all__ = ["as_built"]

_HEIGHT: Final = 210.0
_LEFT, _RIGHT = 30.0, 8.0
_RUNS, _BAND = 26.0, 20.0
_TOP, _FLOOR = 64.0, 166.0


def as_built(
    proof: Proof, stretches: Sequence[LinedStretch], *, width: float, theme: Theme = "light", language: str = "en", units: str = "metric"
) -> str:
    """Return the main as it was built as SVG text.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
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
        SVG. Verdicts are told apart by pattern and by a letter, never by colour alone.
    """
    look, reader = PALETTES[theme], Wording(language, "us" if units == "us" else "metric", "\u00a0")
    drawing = Drawing(width=width, height=_HEIGHT, title=reader.text("The main as it was built"))
    start = min((one.start for one in stretches), default=0.0)
    end = max((one.end for one in stretches), default=1.0)
    frame = Frame(drawing, look, reader, start, end, _LEFT, (width - _LEFT - _RIGHT) / max(end - start, 1e-9))
    _draw_runs(frame, proof)
    _draw_thickness(frame, proof, stretches)
    _draw_axis(frame)
    _draw_legend(frame)
    return drawing.svg()


def _fills(frame: Frame) -> dict[str, str]:
    drawing, look = frame.drawing, frame.look
    return {
        "meets": look.water,
        "does_not_meet": drawing.pattern("built-fails", ink=look.caution, ground="none", kind="rising"),
        "incomplete": drawing.pattern("built-open", ink=look.quiet, ground="none", kind="dots"),
    }


def _draw_runs(frame: Frame, proof: Proof) -> None:
    drawing, look = frame.drawing, frame.look
    fills = _fills(frame)
    tags = []
    for one in proof.runs:
        low, high = frame.x(one.run.start), frame.x(one.run.end)
        drawing.rect(low, _RUNS, high - low, _BAND, fill=fills[one.verdict], ink=look.ink, weight=0.6)
        tags.append(Tag(0.5 * (low + high), one.run.id, one.run.length))
    for tag, place in row_of(tags, size=LABEL, low=frame.left, high=frame.right, weight="semibold")[0]:
        drawing.text(place, _RUNS - 5.0, tag.text, size=LABEL, ink=look.ink, anchor="middle", weight="semibold")
        drawing.line(place, _RUNS - 3.0, tag.x, _RUNS, ink=look.quiet, weight=0.4)


def _draw_thickness(frame: Frame, proof: Proof, stretches: Sequence[LinedStretch]) -> None:
    drawing, look, reader = frame.drawing, frame.look, frame.reader
    most = max((1.15 * (one.maximum or 1.6 * one.nominal) for one in stretches), default=0.01)

    def y(value: float) -> float:
        return _FLOOR - (_FLOOR - _TOP) * min(max(value, 0.0), most) / most

    unit = shown_unit("mm", reader.units)
    marks = ticks(0.0, from_si(most, unit), 4)
    digits = 0 if all(value == int(value) for value in marks) else 2
    for value in marks:
        at = y(to_si(value, unit))
        drawing.line(frame.left, at, frame.right, at, ink=look.hair, weight=0.3)
        drawing.text(frame.left - 3.0, at + 2.2, reader.number(value, digits), size=SMALL, ink=look.quiet, anchor="end")
    drawing.text(0.0, _TOP - 6.0, f"{reader.text('Thickness')} [{reader.unit('mm')}]", size=SMALL, ink=look.quiet)
    thin = drawing.pattern("built-thin", ink=look.caution, ground="none", kind="rising")
    silent = drawing.pattern("built-silent", ink=look.quiet, ground="none", kind="falling")
    for one in proof.runs:
        for defect in one.defects:
            low, high = frame.x(defect.start), frame.x(defect.end)
            fill, ink = (silent, look.quiet) if defect.kind == "silent" else (thin, look.caution)
            drawing.rect(low, _TOP, max(high - low, 1.5), _FLOOR - _TOP, fill=fill, ink=ink, weight=0.5)
    for part in stretches:
        clipped = frame.clipped(part.start, part.end)
        if clipped:
            drawing.line(clipped[0], y(part.minimum), clipped[1], y(part.minimum), ink=look.ink, weight=1.1)
            drawing.line(clipped[0], y(part.nominal), clipped[1], y(part.nominal), ink=look.ink, weight=0.6, dash="4 3")
    for one in proof.runs:
        if one.laid is None:
            continue
        drawing.path(
            [(frame.x(at), y(value)) for at, value in zip(one.laid.chainages, one.laid.thicknesses, strict=True)], ink=look.run, weight=0.9
        )
        drawing.line(frame.x(one.run.end), _TOP, frame.x(one.run.end), _FLOOR, ink=look.quiet, weight=0.4, dash="1 2")


def _draw_axis(frame: Frame) -> None:
    drawing, look, reader = frame.drawing, frame.look, frame.reader
    drawing.line(frame.left, _FLOOR, frame.right, _FLOOR, ink=look.ink, weight=0.6)
    unit = shown_unit("m", reader.units)
    for value in ticks(from_si(frame.start, unit), from_si(frame.end, unit), 10):
        x = frame.x(to_si(value, unit))
        drawing.line(x, _FLOOR, x, _FLOOR + 3.0, ink=look.ink, weight=0.6)
        drawing.text(x, _FLOOR + 10.0, reader.number(value, 0), size=SMALL, ink=look.quiet, anchor="middle")
    drawing.text(0.0, _FLOOR + 10.0, f"[{reader.unit('m')}]", size=SMALL, ink=look.quiet)


def _draw_legend(frame: Frame) -> None:
    drawing, look, reader = frame.drawing, frame.look, frame.reader
    fills = _fills(frame)
    thin = drawing.pattern("built-thin", ink=look.caution, ground="none", kind="rising")
    silent = drawing.pattern("built-silent", ink=look.quiet, ground="none", kind="falling")
    parts = [
        (reader.text("meets the entered requirements"), fills["meets"], look.ink),
        (reader.text("does not meet the entered requirements"), fills["does_not_meet"], look.ink),
        (reader.text("incomplete"), fills["incomplete"], look.ink),
        (reader.text("thin, bare or thick"), thin, look.caution),
        (reader.text("no readings"), silent, look.quiet),
    ]
    x, y = frame.left, _HEIGHT - 20.0
    for name, fill, ink in parts:
        room = 27.0 + text_width(name, SMALL)
        if x + room > frame.right + _RIGHT:
            x, y = frame.left, y + 11.0
        drawing.rect(x, y - 6.0, 12.0, 7.0, fill=fill, ink=ink, weight=0.5)
        drawing.text(x + 15.0, y, name, size=SMALL, ink=look.quiet)
        x += room
    for name, weight, dash, ink in (
        (reader.text("by the readings"), 0.9, "", look.run),
        (reader.text("minimum"), 1.1, "", look.ink),
        (reader.text("nominal"), 0.6, "4 3", look.ink),
    ):
        room = 29.0 + text_width(name, SMALL)
        if x + room > frame.right + _RIGHT:
            x, y = frame.left, y + 11.0
        drawing.line(x, y - 2.0, x + 14.0, y - 2.0, ink=ink, weight=weight, dash=dash)
        drawing.text(x + 17.0, y, name, size=SMALL, ink=look.quiet)
        x += room
