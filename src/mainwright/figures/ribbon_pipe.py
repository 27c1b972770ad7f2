"""Lanes of the ribbon that show the main itself: host pipe with its deposits, verdict, fittings."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from mainwright.figures.frame import EDGE, LABEL, PIXEL, SMALL, Frame, Tag, apart, gathered, row_of
from mainwright.figures.metrics import fitted, text_width
from mainwright.figures.place import spread
from mainwright.figures.svg import num
from mainwright.figures.symbols import fitting
from mainwright.job.job import Job
from mainwright.job.survey import Feature, Stretch
from mainwright.plan.result import LinedStretch, Suitability
from mainwright.words.message import message

if TYPE_CHECKING:
    from mainwright.standards.source import Verdict

__all__ = ["DEPOSIT_SCALE", "fitting_text", "fittings", "host", "verdicts"]

DEPOSIT_SCALE = 4.0
"""Deposits are drawn so many times thicker than the bore's scale; the legend says so."""


_DENSE = 3.0
"""Width for each fitting under which they are thinned out for the eye. [point]"""
_SIGN = 11.5
"""Width that the sign of a fitting needs. [point]"""
_RISE = 4.0
"""How much longer the tick for most fittings is than that for one. [point]"""


def _bores(job: Job, lined: Sequence[LinedStretch]) -> list[tuple[Stretch, float | None]]:
    known = {(one.start, one.end): one.bore_clean for one in lined}
    return [(stretch, known.get((stretch.start, stretch.end), stretch.bore)) for stretch in job.main]


def host(frame: Frame, top: float, job: Job, lined: Sequence[LinedStretch]) -> float:
    """Draw the host pipe with walls, bore and deposits, and return the lane's height."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    rows = _bores(job, lined)
    widest = max((bore or stretch.dn / 1000.0) for stretch, bore in rows)
    middle, full = top + 29.0, 24.0
    draw.open_group("host", reader.text("Host pipe"))
    frame.title(top + 10.0, reader.text("Host pipe"), reader.text("bore, deposits"))
    fill = draw.pattern("deposit", ink=look.paper, ground=look.deposit, step=2.4, kind="rising")
    heads: list[Tag] = []
    for stretch, bore in rows:
        part = frame.clipped(stretch.start, stretch.end)
        if part is None:
            continue
        x, width = part[0], part[1] - part[0]
        half = full / 2 * (bore or stretch.dn / 1000.0) / widest
        draw.rect(x, middle - half - 1.6, width, 2 * half + 3.2, fill=look.iron)
        draw.rect(x, middle - half, width, 2 * half, fill=look.water)
        if stretch.deposit:
            thick = min(half, max(0.7, DEPOSIT_SCALE * stretch.deposit / (bore or stretch.dn / 1000.0) * 2 * half))
            draw.rect(x, middle - half, width, thick, fill=fill)
            draw.rect(x, middle + half - thick, width, thick, fill=fill)
        if x > frame.left + 0.5:
            draw.line(x, middle - half - 4.0, x, middle + half + 4.0, ink=look.ink, weight=0.9)
        name = f"DN {stretch.dn}"
        kind = f"{name} {reader.code(stretch.material)}"
        year = f"{kind}, {stretch.year}" if stretch.year else kind
        heads.append(Tag(x + width / 2, fitted((year, kind, name), width - 4.0, LABEL, "semibold") or name, width))
        below = _inside(frame, stretch, bore)
        draw.text(x + width / 2, middle + 22.4, fitted(below, width - 4.0, SMALL), size=SMALL, ink=look.quiet, anchor="middle")
    for tag, place in row_of(heads, size=LABEL, low=frame.left, high=frame.right, weight="semibold")[0]:
        draw.text(place, top + 10.0, tag.text, size=LABEL, ink=look.ink, anchor="middle", weight="semibold")
        if abs(place - tag.x) > 2.0:
            draw.line(place, top + 11.6, tag.x, middle - full / 2 - 2.0, ink=look.quiet, weight=0.4)
    draw.close_group()
    return 54.0


def _inside(frame: Frame, stretch: Stretch, bore: float | None) -> tuple[str, ...]:
    reader = frame.reader
    known = f"{reader.text('bore')} {reader.quantity(bore, 'mm', 0)}" if bore is not None else reader.text("bore not known")
    if stretch.deposit is None:
        return (f"{known} · {reader.text('deposits not known')}", known)
    deposit = f"{reader.text('deposits')} {reader.quantity(stretch.deposit, 'mm', 0)}"
    return (f"{known} · {deposit}", known)


def verdicts(frame: Frame, top: float, suitability: Sequence[Suitability]) -> float:
    """Draw the verdict along the main and return the lane's height."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    if not suitability:
        return 0.0
    merged: list[tuple[float, float, Verdict]] = []
    for one in suitability:
        if merged and merged[-1][2] == one.verdict and abs(merged[-1][1] - one.start) < 1e-6:
            merged[-1] = (merged[-1][0], one.end, one.verdict)
        else:
            merged.append((one.start, one.end, one.verdict))
    fills = {
        "suitable": "none",
        "with_measures": draw.pattern("v-measures", ink=look.quiet, ground=look.paper, step=4.0, kind="dots"),
        "unsuitable": draw.pattern("v-no", ink=look.caution, ground=look.paper, step=3.0, kind="crossed"),
        "unknown": draw.pattern("v-unknown", ink=look.hair, ground=look.paper, step=4.0, kind="rising"),
    }
    draw.open_group("verdict", reader.text("Can it be lined"))
    frame.title(top + 9.0, reader.text("Can it be lined"))
    for start, end, verdict in merged:
        part = frame.clipped(start, end)
        if part:
            x, width = part[0], part[1] - part[0]
            draw.rect(x, top + 1.5, width, 11.0, fill=fills[verdict], ink=look.quiet, weight=0.5)
            label = fitted((reader.code(verdict),), width - 4.0, SMALL, "semibold")
            ink = look.caution if verdict == "unsuitable" else look.ink
            draw.text(x + width / 2, top + 9.2, label, size=SMALL, ink=ink, anchor="middle", weight="semibold", halo=look.paper)
    draw.close_group()
    return 15.0


def fitting_text(frame: Frame, feature: Feature) -> tuple[str, ...]:
    """Return what is said at a fitting, at falling length: kind, angle, size, state, chainage."""
    reader = frame.reader
    place = reader.measure(feature.chainage, "m", 1)
    kind = reader.code(feature.kind)
    angle = (
        f" {reader.number(math.degrees(feature.angle), 0 if abs(math.degrees(feature.angle) % 1) < 0.05 else 1)}°" if feature.angle else ""
    )
    size = f" DN {feature.size}" if feature.size else ""
    state = f", {reader.code(feature.state)}" if feature.state else ""
    return (f"{kind}{angle}{size}{state} · {place}", f"{kind}{angle}{state} · {place}", f"{kind}{angle} · {place}", place)


def fittings(frame: Frame, top: float, job: Job, *, room: float) -> tuple[float, int]:
    """Draw the fittings with upright labels and return the lane's height and how many labels found no room."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    shown = [feature for feature in job.features if frame.shows(feature.chainage)]
    draw.open_group("fittings", reader.text("Fittings"))
    frame.title(top + 11.0, reader.text("Fittings"), frame.counted(len(shown), len(job.features)))
    line = top + 9.0
    draw.line(frame.left, line, frame.right, line, ink=look.hair, weight=0.6)
    every = [frame.x(one.chainage) for one in shown]
    dense = len(shown) * _DENSE > frame.right - frame.left
    ranks = [1.0 if one.kind in ("bend", "gate_valve") else 0.0 for one in shown]
    if dense:
        # Where they stand too close to be told apart, ticks show how many there are, and as many as find room are drawn and named.
        marks = gathered(every, PIXEL)
        most = max(one.count for one in marks)
        by_one = _RISE / (most - 1) if most > 1 else 0.0
        draw.shape("".join(f"M{num(one.x)} {num(line)}v{num(4.0 + by_one * (one.count - 1))}" for one in marks), ink=look.quiet, weight=0.4)
        if most > 1:
            draw.text(0.0, top + 27.8, reader.word(message("a tick stands for up to {n}", n=most)), size=SMALL, ink=look.quiet)
        chosen = apart(every, ranks, 8.0)
        shown, ranks = [shown[index] for index in chosen], [ranks[index] for index in chosen]
    tags = [Tag(frame.x(one.chainage), fitted(fitting_text(frame, one), room, SMALL), rank) for one, rank in zip(shown, ranks, strict=True)]
    placed, lost = row_of(tags, size=SMALL, low=frame.left - EDGE, high=max(frame.right + EDGE, frame.left + 8.0), turned=True)
    longest = max((text_width(tag.text, SMALL) for tag, _ in placed), default=0.0)
    for tag, place in placed:
        draw.path([(tag.x, line + 5.0), (tag.x, line + 7.5), (place, line + 13.0), (place, line + 15.0)], ink=look.quiet, weight=0.4)
        draw.text(place + SMALL * 0.34, line + 17.0, tag.text, size=SMALL, ink=look.ink, anchor="end", turned=True)
    points = [frame.x(one.chainage) for one in shown]
    roomy = _SIGN * len(shown) <= frame.right - frame.left
    places = spread(points, [_SIGN] * len(shown), frame.left - EDGE, max(frame.right + EDGE, frame.left + _SIGN)) if roomy else points
    for one, point, x in zip(shown, points, places, strict=True):
        draw.line(point, line + 3.5, x, line, ink=look.quiet, weight=0.4)
        fitting(draw, look, x, line, one.kind)
    draw.close_group()
    return (longest + 32.0 if placed else 20.0), lost
