"""What is wrong along a run, as objects: thin, bare, thick and silent lengths with their likely cause, and the remedy with its quantities."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal
from zoneinfo import ZoneInfo

from mainwright.job.job import Job
from mainwright.job.records import Event, Records
from mainwright.plan.host import HostStretch
from mainwright.plan.result import LinedStretch, Run, RunSetting
from mainwright.prove.thickness import Laid
from mainwright.prove.timeline import Timeline
from mainwright.science.bore.ring import ring_area
from mainwright.words.message import Message, Quantity, message

__all__ = ["LONGEST_PATCH", "NEAR_EVENT", "OFF", "REACH", "Defect", "Remedy", "find_defects"]

Remedy = Literal["hand_patch", "second_coat", "line", "reline", "measure", "look"]

REACH: Final = 1.5
"""By hand from an opening so far; an assumption. [m]"""

LONGEST_PATCH: Final = 1.0
"""A longer patch is no patch; an assumption. [m]"""

NEAR_EVENT: Final = 1.0
"""An event within this of a length may be its cause; an assumption. [m]"""

OFF: Final = 0.07
"""Flow or speed so far from the plan is a cause: over twice the scatter that the plan reckons with by default, relative."""

_CAUSES: Final = ("stop", "restart", "purge", "water_in_invert", "alarm", "remark", "valve_lets_by", "wasted_l")
_KINDS: Final = {
    "stop": message("the head stopped"),
    "restart": message("the head started again"),
    "purge": message("the hose was purged"),
    "water_in_invert": message("water stood in the invert"),
    "alarm": message("an alarm"),
    "remark": message("a remark"),
    "valve_lets_by": message("a valve let by"),
    "wasted_l": message("mortar was thrown away"),
}


@dataclass(frozen=True, slots=True)
class Defect:
    """One length that is not as it was asked.

    Attributes
    ----------
    kind
        ``thin``, ``bare`` (nothing lies there), ``thick`` (over the maximum), ``silent`` (no readings).
    start, end
        Chainage. [m]
    worst
        Least thickness of a thin length, greatest of a thick one; None where nothing is known. [m]
    depth
        By how much that misses what was asked. [m]
    causes
        Likely ones, from the events and readings of the run; the first is the most likely.
    remedy, text
        What is proposed; the client agrees first.
    area, mortar
        Wall to be treated [m2], and mortar to be mixed for it [m3]; None where the remedy needs none.
    """

    kind: Literal["thin", "bare", "thick", "silent"]
    start: float
    end: float
    worst: float | None
    depth: float | None
    causes: tuple[Message, ...]
    remedy: Remedy
    text: Message
    area: float | None
    mortar: float | None

    @property
    def length(self) -> float:
        """Length along the main. [m]."""
        return self.end - self.start


def find_defects(
    job: Job,
    run: Run,
    laid: Laid,
    *,
    stretches: Sequence[LinedStretch],
    host: Sequence[HostStretch],
    records: Records,
    coats: Sequence[Timeline],
) -> tuple[Defect, ...]:
    """Return what is not as it was asked along one run, in order of chainage.

    Parameters
    ----------
    job : Job
        The job. [-]
    run : Run
        The run, in the direction in which it was lined. [-]
    laid : Laid
        What lies in it by its readings. [-]
    stretches : sequence of LinedStretch
        The main with what the contract asks. [-]
    host : sequence of HostStretch
        The main as it lay, with the greatest single coat. [-]
    records : Records
        What happened. [-]
    coats : sequence of Timeline
        The run against the clock. [-]

    Returns
    -------
    tuple of Defect
        Lengths that touch and are of one kind are one.
    """
    events = [one for one in records.events if one.run == run.id]
    found = []
    for kind, first, last in _spans(laid, stretches):
        low, high = laid.chainages[first] - 0.5 * laid.width, laid.chainages[last] + 0.5 * laid.width
        values = laid.thicknesses[first : last + 1]
        worst = max(values) if kind == "thick" else min(values)
        asked = [_at(stretches, chainage) for chainage in laid.chainages[first : last + 1]]
        limits = [one.maximum for one in asked if one.maximum is not None] if kind == "thick" else [one.minimum for one in asked]
        causes = _causes(job, run, low, high, events=events, coats=coats)
        if kind == "bare":
            causes = (message("the head never passed here by its readings"), *causes)
        remedy, text, mortar = _remedy(
            job, run, kind, low=low, high=high, values=values, laid=laid, first=first, stretches=stretches, host=host
        )
        area = None if remedy in ("measure", "look") else math.pi * asked[0].bore_clean * (high - low)
        depth = worst - min(limits) if kind == "thick" else max(limits) - worst
        found.append(Defect(kind, low, high, worst, depth, causes, remedy, text, area, mortar))
    for gap in laid.gaps:
        text = message("Look at what lies there: by gauge from both ends, by camera, by scan; the record says nothing of it.")
        found.append(
            Defect(
                "silent",
                gap.start,
                gap.end,
                None,
                None,
                (gap.why, *_events(job, gap.start, gap.end, events, coats)),
                "measure",
                text,
                None,
                None,
            )
        )
    return tuple(sorted(found, key=lambda one: (one.start, one.end, one.kind)))


def _at(stretches: Sequence[LinedStretch], chainage: float) -> LinedStretch:
    return next((one for one in stretches if chainage <= one.end), stretches[-1])


def _spans(laid: Laid, stretches: Sequence[LinedStretch]) -> list[tuple[Literal["thin", "bare", "thick"], int, int]]:
    found: list[tuple[Literal["thin", "bare", "thick"], int, int]] = []
    for place, (chainage, value) in enumerate(zip(laid.chainages, laid.thicknesses, strict=True)):
        asked = _at(stretches, chainage)
        kind: Literal["thin", "bare", "thick"] | None = None
        if value < asked.minimum:
            kind = "bare" if value <= 0.0 else "thin"
        elif asked.maximum is not None and value > asked.maximum:
            kind = "thick"
        if kind is None:
            continue
        if found and found[-1][0] == kind and found[-1][2] == place - 1:
            found[-1] = (kind, found[-1][1], place)
        else:
            found.append((kind, place, place))
    return found


def _causes(job: Job, run: Run, low: float, high: float, *, events: Sequence[Event], coats: Sequence[Timeline]) -> tuple[Message, ...]:
    return (*_driven(run, low, high, coats), *_events(job, low, high, events, coats))


def _driven(run: Run, low: float, high: float, coats: Sequence[Timeline]) -> tuple[Message, ...]:
    """Return what flow and speed were there against the plan, where they were off."""
    found = []
    for coat in coats:
        driven = coat.span(max(low, coat.start), min(high, coat.end))
        setting = _setting(run, 0.5 * (low + high), coat.coat)
        if driven is None or setting is None:
            continue
        speed, flow = driven
        if run.flow > 0.0 and abs(flow / run.flow - 1.0) > OFF:
            found.append(
                message(
                    "the pump gave {share} of its output: {flow}",
                    share=Quantity(flow / run.flow, "pct", 0),
                    flow=Quantity(flow, "l_min", 1),
                )
            )
        if setting.speed > 0.0 and abs(speed / setting.speed - 1.0) > OFF:
            found.append(
                message(
                    "the head ran at {share} of its speed: {speed}",
                    share=Quantity(speed / setting.speed, "pct", 0),
                    speed=Quantity(speed, "m_min", 2),
                )
            )
    return tuple(found)


def _setting(run: Run, chainage: float, coat: int) -> RunSetting | None:
    settings = run.coat_settings[coat - 1] if 0 < coat <= len(run.coat_settings) else run.settings
    return next((one for one in settings if one.start <= chainage <= one.end), settings[0] if settings else None)


def _events(job: Job, low: float, high: float, events: Sequence[Event], coats: Sequence[Timeline]) -> tuple[Message, ...]:
    """Return what was written down there: by its chainage, or else by the time at which the head was there."""
    times = []
    for coat in coats:
        passes = (
            coat.passed(min(max(low - NEAR_EVENT, coat.start), coat.end)),
            coat.passed(min(max(high + NEAR_EVENT, coat.start), coat.end)),
        )
        if passes[0] is not None and passes[1] is not None:
            times.append((min(passes[0], passes[1]), max(passes[0], passes[1])))
    found = []
    for one in sorted(events, key=lambda event: event.time):
        if one.kind not in _CAUSES:
            continue
        if one.chainage is not None:
            there = low - NEAR_EVENT <= one.chainage <= high + NEAR_EVENT
        else:
            there = any(first <= one.time.timestamp() <= last for first, last in times)
        if there:
            what = _KINDS[one.kind]
            when = _clock(job, one.time)
            found.append(
                message("{when}: {what}, {note}", when=when, what=what, note=one.note)
                if one.note
                else message("{when}: {what}", when=when, what=what)
            )
    return tuple(found)


def _clock(job: Job, time: datetime) -> str:
    return time.astimezone(ZoneInfo(job.info.time_zone)).strftime("%H:%M")


def _remedy(
    job: Job,
    run: Run,
    kind: Literal["thin", "bare", "thick"],
    *,
    low: float,
    high: float,
    values: Sequence[float],
    laid: Laid,
    first: int,
    stretches: Sequence[LinedStretch],
    host: Sequence[HostStretch],
) -> tuple[Remedy, Message, float | None]:
    if kind == "thick":
        return "look", message("Look by camera whether connections are free and the bore is enough; nothing is added here."), None
    efficiency, waste = job.lining.deposit_efficiency, 1.0 + job.mortar.waste
    mortar, thickest = 0.0, 0.0
    over = False
    for place, value in enumerate(values, start=first):
        asked = _at(stretches, laid.chainages[place])
        aim = asked.aim if asked.aim is not None else asked.nominal
        missing = ring_area(thickness=aim, bore=asked.bore_clean) - ring_area(thickness=min(max(value, 0.0), aim), bore=asked.bore_clean)
        thickest = max(thickest, aim - max(value, 0.0))
        mortar += missing * laid.width / efficiency * waste
        # A coat is one thickness over its length: where the length has both thin and better places, those get it too. At its edges it can end.
        edge = len(values) > 2 and place in (first, first + len(values) - 1)
        over = over or (not edge and asked.maximum is not None and value + aim - min(values) > asked.maximum)
    length = Quantity(high - low, "m", 1)
    if high - low <= LONGEST_PATCH and (low - run.start <= REACH or run.end - high <= REACH):
        return "hand_patch", message("Patch by hand from the opening over {length}.", length=length), mortar
    if kind == "bare":
        return "line", message("Line the {length} that the head did not reach.", length=length), mortar
    if over:
        text = "Take the lining out over {length} and line again: a second coat would pass the maximum at its better places."
        return "reline", message(text, length=length), mortar
    most = [one.lining.single_coat_max for one in host if one.start < high and one.end > low and one.lining.single_coat_max is not None]
    count = math.ceil(thickest / min(most) - 1e-9) if most else 1
    if count > 1:
        text = "{count} further coats over {length}, none over {most}, the head drawn there without spraying; bond and waiting time as the document says."
        return "second_coat", message(text, count=count, length=length, most=Quantity(min(most), "mm", 1)), mortar
    text = "Second coat over {length}, the head drawn there without spraying; bond and waiting time as the document says."
    return "second_coat", message(text, length=length), mortar
