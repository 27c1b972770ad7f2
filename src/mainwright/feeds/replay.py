"""The readings of a run that is over, once more: at the speed of then, faster, or as fast as they are taken."""

import math
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from mainwright.errors import InputError
from mainwright.feeds.csv_tail import CsvLines
from mainwright.feeds.mapping import ChannelRule, CsvSource, FeedMapping, Place, TimeRule
from mainwright.feeds.outlet import Desk, Outlet
from mainwright.feeds.runner import Runner
from mainwright.feeds.watch import ChannelLimits, WatchLimits
from mainwright.workflow.live_ports import Channel, FeedReading

if TYPE_CHECKING:
    from datetime import datetime

__all__ = ["RUN_COLUMNS", "Replay", "run_mapping"]

_BLOCK: Final = 64 * 1024

RUN_COLUMNS: Final[tuple[tuple[str, Channel, str], ...]] = (
    ("odometer_m", "odometer", "m"),
    ("flow_l_min", "flow", "l_min"),
    ("pressure_bar", "pressure", "bar"),
    ("strokes", "strokes", "-"),
    ("head_air_bar", "head_air", "bar"),
    ("head_rpm", "head_speed", "rpm"),
    ("coat", "coat", "-"),
)
"""Columns of ``records/run_<id>.csv``, the channel that each is, and its unit."""


class Replay:
    """Hands on the readings of a ``run_<id>.csv`` with their own times.

    Parameters
    ----------
    source : str
        Name of the feed. [-]
    path : str
        The file. [-]
    speed : float
        How many times as fast as it was; ``inf`` waits for nothing. [-]
    desk : Desk
        Where readings and signals go.
    """

    def __init__(self, *, source: str, path: str, speed: float, desk: Desk) -> None:
        if not speed > 0.0:
            raise InputError("speed of the replay", speed, "", "over zero")
        self._mapping = run_mapping(source, path)
        self._path = path
        self._speed = speed
        self._monotonic = desk.monotonic
        self._begun: tuple[datetime, float] | None = None
        self._outlet = Outlet(source, self._mapping.limits, desk)
        self._runner = Runner(self._outlet, self._work)
        self.start = self._runner.start
        self.stop = self._runner.stop

    @property
    def finished(self) -> bool:
        """Whether every reading was handed on, or the feed was stopped."""
        return self._runner.finished

    def _work(self, stop: threading.Event, connected: Callable[[], None]) -> None:
        with Path(self._path).open("rb") as stream:
            connected()
            lines = CsvLines(self._mapping, "auto", self._outlet, pace=self._pace)
            while block := stream.read(_BLOCK):
                if not lines.take(block, stop):
                    return
            lines.end(stop, whole=True)

    def _pace(self, reading: FeedReading, stop: threading.Event) -> bool:
        """Wait until a reading is due; return False where the feed is stopped meanwhile."""
        if math.isinf(self._speed):
            return not stop.is_set()
        if self._begun is None:
            self._begun = reading.time, self._monotonic()
        due = self._begun[1] + (reading.time - self._begun[0]).total_seconds() / self._speed
        return not stop.wait(max(0.0, due - self._monotonic()))


def run_mapping(source: str, path: str) -> FeedMapping:
    """Return the mapping of a ``run_<id>.csv``.

    Parameters
    ----------
    source : str
        Name of the feed. [-]
    path : str
        The file. [-]

    Returns
    -------
    FeedMapping
        Time and odometer must be there, every other column may.
    """
    rules = tuple(ChannelRule(channel, Place(name=column), unit, optional=channel != "odometer") for column, channel, unit in RUN_COLUMNS)
    limits = tuple((rule.channel, ChannelLimits.assumed(rule.channel)) for rule in rules)
    return FeedMapping(source, CsvSource(path, "auto", 0.1), rules, None, TimeRule(Place(name="time"), "iso", None), WatchLimits(limits))
