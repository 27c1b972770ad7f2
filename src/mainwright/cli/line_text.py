"""A run that is followed, as lines of a terminal."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Final

from mainwright.line.events import AlarmCleared, AlarmRaised, BatchPoured, Ended, OdometerSet, Restarted, SignalNoted, Started, Stopped
from mainwright.units import from_si
from mainwright.workflow.run_records import ALARM_UNITS

if TYPE_CHECKING:
    from mainwright.line.run_plan import RunPlan
    from mainwright.line.state import Happened
    from mainwright.workflow.live_ports import Screen

__all__ = ["ALARMS", "event_line", "status_line"]

ALARMS: Final = {
    "thin": "too thin",
    "thick": "too thick",
    "stall": "the head stands while the pump runs",
    "overspeed": "too fast",
    "pressure": "pressure near the limit of the hose: blockage?",
    "old_mortar": "the mortar at the head is past its usable time",
    "mortar_short": "the mortar runs out at",
    "connection_due": "a connection must be clear soon",
    "ends_open": "the ends are not closed",
    "head_slow": "the head slows: litres may be right while they lie in the invert",
    "flow_lost": "the flow is not read: the pump's setting stands for it",
    "turned_back": "the head goes back over fresh lining",
    "mixer_behind": "the hopper is empty before the next batch is mixed",
    "silent": "no readings",
    "odometer_jump": "the odometer jumped; where is the head?",
}
"""Each alarm in words."""


def _clock(time: float) -> str:
    return datetime.fromtimestamp(time, UTC).astimezone().strftime("%H:%M:%S")


def event_line(one: Happened, plan: RunPlan) -> str:
    """Return an event as a line, empty for one that nobody needs to read."""
    event = one.event
    where = "" if one.way is None else f"  {plan.chainage(one.way):.1f} m"
    match event:
        case AlarmRaised():
            unit, written = ALARM_UNITS.get(event.code, ("", ""))
            value = f" ({from_si(event.value, unit):.1f} {written})" if unit else ""
            text = f"ALARM {event.code}: {ALARMS[event.code]}{value}"
        case AlarmCleared():
            text = f"over: {event.code}"
        case Started():
            text = "started"
        case Stopped():
            text = f"stopped {event.why}".rstrip()
        case Restarted():
            text = "goes on"
        case BatchPoured():
            text = f"batch {event.number}, {from_si(event.volume, 'l'):.0f} l"
        case OdometerSet():
            text = f"odometer: {event.why}, {event.shift:+.2f} m"
        case SignalNoted() if event.kind != "connected":
            text = f"{event.source}{f' {event.channel}' if event.channel else ''}: {event.kind}{' over' if event.over else ''}{f', {event.why}' if event.why else ''}"
        case Ended():
            text = f"ended: {event.outcome}"
        case _:
            return ""
    return f"{_clock(event.time)}{where}  {text}"


def status_line(screen: Screen) -> str:
    """Return how the run stands in one line: place, speed and the one to change to, thickness and its limits, alarms, and what is on disk."""
    parts = [_clock(screen.now), screen.key.run]
    advice = screen.advice
    if advice is None:
        parts.append("waits for the start" if screen.phase == "ready" else screen.phase)
    else:
        parts.append(f"{advice.chainage:.1f} m")
        speed = "-" if advice.speed is None else f"{from_si(advice.speed, 'm_min'):.2f}"
        change = "-" if advice.change_to is None else f"{from_si(advice.change_to, 'm_min'):.2f}"
        parts.append(f"{speed} -> {change} m/min")
        if advice.thickness is not None:
            most = "" if advice.maximum is None else f"-{from_si(advice.maximum, 'mm'):.1f}"
            parts.append(f"{from_si(advice.thickness, 'mm'):.1f} mm ({from_si(advice.minimum, 'mm'):.1f}{most})")
    up = [one.code for one in screen.alarms if one.active]
    if up:
        parts.append("! " + " ".join(up))
    parts.append(f"kept {screen.durable}/{screen.event}")
    return "  ".join(parts)
