"""Time against chainage: where each activity goes on and when, with what is closed and what each permit allows."""

from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from typing import Final

from mainwright.figures.frame import LABEL, SMALL, Frame
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.place import ticks
from mainwright.figures.svg import Drawing
from mainwright.plan.timetable import Activity, Programme, WaitKind
from mainwright.units import from_si, to_si
from mainwright.words.wording import Wording, shown_unit

__all__ = ["time_chainage"]

_LEFT: Final = 44.0
_TOP: Final = 30.0
_FOOT: Final = 24.0
_LINE: Final = 10.0
_SIGN: Final = 14.0
_GAP: Final = 10.0
"""Between two lines of the legend; from a sign to its text; to the next sign. [point]"""

_Sign = tuple[str, Callable[[float, float], None]]


def time_chainage(
    programme: Programme,
    *,
    start: float,
    end: float,
    width: float,
    height: float,
    theme: Theme = "light",
    language: str = "en",
    units: str = "metric",
) -> str:
    """Return the diagram as SVG text: chainage to the right, time downwards.

    Parameters
    ----------
    programme : Programme
        The programme. [-]
    start, end : float
        Chainages of the main. [m]
    width, height : float
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
    look, reader = PALETTES[theme], Wording(language, "us" if units == "us" else "metric", "\u00a0")
    drawing = Drawing(width=width, height=height, title=reader.text("Time against chainage"))
    frame = Frame(drawing, look, reader, start, end, _LEFT, (width - _LEFT - 6.0) / (end - start))
    signs = _signs(frame)
    foot = _FOOT + _LINE * (len(signs) - 1)
    time = _Time(programme, _TOP, height - foot)
    _grid(frame, time)
    _closed(frame, time, programme)
    _waits(frame, time, programme)
    _permits(frame, time, programme)
    for one in programme.activities:
        _mark(frame, time, one)
    _refs(frame, time, programme)
    _legend(frame, signs, height - foot + 16.0)
    return drawing.svg()


class _Time:
    def __init__(self, programme: Programme, top: float, floor: float) -> None:
        self.first, self.last = programme.first_day, programme.last_day
        self.top, self.floor = top, floor
        self.scale = (floor - top) / max(1.0, (self.last - self.first).days + 1.0)

    def y(self, moment: datetime) -> float:
        days = (moment - datetime.combine(self.first, datetime.min.time())).total_seconds() / 86400.0
        return self.top + self.scale * days

    def day(self, day: date) -> float:
        return self.top + self.scale * min(max((day - self.first).days, 0), (self.last - self.first).days + 1)


def _grid(frame: Frame, time: _Time) -> None:
    drawing, look, reader = frame.drawing, frame.look, frame.reader
    unit = shown_unit("m", reader.units)
    for value in ticks(from_si(frame.start, unit), from_si(frame.end, unit), 10):
        x = frame.x(to_si(value, unit))
        drawing.line(x, time.top - 3.0, x, time.floor, ink=look.hair, weight=0.4)
        drawing.text(x, time.top - 7.0, reader.number(value, 0), size=SMALL, ink=look.quiet, anchor="middle")
    drawing.text(frame.left, 9.0, f"{reader.text('Chainage')} [{reader.unit('m')}]", size=LABEL, ink=look.quiet)
    day = time.first
    while day <= time.last:
        if day.weekday() == 0 or day == time.first:
            y = time.day(day)
            drawing.line(frame.left, y, frame.right, y, ink=look.hair, weight=0.4)
            if y + 5.0 < time.floor:
                drawing.text(0.0, y + 6.5, reader.day(day, short=True), size=SMALL, ink=look.quiet)
        day += timedelta(days=1)
    drawing.rect(frame.left, time.top, frame.right - frame.left, time.floor - time.top, ink=look.ink, weight=0.6)


def _closed(frame: Frame, time: _Time, programme: Programme) -> None:
    """Shade where and when the main is closed: from isolating a block until it is given back."""
    fill = frame.drawing.pattern("closed", ink=frame.look.hair, ground=frame.look.water, kind="dots")
    back = {one.block: one for one in programme.activities if one.kind == "reconnection"}
    for one in programme.activities:
        if one.kind == "isolating" and one.block in back:
            low, high = time.y(one.begin), time.y(back[one.block].finish)
            frame.drawing.rect(frame.x(one.start), low, frame.x(one.end) - frame.x(one.start), high - low, fill=fill)


def _waits(frame: Frame, time: _Time, programme: Programme) -> None:
    """Show where and how long the mortar cures, and where the laboratory is waited for."""
    drawing = frame.drawing
    for one in programme.waits:
        if one.kind in {"cure", "laboratory"}:
            fill = _waiting(frame, one.kind)
            low, high = time.y(one.begin), min(time.y(one.finish), time.floor)
            drawing.open_group("wait", f"{one.id} {one.begin:%Y-%m-%d %H:%M}")
            drawing.rect(frame.x(one.start) + 0.6, low, frame.x(one.end) - frame.x(one.start) - 1.2, high - low, fill=fill)
            drawing.close_group()


def _waiting(frame: Frame, kind: WaitKind) -> str:
    """Return the fill of a wait: its own lines, which lie over what is shaded."""
    look = frame.look
    if kind == "cure":
        return frame.drawing.pattern("cure", ink=look.run, ground="none", kind="falling")
    return frame.drawing.pattern("laboratory", ink=look.quiet, ground="none", kind="rising")


def _permits(frame: Frame, time: _Time, programme: Programme) -> None:
    look = frame.look
    for one in programme.permits:
        low = frame.x(frame.start if one.start is None else max(one.start, frame.start))
        high = frame.x(frame.end if one.end is None else min(one.end, frame.end))
        first = time.top if one.first_day is None else time.day(one.first_day)
        last = time.floor if one.last_day is None else time.day(one.last_day + timedelta(days=1))
        frame.drawing.path(
            [(low + 1.0, first), (high - 1.0, first), (high - 1.0, last), (low + 1.0, last)],
            ink=look.forbidden,
            weight=0.9,
            closed=True,
            dash="6 3",
        )


def _refs(frame: Frame, time: _Time, programme: Programme) -> None:
    """Name the permits, on top of what crosses their names."""
    for one in programme.permits:
        low = frame.x(frame.start if one.start is None else max(one.start, frame.start))
        high = frame.x(frame.end if one.end is None else min(one.end, frame.end))
        last = time.floor if one.last_day is None else time.day(one.last_day + timedelta(days=1))
        frame.drawing.text(
            (low + high) / 2.0, last - 3.0, one.ref, size=SMALL, ink=frame.look.forbidden, anchor="middle", halo=frame.look.paper
        )


def _mark(frame: Frame, time: _Time, one: Activity) -> None:
    drawing, look = frame.drawing, frame.look
    low, high = frame.x(one.start), frame.x(one.end)
    begin, finish = time.y(one.begin), max(time.y(one.finish), time.y(one.begin) + 1.0)
    drawing.open_group("activity", f"{one.id} {one.begin:%Y-%m-%d %H:%M}")
    match one.kind:
        case "opening":
            drawing.rect(low - 2.0, begin, 4.0, finish - begin, fill=look.paper, ink=look.ink, weight=0.8)
        case "reinstatement":
            drawing.rect(low - 2.0, begin, 4.0, finish - begin, fill=look.earth_line)
        case "cleaning":
            drawing.line(low, begin, high, finish, ink=look.deposit, weight=1.6)
        case "lining":
            drawing.line(low, begin, high, finish, ink=look.run, weight=3.0)
            if one.run and high - low > text_width(one.run, SMALL):
                drawing.text((low + high) / 2.0, begin - 2.0, one.run, size=SMALL, ink=look.ink, anchor="middle", halo=look.paper)
        case "supply" | "supply_removal":
            drawing.line(low, begin, high, finish, ink=look.iron, weight=0.9, dash="3 2")
        case "pressure_test" | "disinfection":
            drawing.line(low, begin, high, begin, ink=look.quiet, weight=1.0)
        case "reconnection":
            drawing.line(low, finish, high, finish, ink=look.ink, weight=1.6)
        case _:
            pass
    drawing.close_group()


def _signs(frame: Frame) -> list[list[_Sign]]:
    """Return the signs of the legend in lines that are no wider than the diagram."""
    drawing, look, reader = frame.drawing, frame.look, frame.reader

    def line(name: str, ink: str, weight: float, dash: str = "") -> _Sign:
        return name, lambda x, y: drawing.line(x, y - 2.0, x + 11.0, y - 2.0, ink=ink, weight=weight, dash=dash)

    def area(name: str, fill: str, ink: str) -> _Sign:
        return name, lambda x, y: drawing.rect(x + 2.0, y - 6.0, 8.0, 7.0, fill=fill, ink=ink, weight=0.6)

    signs = [
        line(reader.text("temporary supply laid, taken up"), look.iron, 0.9, "3 2"),
        line(reader.text("cleaned"), look.deposit, 1.6),
        line(reader.text("lined"), look.run, 3.0),
        line(reader.text("tested, disinfected"), look.quiet, 1.0),
        line(reader.text("given back"), look.ink, 1.6),
        line(reader.text("permit"), look.forbidden, 0.9, "6 3"),
        area(reader.text("main closed"), drawing.pattern("closed", ink=look.hair, ground=look.water, kind="dots"), look.hair),
        area(reader.text("curing"), _waiting(frame, "cure"), look.hair),
        area(reader.text("laboratory"), _waiting(frame, "laboratory"), look.hair),
        area(reader.text("road opened"), look.paper, look.ink),
        area(reader.text("road closed again"), look.earth_line, look.earth_line),
    ]
    lines: list[list[_Sign]] = [[]]
    x = frame.left
    for sign in signs:
        need = _SIGN + text_width(sign[0], SMALL)
        if x + need > frame.right and lines[-1]:
            lines.append([])
            x = frame.left
        lines[-1].append(sign)
        x += need + _GAP
    return lines


def _legend(frame: Frame, lines: Sequence[Sequence[_Sign]], y: float) -> None:
    for line in lines:
        x = frame.left
        for name, draw in line:
            draw(x, y)
            frame.drawing.text(x + _SIGN, y, name, size=SMALL, ink=frame.look.quiet)
            x += _SIGN + text_width(name, SMALL) + _GAP
        y += _LINE
