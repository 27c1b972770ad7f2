"""What a common reference of two scans tells of a lining that is thicker on one side."""

import numpy as np
import pytest

from mainwright.science.rings.eccentric import Unseen, centre_jump, joined, unseen_from_gauges, unseen_from_paths


def _unseen(*rows: tuple[float, float, float, float]) -> Unseen:
    table = np.array(rows).reshape(-1, 4)
    return Unseen(table[:, 0], table[:, 1], table[:, 2], table[:, 3])


@pytest.mark.outside("closed form: three readings a third of the clock apart give (2 t1 - t2 - t3) / 3 and (t2 - t3) / sqrt 3")
@pytest.mark.parametrize("readings", [(1.0, 0.0, 0.0), (0.4e-3, -0.1e-3, 0.7e-3)])
def test_three_readings_round_the_clock(readings: tuple[float, float, float]) -> None:
    found = unseen_from_gauges(
        chainage=np.full(3, 5.0), angle=np.array([0.0, 2.0, 4.0]) * np.pi / 3.0, excess=np.array(readings), gauge_deviation=0.3e-3
    )
    one, two, three = readings
    assert found.up[0] == pytest.approx((2.0 * one - two - three) / 3.0, abs=1e-12)
    assert found.right[0] == pytest.approx((two - three) / 3.0**0.5, abs=1e-12)
    # The variance of either is two thirds of that of a reading.
    assert found.deviation[0] == pytest.approx(0.3e-3 * (2.0 / 3.0) ** 0.5)


def test_a_jump_of_the_centre_shows_through_the_way_of_the_head() -> None:
    rng = np.random.default_rng(8)
    chainage = np.arange(4.0, 6.0, 0.005)
    way = 0.011 * np.sin(chainage / 4.1), 0.009 * np.cos(chainage / 5.3)
    behind = chainage > 5.02
    noise = rng.normal(0.0, 1e-4, (2, chainage.size))
    found = centre_jump(
        chainage=chainage, up=way[0] + 0.0007 * behind + noise[0], right=way[1] - 0.0004 * behind + noise[1], edge=5.02, reach=0.5
    )
    assert found is not None
    assert found.up == pytest.approx(0.0007, abs=4 * found.deviation)
    assert found.right == pytest.approx(-0.0004, abs=4 * found.deviation)
    assert 0.0 < found.deviation < 1e-4


def test_the_deviation_of_a_jump_is_what_many_jumps_scatter() -> None:
    rng = np.random.default_rng(9)
    chainage = np.arange(0.0, 1.0, 0.005)
    found, told = [], []
    for _ in range(300):
        up, right = rng.normal(0.0, 1e-4, (2, chainage.size))
        one = centre_jump(chainage=chainage, up=up, right=right, edge=0.5, reach=1.0)
        assert one is not None
        found += [one.up, one.right]
        told.append(one.deviation**2)
    # The worse of both components is told: on average over two of them it is a little more than either.
    assert 0.9 < np.mean(told) / np.var(found) < 1.5


@pytest.mark.parametrize("reach", [0.0, 0.1, 0.15])
def test_a_bare_length_that_is_too_short_says_nothing(reach: float) -> None:
    chainage = np.arange(0.0, 2.0, 0.005)
    still = np.zeros(chainage.size)
    assert centre_jump(chainage=chainage, up=still, right=still, edge=1.0, reach=reach) is None
    assert centre_jump(chainage=chainage, up=still, right=still, edge=0.05, reach=0.5) is None


def test_rings_that_gave_no_circle_are_left_out() -> None:
    chainage = np.arange(0.0, 2.0, 0.005)
    up = np.where(chainage > 1.0, 0.001, 0.0)
    up[::3] = np.nan
    found = centre_jump(chainage=chainage, up=up, right=np.zeros(chainage.size), edge=1.0, reach=0.5)
    assert found is not None
    assert found.up == pytest.approx(0.001)
    assert centre_jump(chainage=chainage, up=np.full(chainage.size, np.nan), right=up, edge=1.0, reach=0.5) is None


def test_surveyed_heads_by_the_metre() -> None:
    chainage = np.arange(10.0, 13.0, 0.05) + 0.025
    up = np.where(chainage < 12.0, 0.001, np.nan)
    found = unseen_from_paths(chainage=chainage, up=up, right=-0.5 * up, deviation=np.full(chainage.size, 2e-4))
    assert found.chainage == pytest.approx([10.5, 11.5])
    assert found.up == pytest.approx([0.001, 0.001])
    assert found.right == pytest.approx([-0.0005, -0.0005])
    # A survey's error goes with the length: a mean over a metre has it whole.
    assert found.deviation == pytest.approx([2e-4, 2e-4])


@pytest.mark.outside("closed form: the mean of two, weighed by the inverse of their variances")
def test_two_references_at_one_place() -> None:
    found = joined([_unseen((1.0, 0.001, 0.0, 3e-4), (9.0, 0.002, 0.0, 1e-4)), _unseen((1.2, 0.002, 0.001, 4e-4))])
    assert found.chainage == pytest.approx([1.072, 9.0])
    assert found.up == pytest.approx([(0.001 * 16 + 0.002 * 9) / 25, 0.002])
    assert found.right == pytest.approx([0.001 * 9 / 25, 0.0])
    assert found.deviation == pytest.approx([2.4e-4, 1e-4])


def test_nothing_and_nothing_are_nothing() -> None:
    assert joined([_unseen()]).chainage.size == 0
    assert joined([_unseen(), _unseen()]).chainage.size == 0
