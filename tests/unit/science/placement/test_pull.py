"""Pull of the rope."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.placement.pull import (
    Drag,
    HaulingPull,
    Piece,
    hauling_pull,
    pull_along,
    reversed_profile,
    rope_working_load,
)

NOTHING = Drag(weight=0.0, friction=0.0)


def _bend(pull: float, friction: float, angle: float) -> float:
    return pull_along(profile=[Piece(bend=angle)], back_tension=pull, drag=Drag(weight=0.0, friction=friction))[-1]


@pytest.mark.outside("Beer and Johnston, Statics, example 8.7, p. 431: 150 N holds 7500 N with two turns, three turns hold 53 033 N")
def test_hawser_on_a_bollard() -> None:
    friction = math.log(7500 / 150) / (4 * math.pi)
    assert friction == pytest.approx(0.311, abs=5e-4)
    assert _bend(150.0, friction, 4 * math.pi) == pytest.approx(7500.0)
    assert _bend(150.0, friction, 6 * math.pi) == pytest.approx(53033, rel=1e-4)


@pytest.mark.outside(
    "Tayal, Engineering Mechanics, example 7.6: 1000 N on three turns with 0.3 is held by 3.502 N (e rounded to 2.718 there)"
)
def test_rope_round_a_cylinder() -> None:
    assert 1e6 / _bend(1000.0, 0.3, 6 * math.pi) == pytest.approx(3.502492, rel=1e-3)


@pytest.mark.outside("Beer and Johnston, Statics, example 8.8, p. 432: 600 lb, 0.25, 120 degrees, 8 in: moment 1957 lb in")
def test_belt_on_a_pulley() -> None:
    slack = 600.0**2 / _bend(600.0, 0.25, math.radians(120))
    assert 8.0 * (600.0 - slack) == pytest.approx(1957, abs=1.0)


@pytest.mark.outside("open cable-pull program, unit test: 1000 N, 2.5 kg/m, 0.35, 100 m gives 1858.375 N (g 9.81)")
def test_straight() -> None:
    pulls = pull_along(profile=[Piece(length=100.0)], back_tension=1000.0, drag=Drag(weight=2.5 * 9.81, friction=0.35))
    assert pulls == pytest.approx((1858.375,))


WAY = [
    Piece(length=80.0),
    Piece(bend=math.radians(22.5)),
    Piece(length=60.0, slope=math.radians(3.0)),
    Piece(bend=math.radians(45.0)),
]
CABLE = Drag(weight=1.2 * 9.81, friction=0.35)


@pytest.mark.outside("constructed chain of straights, a slope and two bends, recomputed by others")
def test_chain() -> None:
    pulls = pull_along(profile=WAY, back_tension=500.0, drag=CABLE)
    assert pulls == pytest.approx((829.616, 951.8501546, 1235.689292, 1626.642871), rel=1e-9)


def test_order_matters_and_the_reverse_of_the_reverse_is_the_same() -> None:
    back = reversed_profile(WAY)
    assert reversed_profile(back) == tuple(WAY)
    assert pull_along(profile=back, back_tension=500.0, drag=CABLE)[-1] != pytest.approx(1626.64, rel=0.05)


def test_a_rope_cannot_push() -> None:
    down = [Piece(length=100.0, slope=-0.9)]
    assert pull_along(profile=down, back_tension=10.0, drag=Drag(weight=20.0, friction=0.2)) == (0.0,)


def _haul(profile: list[Piece], *, trailing: Drag | None = None, swept: Drag | None = None) -> HaulingPull:
    return hauling_pull(
        profile=profile,
        back_tension=0.0,
        rope=Drag(weight=8.0, friction=0.2),
        tool=Drag(weight=600.0, friction=0.4),
        trailing=trailing,
        swept=swept,
    )


def test_a_bare_tool_pulls_hardest_at_the_start() -> None:
    # Ahead of it lie all of the rope and both bends.
    found = _haul(WAY)
    assert found.at == 0.0
    expected = pull_along(profile=WAY, back_tension=240.0, drag=Drag(weight=8.0, friction=0.2))[-1]
    assert found.greatest == pytest.approx(expected)


def test_swept_deposits_grow_with_the_way() -> None:
    level = [Piece(length=50.0), Piece(length=100.0)]
    found = _haul(level, swept=Drag(weight=30.0, friction=0.5))
    assert found.at == 150.0
    assert found.greatest == pytest.approx(240.0 + 150.0 * 30.0 * 0.5)
    assert found.at_end == found.greatest


@given(
    st.lists(
        st.one_of(st.builds(Piece, length=st.floats(1.0, 80.0), slope=st.floats(-0.1, 0.1)), st.builds(Piece, bend=st.floats(0.0, 0.8))),
        min_size=1,
        max_size=6,
    )
)
def test_greatest_is_found_at_the_ends_of_the_pieces(profile: list[Piece]) -> None:
    hose, deposits = Drag(weight=35.0, friction=0.4), Drag(weight=10.0, friction=0.5)
    fine: list[Piece] = []
    for piece in profile:
        fine += [Piece(piece.length / 16, piece.slope)] * 16 if piece.length > 0.0 else [piece]
    coarse, exact = _haul(profile, trailing=hose, swept=deposits), _haul(fine, trailing=hose, swept=deposits)
    assert coarse.greatest == pytest.approx(exact.greatest)
    assert coarse.at_end == pytest.approx(exact.at_end)


def test_working_load() -> None:
    assert rope_working_load(breaking=80e3, safety=5.0) == pytest.approx(16e3)
    with pytest.raises(InputError, match=r"safety is 0\.5; allowed: 1 or more"):
        rope_working_load(breaking=80e3, safety=0.5)
    with pytest.raises(InputError, match=r"back_tension is -1\.0 N"):
        pull_along(profile=WAY, back_tension=-1.0, drag=NOTHING)
