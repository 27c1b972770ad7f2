"""Lines of a map: angles, chainages, and the one way through them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.workflow.map_line import chainages, deflections, way_through


@given(st.lists(st.floats(-math.pi + 0.01, math.pi - 0.01), min_size=1, max_size=8), st.floats(-3.0, 3.0))
def test_a_line_built_from_turns_gives_the_turns_back(turns: list[float], heading: float) -> None:
    points = [(0.0, 0.0)]
    for turn in (0.0, *turns):
        heading -= turn
        x, y = points[-1]
        points.append((x + 10.0 * math.cos(heading), y + 10.0 * math.sin(heading)))
    found = deflections(points, chainages(points), least=0.0)
    assert [one.angle for one in found] == pytest.approx(turns, abs=1e-9)
    assert [one.chainage for one in found] == pytest.approx([10.0 * (number + 1) for number in range(len(turns))])


def test_right_is_positive_and_doubled_points_count_once() -> None:
    points = [(0.0, 0.0), (0.0, 10.0), (0.0, 10.0), (10.0, 10.0)]
    (one,) = deflections(points, chainages(points), least=0.1)
    assert math.degrees(one.angle) == pytest.approx(90.0)
    assert one.chainage == 10.0


def test_small_turns_are_left_out() -> None:
    points = [(0.0, 0.0), (10.0, 0.0), (20.0, 0.1)]
    assert deflections(points, chainages(points), least=math.radians(1)) == ()
    assert deflections([], [], least=0.1) == ()


def test_lines_in_any_order_and_direction_make_one_way() -> None:
    lines = {7: ((20.0, 0.0), (10.0, 0.0)), 3: ((0.0, 0.0), (10.0, 0.0)), 9: ((20.0, 0.0), (20.0, 5.0))}
    way = way_through(lines, join=0.0)
    assert way.problem == ""
    assert way.places == {3: (0.0, 10.0), 7: (10.0, 20.0), 9: (20.0, 25.0)}
    assert way.points[0] == (0.0, 0.0)
    assert way.points[-1] == (20.0, 5.0)


def test_a_gap_within_reach_is_bridged_and_counts() -> None:
    lines = {1: ((0.0, 0.0), (10.0, 0.0)), 2: ((13.0, 0.0), (20.0, 0.0))}
    assert way_through(lines, join=4.0).places == {1: (0.0, 10.0), 2: (13.0, 20.0)}
    assert "more than one piece" in way_through(lines, join=2.0).problem


def test_a_short_pipe_is_no_gap() -> None:
    lines = {1: ((0.0, 0.0), (10.0, 0.0)), 2: ((10.0, 0.0), (10.3, 0.0)), 3: ((10.3, 0.0), (20.0, 0.0))}
    assert way_through(lines, join=12.0).places == {1: (0.0, 10.0), 2: (10.0, 10.3), 3: (10.3, 20.0)}


def test_a_branch_is_told_with_its_place() -> None:
    lines = {1: ((0.0, 0.0), (10.0, 0.0)), 2: ((10.0, 0.0), (20.0, 0.0)), 3: ((10.0, 0.0), (10.0, 9.0))}
    way = way_through(lines, join=1.0)
    assert "more than two lines meet" in way.problem
    assert way.where == (10.0, 0.0)


def test_nothing_and_too_much() -> None:
    assert way_through({}, join=1.0).problem == "there is no line"
    assert "too many" in way_through({number: ((0.0, float(number)), (1.0, float(number))) for number in range(2001)}, join=1.0).problem


@given(st.permutations(range(6)), st.lists(st.booleans(), min_size=6, max_size=6), st.booleans())
def test_the_way_does_not_depend_on_how_lines_are_kept(order: list[int], turned: list[bool], gap: bool) -> None:
    corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 7.0), (30.0, 7.0), (30.0, 8.0), (41.0, 8.0), (41.0, 20.0)]
    pieces = [(corners[number], corners[number + 1]) for number in range(6)]
    if gap:
        pieces[3] = ((30.0, 7.4), (30.0, 8.0))
    lines = {key: pieces[number][::-1] if turned[number] else pieces[number] for key, number in enumerate(order)}
    way = way_through(lines, join=0.5)
    assert way.problem == ""
    assert {way.points[0], way.points[-1]} == {corners[0], corners[-1]}
    assert chainages(way.points)[-1] == pytest.approx(sum(math.dist(*corners[n : n + 2]) for n in range(6)))
