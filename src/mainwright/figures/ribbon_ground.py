"""Lanes of the ribbon that show where the main lies: axis, surface, profile."""

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from mainwright.figures.frame import LABEL, SMALL, Frame
from mainwright.figures.metrics import fitted, text_width
from mainwright.figures.place import ticks
from mainwright.job.job import Job
from mainwright.units import from_si, to_si
from mainwright.words.wording import shown_unit

if TYPE_CHECKING:
    from mainwright.job.survey import Ground, Level

__all__ = ["axis", "forbidden_zones", "profile", "surface", "surface_fill"]


def axis(frame: Frame, top: float) -> float:
    """Draw the chainage axis and return its height."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    unit = shown_unit("m", reader.units)
    low, high = from_si(frame.start, unit), from_si(frame.end, unit)
    per_unit = frame.scale * to_si(1.0, unit)
    base = top + 14.0
    draw.open_group("axis", reader.text("Chainage"))
    frame.title(base - 1.0, f"{reader.text('Chainage')} [{reader.unit('m')}]")
    marks = ticks(low, high, max(1, int((high - low) * per_unit / 52.0)))
    fine = ticks(low, high, max(1, int((high - low) * per_unit / 10.0)))
    for value in fine:
        draw.line(x := frame.x(to_si(value, unit)), base, x, base - 2.4, ink=look.quiet, weight=0.4)
    for value in marks:
        x = frame.x(to_si(value, unit))
        draw.line(x, base, x, base - 4.6, ink=look.ink, weight=0.8)
        text = reader.number(value, 0 if marks[-1] >= 10 else 1)
        draw.text(x, base - 6.2, text, size=LABEL, ink=look.ink, anchor="middle")
    draw.line(frame.left, base, frame.right, base, ink=look.ink, weight=0.8)
    draw.close_group()
    return 18.0


def surface_fill(frame: Frame, kind: str | None) -> str:
    """Return the fill of one surface: paper, tone or pattern, different without colour."""
    look, pattern = frame.look, frame.drawing.pattern
    if kind in ("carriageway", "footway", None):
        return look.earth if kind == "carriageway" else "none"
    if kind == "main_road":
        return look.hair
    if kind in ("railway", "watercourse"):
        return pattern(f"s-{kind}", ink=look.quiet, ground=look.paper, step=3.4, kind="crossed" if kind == "railway" else "falling")
    if kind == "paved_square":
        return pattern("s-square", ink=look.hair, ground=look.paper, step=5.0, kind="crossed")
    return pattern(f"s-{kind}", ink=look.quiet, ground=look.paper, step=3.6 if kind == "verge" else 6.0, kind="dots")


def surface(frame: Frame, top: float, job: Job) -> float:
    """Draw what lies over the main and return the lane's height."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    draw.open_group("surface", reader.text("Surface"))
    frame.title(top + 9.0, reader.text("Surface, cover"))
    for ground in job.ground:
        part = frame.clipped(ground.start, ground.end)
        if part is None:
            continue
        x, width = part[0], part[1] - part[0]
        draw.rect(x, top + 1.5, width, 11.0, fill=surface_fill(frame, ground.surface), ink=look.hair, weight=0.5)
        name = reader.code(ground.surface) if ground.surface else reader.text("surface not known")
        cover = reader.quantity(ground.cover, "m", 1) if ground.cover is not None else ""
        label = fitted(tuple(dict.fromkeys((f"{name} · {cover}" if cover else name, name))), width - 4.0, SMALL)
        draw.text(x + width / 2, top + 9.2, label, size=SMALL, ink=look.ink, anchor="middle", halo=look.paper)
    draw.close_group()
    return 15.0


def forbidden_zones(job: Job) -> list[tuple[float, float, str]]:
    """Return the lengths where nobody digs, those that touch as one, with the surfaces in them."""
    zones: list[tuple[float, float, str]] = []
    for ground in job.ground:
        if ground.dig is not False:
            continue
        if zones and abs(zones[-1][1] - ground.start) < 1e-6:
            start, _, kind = zones.pop()
            zones.append((start, ground.end, kind))
        else:
            zones.append((ground.start, ground.end, ground.surface or ""))
    return zones


def _within(frame: Frame, points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return a polyline of chainage and value cut to the drawn length."""
    kept: list[tuple[float, float]] = []
    for (x1, y1), (x2, y2) in pairwise(points):
        low, high = max(x1, frame.start), min(x2, frame.end)
        if high < low or x2 <= x1:
            continue
        ends = [(x, y1 + (y2 - y1) * (x - x1) / (x2 - x1)) for x in (low, high)]
        kept += [end for end in ends if not kept or end != kept[-1]]
    return kept


def _lines(job: Job) -> tuple[list[tuple[float, float]], list[tuple[float, float]], bool]:
    """Return ground and pipe as polylines, and whether they are heights: without levels they are depths under a flat ground."""
    levels: Sequence[Level] = job.levels
    ground = [(level.chainage, level.ground) for level in levels if level.ground is not None]
    pipe = [(level.chainage, level.pipe) for level in levels if level.pipe is not None]
    if len(pipe) > 1:
        return ground, pipe, True
    covers: Sequence[Ground] = [row for row in job.ground if row.cover is not None]
    depth = [(place, -(row.cover or 0.0)) for row in covers for place in (row.start, row.end - 1e-6)]
    return [(place, 0.0) for place, _ in depth], depth, False


def profile(frame: Frame, top: float, job: Job, openings: Sequence[float]) -> float:
    """Draw ground and pipe along the main and return the lane's height."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    ground, pipe, heights = _lines(job)
    ground, pipe = _within(frame, ground), _within(frame, pipe)
    if len(pipe) < 2:
        return 0.0
    unit = shown_unit("m", reader.units)
    values = [from_si(value, unit) for _, value in (*ground, *pipe)]
    low, high = min(values), max(values)
    margin = max((high - low) * 0.12, 0.4)
    low, high, height = low - margin, high + margin, 64.0
    per = (height - 8.0) / (high - low)

    def y(value: float) -> float:
        return top + 4.0 + (high - from_si(value, unit)) * per

    draw.open_group("profile", reader.text("Ground and pipe"))
    frame.title(top + 11.0, reader.text("Ground and pipe"), reader.text("level") if heights else reader.text("depth; levels not known"))
    frame.drawing.text(0.0, top + 28.0, f"[{reader.unit('m')}]", size=SMALL, ink=look.quiet)
    for value in ticks(low, high, 4):
        at = y(to_si(value, unit))
        draw.line(frame.left, at, frame.right, at, ink=look.hair, weight=0.3)
        label = reader.number(value, 0 if abs(value - round(value)) < 1e-6 else 1)
        draw.text(frame.left - 4.0, at + 2.2, label, size=SMALL, ink=look.quiet, anchor="end")
    over = [(frame.x(place), y(value)) for place, value in ground]
    under = [(frame.x(place), y(value)) for place, value in pipe]
    if len(over) > 1:
        draw.path([*over, *reversed(under)], fill=look.earth, closed=True)
        draw.path(over, ink=look.earth_line, weight=1.1)
    for place in openings:
        if frame.shows(place) and len(over) > 1:
            x = frame.x(place)
            draw.rect(x - 2.2, _at(over, x), 4.4, _at(under, x) - _at(over, x), fill=look.opening, ink=look.ink, weight=0.6)
    draw.path(under, ink=look.iron, weight=2.2)
    for name, line, lift in ((reader.text("ground"), over, -3.0), (reader.text("pipe"), under, 8.4)):
        if line and frame.right - frame.left > 4 * text_width(name, SMALL):
            x = frame.left + 8.0
            draw.text(x, _at(line, x + 6.0) + lift, name, size=SMALL, ink=look.quiet, halo=look.paper)
    draw.close_group()
    return height


def _at(line: Sequence[tuple[float, float]], x: float) -> float:
    """Return the height of a drawn line at one place."""
    for (x1, y1), (x2, y2) in pairwise(line):
        if x1 <= x <= x2 and x2 > x1:
            return y1 + (y2 - y1) * (x - x1) / (x2 - x1)
    return line[0][1] if x < line[0][0] else line[-1][1]
