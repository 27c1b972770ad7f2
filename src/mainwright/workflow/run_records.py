"""What was followed, as rows of ``records/``: the readings that count, events, batches, connections, and what was really lined."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Final

from mainwright.job.table import number_text
from mainwright.line.alarms import AlarmRules
from mainwright.line.deposit_map import COUNTED
from mainwright.line.event_codec import from_kept
from mainwright.line.events import (
    AlarmAcknowledged,
    AlarmRaised,
    BatchPoured,
    ClockSet,
    ConnectionDone,
    Ended,
    EndsClosed,
    Event,
    FlowFallback,
    LitresLost,
    OdometerSet,
    ReadingTaken,
    Remark,
    Restarted,
    SignalNoted,
    Started,
    Stopped,
    StrokesSet,
)
from mainwright.line.hose_lag import HoseLags, PumpReading, hose_lags
from mainwright.line.plan_codec import read_header
from mainwright.line.state import RunState
from mainwright.units import from_si

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from mainwright.line.run_plan import RunPlan
    from mainwright.workflow.live_ports import RunKey, RunLog

__all__ = ["ALARM_UNITS", "Followed", "Rows", "follow_again", "hose_lags_of", "record_rows"]

ALARM_UNITS: Final[dict[str, tuple[str, str]]] = {
    "thin": ("mm", "mm"),
    "thick": ("mm", "mm"),
    "stall": ("m_min", "m/min"),
    "overspeed": ("m_min", "m/min"),
    "pressure": ("bar", "bar"),
    "old_mortar": ("minutes", "min"),
    "mortar_short": ("m", "m"),
    "connection_due": ("minutes", "min"),
    "ends_open": ("minutes", "min"),
    "turned_back": ("m", "m"),
    "mixer_behind": ("minutes", "min"),
    "silent": ("s", "s"),
    "odometer_jump": ("m", "m"),
}
"""Unit of the value of each alarm that has one: its name in `mainwright.units`, and as it is written."""


@dataclass(frozen=True, slots=True)
class Followed:
    """One part of a run, followed again from its log.

    Attributes
    ----------
    about
        What stands at the head of its log beside the plan.
    said
        Pressure, air and speed of the head, strokes of each reading that counts, by its order.
    rules
        When its alarms went up.
    """

    key: RunKey
    plan: RunPlan
    about: Mapping[str, object]
    state: RunState
    said: Mapping[int, ReadingTaken] = field(default_factory=dict)
    rules: AlarmRules = field(default_factory=AlarmRules)


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of one file: its name in ``records/``, its columns in order, its rows, and the columns that tell one row from another."""

    file: str
    columns: tuple[str, ...]
    rows: tuple[dict[str, str], ...]
    key: tuple[str, ...]


def follow_again(log: RunLog, key: RunKey) -> Followed:
    """Return a part of a run as its log tells it.

    Parameters
    ----------
    log : RunLog
        Keeps it. [-]
    key : RunKey
        Names it. [-]

    Returns
    -------
    Followed
        To the bit what it was when it was followed.
    """
    header = log.header(key)
    plan, rules, bin_length, lag = read_header(header)
    state = RunState(plan, bin_length=bin_length, lag=lag)
    said: dict[int, ReadingTaken] = {}
    for entry in log.entries(key):
        event = from_kept(entry.kind, entry.time, entry.values)
        early = state.early if isinstance(event, Started) else ()
        state.apply(event)
        for one in (event, *early) if isinstance(event, ReadingTaken) or early else ():
            if isinstance(one, ReadingTaken) and one.odometer is not None:
                said[state.orders.order(one.source, one.number)] = one
    about = header.get("about")
    return Followed(key, plan, about if isinstance(about, dict) else {}, state, said, rules)


def hose_lags_of(part: Followed) -> HoseLags:
    """Return the time constant of the hose as the readings of a part of a run show it.

    Parameters
    ----------
    part : Followed
        One part. [-]

    Returns
    -------
    HoseLags
        From the readings that count, with the flow that was measured.
    """
    readings = []
    for order, time, _way, flow, guess in part.state.deposit.rows():
        told = part.said.get(order)
        readings.append(PumpReading(time, flow if guess == 0.0 else None, None if told is None else told.pressure))
    return hose_lags(readings)


def record_rows(parts: Sequence[Followed]) -> tuple[Rows, ...]:
    """Return the rows of ``records/`` of one run.

    Parameters
    ----------
    parts : sequence of Followed
        Its parts in their order, of one coat or several. [-]

    Returns
    -------
    tuple of Rows
        Of each file that has any. The ways of later parts are told in the frame of the first: from where its head started.
    """
    run = parts[0].key.run
    tables = (
        Rows(f"run_{run}.csv", _READING_COLUMNS, tuple(_readings(parts)), ("time", "odometer_m")),
        Rows("events.csv", _EVENT_COLUMNS, tuple(row for part in parts for row in _events(part)), ("run", "time", "kind", "note")),
        Rows("batches.csv", _BATCH_COLUMNS, tuple(row for part in parts for row in _batches(part)), ("run", "batch", "time")),
        Rows("runs_done.csv", _DONE_COLUMNS, tuple(row for part in parts for row in _done(part)), ("run", "coat", "time_from")),
        Rows("connections.csv", _CONNECTION_COLUMNS, tuple(row for part in parts for row in _connections(part)), ("ref",)),
    )
    return tuple(one for one in tables if one.rows)


_READING_COLUMNS: Final = (
    "time",
    "odometer_m",
    "flow_l_min",
    "pressure_bar",
    "strokes",
    "head_air_bar",
    "head_rpm",
    "coat",
    "flow_source",
)
_EVENT_COLUMNS: Final = ("run", "time", "kind", "chainage_m", "value", "unit", "note", "who")
_BATCH_COLUMNS: Final = ("run", "batch", "time", "cement_kg", "sand_kg", "water_l", "who")
_CONNECTION_COLUMNS: Final = ("ref", "time_cleared", "method", "who")
_DONE_COLUMNS: Final = (
    "run",
    "coat",
    "revision",
    "from_m",
    "to_m",
    "direction",
    "pump",
    "hose",
    "lining_head",
    "time_from",
    "time_to",
    "outcome",
    "who",
)


def _when(time: float) -> str:
    return datetime.fromtimestamp(time, UTC).isoformat()


def _number(value: float | None, unit: str = "") -> str:
    if value is None:
        return ""
    return number_text(from_si(value, unit) if unit else value)


def _readings(parts: Sequence[Followed]) -> Iterable[dict[str, str]]:
    first = parts[0].plan
    for place, part in enumerate(parts):
        count = part.state.deposit.readings
        goes_on = place + 1 < len(parts)
        for row, (order, time, way, flow, guess) in enumerate(part.state.deposit.rows()):
            told = part.said.get(order)
            chainage = part.plan.chainage(way)
            shared = chainage - first.start if first.direction == "increasing" else first.end - chainage
            # Between two parts nothing is pumped.
            last = goes_on and row == count - 1
            yield {
                "time": _when(time),
                "odometer_m": _number(shared),
                "flow_l_min": "0" if last else _number(flow, "l_min"),
                "pressure_bar": "" if told is None else _number(told.pressure, "bar"),
                "strokes": "" if told is None else _number(told.strokes),
                "head_air_bar": "" if told is None else _number(told.head_air, "bar"),
                "head_rpm": "" if told is None else _number(told.head_speed, "rpm"),
                "coat": str(part.key.coat),
                "flow_source": "" if guess == 0.0 else "count" if guess == COUNTED else "setting",
            }


def _events(part: Followed) -> Iterable[dict[str, str]]:
    for one in part.state.happened:
        told = _event(one.event)
        if told is None:
            continue
        kind, value, unit, note, who = told
        chainage = one.event.chainage if isinstance(one.event, AlarmRaised) else None if one.way is None else part.plan.chainage(one.way)
        yield {
            "run": part.key.run,
            "time": _when(one.event.time),
            "kind": kind,
            "chainage_m": _number(chainage),
            "value": value,
            "unit": unit,
            "note": note,
            "who": who,
        }


def _event(event: Event) -> tuple[str, str, str, str, str] | None:  # noqa: C901, PLR0911, PLR0912 - one branch an event
    """Return kind, value, unit, note and who of an event, None for one that has a file of its own or is of no use to others."""
    match event:
        case Started():
            return "start", "", "", "", event.who
        case Stopped():
            return "stop", "", "", event.why, event.who
        case Restarted():
            return "restart", "", "", "", event.who
        case LitresLost():
            kind = "purge" if event.kind == "purge" else f"{event.kind}_l"
            return kind, _number(event.volume, "l"), "l", "", event.who
        case Remark():
            return event.kind, "", "", event.text, event.who
        case AlarmRaised():
            name, written = ALARM_UNITS.get(event.code, ("", ""))
            return "alarm", _number(event.value, name) if name else "", written, event.code, ""
        case AlarmAcknowledged():
            return "acknowledged", "", "", event.code, event.who
        case EndsClosed():
            return "ends_closed", "", "", "", event.who
        case Ended():
            return "end", "", "", " ".join(filter(None, (event.outcome, event.why))), event.who
        case OdometerSet():
            return "remark", _number(event.shift), "m", f"odometer: {event.why}", event.who
        case StrokesSet():
            return "remark", _number(event.shift), "strokes", f"count of strokes: {event.why}", ""
        case ClockSet():
            return "remark", _number(event.shift), "s", "clock of the sender was set", ""
        case FlowFallback():
            return "remark", _number(event.flow, "l_min"), "l/min", "flow of the pump where it is not measured", ""
        case SignalNoted() if event.kind != "connected":
            channel = f" {event.channel}" if event.channel else ""
            return "remark", "", "", f"{event.source}{channel}: {event.kind}{' over' if event.over else ''}", ""
    return None


def _batches(part: Followed) -> Iterable[dict[str, str]]:
    for one in part.state.happened:
        event = one.event
        if isinstance(event, BatchPoured):
            yield {
                "run": part.key.run,
                "batch": str(event.number),
                "time": _when(event.mixing),
                "cement_kg": _number(event.cement),
                "sand_kg": _number(event.sand),
                "water_l": _number(event.water, "l"),
                "who": event.who,
            }


def _connections(part: Followed) -> Iterable[dict[str, str]]:
    refs = {one.chainage: one.ref for one in part.plan.windows if one.ref is not None}
    for one in part.state.happened:
        event = one.event
        if isinstance(event, ConnectionDone) and event.chainage in refs:
            yield {"ref": refs[event.chainage], "time_cleared": _when(event.time), "method": event.method, "who": event.who}


def _done(part: Followed) -> Iterable[dict[str, str]]:
    state, plan = part.state, part.plan
    if state.phase != "ended" or state.started is None or state.ended is None:
        return
    reached = min(max(state.deposit.furthest, 0.0), plan.length)
    if state.outcome == "complete" and reached > plan.length - 0.5:
        # The head comes out of the pipe where the last reading was a little before.
        reached = plan.length
    low, high = sorted((plan.chainage(0.0), plan.chainage(reached)))
    if high <= low:
        return
    about = {name: str(part.about.get(name) or "") for name in ("revision", "pump", "hose", "lining_head")}
    who = next((one.event.who for one in reversed(state.happened) if isinstance(one.event, Ended)), "")
    yield {
        "run": part.key.run,
        "coat": str(part.key.coat),
        "from_m": _number(low),
        "to_m": _number(high),
        "direction": plan.direction,
        "time_from": _when(state.started),
        "time_to": _when(state.ended),
        "outcome": state.outcome or "",
        "who": who,
        **about,
    }
