"""Lanes of the ribbon that show the work: openings and runs, connections, thickness aimed at."""

import math
from collections.abc import Sequence

from mainwright.figures.frame import EDGE, LABEL, PIXEL, SMALL, Frame, Tag, apart, gathered, row_of
from mainwright.figures.metrics import fitted, text_width
from mainwright.figures.place import spread, ticks
from mainwright.figures.ribbon_ground import forbidden_zones
from mainwright.figures.svg import num
from mainwright.job.job import Job
from mainwright.job.survey import Service
from mainwright.plan.result import LinedStretch, Opening, Run
from mainwright.units import from_si, to_si
from mainwright.words.wording import shown_unit

__all__ = ["SPECIAL_USES", "aim", "connections", "work"]

SPECIAL_USES = ("school", "hospital", "dialysis", "works", "farm", "fire_line", "shop")
"""Users that are named on the ribbon."""

_BOX = 8.6
"""Width that the sign of an opening needs."""


def work(frame: Frame, top: float, job: Job, openings: Sequence[Opening], runs: Sequence[Run]) -> float:
    """Draw openings and runs and return the lane's height."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    draw.open_group("work", reader.text("Openings and runs"))
    frame.title(top + 10.0, reader.text("Openings"), reader.text("no., chainage"))
    frame.title(top + 47.0, reader.text("Runs"), reader.text("what limits the length"))
    line = top + 27.0
    draw.line(frame.left, line, frame.right, line, ink=look.hair, weight=0.6)
    hatch = draw.pattern("no-dig", ink=look.forbidden, ground=look.paper, step=3.0, kind="rising")
    for start, end, kind in forbidden_zones(job):
        part = frame.clipped(start, end)
        if part is None:
            continue
        x, width = part[0], part[1] - part[0]
        draw.rect(x, line - 4.0, width, 8.0, fill=hatch, ink=look.forbidden, weight=0.8)
        name = reader.text("no digging")
        free = not any(start < one.chainage < end for one in openings)
        label = fitted((f"{name}: {reader.code(kind)}" if kind else name, name), width - 6.0, SMALL, "semibold") if free else ""
        draw.text(x + width / 2, line + 2.2, label, size=SMALL, ink=look.forbidden, anchor="middle", weight="semibold", halo=look.paper)
    _openings(frame, top, line, openings)
    for run in runs:
        _run(frame, top, run)
    if not openings:
        draw.text(frame.left + 6.0, top + 46.0, reader.text("No layout keeps the limits."), size=LABEL, ink=look.caution, weight="semibold")
    draw.close_group()
    return 73.0


def _openings(frame: Frame, top: float, line: float, openings: Sequence[Opening]) -> None:
    look, reader, draw = frame.look, frame.reader, frame.drawing
    shown = [(number, one) for number, one in enumerate(openings, start=1) if frame.shows(one.chainage)]
    points = [frame.x(one.chainage) for _, one in shown]
    roomy = _BOX * len(shown) <= 0.6 * (frame.right - frame.left)
    half = 3.6 if roomy else 1.1
    places = spread(points, [_BOX] * len(shown), frame.left - EDGE, frame.right + EDGE) if roomy else points
    tags = []
    for (number, one), x, place in zip(shown, points, places, strict=True):
        draw.path([(place, line + 5.0), (x, line + 9.5), (x, top + 53.0)], ink=look.ink, weight=0.5)
        draw.rect(
            place - half,
            line - 6.0,
            2 * half,
            12.0,
            fill=look.pump if one.pump_here else look.opening,
            ink=look.ink,
            weight=1.0 if roomy else 0.6,
        )
        if one.pump_here and roomy:
            draw.circle(place, line, 1.7, fill=look.paper)
        tags.append(Tag(place, f"{number} · {reader.measure(one.chainage, 'm', 1)}", 1.0))
    # Past the end of the main there is room, past a cut the next sheet's chainage stands.
    low = frame.left - (EDGE if shown and shown[0][0] == 1 else -1.0)
    high = frame.right + (12.0 if shown and shown[-1][0] == len(openings) else -1.0)
    row, lost = row_of(tags, size=LABEL, low=low, high=high, weight="semibold")
    if lost:
        short = [Tag(tag.x, tag.text.partition(" · ")[0], tag.rank) for tag in tags]
        row, lost = row_of(short, size=LABEL, low=low, high=high, weight="semibold")
    if lost:
        # A number far from its place would mislead: of too many only every second, third and so on is named.
        step = math.ceil(1.6 * len(short) / len(row))
        row, _ = row_of(short[::step], size=LABEL, low=low, high=high, weight="semibold")
    for tag, place in row:
        draw.text(place, top + 11.0, tag.text, size=LABEL, ink=look.ink, anchor="middle", weight="semibold")
        draw.path([(place, top + 13.0), (tag.x, line - 6.0)], ink=look.quiet, weight=0.4)


def _run(frame: Frame, top: float, run: Run) -> None:
    look, reader, draw = frame.look, frame.reader, frame.drawing
    part = frame.clipped(run.start, run.end)
    if part is None:
        return
    x1, x2 = part[0] + 2.0, part[1] - 2.0
    y, half = top + 46.0, 6.5
    target = run.end if run.direction == "increasing" else run.start
    head = min(7.0, max(x2 - x1, 0.1) * 0.4) if frame.shows(target) else 0.0
    shape = [(x1, y - half), (x2 - head, y - half), (x2, y), (x2 - head, y + half), (x1, y + half)]
    if run.direction == "decreasing":
        shape = [(x1 + x2 - x, at) for x, at in shape]
    draw.path(shape, fill=look.paper if run.done else look.run, ink=look.run, weight=1.0, closed=True)
    room = x2 - x1 - head - 3.0
    long = reader.quantity(run.length, "m", 1)
    done = f"{run.id} · {reader.text('done')}"
    label = fitted((done, run.id) if run.done else (f"{run.id} · {long}", run.id), room, LABEL, "bold")
    ink = look.run if run.done else look.paper
    shift = -head / 2 if run.direction == "increasing" else head / 2
    if label:
        draw.text((x1 + x2) / 2 + shift, y + 2.5, label, size=LABEL, ink=ink, anchor="middle", weight="bold")
    elif x2 - x1 > SMALL and text_width(run.id, SMALL, "bold") <= 2 * half:
        draw.text((x1 + x2) / 2 + 2.2, y, run.id, size=SMALL, ink=ink, anchor="middle", weight="bold", turned=True)
    speed = reader.quantity(run.speed, "m_min", 2)
    wanted = f"{reader.text('aim')} {reader.quantity(run.aim, 'mm', 1)}"
    low, high = frame.clipped(run.start, run.end) or (x1, x2)
    why = reader.word(run.limit_text)
    draw.text(
        (low + high) / 2,
        top + 61.0,
        fitted((f"{wanted} · {speed}", wanted), high - low - 4.0, SMALL),
        size=SMALL,
        ink=look.ink,
        anchor="middle",
    )
    draw.text((low + high) / 2, top + 69.4, fitted((why,), high - low - 4.0, SMALL), size=SMALL, ink=look.quiet, anchor="middle")


def connections(frame: Frame, top: float, job: Job) -> float:
    """Draw the connections, left ones up and right ones down, and return the lane's height."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    if not job.services:
        return 0.0
    line = top + 25.0
    shown = [service for service in job.services if frame.shows(service.chainage)]
    draw.open_group("connections", reader.text("Connections"))
    frame.title(top + 11.0, reader.text("Connections"), frame.counted(len(shown), len(job.services)))
    for side, lift in (("left", -8.0), ("right", 12.0)):
        draw.text(frame.left - 4.0, line + lift, reader.code(side), size=SMALL, ink=look.quiet, anchor="end")
    draw.line(frame.left, line, frame.right, line, ink=look.iron, weight=1.6)
    for sides, up in ((("left", None), True), (("right",), False)):
        these = [service for service in shown if service.side in sides]
        special = [service for service in these if service.use in SPECIAL_USES]
        drawn = these
        if len(these) * 1.5 > frame.right - frame.left:
            marks = gathered([frame.x(one.chainage) for one in these], PIXEL)
            draw.shape("".join(f"M{num(one.x)} {num(line)}v{-9 if up else 9}" for one in marks), ink=look.ink, weight=0.4)
            ranks = [float(-SPECIAL_USES.index(one.use or "shop")) for one in special]
            drawn = special = [special[index] for index in apart([frame.x(one.chainage) for one in special], ranks, 6.0)]
        for service in drawn:
            _tick(frame, line, service, up=up)
        tags = [
            Tag(
                frame.x(one.chainage),
                " ".join(filter(None, (reader.code(one.use or ""), one.ref))),
                float(-SPECIAL_USES.index(one.use or "shop")),
            )
            for one in special
        ]
        row = row_of(tags, size=SMALL, low=frame.left, high=frame.right)[0]
        for tag, place in row:
            y = line - 17.5 if up else line + 22.0
            draw.text(place, y, tag.text, size=SMALL, ink=look.ink, anchor="middle")
            if abs(place - tag.x) > 3.0:
                draw.line(place, y + 1.0 if up else y - 5.4, tag.x, line - 13.0 if up else line + 13.0, ink=look.quiet, weight=0.4)
    draw.close_group()
    return 52.0


def _tick(frame: Frame, line: float, service: Service, *, up: bool) -> None:
    look, draw = frame.look, frame.drawing
    x, sign = frame.x(service.chainage), -1.0 if up else 1.0
    draw.line(x, line, x, line + sign * 9.0, ink=look.ink, weight=1.0, dash="1.6 1.2" if service.live is False else "")
    if service.use in SPECIAL_USES:
        y = line + sign * 11.0
        draw.path([(x - 2.6, y), (x, y - 2.6), (x + 2.6, y), (x, y + 2.6)], fill=look.ink, closed=True)
    elif service.material == "lead":
        draw.circle(x, line + sign * 10.6, 1.7, fill=look.paper, ink=look.ink, weight=0.8)


def aim(frame: Frame, top: float, stretches: Sequence[LinedStretch], runs: Sequence[Run]) -> float:
    """Draw the thickness aimed at in its band and return the lane's height."""
    look, reader, draw = frame.look, frame.reader, frame.drawing
    unit = shown_unit("mm", reader.units)
    shown = [one for one in stretches if frame.clipped(one.start, one.end)]
    values = [value for one in stretches for value in (one.minimum, one.nominal, one.maximum, one.aim) if value is not None]
    if not shown or not values:
        return 0.0
    low, high = from_si(min(values), unit), from_si(max(values), unit)
    margin = (high - low) * 0.2 or high * 0.2
    low, high, height = max(0.0, low - margin), high + margin, 56.0
    per = (height - 6.0) / (high - low)

    def y(value: float) -> float:
        return top + 3.0 + (high - from_si(value, unit)) * per

    draw.open_group("aim", reader.text("Lining"))
    frame.title(top + 11.0, reader.text("Lining aimed at"), f"[{reader.unit('mm')}]")
    marks = ticks(low, high, 4)
    for value in marks:
        at = y(to_si(value, unit))
        draw.line(frame.left, at, frame.right, at, ink=look.hair, weight=0.3)
        step = marks[1] - marks[0] if len(marks) > 1 else 1.0
        draw.text(
            frame.left - 4.0,
            at + 2.2,
            reader.number(value, 0 if step >= 1 else 1 if step >= 0.1 else 2),
            size=SMALL,
            ink=look.quiet,
            anchor="end",
        )
    for one in shown:
        x1, x2 = frame.clipped(one.start, one.end) or (0.0, 0.0)
        ceiling = y(one.maximum) if one.maximum is not None else top + 3.0
        draw.rect(x1, ceiling, x2 - x1, y(one.minimum) - ceiling, fill=look.water)
        if one.maximum is not None:
            draw.line(x1, ceiling, x2, ceiling, ink=look.quiet, weight=0.5)
        draw.line(x1, y(one.nominal), x2, y(one.nominal), ink=look.quiet, weight=0.7, dash="4 2.4")
        draw.line(x1, y(one.minimum), x2, y(one.minimum), ink=look.ink, weight=1.3)
    for run in runs:
        for setting in run.settings:
            part = frame.clipped(setting.start, setting.end)
            if part:
                draw.line(part[0], y(setting.aim), part[1], y(setting.aim), ink=look.run, weight=2.0)
        part = frame.clipped(run.start, run.end)
        if part:
            draw.line(part[1], top + 3.0, part[1], top + height - 3.0, ink=look.hair, weight=0.4)
            label = fitted((reader.measure(run.aim, "mm", 1),), part[1] - part[0] - 2.0, LABEL, "semibold")
            draw.text(
                (part[0] + part[1]) / 2,
                y(run.aim) - 3.0,
                label,
                size=LABEL,
                ink=look.run,
                anchor="middle",
                weight="semibold",
                halo=look.paper,
            )
    draw.close_group()
    return height
