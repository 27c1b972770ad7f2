"""What a feed tells of itself: not too much, and when it is over."""

from random import Random
from threading import Event

from mainwright.feeds.inbox import BoundedInbox
from mainwright.feeds.outlet import Desk, Outlet
from mainwright.feeds.watch import WatchLimits
from mainwright.words.message import message
from mainwright.workflow.live_ports import FeedReading, Signal
from tests.unit.feeds.rig import NOON, worded


class Clocked:
    """An outlet whose time passes when it is told to."""

    def __init__(self, *, capacity: int = 10) -> None:
        self.passed = 0.0
        self.signals: list[Signal] = []
        self.inbox = BoundedInbox(capacity)
        desk = Desk(self.inbox, lambda: NOON, lambda: self.passed, self.signals.append, Random(1))
        self.outlet = Outlet("rig", WatchLimits(()), desk)

    def told(self) -> list[tuple[str, bool]]:
        return [(one.kind, one.over) for one in self.signals]


def test_of_much_that_cannot_be_read_the_first_is_told_and_the_rest_counted() -> None:
    rig = Clocked()
    for n in range(100):
        rig.passed = n * 0.01
        rig.outlet.unreadable(message("row {n}", n=n))
    rig.outlet.tick()
    assert [worded(one) for one in rig.signals] == ["row 0"]
    rig.passed = 6.0
    rig.outlet.tick()
    assert worded(rig.signals[1]) == "99 more could not be read and were left out"
    rig.passed = 12.0
    rig.outlet.unreadable(message("row 100"))
    assert worded(rig.signals[2]) == "row 100"


def test_what_could_not_be_read_is_over_after_a_while() -> None:
    rig = Clocked()
    rig.outlet.unreadable(message("a row"))
    for second in range(60):
        rig.passed = float(second)
        rig.outlet.tick()
    assert rig.told() == [("unreadable", False), ("unreadable", True)]


def test_the_rest_is_told_at_the_end() -> None:
    rig = Clocked()
    for _ in range(3):
        rig.outlet.unreadable(message("a row"))
    rig.outlet.close()
    assert worded(rig.signals[1]).startswith("2 more")


def test_that_a_feed_waits_is_told_once_and_over_once() -> None:
    rig = Clocked(capacity=4)
    stopped = Event()
    for n in range(4):
        assert rig.outlet.hand(FeedReading(NOON, n, {}, "rig"), lambda: None, stopped)
    stopped.set()
    for n in range(3):
        assert not rig.outlet.hand(FeedReading(NOON, n, {}, "rig"), lambda: None, stopped)
    assert rig.told() == [("full", False)]
    rig.inbox.take(1, timeout=0.0)
    rig.outlet.tick()
    assert rig.told() == [("full", False)]
    rig.inbox.take(3, timeout=0.0)
    rig.outlet.tick()
    rig.outlet.tick()
    assert rig.told() == [("full", False), ("full", True)]
