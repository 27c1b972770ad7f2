"""What a feed is given, and the way by which everything it has to say goes out: readings watched and handed on, signals told."""

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from random import Random
from typing import Final

from mainwright.errors import InputError
from mainwright.feeds.inbox import BoundedInbox
from mainwright.feeds.watch import Motion, Watch, WatchLimits
from mainwright.words.message import Message, message
from mainwright.workflow.live_ports import Arrival, Clock, FeedReading, Notice, Signal, SignalKind

__all__ = ["Backoff", "Desk", "Outlet"]

_QUIET: Final = 5.0
"""What cannot be read is told at most so often [s]; the rest is counted."""
_WELL: Final = 30.0
"""After so long without anything that cannot be read, that is over. [s]"""


@dataclass(frozen=True, slots=True)
class Backoff:
    """How long to wait before the next attempt.

    Attributes
    ----------
    first, most
        The wait after the first failure, and the longest. [s]
    """

    first: float = 0.5
    most: float = 10.0

    def __post_init__(self) -> None:
        if not 0.0 < self.first <= self.most:
            raise InputError("first wait", self.first, "s", f"over zero and at most {self.most:g} s")

    def delay(self, failures: int, generator: Random) -> float:
        """Return the wait after so many failures in a row: doubled each time, and between half of that and all of it by chance.

        Parameters
        ----------
        failures : int
            From 1. [-]
        generator : Random
            Where chance comes from, so that many feeds do not come back at the same moment.

        Returns
        -------
        float
            The wait. [s]
        """
        # The exponent is held down: a feed that is away for days must not overflow.
        longest = min(self.most, self.first * 2.0 ** min(failures - 1, 60))
        return longest * generator.uniform(0.5, 1.0)


@dataclass(frozen=True, slots=True)
class Desk:
    """What every feed is given.

    Attributes
    ----------
    inbox
        Where readings go.
    clock
        Time of day.
    monotonic
        Seconds that pass evenly, whatever happens to the time of day. [s]
    notice
        Where signals go.
    generator
        Where chance comes from.
    backoff
        Waits between attempts.
    motion
        Of the rig, shared by its feeds.
    """

    inbox: BoundedInbox
    clock: Clock
    monotonic: Callable[[], float]
    notice: Notice
    generator: Random
    backoff: Backoff = field(default_factory=Backoff)
    motion: Motion = field(default_factory=Motion)


class Outlet:
    """The way out of one feed: every reading passes the watch, and goes on as it is whatever the watch says.

    Used by the feed's own thread alone.

    Parameters
    ----------
    source : str
        Name of the feed. [-]
    limits : WatchLimits
        When it is not believed.
    desk : Desk
        What the feed was given.
    """

    def __init__(self, source: str, limits: WatchLimits, desk: Desk) -> None:
        self.source = source
        self.desk = desk
        self._watch = Watch(source, limits, desk.motion)
        self._full = False
        self._left_out = 0
        self._told: float | None = None
        """When something that could not be read was last told, while that is not over."""

    def now(self) -> datetime:
        """Return the time of day."""
        return self.desk.clock()

    def tell(self, kind: SignalKind, what: Message, *, over: bool = False) -> None:
        """Say something about the feed, as of now."""
        self.desk.notice(Signal(self.now(), self.source, kind, what, over=over))

    def unreadable(self, what: Message) -> None:
        """Say what could not be read; of many within a short time the first is told and the others are counted."""
        now = self.desk.monotonic()
        if self._told is not None and now - self._told < _QUIET:
            self._left_out += 1
            return
        self._flush()
        self._told = now
        self.tell("unreadable", what)

    def tick(self) -> None:
        """Say what the passing of time shows; to be called now and then, also where nothing comes."""
        if self._told is not None:
            passed = self.desk.monotonic() - self._told
            if passed >= _QUIET:
                self._flush()
            if passed >= _WELL:
                self._told = None
                self.tell("unreadable", message("what comes can be read again"), over=True)
        self._room(self.desk.inbox.capacity // 2)
        for signal in self._watch.tick(self.now()):
            self.desk.notice(signal)

    def hand(self, reading: FeedReading, acknowledge: Callable[[], None], stop: threading.Event) -> bool:
        """Put a reading into the inbox; return False where the feed is stopped while it waits for room."""
        for signal in self._watch.see(reading, arrived=self.now()):
            self.desk.notice(signal)
        inbox = self.desk.inbox

        def full() -> None:
            if not self._full:
                self._full = True
                self.tell("full", message("{n} {n:reading waits/readings wait} to be written: this feed waits too", n=inbox.capacity))

        self._room(inbox.capacity // 2)
        return inbox.put(Arrival(reading, acknowledge), stop=stop, full=full)

    def close(self) -> None:
        """Say what is still untold."""
        self._flush()
        self._room(self.desk.inbox.capacity)

    def _room(self, most: int) -> None:
        """Say that the feed waits no longer, where no more than so many readings do."""
        if self._full and len(self.desk.inbox) <= most:
            self._full = False
            self.tell("full", message("this feed no longer waits"), over=True)

    def _flush(self) -> None:
        if self._left_out:
            self.tell("unreadable", message("{n} more could not be read and {n:was/were} left out", n=self._left_out))
            self._left_out = 0
            self._told = self.desk.monotonic()
