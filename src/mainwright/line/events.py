"""What happens on a run: numbered, timed, and never changed. A run is nothing but these in their order."""

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "AlarmAcknowledged",
    "AlarmCleared",
    "AlarmRaised",
    "BatchPoured",
    "ChargeTaken",
    "ClockSet",
    "ConnectionDone",
    "Ended",
    "EndsClosed",
    "Event",
    "FlowFallback",
    "HandMark",
    "LitresLost",
    "OdometerSet",
    "ReadingTaken",
    "Remark",
    "Restarted",
    "SignalNoted",
    "SourceNamed",
    "Started",
    "Stopped",
    "StrokesSet",
]


@dataclass(frozen=True, slots=True)
class Started:
    """The run begins: the head stands at the cut face, the hose is full. With ``early``, readings that came before belong to it from this time on."""

    time: float
    who: str
    early: bool = False


@dataclass(frozen=True, slots=True)
class Stopped:
    """Somebody stopped the head."""

    time: float
    why: str = ""
    who: str = ""


@dataclass(frozen=True, slots=True)
class Restarted:
    """The head goes on."""

    time: float
    who: str = ""


@dataclass(frozen=True, slots=True)
class SourceNamed:
    """A sender is heard for the first time, or counts anew from the beginning: its number in this run, its name, and whom it goes on from.

    Attributes
    ----------
    source
        By which its readings name it, from 0. [-]
    follows
        The source that it goes on from, where a sender lost its count; None for a new sender. [-]
    """

    time: float
    source: int
    name: str
    follows: int | None = None


@dataclass(frozen=True, slots=True)
class ReadingTaken:
    """One reading of the sensors.

    Attributes
    ----------
    number
        The sender's own, so that a reading that comes twice is one. [-]
    time
        By the sender's clock, seconds since 1970 UTC. [s]
    odometer
        Way of the spray plane from where the head started, in its direction; None where this sender does not tell it. [m]
    flow
        Output of the pump from this time to the next reading; None where the sensor gives none. [m3/s]
    pressure, head_air
        Gauge, at the pump and at the head's motor. [Pa]
    head_speed
        Of the spinner. [1/s]
    strokes
        Count of the pump's strokes so far. [-]
    source
        Which sender. [-]
    """

    number: int
    time: float
    odometer: float | None
    flow: float | None
    pressure: float | None = None
    head_air: float | None = None
    head_speed: float | None = None
    strokes: float | None = None
    source: int = 0


@dataclass(frozen=True, slots=True)
class HandMark:
    """The head is at a mark, by stopwatch: way [m] at a time [s], with the pump at the setting of the plan or this flow [m3/s]."""

    number: int
    time: float
    way: float
    flow: float | None = None
    who: str = ""


@dataclass(frozen=True, slots=True)
class FlowFallback:
    """The flow is not measured from now on: the pump's setting and its own test stand for it, with their deviation, relative."""

    time: float
    flow: float
    deviation: float


@dataclass(frozen=True, slots=True)
class OdometerSet:
    """The odometer was reset, slipped, or jumped: this much is added to what it says from a reading on.

    Attributes
    ----------
    shift
        Added to all that was added before. [m]
    number
        Of the sender's first reading to which it counts; None from the next one on. [-]
    """

    time: float
    shift: float
    why: str
    number: int | None = None
    who: str = ""


@dataclass(frozen=True, slots=True)
class StrokesSet:
    """The count of strokes began anew, or ran over: this much is added to it, as in `OdometerSet`. [-]."""

    time: float
    shift: float
    why: str
    number: int | None = None


@dataclass(frozen=True, slots=True)
class ClockSet:
    """The sender's clock was set: this much is added to its times, as in `OdometerSet`. [s]."""

    time: float
    shift: float
    number: int | None = None


@dataclass(frozen=True, slots=True)
class BatchPoured:
    """A batch goes into the hopper: when mixing began [s], how much [m3]; what was weighed [kg] and metered [m3] where somebody says so."""

    time: float
    number: int
    mixing: float
    volume: float
    who: str = ""
    cement: float | None = None
    sand: float | None = None
    water: float | None = None


@dataclass(frozen=True, slots=True)
class LitresLost:
    """Mortar that was pumped and does not lie on the wall: purged, returned or wasted. [m3]."""

    time: float
    kind: Literal["purge", "returned", "wasted"]
    volume: float
    who: str = ""


@dataclass(frozen=True, slots=True)
class ConnectionDone:
    """A connection is clear: its chainage [m] and how."""

    time: float
    chainage: float
    method: Literal["air", "suction", "ream", "dig"]
    who: str = ""


@dataclass(frozen=True, slots=True)
class AlarmRaised:
    """An alarm went up, with the number that raised it."""

    time: float
    code: str
    chainage: float
    value: float


@dataclass(frozen=True, slots=True)
class AlarmCleared:
    """What raised an alarm is over."""

    time: float
    code: str


@dataclass(frozen=True, slots=True)
class AlarmAcknowledged:
    """Somebody has seen an alarm."""

    time: float
    code: str
    who: str


@dataclass(frozen=True, slots=True)
class SignalNoted:
    """A feed told of itself: lost, frozen, jumping, silent, ...; or that it is over; and what it said of it, in English."""

    time: float
    source: str
    kind: str
    channel: str | None = None
    over: bool = False
    why: str = ""


@dataclass(frozen=True, slots=True)
class ChargeTaken:
    """Somebody presses the buttons from now on."""

    time: float
    who: str


@dataclass(frozen=True, slots=True)
class Remark:
    """What somebody wants to have on record, with its kind (water in the invert, a valve that lets by, ...)."""

    time: float
    kind: str
    text: str
    who: str = ""


@dataclass(frozen=True, slots=True)
class EndsClosed:
    """Both ends of the run are closed against drying."""

    time: float
    who: str


@dataclass(frozen=True, slots=True)
class Ended:
    """The run is over: done, given up, or to be gone on with as its next part."""

    time: float
    outcome: Literal["complete", "aborted", "split"]
    who: str
    why: str = ""


Event = (
    Started
    | Stopped
    | Restarted
    | SourceNamed
    | ReadingTaken
    | HandMark
    | FlowFallback
    | OdometerSet
    | StrokesSet
    | ClockSet
    | BatchPoured
    | LitresLost
    | ConnectionDone
    | AlarmRaised
    | AlarmCleared
    | AlarmAcknowledged
    | SignalNoted
    | ChargeTaken
    | Remark
    | EndsClosed
    | Ended
)
"""Everything that may stand in a run's record; the place in the record is its number."""
