"""The temporary supply from above: the main with what is shut, the pipe along each kerb, feeds, crossings, the worst tap."""

import math
from typing import Final

from mainwright.figures.frame import SMALL, Tag, row_of
from mainwright.figures.map_path import MapPath, street_names
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Palette, Theme
from mainwright.figures.ribbon_supply import PipeLength, closed_valve, feed, feed_text, lowest, pipe_lengths, weights, without, worst_tap
from mainwright.figures.svg import Drawing
from mainwright.job.job import Job
from mainwright.plan.result_supply import SupplyPoint, TemporarySupply
from mainwright.units import from_si, to_si
from mainwright.words.message import Quantity, message
from mainwright.words.wording import UnitSystem, Wording, shown_unit

__all__ = ["supply_map"]

_EDGE: Final = 30.0
_ROWS: Final = 52.0
"""Room over the line for streets and feeds, and under it for feeds and legend. [point]"""
_TALLEST: Final = 260.0
_OFF: Final = 10.0
"""How far the pipe is drawn beside the main, which is not to scale. [point]"""
_STEP: Final = 6.0
_NORTH: Final = 14.0


def supply_map(
    job: Job, found: TemporarySupply, *, width: float, theme: Theme = "light", language: str = "en", units: UnitSystem = "metric"
) -> str:
    """Return the temporary supply on the map as SVG text.

    Parameters
    ----------
    job : Job
        The job, for the line of the main and its streets. [-]
    found : TemporarySupply
        The temporary supply. [-]
    width : float
        Of the drawing. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language, units : str
        Of the reader. [-]

    Returns
    -------
    str
        SVG. Without a line of the main it is a sketch along a straight one, and says so.
    """
    look, reader = PALETTES[theme], Wording(language, units, "\u00a0")
    path, height, north = _fitted(job, width)
    drawing = Drawing(width=width, height=height, title=reader.text("Temporary supply on the map"))
    drawing.rect(0.3, 0.3, width - 0.6, height - 0.6, ink=look.hair, weight=0.6)
    thick = weights(found)
    _pipes(drawing, look, path, found, thick)
    _customers(drawing, look, path, job, found)
    _labelled(drawing, look, reader, path, found)
    street_names(drawing, job, path, ink=look.ink)
    _legend(drawing, look, reader, thick, mapped=north is not None)
    if north is not None:
        _scale(drawing, look, reader, path.points_by_metre)
        _arrow(drawing, look, north)
    return drawing.svg()


def _pipes(drawing: Drawing, look: Palette, path: MapPath, found: TemporarySupply, thick: dict[str, float]) -> None:
    """Draw the main with what is shut, and the pipe along each kerb with its crossings."""
    for block in found.closed_blocks or ():
        drawing.path(path.part(block.start, block.end), ink=look.water, weight=8.0)
    drawing.path(path.points, ink=look.iron, weight=1.0, dash="3 2")
    for part in pipe_lengths(found):
        drawing.path(_beside(path, part), ink=look.run, weight=thick[part.stock])
    points = {one.id: one for one in found.points or ()}
    for line in found.lines or ():
        if line.crossing:
            ends = [_at(path, points[line.start].chainage, side) for side in ("left", "right")]
            drawing.path(ends, ink=look.run, weight=1.2, dash="2.4 1.6")


def _customers(drawing: Drawing, look: Palette, path: MapPath, job: Job, found: TemporarySupply) -> None:
    """Draw connections, valves that are shut, and who is without."""
    for service in job.services:
        if service.live is not False:
            x, y = _at(path, service.chainage, service.side or "left", 1.55)
            drawing.circle(x, y, 0.9, fill=look.quiet)
    for block in found.closed_blocks or ():
        for valve, chainage in ((block.start_valve, block.start), (block.end_valve, block.end)):
            if valve is not None:
                x, y, _, _ = path.at(chainage)
                closed_valve(drawing, look, x, y)
    for off in found.without or ():
        without(drawing, look, *_at(path, off.chainage, off.side or "left", 1.55))


def _fitted(job: Job, width: float) -> tuple[MapPath, float, float | None]:
    """Return the line, the height of the drawing, and which way north is: 0 up, a quarter turn where the line lies on its side; None for a sketch."""
    start, end = job.main[0].start, job.main[-1].end
    top = _ROWS - 8.0
    if job.alignment is None or len(job.alignment.points) < 2:
        middle = top + _OFF + 8.0
        return MapPath([(_EDGE, middle), (width - _EDGE, middle)], start, end), middle + _OFF + _ROWS, None
    points = job.alignment.points
    # Degrees shrink with latitude east to west; a plane system has no such squeeze and far greater numbers.
    degrees = all(abs(x) <= 180.0 and abs(y) <= 90.0 for x, y in points)
    squeeze = math.cos(math.radians(points[0][1])) if degrees else 1.0
    placed = [(x * squeeze, y) for x, y in points]
    north = 0.0
    if max(y for _, y in placed) - min(y for _, y in placed) > max(x for x, _ in placed) - min(x for x, _ in placed):
        placed, north = [(y, -x) for x, y in placed], math.pi / 2.0
    xs, ys = [x for x, _ in placed], [y for _, y in placed]
    wide, tall = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((width - 2.0 * _EDGE) / wide, _TALLEST / tall if tall > 0.0 else math.inf)
    left, low = (width - wide * scale) / 2.0, top + _OFF + 8.0 + tall * scale
    line = [(left + (x - min(xs)) * scale, low - (y - min(ys)) * scale) for x, y in placed]
    return MapPath(line, start, end), low + _OFF + _ROWS, north


def _at(path: MapPath, chainage: float, side: str, share: float = 1.0) -> tuple[float, float]:
    """Return a place beside the main: left looking up-chainage is against the clock of the direction, and y runs downwards."""
    x, y, ahead_x, ahead_y = path.at(chainage + _STEP)
    _, _, back_x, back_y = path.at(chainage - _STEP)
    x, y, _, _ = path.at(chainage)
    along_x, along_y = ahead_x + back_x, ahead_y + back_y
    long = math.hypot(along_x, along_y) or 1.0
    off = (-1.0 if side == "right" else 1.0) * _OFF * share / long
    return x + off * along_y, y - off * along_x


def _beside(path: MapPath, part: PipeLength) -> list[tuple[float, float]]:
    count = max(1, math.ceil((part.end - part.start) / _STEP))
    return [_at(path, part.start + (part.end - part.start) * k / count, part.side) for k in range(count + 1)]


def _labelled(drawing: Drawing, look: Palette, reader: Wording, path: MapPath, found: TemporarySupply) -> None:
    """Draw feeds and the worst tap, with their words over the line for the upper side and under it for the lower one."""
    marks: list[tuple[SupplyPoint, str]] = [(one, feed_text(one, reader)) for one in found.points or () if one.source]
    worst = lowest(found)
    if worst is not None:
        marks.append((worst, reader.word(message("least: {pressure}", pressure=Quantity(worst.pressure, "bar", 2)))))
    rows: dict[bool, list[tuple[Tag, float]]] = {True: [], False: []}
    for number, (one, text) in enumerate(marks):
        x, y = _at(path, one.chainage, one.side)
        main_x, main_y, _, _ = path.at(one.chainage)
        upper = y < main_y or (y == main_y and x > main_x)
        if one is worst and number == len(marks) - 1:
            worst_tap(drawing, look, x, y)
            rows[upper].append((Tag(x, text, 1e9), y))
        else:
            out_x, out_y = (x - main_x) / _OFF, (y - main_y) / _OFF
            drawing.path(
                [(x + 8 * out_x - 4 * out_y, y + 8 * out_y + 4 * out_x), (x + 8 * out_x + 4 * out_y, y + 8 * out_y - 4 * out_x), (x + 1.5 * out_x, y + 1.5 * out_y)],
                fill=look.ink,
                closed=True,
            )  # fmt: skip
            rows[upper].append((Tag(x, text, one.given or 0.0), y))
    for upper, tags in rows.items():
        at = {id(tag): y for tag, y in tags}
        base = 26.0 if upper else drawing.height - 24.0
        row, _ = row_of(
            sorted((tag for tag, _ in tags), key=lambda tag: tag.x), size=SMALL, low=8.0, high=drawing.width - 8.0, weight="semibold"
        )
        for tag, place in row:
            drawing.text(place, base, tag.text, size=SMALL, ink=look.ink, anchor="middle", weight="semibold")
            edge, end = (base + 2.0, at[id(tag)] - 9.0) if upper else (base - 6.0, at[id(tag)] + 9.0)
            drawing.line(place, edge, tag.x, end, ink=look.quiet, weight=0.4)


def _legend(drawing: Drawing, look: Palette, reader: Wording, thick: dict[str, float], *, mapped: bool) -> None:
    """Name the sizes and signs in one line at the foot, as far as there is room, with what the drawing is good for at the end."""
    y = drawing.height - 7.0
    note = reader.text("pipes beside the main not to scale; not for digging") if mapped else reader.text("a sketch, not to be measured")
    x, right = 8.0, drawing.width - 14.0 - text_width(note, SMALL)
    entries = [
        *((f"{reader.text('pipe')} {name}", name) for name in thick),
        (reader.text("shut"), ""),
        (reader.text("line valve shut"), "valve"),
        (reader.text("feed"), "feed"),
    ]
    for text, name in entries:
        if x + 18.0 + text_width(text, SMALL) > right:
            break
        if name == "valve":
            closed_valve(drawing, look, x + 6.0, y - 2.2)
        elif name == "feed":
            feed(drawing, look, x + 6.0, y + 2.6, way=1.0)
        elif name:
            drawing.line(x, y - 2.2, x + 12.0, y - 2.2, ink=look.run, weight=thick[name])
        else:
            drawing.line(x, y - 2.2, x + 12.0, y - 2.2, ink=look.water, weight=7.0)
            drawing.line(x, y - 2.2, x + 12.0, y - 2.2, ink=look.iron, weight=1.0, dash="3 2")
        drawing.text(x + 15.0, y, text, size=SMALL, ink=look.ink)
        x += 24.0 + text_width(text, SMALL)
    drawing.text(drawing.width - 8.0, y, note, size=SMALL, ink=look.quiet, anchor="end")


def _scale(drawing: Drawing, look: Palette, reader: Wording, by_metre: float) -> None:
    """Draw a length to measure by, at the right under the line."""
    unit = shown_unit("m", reader.units)
    longest = from_si(90.0 / by_metre, unit)
    power = 10.0 ** math.floor(math.log10(longest))
    shown = next(power * step for step in (5.0, 2.0, 1.0) if power * step <= longest)
    long = to_si(shown, unit) * by_metre
    right, y = drawing.width - 10.0, drawing.height - 19.0
    drawing.path([(right - long, y - 3.0), (right - long, y), (right, y), (right, y - 3.0)], ink=look.ink, weight=0.8)
    drawing.text(right - long - 4.0, y, f"{reader.number(shown, 0)}\u00a0{reader.unit('m')}", size=SMALL, ink=look.quiet, anchor="end")


def _arrow(drawing: Drawing, look: Palette, turn: float) -> None:
    """Draw which way north is, in the upper right corner."""
    x, y, half = drawing.width - 13.0, 34.0, _NORTH / 2.0
    along = (math.sin(turn), -math.cos(turn))
    tip = (x + half * along[0], y + half * along[1])
    tail = (x - half * along[0], y - half * along[1])
    drawing.path([tail, tip], ink=look.ink, weight=0.9)
    wings = [(tip[0] - 5.0 * along[0] + side * 2.4 * along[1], tip[1] - 5.0 * along[1] - side * 2.4 * along[0]) for side in (-1.0, 1.0)]
    drawing.path([tip, *wings], fill=look.ink, closed=True)
    drawing.text(x, y + half + 7.0, "N", size=SMALL, ink=look.quiet, anchor="middle")
