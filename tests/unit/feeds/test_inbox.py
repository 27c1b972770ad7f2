"""The inbox: bounded, in order, and honest when it is stopped."""

import threading

import pytest

from mainwright.errors import InputError
from mainwright.feeds.inbox import BoundedInbox
from mainwright.units import UNITS
from mainwright.workflow.live_ports import CHANNELS, Arrival, FeedReading
from tests.unit.feeds.rig import NOON, until


def arrival(number: int) -> Arrival:
    return Arrival(FeedReading(NOON, number, {"odometer": float(number)}, "rig"), lambda: None)


def test_what_went_in_first_comes_out_first() -> None:
    inbox = BoundedInbox(10)
    for number in range(5):
        assert inbox.put(arrival(number), stop=threading.Event())
    assert [one.reading.number for one in inbox.take(3, timeout=0.0)] == [0, 1, 2]
    assert [one.reading.number for one in inbox.take(3, timeout=0.0)] == [3, 4]
    assert inbox.take(3, timeout=0.0) == []


def test_a_full_inbox_makes_the_sender_wait_and_tells_it_once() -> None:
    inbox, told, done = BoundedInbox(1), [], threading.Event()
    inbox.put(arrival(0), stop=threading.Event())

    def send() -> None:
        if inbox.put(arrival(1), stop=threading.Event(), full=lambda: told.append(1)):
            done.set()

    thread = threading.Thread(target=send)
    thread.start()
    until(lambda: bool(told))
    assert not done.wait(0.2)
    assert len(inbox) == 1
    inbox.take(1, timeout=0.0)
    assert done.wait(5.0)
    thread.join()
    assert told == [1]


def test_a_stopped_sender_does_not_put() -> None:
    inbox, stop = BoundedInbox(1), threading.Event()
    inbox.put(arrival(0), stop=stop)
    stop.set()
    assert not inbox.put(arrival(1), stop=stop)
    assert len(inbox) == 1


def test_no_capacity_is_refused() -> None:
    with pytest.raises(InputError, match="capacity"):
        BoundedInbox(0)


def test_every_unit_of_a_channel_is_known() -> None:
    assert {unit for units in CHANNELS.values() for unit in units} <= set(UNITS)
