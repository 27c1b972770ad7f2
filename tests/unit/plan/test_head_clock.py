"""Where the head is when, either way along the main."""

import pytest

from mainwright.plan.head_clock import HeadClock
from mainwright.plan.result import Direction

PIECES = [(0, 10.0, 40.0), (1, 40.0, 50.0)]
SECONDS = [60.0, 100.0]


@pytest.mark.parametrize(
    ("direction", "chainage", "elapsed"),
    [
        ("increasing", 10.0, 0.0),
        ("increasing", 25.0, 30.0),
        ("increasing", 45.0, 110.0),
        ("increasing", 50.0, 160.0),
        ("decreasing", 50.0, 0.0),
        ("decreasing", 45.0, 50.0),
        ("decreasing", 25.0, 130.0),
        ("decreasing", 10.0, 160.0),
    ],
)
def test_place_and_time_belong_together(direction: Direction, chainage: float, elapsed: float) -> None:
    clock = HeadClock(PIECES, SECONDS, direction)
    assert clock.at(chainage) == pytest.approx(elapsed)
    assert clock.way(elapsed) == pytest.approx(chainage - 10.0 if direction == "increasing" else 50.0 - chainage)


def test_after_its_time_the_head_stands_at_the_end() -> None:
    assert HeadClock(PIECES, SECONDS, "increasing").way(1e6) == 40.0
