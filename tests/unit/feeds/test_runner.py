"""The thread of a feed: trying again, ending, failing aloud."""

import threading
from collections.abc import Callable
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.feeds.outlet import Backoff, Outlet
from mainwright.feeds.runner import Runner
from mainwright.feeds.watch import WatchLimits
from tests.unit.feeds.rig import Bench, until


@given(st.integers(1, 100_000), st.integers())
def test_a_wait_doubles_up_to_the_longest_and_varies_by_half(failures: int, seed: int) -> None:
    longest = min(30.0, 0.5 * 2.0 ** min(failures - 1, 20))
    assert 0.5 * longest <= Backoff(0.5, 30.0).delay(failures, Random(seed)) <= longest


def test_the_same_chance_gives_the_same_waits() -> None:
    assert [Backoff().delay(n, Random(3)) for n in range(1, 9)] == [Backoff().delay(n, Random(3)) for n in range(1, 9)]


def test_a_first_wait_over_the_longest_is_refused() -> None:
    with pytest.raises(InputError, match="first wait"):
        Backoff(5.0, 1.0)


def test_a_lost_connection_is_told_once_and_tried_until_it_stands() -> None:
    bench, attempts = Bench(), []

    def work(stop: threading.Event, connected: Callable[[], None]) -> None:
        attempts.append(1)
        if len(attempts) < 4:
            raise ConnectionRefusedError("refused")
        connected()
        stop.wait()

    runner = Runner(Outlet("rig", WatchLimits(()), bench.desk), work)
    runner.start()
    until(lambda: len(bench.signals) == 2)
    assert not runner.finished
    assert runner.stop(5.0)
    assert [(one.kind, one.over) for one in bench.signals] == [("lost", False), ("lost", True)]
    assert len(attempts) == 4


def test_the_end_of_a_source_is_told() -> None:
    bench = Bench()
    runner = Runner(Outlet("rig", WatchLimits(()), bench.desk), lambda stop, connected: connected())
    runner.start()
    until(lambda: runner.finished)
    assert bench.kinds() == ["connected", "ended"]
    with pytest.raises(InputError, match="started once"):
        runner.start()


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_feed_that_fails_says_so() -> None:
    bench = Bench()

    def work(stop: threading.Event, connected: Callable[[], None]) -> None:
        raise KeyError("a mistake of ours")

    runner = Runner(Outlet("rig", WatchLimits(()), bench.desk), work)
    runner.start()
    until(lambda: runner.finished)
    assert "has failed and is not tried again" in bench.texts()[0]


def test_a_feed_that_was_never_started_stops() -> None:
    assert Runner(Outlet("rig", WatchLimits(()), Bench().desk), lambda stop, connected: None).stop(0.0)
