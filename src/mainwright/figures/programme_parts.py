"""What the bars of a programme share: the days from left to right, and how each kind of activity and wait looks, in colour and in black and white."""

from collections.abc import Callable, Collection, Sequence
from datetime import date, datetime, time, timedelta
from typing import Final, Literal

from mainwright.figures.frame import SMALL
from mainwright.figures.metrics import Weight, text_width
from mainwright.figures.palette import Palette
from mainwright.figures.svg import Drawing
from mainwright.plan.timetable import Activity, Kind, Programme, Waiting, WaitKind
from mainwright.words.wording import Wording

__all__ = ["FILLS", "WAITS", "Days", "Legend", "draw_bar", "draw_wait", "fill_of", "kind_text", "lanes_of", "shortened"]

_Pattern = Literal["rising", "falling", "crossed", "dots"]

FILLS: Final[dict[Kind, tuple[str, _Pattern | None]]] = {
    "supply": ("water", "rising"),
    "isolating": ("water", "crossed"),
    "opening": ("earth", "falling"),
    "cleaning": ("deposit", None),
    "camera_cleaned": ("paper", "dots"),
    "lining": ("run", None),
    "camera_lined": ("paper", "crossed"),
    "refitting": ("earth", "crossed"),
    "pressure_test": ("mortar", "rising"),
    "disinfection": ("mortar", "dots"),
    "reconnection": ("water", "dots"),
    "supply_removal": ("water", "falling"),
    "reinstatement": ("earth", "rising"),
}
"""Colour and pattern of each kind: no two share both."""

WAITS: Final[dict[WaitKind, _Pattern | None]] = {
    "notice": "falling",
    "hold_point": "crossed",
    "cure": None,
    "soak": "rising",
    "contact": "dots",
    "laboratory": "rising",
}
"""Pattern of each kind of wait, thin bars on paper: cure is plain; soaking and laboratory, of which one is short, differ by the step."""

_WIDE: Final = 7.0
_BEFORE: Final = timedelta(days=28)
_AFTER: Final = timedelta(days=21)
_DEEPEST: Final = 6
_CODES: Final = {"opening": "dig", "hold_point": "client_accepts"}


def kind_text(kind: Kind | WaitKind, reader: Wording) -> str:
    """Return what a reader sees for a kind of activity or wait."""
    return reader.code(_CODES.get(kind, kind))


def shortened(text: str, room: float, size: float, weight: Weight = "regular") -> str:
    """Return a text, its end left out where it is too long for the room. [point]."""
    if text_width(text, size, weight) <= room:
        return text
    for length in range(len(text) - 1, 0, -1):
        if text_width(short := text[:length].rstrip() + "…", size, weight) <= room:
            return short
    return ""


def lanes_of(waits: Sequence[Waiting]) -> list[list[Waiting]]:
    """Return waits in as few rows as keep those apart that go on together; the last of six rows takes what finds no room."""
    lanes: list[list[Waiting]] = []
    for one in sorted(waits, key=lambda one: (one.begin, one.finish, one.id)):
        free = next((lane for lane in lanes if lane[-1].finish <= one.begin), None)
        if free is not None:
            free.append(one)
        elif len(lanes) < _DEEPEST:
            lanes.append([one])
        else:
            lanes[-1].append(one)
    return lanes


class Days:
    """Days from left to right, calendar days, so that a weekend is as long as it is.

    Parameters
    ----------
    programme
        Whose days they are.
    left, right
        Ends of the axis. [point]
    """

    def __init__(self, programme: Programme, left: float, right: float) -> None:
        begins = [one.begin.date() for one in programme.waits]
        # A notice that is given months before would squeeze the work.
        self.first = max(min([programme.first_day, *begins]), programme.first_day - _BEFORE)
        last = max([programme.last_day, *(one.last_day for one in programme.permits if one.last_day is not None)])
        # A permit far beyond the work would squeeze it.
        self.last = min(last, programme.last_day + _AFTER)
        self.left = left
        self.scale = (right - left) / max(1.0, ((self.last - self.first).days + 1.0))
        self.off = frozenset(programme.days_off)

    @property
    def right(self) -> float:
        """Where the last day ends. [point]."""
        return self.day(self.last) + self.scale

    def x(self, moment: datetime) -> float:
        """Return where a moment lies. [point]."""
        days = (moment - datetime.combine(self.first, time.min)).total_seconds() / 86400.0
        return self.left + self.scale * days

    def day(self, day: date) -> float:
        """Return where a day begins. [point]."""
        return self.left + self.scale * (day - self.first).days

    def draw(self, drawing: Drawing, look: Palette, reader: Wording, top: float, floor: float) -> None:
        """Draw weeks, and shade the days on which nobody works."""
        self._shade(drawing, look, top, floor)
        day, right = self.first, self.left - 99.0
        while day <= self.last:
            if day.weekday() == 0 or day == self.first:
                x = self.day(day)
                drawing.line(x, top - 4.0, x, floor, ink=look.hair, weight=0.4)
                text = reader.day(day, short=True)
                if x > right + 6.0 and x + 1.5 + text_width(text, SMALL) <= self.right:
                    drawing.text(x + 1.5, top - 8.0, text, size=SMALL, ink=look.quiet)
                    right = x + text_width(text, SMALL)
            day += timedelta(days=1)
        drawing.line(self.left, top, self.right, top, ink=look.ink, weight=0.6)

    def _shade(self, drawing: Drawing, look: Palette, top: float, floor: float) -> None:
        """Shade days off, those that follow each other as one."""
        begun: date | None = None
        day = self.first
        while day <= self.last + timedelta(days=1):
            off = day in self.off and day <= self.last
            if off and begun is None:
                begun = day
            elif not off and begun is not None:
                drawing.rect(self.day(begun), top, self.day(day) - self.day(begun), floor - top, fill=look.earth)
                begun = None
            day += timedelta(days=1)


def fill_of(drawing: Drawing, look: Palette, kind: Kind | WaitKind) -> str:
    """Return the fill of a kind, which a black and white print tells apart too."""
    if kind in FILLS:
        colour, pattern = FILLS[kind]
        ground = str(getattr(look, colour))
        return ground if pattern is None else drawing.pattern(f"kind-{kind}", ink=look.quiet, ground=ground, kind=pattern)
    wait = WAITS[kind]  # type: ignore[index]
    if wait is None:
        return look.paper
    return drawing.pattern(f"wait-{kind}", ink=look.quiet, ground=look.paper, step=_WIDE if kind == "soak" else 3.0, kind=wait)


def draw_bar(drawing: Drawing, look: Palette, days: Days, one: Activity, *, y: float, height: float) -> None:
    """Draw an activity: a thick frame where it is critical, a line through it where it is done."""
    low, high = days.x(one.begin), days.x(one.finish)
    drawing.open_group("activity", f"{one.id} {one.begin:%Y-%m-%d %H:%M} – {one.finish:%Y-%m-%d %H:%M}")
    # A frame as thick as the bar is wide would hide what it is.
    weight = max(0.9, min(1.5, 0.35 * (high - low))) if one.critical and not one.done else 0.5
    drawing.rect(low, y, max(high - low, 1.2), height, fill=fill_of(drawing, look, one.kind), ink=look.ink, weight=weight)
    if one.done:
        drawing.line(low, y + height / 2.0, high, y + height / 2.0, ink=look.ink, weight=1.0)
    drawing.close_group()


def draw_wait(drawing: Drawing, look: Palette, days: Days, one: Waiting, *, y: float, height: float) -> None:
    """Draw a wait: thin, and framed thick where the end of the programme moves with it."""
    low, high = max(days.x(one.begin), days.left), days.x(one.finish)
    drawing.open_group("wait", f"{one.id} {one.begin:%Y-%m-%d %H:%M} – {one.finish:%Y-%m-%d %H:%M}")
    weight = 1.2 if one.critical and not one.done else 0.4
    drawing.rect(low, y, max(high - low, 0.8), height, fill=fill_of(drawing, look, one.kind), ink=look.ink, weight=weight)
    drawing.close_group()


class Legend:
    """What the bars mean, in as many lines as the width asks.

    Parameters
    ----------
    kinds
        What is drawn.
    marks
        Other signs: how each is drawn at a place of the base line, and its text.
    """

    LINE: Final = 11.0

    def __init__(
        self,
        kinds: Collection[Kind | WaitKind],
        reader: Wording,
        width: float,
        *,
        marks: Sequence[tuple[Callable[[float, float], None], str]] = (),
    ) -> None:
        self.marks = [mark for mark, _ in marks]
        names: list[tuple[Kind | WaitKind | int, str]] = [(kind, kind_text(kind, reader)) for kind in (*FILLS, *WAITS) if kind in kinds]
        names += [(number, text) for number, (_, text) in enumerate(marks)]
        self.lines: list[list[tuple[Kind | WaitKind | int, str, float]]] = [[]]
        x = 0.0
        for what, text in names:
            need = 26.0 + text_width(text, SMALL)
            if x + need > width and self.lines[-1]:
                self.lines.append([])
                x = 0.0
            self.lines[-1].append((what, text, x))
            x += need

    @property
    def height(self) -> float:
        """Return the height of all lines. [point]."""
        return self.LINE * len(self.lines)

    def draw(self, drawing: Drawing, look: Palette, y: float) -> None:
        """Draw it, its first base line at y."""
        for line in self.lines:
            for what, text, x in line:
                if isinstance(what, int):
                    self.marks[what](x, y)
                elif what in WAITS:
                    drawing.rect(x, y - 4.5, 12.0, 4.0, fill=fill_of(drawing, look, what), ink=look.ink, weight=0.4)
                else:
                    drawing.rect(x, y - 6.0, 12.0, 7.5, fill=fill_of(drawing, look, what), ink=look.ink, weight=0.5)
                drawing.text(x + 15.0, y, text, size=SMALL, ink=look.quiet)
            y += self.LINE
