"""A feed that lies is noticed, and nothing of it is changed."""

import math
from dataclasses import replace
from datetime import timedelta

import pytest

from mainwright.errors import InputError
from mainwright.feeds.watch import ChannelLimits, Motion, Watch, WatchLimits
from mainwright.workflow.live_ports import Channel, FeedReading, Signal
from tests.unit.feeds.rig import NOON

LIMITS = WatchLimits(
    (("odometer", ChannelLimits(0.0, 1000.0, 2.0)), ("flow", ChannelLimits(0.0, 0.01, math.inf, 5.0))), silent=3.0, clock=2.0
)


def see(watch: Watch, second: float, *, late: float = 0.0, source: str = "rig", **values: float) -> list[Signal]:
    plain: dict[Channel, float] = {}
    if "way" in values:
        plain["odometer"] = values["way"]
    if "flow" in values:
        plain["flow"] = values["flow"]
    moment = NOON + timedelta(seconds=second)
    return watch.see(FeedReading(moment, None, plain, source), arrived=moment + timedelta(seconds=late))


def kinds(found: list[Signal]) -> list[tuple[str, object, bool]]:
    return [(one.kind, one.channel, one.over) for one in found]


def test_an_honest_run_with_a_stop_is_believed() -> None:
    watch = Watch("rig", LIMITS, Motion())
    for second in range(60):
        assert see(watch, second, way=min(second, 30) * 0.02, flow=0.001 + (second % 7) * 1e-6) == []


def test_a_rig_at_rest_is_no_lie() -> None:
    watch = Watch("rig", LIMITS, Motion())
    assert [see(watch, second, way=float(min(second, 2)), flow=0.001 if second < 3 else 0.0) for second in range(60)] == [[]] * 60


def test_a_jump_goes_up_once_and_is_over() -> None:
    watch = Watch("rig", LIMITS, Motion())
    assert see(watch, 0, way=10.0) == []
    (up,) = see(watch, 1, way=13.0)
    assert (up.kind, up.channel, up.over) == ("jump", "odometer", False)
    assert kinds(see(watch, 2, way=13.1)) == [("jump", "odometer", True)]


def test_a_jump_backwards_is_a_jump() -> None:
    watch = Watch("rig", LIMITS, Motion())
    see(watch, 0, way=10.0)
    assert kinds(see(watch, 1, way=0.0)) == [("jump", "odometer", False)]


def test_a_long_gap_allows_a_long_way() -> None:
    watch = Watch("rig", LIMITS, Motion())
    see(watch, 0, way=10.0)
    assert see(watch, 60, way=70.0) == []


def test_a_frozen_flow_is_noticed_while_the_head_moves_and_is_over_when_it_flickers() -> None:
    watch = Watch("rig", LIMITS, Motion())
    found = [kinds(see(watch, second, way=second * 0.02, flow=0.001)) for second in range(10)]
    assert found == [[]] * 6 + [[("frozen", "flow", False)]] + [[]] * 3
    assert kinds(see(watch, 10, way=0.2, flow=0.0011)) == [("frozen", "flow", True)]


@pytest.mark.parametrize("value", [-0.001, 0.02, math.nan, math.inf])
def test_what_cannot_be_is_noticed(value: float) -> None:
    watch = Watch("rig", LIMITS, Motion())
    assert kinds(see(watch, 0, flow=value)) == [("impossible", "flow", False)]
    assert kinds(see(watch, 1, flow=0.001)) == [("impossible", "flow", True)]


def test_a_clock_ahead_and_a_step_back_are_noticed_and_a_late_sender_is_not() -> None:
    watch = Watch("rig", LIMITS, Motion())
    assert see(watch, 0, late=3600.0, way=1.0) == []
    assert kinds(see(watch, 100, late=-30.0, way=1.0)) == [("clock", None, False)]
    assert kinds(see(watch, 101, way=1.0)) == [("clock", None, True)]
    assert kinds(see(watch, 50, late=60.0, way=1.0)) == [("clock", None, False)]


def test_silence_goes_up_once_and_is_over_with_the_next_reading() -> None:
    watch = Watch("rig", LIMITS, Motion())
    see(watch, 0, way=1.0)
    assert watch.tick(NOON + timedelta(seconds=2)) == []
    assert kinds(watch.tick(NOON + timedelta(seconds=4))) == [("silent", None, False)]
    assert watch.tick(NOON + timedelta(seconds=5)) == []
    assert kinds(see(watch, 6, way=1.0)) == [("silent", None, True)]


def test_a_feed_that_never_said_anything_is_silent() -> None:
    watch = Watch("rig", LIMITS, Motion())
    assert watch.tick(NOON) == []
    assert kinds(watch.tick(NOON + timedelta(seconds=4))) == [("silent", None, False)]


def test_an_old_reading_is_not_held_against_a_new_one() -> None:
    watch = Watch("rig", LIMITS, Motion())
    see(watch, 10, way=20.0)
    assert see(watch, 9, late=1.0, way=1.0) == []
    assert see(watch, 11, way=20.5) == []


def test_sources_are_followed_apart() -> None:
    watch = Watch("rig", LIMITS, Motion())
    see(watch, 0, way=1.0, source="a")
    assert see(watch, 1, way=500.0, source="b") == []


def test_a_flow_of_one_feed_is_frozen_while_the_odometer_of_another_goes_on() -> None:
    motion = Motion()
    drum, pump = Watch("drum", LIMITS, motion), Watch("pump", LIMITS, motion)
    found = []
    for second in range(10):
        see(drum, second, way=second * 0.02)
        found += kinds(see(pump, second, flow=0.001))
    assert found == [("frozen", "flow", False)]


def test_what_comes_in_a_burst_without_a_time_of_its_own_is_no_jump() -> None:
    watch = Watch("rig", replace(LIMITS, burst=1.0), Motion())
    see(watch, 0, way=10.0)
    assert see(watch, 0.001, way=11.5) == []
    assert kinds(see(watch, 0.002, way=14.0)) == [("jump", "odometer", False)]


def test_a_limit_of_no_time_is_refused() -> None:
    with pytest.raises(InputError, match="silent"):
        WatchLimits((), silent=0.0)
