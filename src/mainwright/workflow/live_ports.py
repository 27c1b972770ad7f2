"""What following a run needs of the world outside: the log that keeps it, the feeds that tell it, and what a screen is shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from mainwright.line.advice import Advice
    from mainwright.line.state import Alarm, Phase
    from mainwright.words.message import Message

__all__ = [
    "CHANNELS",
    "Arrival",
    "BatchOnScreen",
    "Channel",
    "Clock",
    "ConnectionOnScreen",
    "Feed",
    "FeedReading",
    "FeedStatus",
    "Inbox",
    "LogEntry",
    "Notice",
    "RunKey",
    "RunLog",
    "Screen",
    "Signal",
    "SignalKind",
    "Strip",
]

Channel = Literal["odometer", "flow", "pressure", "strokes", "head_air", "head_speed", "coat"]

CHANNELS: Final[Mapping[Channel, tuple[str, ...]]] = {
    "odometer": ("m", "mm", "km", "ft", "in"),
    "flow": ("l_min", "l_s", "m3_s", "gpm"),
    "pressure": ("bar", "kpa", "mpa", "pa", "psi"),
    "strokes": ("-",),
    "head_air": ("bar", "kpa", "mpa", "pa", "psi"),
    "head_speed": ("rpm", "per_hour"),
    "coat": ("-",),
}
"""What a rig may tell, and the units in which it may tell it; pressures are gauge. The first unit is that of ``records/``."""

SignalKind = Literal["connected", "lost", "unreadable", "full", "rotated", "ended", "jump", "frozen", "impossible", "clock", "silent"]

Clock = Callable[[], "datetime"]
"""Gives the time of day, aware, UTC."""


@dataclass(frozen=True, slots=True)
class RunKey:
    """Names one followed run in the store for ever.

    Attributes
    ----------
    job
        Reference of the job.
    run
        Id of the run in the plan.
    coat, part
        Coat from 1; part from 1: a run that was split, aborted or turned round goes on as its next part.
    """

    job: str
    run: str
    coat: int = 1
    part: int = 1


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One thing in the log of a run; its place in the log is its number.

    Attributes
    ----------
    kind
        Name of the event, as ``line.event_codec`` spells it: ``reading``, ``started``, ``batch_poured``, ...
    time
        Of the event, seconds since 1970 UTC. [s]
    values
        Everything else of it, in SI: numbers, texts, truths and None only. A reading (kind ``reading``) has whole numbers ``number, source``
        and numbers or None ``odometer, flow, pressure, head_air, head_speed, strokes``, and may be kept packed.
    """

    kind: str
    time: float
    values: Mapping[str, float | int | str | bool | None]


class RunLog(Protocol):
    """Keeps the logs of runs: append-only, each chained by hash to what stands before it."""

    def begin(self, key: RunKey, header: Mapping[str, object], *, author: str) -> None:
        """Open the log of a new run with what it was meant to be, as JSON; where the same header stands already, nothing is done.

        Raises ``Conflict`` where another header stands under this key.
        """
        ...

    def runs(self, job: str | None = None) -> Sequence[RunKey]:
        """Return the runs that have a log, in the order of their beginning."""
        ...

    def header(self, key: RunKey) -> Mapping[str, object]:
        """Return what a run was begun with; raises ``NotFound`` where there is none."""
        ...

    def append(self, key: RunKey, entries: Sequence[LogEntry], *, after: int) -> int:
        """Add entries and return how many the log holds now; on return they are on disk.

        ``after`` is how many entries the writer knows to be there: where there are others, another writer is at work and ``Conflict`` is raised
        and nothing added. All are added or none. Raises ``StoreError`` where the disk, the database or the connection fails.
        """
        ...

    def entries(self, key: RunKey, *, after: int = 0) -> Iterator[LogEntry]:
        """Yield the entries in their order, from the one after this place."""
        ...


@dataclass(frozen=True, slots=True)
class FeedReading:
    """What one sender said at one time.

    Attributes
    ----------
    time
        Aware, UTC: the sender's own where it gives one, else that of arrival.
    number
        Source and number name a reading for ever: what comes with the same two again is the same reading. Made of the sender's own number
        and time, or of the place in a file; it grows, but not by one. None where the sender has no numbers; such a reading may stand twice
        after a broken connection.
    values
        By channel, in SI; a channel that was not told, or could not be read, is absent.
    source
        Which feed, and which part of it.
    """

    time: datetime
    number: int | None
    values: Mapping[Channel, float]
    source: str


@dataclass(frozen=True, slots=True)
class Arrival:
    """A reading, and what to call once it is durable: not before, from any thread, once or more."""

    reading: FeedReading
    acknowledge: Callable[[], None]


@dataclass(frozen=True, slots=True)
class Signal:
    """Something about a feed that a person should know. Nothing is ever changed in the readings because of it.

    Attributes
    ----------
    time
        When it was noticed, or the time of the reading that shows it.
    over
        Whether this says that an earlier signal of the same source, kind and channel no longer holds.
    """

    time: datetime
    source: str
    kind: SignalKind
    message: Message
    channel: Channel | None = None
    over: bool = False


Notice = Callable[[Signal], None]
"""Takes a signal; called from the feed's own thread."""


class Inbox(Protocol):
    """Where arrivals wait for the one who writes them down."""

    def take(self, most: int, *, timeout: float) -> list[Arrival]:
        """Return what waits, oldest first; empty where nothing comes in that time [s]."""
        ...


class Feed(Protocol):
    """Hands readings to its inbox between start and stop."""

    def start(self) -> None:
        """Begin, in a thread of its own; return at once."""
        ...

    def stop(self, timeout: float) -> bool:
        """Stop taking readings; return whether the thread has ended in this time [s]."""
        ...

    @property
    def finished(self) -> bool:
        """Whether nothing more will come."""
        ...


@dataclass(frozen=True, slots=True)
class Strip:
    """The thickness along the main so far, for a picture: at most a few hundred points, whatever the length of the run.

    Attributes
    ----------
    chainages
        Middle of each point. [m]
    thicknesses, deviations
        After the trowel, and one standard deviation of it. [m]
    """

    chainages: tuple[float, ...] = ()
    thicknesses: tuple[float, ...] = ()
    deviations: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class ConnectionOnScreen:
    """One connection's clock: earliest and latest moment, seconds since 1970 UTC, None where the job has no tested minutes."""

    ref: str | None
    chainage: float
    earliest: float | None
    latest: float | None
    cleared: float | None


@dataclass(frozen=True, slots=True)
class BatchOnScreen:
    """A batch of the run: as planned, and when mixing began (seconds since 1970 UTC) once it was poured; volume [m3]."""

    number: int
    volume: float
    due: float | None
    mixing: float | None


@dataclass(frozen=True, slots=True)
class FeedStatus:
    """One source: how it stands.

    Attributes
    ----------
    connected
        None before it was ever tried.
    latest
        Time of its latest reading, seconds since 1970 UTC. [s]
    signals
        What holds now.
    """

    source: str
    connected: bool | None
    latest: float | None
    readings: int
    signals: tuple[Signal, ...] = ()


@dataclass(frozen=True, slots=True)
class Screen:
    """All that the page in the van shows, at one moment; in SI, worded by the page.

    Attributes
    ----------
    now
        Seconds since 1970 UTC. [s]
    event, durable
        How many entries the run has, and how many of them are on disk.
    cover_proved
        Whether the head's own air pressure or speed is read: without it the record does not prove cover.
    age_at_head, usable
        Of the mortar, and its life; None where not known. [s]
    in_stock, dry_at
        Mortar that is poured and not yet in the hose [m3]; chainage where it will run out [m], None where it reaches the end.
    pumped, deposited
        So far. [m3]
    in_charge
        Who may press the buttons; None where nobody took charge.
    """

    key: RunKey
    now: float
    phase: Phase
    outcome: str | None
    event: int
    durable: int
    started: float | None
    ended: float | None
    ends_closed: float | None
    start: float
    end: float
    direction: Literal["increasing", "decreasing"]
    advice: Advice | None
    strip: Strip
    alarms: tuple[Alarm, ...]
    age_at_head: float | None
    usable: float | None
    in_stock: float | None
    dry_at: float | None
    pumped: float
    deposited: float
    pressure: float | None
    pressure_max: float | None
    head_air: float | None
    head_speed: float | None
    cover_proved: bool
    hand_mode: bool
    batches: tuple[BatchOnScreen, ...] = ()
    connections: tuple[ConnectionOnScreen, ...] = ()
    feeds: tuple[FeedStatus, ...] = ()
    in_charge: str | None = None
    trouble: Message | None = None
