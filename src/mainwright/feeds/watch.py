"""Notice a feed that lies: values that jump, stand still, cannot be, come with a wrong clock, or do not come. Nothing is edited away."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Final

from mainwright.errors import InputError
from mainwright.words.message import Message, Quantity, message
from mainwright.workflow.live_ports import CHANNELS, Channel, FeedReading, Signal, SignalKind

__all__ = ["ChannelLimits", "Motion", "Watch", "WatchLimits"]


@dataclass(frozen=True, slots=True)
class ChannelLimits:
    """When a channel is not believed.

    Attributes
    ----------
    least, most
        Below and above, the value cannot be. [SI]
    rate
        Faster, it jumps. [SI/s]
    frozen
        Unchanged to the last digit for longer, it is frozen: while something else that is measured changes. [s]
    """

    least: float = -math.inf
    most: float = math.inf
    rate: float = math.inf
    frozen: float = math.inf

    @staticmethod
    def assumed(channel: Channel) -> "ChannelLimits":
        """Return what is assumed where the mapping says nothing."""
        return _ASSUMED[channel]


# Assumed from practice, wide on purpose, and printed in docs/reference/feed-mapping.md: a head travels some metres a minute and is winched
# back at tens of metres a minute; hose and pump end far under 100 bar. Sensors of flow and pressure always flicker, an odometer at rest does
# not: only the former can be frozen. A pump does change its flow in a moment, so that no rate is assumed for it.
_ASSUMED: Final[Mapping[Channel, ChannelLimits]] = MappingProxyType(
    {
        "odometer": ChannelLimits(least=-1000.0, most=10_000.0, rate=2.0),
        "flow": ChannelLimits(least=0.0, most=0.02, frozen=60.0),
        "pressure": ChannelLimits(least=-1e5, most=1e7, frozen=60.0),
        "strokes": ChannelLimits(least=0.0),
        "head_air": ChannelLimits(least=-1e5, most=2e6),
        "head_speed": ChannelLimits(least=0.0, most=1000.0),
        "coat": ChannelLimits(least=1.0, most=9.0),
    }
)


@dataclass(frozen=True, slots=True)
class WatchLimits:
    """When a feed is not believed.

    Attributes
    ----------
    channels
        Of each channel that it has.
    silent
        Longer without a reading, it is silent. [s]
    clock
        Further from ours, the sender's clock is wrong. [s]
    burst
        Readings of so long a time may come at once, where their time is that of arrival: no jump within it. [s]
    """

    channels: tuple[tuple[Channel, ChannelLimits], ...]
    silent: float = 10.0
    clock: float = 5.0
    burst: float = 0.0

    def __post_init__(self) -> None:
        for name, value in (("silent", self.silent), ("clock", self.clock)):
            if not value > 0.0:
                raise InputError(name, value, "s", "over zero")


_ANY: Final = ChannelLimits()


class Motion:
    """Remembers when anything that is measured last changed, whichever feed told it."""

    def __init__(self) -> None:
        self.latest: datetime | None = None

    def note(self, time: datetime) -> None:
        """Note that something changed."""
        if self.latest is None or time > self.latest:
            self.latest = time


_Key = tuple[str, SignalKind, Channel | None]


@dataclass(slots=True)
class _Trace:
    """What is remembered of one channel of one source."""

    time: datetime
    value: float
    since: datetime


class Watch:
    """Follows the readings of one feed and says when they are not to be believed, and when they are again.

    Parameters
    ----------
    source : str
        Name of the feed. [-]
    limits : WatchLimits
        When it is not believed.
    motion : Motion
        Of the rig, shared by its feeds.
    """

    def __init__(self, source: str, limits: WatchLimits, motion: Motion) -> None:
        self._source = source
        self._motion = motion
        self._limits = limits
        self._by_channel = dict(limits.channels)
        self._traces: dict[tuple[str, Channel], _Trace] = {}
        self._latest: dict[str, datetime] = {}
        self._arrived: datetime | None = None
        self._up: set[_Key] = set()

    def see(self, reading: FeedReading, *, arrived: datetime) -> list[Signal]:
        """Return what a reading shows.

        Parameters
        ----------
        reading : FeedReading
            As it came; it stays as it is.
        arrived : datetime
            When, by our clock.

        Returns
        -------
        list of Signal
            Signals that went up with it, and those that are over.
        """
        found: list[Signal] = []
        if self._arrived is None or arrived > self._arrived:
            self._arrived = arrived
        self._set(found, arrived, (self._source, "silent", None), None)
        self._clock(found, reading, arrived)
        for channel, value in reading.values.items():
            limits = self._by_channel.get(channel, _ANY)
            what = None
            if not limits.least <= value <= limits.most:
                what = message("{channel} says {value}: that cannot be", channel=channel, value=Quantity(value, CHANNELS[channel][0]))
            self._set(found, reading.time, (reading.source, "impossible", channel), what)
            trace = self._traces.get((reading.source, channel))
            if trace is None:
                self._traces[reading.source, channel] = _Trace(reading.time, value, reading.time)
            elif reading.time > trace.time:
                self._jump(found, reading, channel, trace, limits.rate)
                self._frozen(found, reading, channel, trace, limits.frozen)
                trace.time, trace.value = reading.time, value
        return found

    def tick(self, now: datetime) -> list[Signal]:
        """Return what the passing of time shows: a feed that is silent.

        Parameters
        ----------
        now : datetime
            By our clock.

        Returns
        -------
        list of Signal
            Empty, or the one signal when silence begins.
        """
        found: list[Signal] = []
        if self._arrived is None:
            self._arrived = now
        quiet = (now - self._arrived).total_seconds()
        if quiet > self._limits.silent:
            what = message("nothing has come for {quiet}", quiet=Quantity(quiet, "s", 0))
            self._set(found, now, (self._source, "silent", None), what)
        return found

    def _jump(self, found: list[Signal], reading: FeedReading, channel: Channel, trace: _Trace, rate: float) -> None:
        value, unit = reading.values[channel], CHANNELS[channel][0]
        passed = (reading.time - trace.time).total_seconds()
        what = None
        if abs(value - trace.value) > rate * (passed + self._limits.burst):
            what = message(
                "{channel} jumps from {before} to {value} within {passed}",
                channel=channel,
                before=Quantity(trace.value, unit),
                value=Quantity(value, unit),
                passed=Quantity(passed, "s"),
            )
        self._set(found, reading.time, (reading.source, "jump", channel), what)

    def _frozen(self, found: list[Signal], reading: FeedReading, channel: Channel, trace: _Trace, longest: float) -> None:
        value = reading.values[channel]
        if value != trace.value:
            trace.since = reading.time
            self._motion.note(reading.time)
        stood = (reading.time - trace.since).total_seconds()
        what = None
        # A rig at rest is no lie: only where something else has changed since.
        if stood > longest and self._motion.latest is not None and self._motion.latest > trace.since:
            what = message(
                "{channel} has said {value} without a change for {stood}, while others changed",
                channel=channel,
                value=Quantity(value, CHANNELS[channel][0]),
                stood=Quantity(stood, "s", 0),
            )
        self._set(found, reading.time, (reading.source, "frozen", channel), what)

    def _clock(self, found: list[Signal], reading: FeedReading, arrived: datetime) -> None:
        """Judge the time of a reading: ahead of ours, or behind the one before it. Behind ours is no lie: a sender may have been out of reach."""
        ahead = (reading.time - arrived).total_seconds()
        latest = self._latest.get(reading.source)
        back = 0.0 if latest is None else (latest - reading.time).total_seconds()
        what = None
        if ahead > self._limits.clock:
            what = message("the clock of the sender is {wrong} ahead of this machine's", wrong=Quantity(ahead, "s", 1))
        elif back > self._limits.clock:
            what = message("the sender's time goes back by {wrong}: a clock step, or a late reading", wrong=Quantity(back, "s", 1))
        self._set(found, reading.time, (reading.source, "clock", None), what)
        if latest is None or reading.time > latest:
            self._latest[reading.source] = reading.time

    def _set(self, found: list[Signal], time: datetime, key: _Key, what: Message | None) -> None:
        """Raise a signal where there is something to say, and end it where there is not."""
        source, kind, channel = key
        if what is not None and key not in self._up:
            self._up.add(key)
            found.append(Signal(time, source, kind, what, channel))
        elif what is None and key in self._up:
            self._up.discard(key)
            found.append(Signal(time, source, kind, message("it is right again"), channel, over=True))
