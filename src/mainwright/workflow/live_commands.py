"""What a person can do while a run is followed: each button, as a noun. Moments are seconds since 1970 UTC; where none is given it is now."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from mainwright.errors import InputError, require_not_negative, require_positive
from mainwright.line.events import (
    AlarmAcknowledged,
    BatchPoured,
    ChargeTaken,
    ConnectionDone,
    Ended,
    EndsClosed,
    Event,
    FlowFallback,
    HandMark,
    LitresLost,
    OdometerSet,
    Remark,
    Restarted,
    Started,
    Stopped,
)

if TYPE_CHECKING:
    from mainwright.line.state import RunState

__all__ = [
    "Acknowledge",
    "Clear",
    "CloseEnds",
    "Command",
    "End",
    "Lose",
    "Mark",
    "Note",
    "Pour",
    "Restart",
    "SetFlow",
    "SetOdometer",
    "Start",
    "Stop",
    "TakeCharge",
    "event_of",
]


@dataclass(frozen=True, slots=True)
class Start:
    """The head begins to move, the hose is full. With a moment that is past, readings since then belong to the run."""

    time: float | None = None


@dataclass(frozen=True, slots=True)
class Stop:
    """The head is stopped."""

    why: str = ""
    time: float | None = None


@dataclass(frozen=True, slots=True)
class Restart:
    """The head goes on."""

    time: float | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """The head is at a mark: its chainage [m], and the pump's flow where it was measured by hand [m3/s]."""

    chainage: float
    flow: float | None = None
    time: float | None = None


@dataclass(frozen=True, slots=True)
class Pour:
    """A batch goes into the hopper. Its number is the next one, its volume [m3] that of the plan, where they are not given.

    What was weighed [kg] and metered [m3] goes on record only where somebody says it: the plan's masses are no record.
    """

    number: int | None = None
    mixing: float | None = None
    volume: float | None = None
    cement: float | None = None
    sand: float | None = None
    water: float | None = None
    time: float | None = None


@dataclass(frozen=True, slots=True)
class Lose:
    """Mortar that does not lie on the wall. [m3]."""

    kind: Literal["purge", "returned", "wasted"]
    volume: float
    time: float | None = None


@dataclass(frozen=True, slots=True)
class Clear:
    """A connection is clear: its chainage [m] and how."""

    chainage: float
    method: Literal["air", "suction", "ream", "dig"]
    time: float | None = None


@dataclass(frozen=True, slots=True)
class Acknowledge:
    """An alarm was seen."""

    code: str
    time: float | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """Something for the record; with its kind where it has one."""

    text: str
    kind: Literal["remark", "water_in_invert", "valve_lets_by", "hold_point"] = "remark"
    time: float | None = None


@dataclass(frozen=True, slots=True)
class SetOdometer:
    """The spray plane is really at this chainage [m]: the odometer counts on from there."""

    chainage: float
    why: str = "set by hand"
    time: float | None = None


@dataclass(frozen=True, slots=True)
class SetFlow:
    """The pump's output where it is not measured [m3/s], and its deviation, relative [-]; without one, that of the pump's own test."""

    flow: float
    deviation: float | None = None
    time: float | None = None


@dataclass(frozen=True, slots=True)
class CloseEnds:
    """Both ends are closed against drying."""

    time: float | None = None


@dataclass(frozen=True, slots=True)
class End:
    """The run is over: done, given up, or to be gone on with as its next part."""

    outcome: Literal["complete", "aborted", "split"] = "complete"
    why: str = ""
    time: float | None = None


@dataclass(frozen=True, slots=True)
class TakeCharge:
    """Whoever says it presses the buttons from now on."""

    time: float | None = None


Command = Start | Stop | Restart | Mark | Pour | Lose | Clear | Acknowledge | Note | SetOdometer | SetFlow | CloseEnds | End | TakeCharge
"""Everything that a person can do."""


def event_of(command: Command, *, state: RunState, who: str, now: float) -> Event:  # noqa: C901, PLR0911, PLR0912 - one branch a button
    """Return what is put on record when a person does something.

    Parameters
    ----------
    command : Command
        What is done. [-]
    state : RunState
        The run so far. [-]
    who : str
        Who does it. [-]
    now : float
        Seconds since 1970 UTC. [s]

    Returns
    -------
    Event
        Not yet applied.

    Raises
    ------
    InputError
        If a value is impossible.
    """
    time = now if command.time is None else command.time
    plan = state.plan
    match command:
        case Start():
            return Started(time, who, early=command.time is not None)
        case Stop():
            return Stopped(time, command.why, who)
        case Restart():
            return Restarted(time, who)
        case Mark():
            number = state.hand_marks + len(state.marks)
            return HandMark(number, time, _way(state, command.chainage), command.flow, who)
        case Pour():
            number = state.stream[-1].number + 1 if command.number is None and state.stream else command.number or 1
            planned = next((one for one in plan.batches if one.number == number), None)
            volume = command.volume if command.volume is not None else (0.0 if planned is None else planned.volume)
            require_positive(f"volume of batch {number}", volume, "m3")
            # Where nobody says when mixing began, it was a cycle of the mixer ago.
            mixing = time - (plan.cycle or 0.0) if command.mixing is None else command.mixing
            return BatchPoured(time, number, mixing, volume, who, command.cement, command.sand, command.water)
        case Lose():
            require_positive("volume", command.volume, "m3")
            return LitresLost(time, command.kind, command.volume, who)
        case Clear():
            return ConnectionDone(time, command.chainage, command.method, who)
        case Acknowledge():
            return AlarmAcknowledged(time, command.code, who)
        case Note():
            return Remark(time, command.kind, command.text, who)
        case SetOdometer():
            return OdometerSet(time, _way(state, command.chainage) - state.deposit.way, command.why, None, who)
        case SetFlow():
            require_not_negative("flow", command.flow, "m3/s")
            return FlowFallback(time, command.flow, plan.fallback if command.deviation is None else command.deviation)
        case CloseEnds():
            return EndsClosed(time, who)
        case End():
            return Ended(time, command.outcome, who, command.why)
        case TakeCharge():
            return ChargeTaken(time, who)


def _way(state: RunState, chainage: float) -> float:
    plan = state.plan
    if not plan.start - 5.0 <= chainage <= plan.end + 5.0:
        raise InputError("chainage", chainage, "m", f"{plan.start:g} to {plan.end:g} m, the run")
    return chainage - plan.start if plan.direction == "increasing" else plan.end - chainage
