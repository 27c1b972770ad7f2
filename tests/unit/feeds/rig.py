"""What the tests of the feeds share: a desk that keeps signals, a clock, and a taker of readings."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from mainwright.feeds.inbox import BoundedInbox
from mainwright.feeds.mapping import FeedMapping, feed_mappings
from mainwright.feeds.outlet import Backoff, Desk
from mainwright.folder.toml_text import read_toml_text
from mainwright.workflow.live_ports import Arrival, Feed, Signal

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


class Bench:
    """A desk of its own, with everything that it is told."""

    def __init__(self, capacity: int = 10_000) -> None:
        self.signals: list[Signal] = []
        self.inbox = BoundedInbox(capacity)
        self.desk = Desk(self.inbox, self.now, time.monotonic, self.signals.append, Random(1), Backoff(0.02, 0.1))
        self._began = time.monotonic()

    def now(self) -> datetime:
        return NOON + timedelta(seconds=time.monotonic() - self._began)

    def kinds(self) -> list[str]:
        return [found.kind for found in list(self.signals)]

    def texts(self) -> list[str]:
        return [worded(found) for found in list(self.signals)]

    def take(self, count: int, *, timeout: float = 10.0, acknowledge: bool = True) -> list[Arrival]:
        """Return so many arrivals; fewer where they do not come in time."""
        found: list[Arrival] = []
        end = time.monotonic() + timeout
        while len(found) < count and time.monotonic() < end:
            for arrival in self.inbox.take(count - len(found), timeout=0.05):
                if acknowledge:
                    arrival.acknowledge()
                found.append(arrival)
        return found


def worded(found: Signal) -> str:
    from mainwright.folder.located import LocatedFault

    def plain(message: object) -> str:
        values = {name: plain(value) if hasattr(value, "values") else value for name, value in message.values}  # type: ignore[attr-defined]
        return LocatedFault("", 1, "", type(found.message)(message.text, tuple(sorted(values.items())))).text  # type: ignore[attr-defined]

    return plain(found.message)


@contextmanager
def running(feed: Feed) -> Iterator[Feed]:
    feed.start()
    try:
        yield feed
    finally:
        assert feed.stop(5.0), "the feed did not stop"


def until(true: Callable[[], bool], *, timeout: float = 10.0) -> None:
    """Wait for something, and fail where it does not come."""
    end = time.monotonic() + timeout
    while not true():
        assert time.monotonic() < end, "it did not come in time"
        time.sleep(0.01)


def mapped(text: str) -> FeedMapping:
    read = read_toml_text("feeds.toml", text.encode())
    assert not read.faults
    return feed_mappings(read.values)[0]


def csv_mapping(path: Path, *, more: str = "") -> FeedMapping:
    return mapped(
        f"""
        [[feed]]
        source = "rig"
        kind = "csv"
        path = '{path}'
        poll_s = 0.01
        {more}
        [feed.time]
        column = "time"
        format = "iso"
        [feed.channels.odometer]
        column = "way"
        unit = "m"
        [feed.channels.flow]
        column = "flow"
        unit = "l_min"
        """
    )
