"""Marks by hand: the drum has a mark, somebody has a stopwatch, and there is no sensor at all."""

import math
import threading
from dataclasses import replace
from datetime import UTC, datetime

from mainwright.errors import InputError
from mainwright.feeds.outlet import Desk, Outlet
from mainwright.feeds.watch import ChannelLimits, WatchLimits
from mainwright.words.message import message
from mainwright.workflow.live_ports import Channel, FeedReading

__all__ = ["HandMarks"]


class HandMarks:
    """Takes marks one by one, from a page or from the prompt.

    Parameters
    ----------
    source : str
        Name of the feed. [-]
    desk : Desk
        Where marks go.
    """

    def __init__(self, source: str, desk: Desk) -> None:
        # A person is silent for as long as it takes, and reads the same setting every time: neither is a fault.
        limits: tuple[tuple[Channel, ChannelLimits], ...] = (
            ("odometer", ChannelLimits.assumed("odometer")),
            ("flow", replace(ChannelLimits.assumed("flow"), frozen=math.inf)),
        )
        self._outlet = Outlet(source, WatchLimits(limits, silent=math.inf), desk)
        self._stop = threading.Event()
        self._started = False

    def start(self) -> None:
        """Begin to take marks."""
        self._started = True
        self._outlet.tell("connected", message("marks are taken"))

    def stop(self, timeout: float) -> bool:
        """Take no more; there is no thread to wait for."""
        self._stop.set()
        self._outlet.close()
        return timeout >= 0.0

    @property
    def finished(self) -> bool:
        """Whether no more are taken."""
        return self._stop.is_set()

    def mark(self, *, number: int, way: float, time: datetime | None = None, flow: float | None = None) -> threading.Event:
        """Hand on a mark.

        Parameters
        ----------
        number : int
            Of the mark, given by who makes it: sent again with the same number, it is the same mark. [-]
        way : float
            Of the spray plane from where the head started. [m]
        time : datetime, optional
            When, aware; now where it is not given.
        flow : float, optional
            What the pump gives at its setting. [m3/s]

        Returns
        -------
        threading.Event
            Set once the mark is durable.

        Raises
        ------
        InputError
            If a number is not finite, the flow is negative, the time has no offset, or no marks are taken.
        """
        if not self._started or self._stop.is_set():
            raise InputError("mark", number, "", "while the feed takes marks")
        if not math.isfinite(way):
            raise InputError("way", way, "m", "a finite number")
        if flow is not None and not 0.0 <= flow < math.inf:
            raise InputError("flow", flow, "m3/s", "a finite number, zero or more")
        if time is not None and time.tzinfo is None:
            raise InputError("time", time, "", "a time with its offset from UTC")
        moment = self._outlet.now() if time is None else time
        values: dict[Channel, float] = {"odometer": way}
        if flow is not None:
            values["flow"] = flow
        durable = threading.Event()
        reading = FeedReading(moment.astimezone(UTC), number, values, self._outlet.source)
        if not self._outlet.hand(reading, durable.set, self._stop):
            raise InputError("mark", number, "", "while the feed takes marks")
        return durable
