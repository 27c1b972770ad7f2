"""Why a length of a run may be other than it was asked: flow and speed against the plan, and what was written down there."""

from collections.abc import Sequence
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from mainwright.job.job import Job
from mainwright.plan.result import Run, RunSetting
from mainwright.prove.as_lined import AsLined
from mainwright.prove.timeline import Timeline
from mainwright.words.message import Message, Quantity, message

__all__ = ["NEAR_EVENT", "OFF", "events_there", "likely_causes"]

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


def likely_causes(lined: AsLined, low: float, high: float) -> tuple[Message, ...]:
    """Return why a length of a run may be other than it was asked.

    Parameters
    ----------
    lined : AsLined
        The run. [-]
    low, high : float
        The length. [m]

    Returns
    -------
    tuple of Message
        What flow and speed were there against the plan, where they were off; then the events.
    """
    return (*_driven(lined.run, low, high, lined.coats), *events_there(lined, low, high))


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


def events_there(lined: AsLined, low: float, high: float) -> tuple[Message, ...]:
    """Return what was written down of a length: by its chainage, or else by the time at which the head was there.

    Parameters
    ----------
    lined : AsLined
        The run. [-]
    low, high : float
        The length. [m]

    Returns
    -------
    tuple of Message
        In order of time.
    """
    times = []
    for coat in lined.coats:
        passes = (
            coat.passed(min(max(low - NEAR_EVENT, coat.start), coat.end)),
            coat.passed(min(max(high + NEAR_EVENT, coat.start), coat.end)),
        )
        if passes[0] is not None and passes[1] is not None:
            times.append((min(passes[0], passes[1]), max(passes[0], passes[1])))
    found = []
    for one in sorted(lined.events, key=lambda event: event.time):
        if one.kind not in _CAUSES:
            continue
        if one.chainage is not None:
            there = low - NEAR_EVENT <= one.chainage <= high + NEAR_EVENT
        else:
            there = any(first <= one.time.timestamp() <= last for first, last in times)
        if there:
            what = _KINDS[one.kind]
            when = _clock(lined.job, one.time)
            found.append(
                message("{when}: {what}, {note}", when=when, what=what, note=one.note)
                if one.note
                else message("{when}: {what}", when=when, what=what)
            )
    return tuple(found)


def _clock(job: Job, time: datetime) -> str:
    return time.astimezone(ZoneInfo(job.info.time_zone)).strftime("%H:%M")
