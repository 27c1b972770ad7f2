"""The programme by place: each block, its runs and their openings in a row of their own, with street, permits behind and days off shaded."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby
from typing import Final

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Palette, Theme
from mainwright.figures.programme_parts import Days, Legend, draw_bar, draw_wait, lanes_of, shortened
from mainwright.figures.svg import Drawing
from mainwright.plan.timetable import Activity, PermitUse, Programme, Waiting
from mainwright.units import from_si
from mainwright.words.wording import Wording, shown_unit

__all__ = ["programme_places"]

_TOP: Final = 30.0
_BAR: Final = 7.5
_LANE: Final = 4.4
_WAIT: Final = 3.4
_ROW: Final = 11.5
_COLUMNS: Final = (0.0, 54.0, 122.0)
"""Where name, chainage and street begin. [point]"""

_LEFT: Final = 218.0
_INDENT: Final = 7.0

_REF: Final = 5.2
_TRIES: Final = 12

_Mark = Callable[[float, float], None]


@dataclass(frozen=True, slots=True)
class _Row:
    """A place: how deep it stands, its name, chainages [m], and what goes on there; ``goes_on`` only names a block that began a page before."""

    depth: int
    name: str
    start: float
    end: float
    activities: tuple[Activity, ...] = ()
    lanes: tuple[tuple[Waiting, ...], ...] = ()
    goes_on: bool = False

    @property
    def height(self) -> float:
        """Return the height of the row. [point]."""
        return _ROW + _LANE * len(self.lanes)


def programme_places(
    programme: Programme, *, width: float, height: float, theme: Theme = "light", language: str = "en", units: str = "metric"
) -> tuple[str, ...]:
    """Return the bars by place as SVG texts, one for each page.

    Parameters
    ----------
    programme : Programme
        The programme. [-]
    width, height : float
        Of a page at most; one that has fewer rows is lower. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language, units : str
        Of the reader. [-]

    Returns
    -------
    tuple of str
        A run stands on one page with its openings; a block that goes on is named again.
    """
    look, reader = PALETTES[theme], Wording(language, "us" if units == "us" else "metric", "\u00a0")
    kinds = {one.kind for one in programme.everything}
    # The legend is drawn on every page: its height is taken off before the rows are dealt out.
    room = (
        height
        - _TOP
        - 12.0
        - Legend(kinds, reader, width, marks=_marks(Drawing(width=1.0, height=1.0, title=""), look, reader, programme)).height
    )
    pages = _pages(_rows(programme, reader), room)
    drawn = []
    for number, rows in enumerate(pages, start=1):
        title = reader.text("Programme by place") + (f" {number}/{len(pages)}" if len(pages) > 1 else "")
        drawn.append(_page(programme, rows, look, reader, width=width, title=title))
    return tuple(drawn)


def _rows(programme: Programme, reader: Wording) -> list[list[_Row]]:
    """Return the rows in pieces that stay together: a block with its first run, then each run with its openings."""
    closings = {one.block: one for one in programme.activities if one.kind == "isolating"}
    listed: set[float] = set()
    pieces: list[list[_Row]] = []
    for number in sorted(closings, key=lambda one: closings[one].start):
        mine = [one for one in programme.activities if one.block == number]
        whole = closings[number]
        own = tuple(one for one in mine if one.run is None and one.start < one.end)
        waits = [one for one in programme.waits if one.block == number and one.run is None]
        head = _Row(0, whole.id.removesuffix("-isolating"), whole.start, whole.end, own, _tuples(lanes_of(waits)))
        spans = {one.run: (one.start, one.end) for one in mine if one.run is not None}
        for place, (run, (start, end)) in enumerate(sorted(spans.items(), key=lambda one: one[1])):
            piece = [head] if place == 0 else []
            passing = lanes_of([one for one in programme.waits if one.run == run])
            piece.append(_Row(1, run or "", start, end, tuple(one for one in mine if one.run == run), _tuples(passing)))
            for chainage in (start, end):
                here = tuple(one for one in programme.activities if one.start == one.end == chainage)
                if here and chainage not in listed:
                    listed.add(chainage)
                    piece.append(_Row(2, reader.text("opening"), chainage, chainage, here))
            pieces.append(piece)
    return pieces


def _tuples(lanes: Sequence[Sequence[Waiting]]) -> tuple[tuple[Waiting, ...], ...]:
    return tuple(tuple(one) for one in lanes)


def _pages(pieces: Sequence[Sequence[_Row]], room: float) -> list[list[_Row]]:
    """Deal the pieces out to as few pages as hold them, all about equally full."""
    best = _dealt(pieces, room)
    least = sum(row.height for piece in pieces for row in piece) / len(best)
    for step in range(_TRIES):
        tried = _dealt(pieces, least + (room - least) * step / _TRIES)
        if len(tried) == len(best):
            return tried
    return best


def _dealt(pieces: Sequence[Sequence[_Row]], room: float) -> list[list[_Row]]:
    """Begin a new page where the next piece does not fit, which names the block again that goes on."""
    pages: list[list[_Row]] = [[]]
    used, head = 0.0, None
    for piece in pieces:
        need = sum(one.height for one in piece)
        if pages[-1] and used + need > room:
            pages.append([])
            used = 0.0
            if piece[0].depth > 0 and head is not None:
                pages[-1].append(replace(head, activities=(), lanes=(), goes_on=True))
                used = _ROW
        head = piece[0] if piece[0].depth == 0 else head
        pages[-1] += piece
        used += need
    return pages


def _page(programme: Programme, rows: Sequence[_Row], look: Palette, reader: Wording, *, width: float, title: str) -> str:
    floor = _TOP + sum(row.height for row in rows)
    drawing = Drawing(width=width, height=floor + 12.0, title=title)
    legend = Legend({one.kind for one in programme.everything}, reader, width, marks=_marks(drawing, look, reader, programme))
    drawing.height += legend.height
    days = Days(programme, _LEFT, width)
    days.draw(drawing, look, reader, _TOP, floor)
    heads = (reader.text("Place"), f"{reader.text('Chainage')} [{reader.unit('m')}]", reader.text("Street"))
    for x, head, end in zip(_COLUMNS, heads, (*_COLUMNS[1:], _LEFT), strict=True):
        drawing.text(x, _TOP - 8.0, shortened(head, end - x - 4.0, SMALL), size=SMALL, ink=look.quiet)
    drawing.line(0.0, _TOP, _LEFT, _TOP, ink=look.ink, weight=0.6)
    tops = []
    y = _TOP
    for row in rows:
        tops.append(y)
        y += row.height
    windows = _windows(days, programme.permits, list(zip(rows, tops, strict=True)))
    for window in windows:
        if window.late > window.right:
            drawing.rect(window.right, window.top, window.late - window.right, window.floor - window.top, fill=_late(drawing, look))
    for row, top in zip(rows, tops, strict=True):
        weight = 0.7 if row.depth == 0 and top > _TOP else 0.3
        drawing.line(0.0, top, width, top, ink=look.quiet if row.depth == 0 else look.hair, weight=weight)
        _named(drawing, look, reader, row, top=top, permits=programme.permits)
        for one in row.activities:
            draw_bar(drawing, look, days, one, y=top + (_ROW - _BAR) / 2.0, height=_BAR)
        for number, lane in enumerate(row.lanes):
            for wait in lane:
                draw_wait(drawing, look, days, wait, y=top + _ROW - 0.8 + _LANE * number, height=_WAIT)
    for window in windows:
        _draw_window(drawing, look, days, window)
    drawing.line(0.0, floor, width, floor, ink=look.quiet, weight=0.5)
    legend.draw(drawing, look, floor + 14.0)
    return drawing.svg()


def _named(drawing: Drawing, look: Palette, reader: Wording, row: _Row, *, top: float, permits: Sequence[PermitUse]) -> None:
    unit = shown_unit("m", reader.units)
    base, inset = top + 8.2, _INDENT * row.depth
    size, ink = (LABEL, look.ink) if row.depth < 2 else (SMALL, look.quiet)
    room = _COLUMNS[1] - inset - 3.0
    drawing.text(inset, base, shortened(row.name, room, size, "semibold" if row.depth == 0 else "regular"), size=size, ink=ink, weight="semibold" if row.depth == 0 else "regular")  # fmt: skip
    ends = [reader.number(from_si(one, unit), 0 if unit != "m" or float(one).is_integer() else 1) for one in (row.start, row.end)]
    span = ends[0] if row.start == row.end else f"{ends[0]} – {ends[1]}"
    drawing.text(_COLUMNS[1], base, shortened(span, _COLUMNS[2] - _COLUMNS[1] - 3.0, SMALL), size=SMALL, ink=look.quiet)
    streets = reader.text("goes on") if row.goes_on else ", ".join(dict.fromkeys(one.street or one.ref for one in _over(permits, row)))
    drawing.text(_COLUMNS[2], base, shortened(streets, _LEFT - _COLUMNS[2] - 4.0, SMALL), size=SMALL, ink=look.quiet)


def _over(permits: Sequence[PermitUse], row: _Row) -> tuple[PermitUse, ...]:
    """Return the permits under which a place lies; an opening at the border of two lies under both."""
    found = []
    for one in permits:
        low, high = float("-inf") if one.start is None else one.start, float("inf") if one.end is None else one.end
        inside = low <= row.start <= high if row.start == row.end else row.start < high and row.end > low
        if inside:
            found.append(one)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Window:
    """When the permits of places that follow each other allow work, where it is drawn, and how far the work goes beyond. [point]."""

    refs: str
    left: float
    right: float
    top: float
    floor: float
    late: float


def _windows(days: Days, permits: Sequence[PermitUse], rows: Sequence[tuple[_Row, float]]) -> list[_Window]:
    """Return one window for places that follow each other and have the same permits."""
    found = []
    for over, group in groupby(rows, key=lambda one: _over(permits, one[0])):
        held = list(group)
        first = max((one.first_day for one in over if one.first_day is not None), default=days.first)
        last = min((one.last_day for one in over if one.last_day is not None), default=days.last)
        if not over or first > last:
            continue
        high = min(_within(days, last) + (days.scale if last <= days.last else 0.0), days.right)
        late = max((one.last for one in over if one.overrun and one.last is not None), default=last)
        beyond = min(_within(days, late) + days.scale, days.right) if late > last else high
        refs = ", ".join(one.ref for one in over)
        found.append(_Window(refs, _within(days, first), high, held[0][1], held[-1][1] + held[-1][0].height, beyond))
    return found


def _late(drawing: Drawing, look: Palette) -> str:
    return drawing.pattern("late", ink=look.caution, ground="none", step=7.0, kind="rising")


def _draw_window(drawing: Drawing, look: Palette, days: Days, one: _Window) -> None:
    corners = [
        (one.left + 0.6, one.top + 0.8),
        (one.right - 0.6, one.top + 0.8),
        (one.right - 0.6, one.floor - 0.8),
        (one.left + 0.6, one.floor - 0.8),
    ]
    drawing.path(corners, ink=look.forbidden, weight=0.7, closed=True, dash="3 2")
    outside = one.right + text_width(one.refs, _REF) + 4.0 <= days.right
    x = one.right + 2.5 if outside else one.right - 2.5
    drawing.text(x, one.top + 6.6, one.refs, size=_REF, ink=look.forbidden, anchor="start" if outside else "end", halo=look.paper)


def _within(days: Days, day: date) -> float:
    return days.day(min(max(day, days.first), days.last))


def _marks(drawing: Drawing, look: Palette, reader: Wording, programme: Programme) -> list[tuple[_Mark, str]]:
    def critical(x: float, y: float) -> None:
        drawing.rect(x, y - 6.0, 12.0, 7.5, fill="none", ink=look.ink, weight=1.5)

    def window(x: float, y: float) -> None:
        corners = [(x, y - 6.0), (x + 12.0, y - 6.0), (x + 12.0, y + 1.5), (x, y + 1.5)]
        drawing.path(corners, ink=look.forbidden, weight=0.7, closed=True, dash="3 2")

    def off(x: float, y: float) -> None:
        drawing.rect(x, y - 6.0, 12.0, 7.5, fill=look.earth, ink=look.hair, weight=0.3)

    def late(x: float, y: float) -> None:
        drawing.rect(x, y - 6.0, 12.0, 7.5, fill=_late(drawing, look))

    beyond = [(late, reader.text("work beyond a permit"))] if any(one.overrun for one in programme.permits) else []
    return [
        (critical, reader.text("thick frame: the end of the programme moves with it")),
        (window, reader.text("days of the permits")),
        (off, reader.text("no work")),
        *beyond,
    ]
