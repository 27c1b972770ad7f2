"""Marks by hand."""

import math
from datetime import datetime

import pytest

from mainwright.errors import InputError
from mainwright.feeds.hand_marks import HandMarks
from tests.unit.feeds.rig import NOON, Bench, running


def test_a_mark_is_durable_once_it_is_acknowledged() -> None:
    bench = Bench()
    marks = HandMarks("hand", bench.desk)
    with running(marks):
        durable = marks.mark(number=1, way=12.5, flow=0.0005, time=NOON)
        (found,) = bench.take(1, acknowledge=False)
        assert not durable.is_set()
        found.acknowledge()
        assert durable.is_set()
    assert (found.reading.number, dict(found.reading.values)) == (1, {"odometer": 12.5, "flow": 0.0005})


def test_a_mark_without_a_time_is_of_now() -> None:
    bench = Bench()
    with running(marks := HandMarks("hand", bench.desk)):
        marks.mark(number=1, way=12.5)
    (found,) = bench.take(1)
    assert found.reading.time >= NOON
    assert set(found.reading.values) == {"odometer"}


def test_the_same_setting_every_time_is_no_lie() -> None:
    bench = Bench()
    with running(marks := HandMarks("hand", bench.desk)):
        for number in range(5):
            marks.mark(number=number, way=number * 3.0, flow=0.0005, time=NOON.replace(minute=number * 5))
    assert {"frozen", "silent"} & set(bench.kinds()) == set()


@pytest.mark.parametrize(
    ("way", "flow", "time", "why"),
    [
        (math.nan, None, None, "way"),
        (1.0, -1.0, None, "flow"),
        (1.0, math.inf, None, "flow"),
        (1.0, None, datetime(2026, 5, 4), "offset from UTC"),  # noqa: DTZ001 - that is the fault
    ],
)
def test_an_impossible_mark_is_refused(way: float, flow: float | None, time: datetime | None, why: str) -> None:
    bench = Bench()
    with running(marks := HandMarks("hand", bench.desk)), pytest.raises(InputError, match=why):
        marks.mark(number=1, way=way, flow=flow, time=time)
    assert len(bench.inbox) == 0


def test_no_marks_are_taken_before_and_after() -> None:
    marks = HandMarks("hand", Bench().desk)
    with pytest.raises(InputError, match="while the feed takes marks"):
        marks.mark(number=1, way=1.0)
    with running(marks):
        pass
    with pytest.raises(InputError, match="while the feed takes marks"):
        marks.mark(number=1, way=1.0)
