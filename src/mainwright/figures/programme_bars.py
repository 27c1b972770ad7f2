"""The programme by crew: one row for each crew, a bar for each activity, the critical ones framed, permits beneath."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.metrics import fitted, text_width
from mainwright.figures.palette import PALETTES, Palette, Theme
from mainwright.figures.svg import Drawing
from mainwright.plan.timetable import Activity, Kind, PermitUse, Programme
from mainwright.words.wording import Wording

__all__ = ["kind_text", "programme_bars"]

_ROW: Final = 20.0
_BAR: Final = 13.0
_TOP: Final = 30.0
_LEGEND: Final = 30.0

_FILLS: Final[dict[Kind, tuple[str, str]]] = {
    "supply": ("water", "rising"),
    "isolating": ("water", "crossed"),
    "opening": ("earth", "falling"),
    "cleaning": ("deposit", ""),
    "camera_cleaned": ("paper", "dots"),
    "lining": ("run", ""),
    "camera_lined": ("paper", "crossed"),
    "refitting": ("earth", "crossed"),
    "pressure_test": ("mortar", "rising"),
    "disinfection": ("mortar", "dots"),
    "reconnection": ("water", "dots"),
    "supply_removal": ("water", "falling"),
    "reinstatement": ("earth", "rising"),
}
"""Colour and pattern of each kind: no two share both."""


def kind_text(kind: Kind, reader: Wording) -> str:
    """Return what a reader sees for a kind of activity."""
    return reader.code("dig" if kind == "opening" else kind)


def programme_bars(programme: Programme, *, width: float, theme: Theme = "light", language: str = "en") -> str:
    """Return the bars as SVG text.

    Parameters
    ----------
    programme : Programme
        The programme. [-]
    width : float
        Of the drawing. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language : str
        Of the reader. [-]

    Returns
    -------
    str
        SVG; days without work are shaded.
    """
    look, reader = PALETTES[theme], Wording(language, space="\u00a0")
    rows = _rows(programme.activities, reader)
    permits = [one for one in programme.permits if one.last_day is not None]
    kinds = [kind for kind in _FILLS if any(one.kind == kind for one in programme.activities)]
    lines = _legend_lines(kinds, reader, width)
    height = _TOP + _ROW * (len(rows) + len(permits)) + 8.0 + 11.0 * len(lines) + 16.0
    drawing = Drawing(width=width, height=height, title=reader.text("Programme by crew"))
    left = min(width * 0.25, max(text_width(name, LABEL, "semibold") for name, _ in rows) + 10.0)
    axis = _Axis(programme, left, width)
    floor = _TOP + _ROW * (len(rows) + len(permits))
    axis.draw(drawing, look, reader, floor)
    y = _TOP
    for name, activities in rows:
        drawing.text(0.0, y + 13.0, fitted((name,), left - 6.0, LABEL, "semibold"), size=LABEL, ink=look.ink, weight="semibold")
        drawing.line(0.0, y + _ROW, width, y + _ROW, ink=look.hair, weight=0.4)
        for one in activities:
            _bar(drawing, look, axis, one, y + (_ROW - _BAR) / 2.0)
        y += _ROW
    for permit in permits:
        _permit(drawing, look, axis, permit, y)
        y += _ROW
    _legend(drawing, look, reader, lines, floor + 14.0)
    return drawing.svg()


def _rows(activities: Sequence[Activity], reader: Wording) -> list[tuple[str, list[Activity]]]:
    names: dict[str, list[Activity]] = {}
    for one in activities:
        # Who did what is done the programme does not know: the records say that it is over.
        names.setdefault(one.crew or (reader.text("done, by the records") if one.done else reader.text("nobody named")), []).append(one)
    return list(names.items())


class _Axis:
    """Days from left to right, calendar days, so that a weekend is as long as it is."""

    def __init__(self, programme: Programme, left: float, right: float) -> None:
        self.first = programme.first_day
        last = max([programme.last_day, *(one.last_day for one in programme.permits if one.last_day is not None)])
        # A permit far beyond the work would squeeze it.
        self.last = min(last, programme.last_day + timedelta(days=21))
        self.left = left
        self.scale = (right - left) / max(1.0, ((self.last - self.first).days + 1.0))
        self.worked = {one.begin.date() for one in programme.activities} | {one.finish.date() for one in programme.activities}

    def x(self, moment: datetime) -> float:
        """Return where a moment lies."""
        days = (moment - datetime.combine(self.first, datetime.min.time())).total_seconds() / 86400.0
        return self.left + self.scale * days

    def day(self, day: date) -> float:
        """Return where a day begins."""
        return self.left + self.scale * (day - self.first).days

    def draw(self, drawing: Drawing, look: Palette, reader: Wording, floor: float) -> None:
        """Draw weeks, and shade weekends."""
        day = self.first
        right = self.left - 99.0
        while day <= self.last:
            x = self.day(day)
            if day.weekday() >= 5 and day not in self.worked:
                drawing.rect(x, _TOP, self.scale, floor - _TOP, fill=look.earth)
            if day.weekday() == 0 or day == self.first:
                drawing.line(x, _TOP - 4.0, x, floor, ink=look.hair, weight=0.4)
                text = reader.day(day, short=True)
                if x > right + 6.0:
                    drawing.text(x + 1.5, _TOP - 8.0, text, size=SMALL, ink=look.quiet)
                    right = x + text_width(text, SMALL)
            day += timedelta(days=1)
        drawing.line(self.left, _TOP, self.day(self.last) + self.scale, _TOP, ink=look.ink, weight=0.6)


def _fill(drawing: Drawing, look: Palette, kind: Kind) -> str:
    colour, pattern = _FILLS[kind]
    ground = str(getattr(look, colour))
    if not pattern:
        return ground
    return drawing.pattern(f"kind-{kind}", ink=look.quiet, ground=ground, kind=pattern)  # type: ignore[arg-type]


def _bar(drawing: Drawing, look: Palette, axis: _Axis, one: Activity, y: float) -> None:
    low, high = axis.x(one.begin), axis.x(one.finish)
    drawing.open_group("activity", f"{one.id} {one.begin:%Y-%m-%d %H:%M} – {one.finish:%Y-%m-%d %H:%M}")
    weight = 1.5 if one.critical else 0.5
    drawing.rect(low, y, max(high - low, 1.2), _BAR, fill=_fill(drawing, look, one.kind), ink=look.ink, weight=weight)
    if one.done:
        drawing.line(low, y + _BAR / 2.0, high, y + _BAR / 2.0, ink=look.ink, weight=1.0)
    drawing.close_group()


def _permit(drawing: Drawing, look: Palette, axis: _Axis, one: PermitUse, y: float) -> None:
    names = (" ".join(part for part in (one.ref, one.street) if part), one.ref)
    drawing.text(0.0, y + 13.0, fitted(names, axis.left - 6.0, SMALL), size=SMALL, ink=look.quiet)
    first = axis.first if one.first_day is None else max(one.first_day, axis.first)
    last = axis.last if one.last_day is None else min(one.last_day, axis.last)
    low, high = axis.day(first), axis.day(last) + axis.scale
    drawing.rect(low, y + 7.0, high - low, 6.0, fill="none", ink=look.quiet, weight=0.7)
    if one.first is not None and one.last is not None:
        begin, end = axis.day(max(one.first, axis.first)), axis.day(min(one.last, axis.last)) + axis.scale
        drawing.rect(begin, y + 8.5, max(0.0, min(end, high) - begin), 3.0, fill=look.quiet)
        if end > high:
            late = drawing.pattern("late", ink=look.caution, ground="none", kind="rising")
            drawing.rect(high, y + 5.0, end - high, 10.0, fill=late, ink=look.caution, weight=0.8)


def _legend_lines(kinds: Sequence[Kind], reader: Wording, width: float) -> list[list[tuple[Kind, str, float]]]:
    lines: list[list[tuple[Kind, str, float]]] = [[]]
    x = 0.0
    for kind in kinds:
        text = kind_text(kind, reader)
        need = 26.0 + text_width(text, SMALL)
        if x + need > width and lines[-1]:
            lines.append([])
            x = 0.0
        lines[-1].append((kind, text, x))
        x += need
    return lines


def _legend(drawing: Drawing, look: Palette, reader: Wording, lines: Sequence[Sequence[tuple[Kind, str, float]]], y: float) -> None:
    for line in lines:
        for kind, text, x in line:
            drawing.rect(x, y - 6.0, 12.0, 7.5, fill=_fill(drawing, look, kind), ink=look.ink, weight=0.5)
            drawing.text(x + 15.0, y, text, size=SMALL, ink=look.quiet)
        y += 11.0
    drawing.rect(0.0, y - 6.0, 12.0, 7.5, fill="none", ink=look.ink, weight=1.5)
    drawing.text(15.0, y, reader.text("thick frame: the end of the programme moves with it"), size=SMALL, ink=look.quiet)
