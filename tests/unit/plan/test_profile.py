"""The way of a rope."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.job.survey import Feature, Level
from mainwright.plan.profile import profile_between
from mainwright.science.placement.pull import Drag, pull_along
from tests.unit.plan.small_job import small_job


def test_bends_at_the_openings_are_no_part_of_the_run() -> None:
    job = small_job(features=tuple(Feature(place, "bend", 0.2) for place in (0.0, 50.0, 100.0)))
    pieces = profile_between(job, start=0.0, end=100.0)
    assert [piece.bend for piece in pieces if piece.bend] == [0.2]
    assert sum(piece.length for piece in pieces) == pytest.approx(100.0)
    assert all(piece.slope == 0.0 for piece in pieces)


@pytest.mark.outside(
    "Constructed chain of a level 80 m, bend 22.5 deg, 60 m rising 3 deg, bend 45 deg: pulls 829.616, 951.85, 1235.69, 1626.64 N"
)
def test_levels_and_bends_make_the_constructed_chain() -> None:
    rise = 60.0 * math.sin(math.radians(3.0))
    job = small_job(
        features=(Feature(80.0, "bend", math.radians(22.5)), Feature(140.0, "bend", math.radians(45.0))),
        levels=(Level(0.0, None, 10.0), Level(80.0, None, 10.0), Level(140.0, None, 10.0 + rise)),
    )
    pieces = profile_between(job, start=0.0, end=141.0)[:-1]
    pulls = pull_along(profile=pieces, back_tension=500.0, drag=Drag(weight=1.2 * 9.81, friction=0.35))
    assert pulls == pytest.approx([829.616, 951.85, 1235.69, 1626.64], rel=2e-5)


def test_the_other_way_is_the_same_way_backwards() -> None:
    job = small_job(levels=(Level(0.0, None, 10.0), Level(150.0, None, 12.0), Level(300.0, None, 11.0)))
    up = profile_between(job, start=10.0, end=290.0)
    down = profile_between(job, start=10.0, end=290.0, direction="decreasing")
    assert [piece.length for piece in down] == [piece.length for piece in reversed(up)]
    assert [piece.slope for piece in down] == [-piece.slope for piece in reversed(up)]


def test_an_unknown_angle_counts_as_the_greatest_that_may_stay() -> None:
    job = small_job(features=(Feature(50.0, "bend", None),))
    assert profile_between(job, start=0.0, end=100.0)[1].bend == job.runs.max_bend


@given(
    st.lists(st.tuples(st.floats(0.0, 300.0), st.floats(-20.0, 20.0)), max_size=6, unique_by=lambda point: point[0]),
    st.floats(0.0, 100.0),
    st.floats(150.0, 300.0),
)
def test_length_is_kept_whatever_the_levels(points: list[tuple[float, float]], start: float, end: float) -> None:
    job = replace(small_job(), levels=tuple(Level(place, None, height) for place, height in sorted(points)))
    pieces = profile_between(job, start=start, end=end)
    assert sum(piece.length for piece in pieces) == pytest.approx(end - start)
    assert all(abs(piece.slope) <= math.pi / 2 for piece in pieces)
