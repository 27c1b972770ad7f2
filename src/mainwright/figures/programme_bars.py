"""The programme by crew: one row for each crew, a bar for each activity, the critical ones framed, waits and permits beneath."""

from collections.abc import Sequence
from typing import Final

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Palette, Theme
from mainwright.figures.programme_parts import WAITS, Days, Legend, draw_bar, draw_wait, kind_text, lanes_of, shortened
from mainwright.figures.svg import Drawing
from mainwright.plan.timetable import Activity, PermitUse, Programme, Waiting
from mainwright.words.wording import Wording

__all__ = ["programme_bars"]

_ROW: Final = 20.0
_BAR: Final = 13.0
_TOP: Final = 30.0
_WAIT: Final = 4.5
_LANE: Final = 6.0
"""Height of a wait, and from one wait to the next that goes on meanwhile. [point]"""


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
    waits = [(kind_text(kind, reader), lanes_of([one for one in programme.waits if one.kind == kind])) for kind in WAITS]
    waits = [(name, lanes) for name, lanes in waits if lanes]
    permits = [one for one in programme.permits if one.last_day is not None]
    floor = _TOP + _ROW * (len(rows) + len(permits)) + sum(_deep(lanes) for _, lanes in waits)
    kinds = {one.kind for one in programme.activities}
    legend = Legend(kinds, reader, width)
    drawing = Drawing(width=width, height=floor + 24.0 + legend.height, title=reader.text("Programme by crew"))
    names = [(name, LABEL) for name, _ in rows] + [(name, SMALL) for name, _ in waits]
    left = min(width * 0.25, max(text_width(name, size, "semibold" if size == LABEL else "regular") for name, size in names) + 10.0)
    days = Days(programme, left, width)
    days.draw(drawing, look, reader, _TOP, floor)
    y = _TOP
    for name, activities in rows:
        drawing.text(0.0, y + 13.0, shortened(name, left - 6.0, LABEL, "semibold"), size=LABEL, ink=look.ink, weight="semibold")
        drawing.line(0.0, y + _ROW, width, y + _ROW, ink=look.hair, weight=0.4)
        for one in activities:
            draw_bar(drawing, look, days, one, y=y + (_ROW - _BAR) / 2.0, height=_BAR)
        y += _ROW
    for name, lanes in waits:
        drawing.text(0.0, y + 8.5, shortened(name, left - 6.0, SMALL), size=SMALL, ink=look.quiet)
        for lane, row in enumerate(lanes):
            for wait in row:
                draw_wait(drawing, look, days, wait, y=y + 3.5 + _LANE * lane, height=_WAIT)
        y += _deep(lanes)
        drawing.line(0.0, y, width, y, ink=look.hair, weight=0.4)
    for permit in permits:
        _permit(drawing, look, days, permit, y)
        y += _ROW
    legend.draw(drawing, look, floor + 14.0)
    foot = floor + 14.0 + legend.height
    drawing.rect(0.0, foot - 6.0, 12.0, 7.5, fill="none", ink=look.ink, weight=1.5)
    drawing.text(15.0, foot, reader.text("thick frame: the end of the programme moves with it"), size=SMALL, ink=look.quiet)
    return drawing.svg()


def _rows(activities: Sequence[Activity], reader: Wording) -> list[tuple[str, list[Activity]]]:
    names: dict[str, list[Activity]] = {}
    for one in activities:
        # Who did what is done the programme does not know: the records say that it is over.
        names.setdefault(one.crew or (reader.text("done, by the records") if one.done else reader.text("nobody named")), []).append(one)
    return list(names.items())


def _deep(lanes: Sequence[Sequence[Waiting]]) -> float:
    return max(12.0, 5.5 + _LANE * len(lanes))


def _permit(drawing: Drawing, look: Palette, days: Days, one: PermitUse, y: float) -> None:
    name = " ".join(part for part in (one.ref, one.street) if part)
    drawing.text(0.0, y + 13.0, shortened(name, days.left - 6.0, SMALL), size=SMALL, ink=look.quiet)
    first = days.first if one.first_day is None else max(one.first_day, days.first)
    last = days.last if one.last_day is None else min(one.last_day, days.last)
    low, high = days.day(first), days.day(last) + days.scale
    drawing.rect(low, y + 7.0, high - low, 6.0, fill="none", ink=look.quiet, weight=0.7)
    if one.first is not None and one.last is not None:
        begin, end = days.day(max(one.first, days.first)), days.day(min(one.last, days.last)) + days.scale
        drawing.rect(begin, y + 8.5, max(0.0, min(end, high) - begin), 3.0, fill=look.quiet)
        if end > high:
            late = drawing.pattern("late", ink=look.caution, ground="none", kind="rising")
            drawing.rect(high, y + 5.0, end - high, 10.0, fill=late, ink=look.caution, weight=0.8)
