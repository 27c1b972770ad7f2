"""Lane of the ribbon that shows the temporary supply: pipes by size on each kerb, feeds, crossings, what is shut, the worst tap."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.figures.frame import LABEL, SMALL, Frame, Tag, apart, row_of
from mainwright.figures.metrics import fitted, text_width
from mainwright.figures.palette import Palette
from mainwright.figures.svg import Drawing
from mainwright.plan.result_supply import SupplyLine, SupplyPoint, TemporarySupply
from mainwright.words.message import Quantity, message
from mainwright.words.wording import Wording

__all__ = [
    "PipeLength",
    "closed_valve",
    "feed",
    "feed_text",
    "lowest",
    "pipe_lengths",
    "rows",
    "signs",
    "supply",
    "weights",
    "without",
    "worst_tap",
]

_LEFT: Final = 27.0
_MAIN: Final = 41.0
_RIGHT: Final = 55.0
_HEIGHT: Final = 83.0


@dataclass(frozen=True, slots=True)
class PipeLength:
    """Temporary pipe of one size along one kerb, without a gap: chainages. [m]."""

    side: str
    start: float
    end: float
    stock: str
    bore: float


def pipe_lengths(found: TemporarySupply) -> tuple[PipeLength, ...]:
    """Return the pipe along each kerb in lengths of one size, in order of kerb and chainage.

    Parameters
    ----------
    found : TemporarySupply
        The temporary supply. [-]

    Returns
    -------
    tuple of PipeLength
        Crossings and the short ties of feeds are not among them.
    """
    at = {one.id: one for one in found.points or ()}
    parts = []
    for line in found.lines or ():
        one, other = at[line.start], at[line.end]
        if one.side == other.side and one.chainage != other.chainage:
            low, high = sorted((one.chainage, other.chainage))
            parts.append(PipeLength(one.side, low, high, line.stock, line.bore))
    joined: list[PipeLength] = []
    for part in sorted(parts, key=lambda one: (one.side, one.start)):
        last = joined[-1] if joined else None
        if last is not None and (last.side, last.stock, last.end) == (part.side, part.stock, part.start):
            joined[-1] = PipeLength(part.side, last.start, part.end, part.stock, part.bore)
        else:
            joined.append(part)
    return tuple(joined)


def weights(found: TemporarySupply) -> dict[str, float]:
    """Return how thick each size is drawn: the larger the thicker. [point].

    Parameters
    ----------
    found : TemporarySupply
        The temporary supply. [-]

    Returns
    -------
    dict
        By name of the size.
    """
    sizes = sorted({(line.bore, line.stock) for line in found.lines or ()})
    return {name: 1.0 + 2.2 * (place + 1) / len(sizes) for place, (_, name) in enumerate(sizes)}


def lowest(found: TemporarySupply) -> SupplyPoint | None:
    """Return the point with customers where the pressure is least at the peak, None where there is no network.

    Parameters
    ----------
    found : TemporarySupply
        The temporary supply. [-]

    Returns
    -------
    SupplyPoint or None
        The first by name where several have it.
    """
    return min((one for one in found.points or () if one.feeds), key=lambda one: (one.pressure, one.id), default=None)


def feed_text(point: SupplyPoint, reader: Wording) -> str:
    """Return the words at a feed: its name and what it gives at the peak.

    Parameters
    ----------
    point : SupplyPoint
        A feed. [-]
    reader : Wording
        Of the reader. [-]

    Returns
    -------
    str
        One line.
    """
    return f"{point.id} · {reader.quantity(max(point.given or 0.0, 0.0), 'l_s', 1)}"


def feed(drawing: Drawing, look: Palette, x: float, y: float, *, way: float) -> None:
    """Draw a feed: a filled triangle that points at the pipe; ``way`` is 1 where it stands above, -1 where below."""
    drawing.path([(x - 4.0, y - way * 8.0), (x + 4.0, y - way * 8.0), (x, y - way * 1.5)], fill=look.ink, closed=True)


def closed_valve(drawing: Drawing, look: Palette, x: float, y: float) -> None:
    """Draw a line valve that is shut: the sign of a valve with a bar through it."""
    drawing.path([(x - 4.6, y - 3.4), (x - 4.6, y + 3.4), (x + 4.6, y - 3.4), (x + 4.6, y + 3.4)], fill=look.caution, closed=True)
    drawing.line(x, y - 6.0, x, y + 6.0, ink=look.caution, weight=1.6)


def worst_tap(drawing: Drawing, look: Palette, x: float, y: float) -> None:
    """Draw the tap with the least pressure: a ring with a dot."""
    drawing.circle(x, y, 3.1, fill=look.paper, ink=look.caution, weight=1.4)
    drawing.circle(x, y, 1.0, fill=look.caution)


def without(drawing: Drawing, look: Palette, x: float, y: float) -> None:
    """Draw a customer without supply: a cross."""
    drawing.line(x - 2.6, y - 2.6, x + 2.6, y + 2.6, ink=look.caution, weight=1.3)
    drawing.line(x - 2.6, y + 2.6, x + 2.6, y - 2.6, ink=look.caution, weight=1.3)


def signs(frame: Frame, found: TemporarySupply | None) -> list[tuple[str, Callable[[float, float], None]]]:
    """Return the signs that stand in the lane: their words, and what draws each at a place.

    Parameters
    ----------
    frame : Frame
        Of the ribbon. [-]
    found : TemporarySupply or None
        The temporary supply. [-]

    Returns
    -------
    list of (str, callable)
        For the legend, in the order in which they stand there.
    """
    if found is None or not found.closed_blocks:
        return []
    draw, look, reader = frame.drawing, frame.look, frame.reader
    told: list[tuple[str, Callable[[float, float], None]]] = []
    if any(one.start_valve or one.end_valve for one in found.closed_blocks):
        told.append((reader.text("line valve shut"), lambda x, y: closed_valve(draw, look, x, y)))
    if found.lines:
        told += [
            (
                reader.text("temporary pipe, the larger the thicker"),
                lambda x, y: draw.line(x - 6.0, y, x + 6.0, y, ink=look.run, weight=2.4),
            ),
            (reader.text("feed with check valve"), lambda x, y: feed(draw, look, x, y + 5.0, way=1.0)),
            (reader.text("least pressure at a tap"), lambda x, y: worst_tap(draw, look, x, y)),
        ]
        if any(line.crossing for line in found.lines):
            told.append(
                (
                    reader.text("crossing with ramp"),
                    lambda x, y: draw.line(x, y - 5.0, x, y + 5.0, ink=look.run, weight=1.2, dash="2.4 1.6"),
                )
            )
    if found.without:
        told.append((reader.text("without supply"), lambda x, y: without(draw, look, x, y)))
    return told


def rows(found: TemporarySupply | None, reader: Wording) -> list[tuple[float, float, str, str]]:
    """Return the lane in words.

    Parameters
    ----------
    found : TemporarySupply or None
        The temporary supply. [-]
    reader : Wording
        Of the reader. [-]

    Returns
    -------
    list of (float, float, str, str)
        From, to [m], what, how.
    """
    if found is None:
        return []
    told = []
    for block in found.closed_blocks or ():
        valves = ", ".join(one for one in (block.start_valve, block.end_valve) if one)
        time = "" if block.closed is None else f", {reader.quantity(block.closed, 'days', 0)}"
        told.append((block.start, block.end, reader.text("Shut"), f"{block.id}{f', {valves}' if valves else ''}{time}"))
    for part in pipe_lengths(found):
        said = f"{reader.code(part.side)}, {part.stock}, {reader.quantity(part.end - part.start, 'm', 1)}"
        told.append((part.start, part.end, reader.text("Temporary pipe"), said))
    told += [
        (one.chainage, one.chainage, reader.text("Feed"), f"{reader.code(one.side)}, {feed_text(one, reader)}")
        for one in found.points or ()
        if one.source
    ]
    least = lowest(found)
    if least is not None:
        said = f"{least.id}, {reader.quantity(least.pressure, 'bar', 2)}"
        told.append((least.chainage, least.chainage, reader.text("Least pressure at a tap"), said))
    told += [
        (one.chainage, one.chainage, reader.text("Without supply"), f"{one.ref}, {reader.word(one.because)}") for one in found.without or ()
    ]
    return told


def supply(frame: Frame, top: float, found: TemporarySupply | None) -> float:
    """Draw the temporary supply and return the lane's height; nothing where no length of main is shut.

    Parameters
    ----------
    frame : Frame
        Of the ribbon. [-]
    top : float
        Where the lane begins. [point]
    found : TemporarySupply or None
        The temporary supply. [-]

    Returns
    -------
    float
        Height. [point]
    """
    if found is None or not found.closed_blocks:
        return 0.0
    look, reader, draw = frame.look, frame.reader, frame.drawing
    draw.open_group("supply", reader.text("Temporary supply"))
    frame.title(top + 9.0, reader.text("Temporary supply"), reader.text("pipe along each kerb"))
    for side, y in (("left", _LEFT), ("right", _RIGHT)):
        draw.text(frame.left - 4.0, top + y + 2.2, reader.code(side), size=SMALL, ink=look.quiet, anchor="end")
    _shut(frame, top + _MAIN, found)
    thick = weights(found)
    for part in pipe_lengths(found):
        _pipe(frame, top, part, thick[part.stock])
    points = {one.id: one for one in found.points or ()}
    _crossings(frame, top, found.lines or (), points)
    worst = lowest(found)
    _marks(frame, top, [one for one in points.values() if one.source], worst)
    for one in found.without or ():
        if frame.shows(one.chainage):
            without(draw, look, frame.x(one.chainage), top + (_RIGHT if one.side == "right" else _LEFT))
    if found.lines is None:
        draw.text(frame.left + 6.0, top + 12.0, reader.text("not sized"), size=LABEL, ink=look.caution, weight="semibold")
    draw.close_group()
    return _HEIGHT


def _shut(frame: Frame, y: float, found: TemporarySupply) -> None:
    """Draw the main with the lengths that are shut, and the valves that shut them."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    draw.line(frame.left, y, frame.right, y, ink=look.quiet, weight=0.8)
    hatch = draw.pattern("shut", ink=look.quiet, ground=look.paper, step=3.0, kind="falling")
    for block in found.closed_blocks or ():
        part = frame.clipped(block.start, block.end)
        if part is None:
            continue
        draw.rect(part[0], y - 3.2, part[1] - part[0], 6.4, fill=hatch, ink=look.quiet, weight=0.5)
        names = "–".join(one for one in (block.start_valve, block.end_valve) if one)
        whole = message("{block}: {valves} shut", block=block.id, valves=names) if names else message("{block}: shut", block=block.id)
        said = [block.id]
        if block.closed is None:
            said = [reader.word(whole), *said]
        else:
            time = message("{what} for {time}", what=whole, time=Quantity(block.closed, "days", 0))
            said = [reader.word(time), reader.word(whole), *said]
        label = fitted(tuple(said), part[1] - part[0] - 16.0, SMALL, "semibold")
        middle, half = (part[0] + part[1]) / 2, text_width(label, SMALL, "semibold") / 2 + 4.0
        if label:
            draw.rect(middle - half, y - 4.2, 2 * half, 8.4, fill=look.paper)
        draw.text(middle, y + 2.2, label, size=SMALL, ink=look.ink, anchor="middle", weight="semibold")
    for block in found.closed_blocks or ():
        for valve, chainage in ((block.start_valve, block.start), (block.end_valve, block.end)):
            if frame.shows(chainage) and valve is not None:
                closed_valve(draw, look, frame.x(chainage), y)


def _pipe(frame: Frame, top: float, part: PipeLength, weight: float) -> None:
    """Draw a length of one size along its kerb, named where there is room."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    shown = frame.clipped(part.start, part.end)
    if shown is None:
        return
    y = top + (_LEFT if part.side == "left" else _RIGHT)
    draw.line(shown[0], y, shown[1], y, ink=look.run, weight=weight)
    for place, at in ((part.start, shown[0]), (part.end, shown[1])):
        if frame.shows(place):
            draw.line(at, y - 2.6, at, y + 2.6, ink=look.run, weight=0.7)
    long = f"{part.stock} · {reader.quantity(part.end - part.start, 'm', 0)}"
    label = fitted((long, part.stock), shown[1] - shown[0] - 6.0, SMALL)
    draw.text(
        (shown[0] + shown[1]) / 2, y + (8.6 if part.side == "left" else -4.2), label, size=SMALL, ink=look.run, anchor="middle", halo=look.paper
    )  # fmt: skip


def _crossings(frame: Frame, top: float, lines: Sequence[SupplyLine], points: dict[str, SupplyPoint]) -> None:
    look, draw = frame.look, frame.drawing
    for line in lines:
        if line.crossing and frame.shows(points[line.start].chainage):
            x = frame.x(points[line.start].chainage)
            draw.line(x, top + _LEFT, x, top + _RIGHT, ink=look.run, weight=1.2, dash="2.4 1.6")


def _marks(frame: Frame, top: float, feeds: Sequence[SupplyPoint], worst: SupplyPoint | None) -> None:
    """Draw the feeds and the tap with the least pressure, with their words in one row over the left kerb and one under the right."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    for side, y, way in (("left", top + _LEFT, 1.0), ("right", top + _RIGHT, -1.0)):
        here = sorted(
            (one for one in feeds if (one.side == "left") == (side == "left") and frame.shows(one.chainage)), key=lambda one: one.chainage
        )
        kept = apart([frame.x(one.chainage) for one in here], [one.given or 0.0 for one in here], 8.0)
        tags = [Tag(frame.x(here[k].chainage), feed_text(here[k], reader), here[k].given or 0.0) for k in kept]
        for k in kept:
            feed(draw, look, frame.x(here[k].chainage), y, way=way)
        if worst is not None and (worst.side == "left") == (side == "left") and frame.shows(worst.chainage):
            x = frame.x(worst.chainage)
            worst_tap(draw, look, x, y)
            said = reader.word(message("least: {pressure}", pressure=Quantity(worst.pressure, "bar", 2)))
            tags.append(Tag(x, said, 1e9))
        row, _ = row_of(sorted(tags, key=lambda tag: tag.x), size=SMALL, low=frame.left, high=frame.right, weight="semibold")
        for tag, place in row:
            at = y - way * 15.0
            draw.text(place, at + (0.0 if way > 0 else 4.4), tag.text, size=SMALL, ink=look.ink, anchor="middle", weight="semibold")
            if abs(place - tag.x) > 3.0:
                draw.line(place, at + way * 1.6, tag.x, y - way * 8.5, ink=look.quiet, weight=0.4)
