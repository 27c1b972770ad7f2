"""Two passes of a known main."""

from itertools import pairwise, product

import numpy as np
import pytest
from numpy.typing import NDArray

from mainwright.errors import InputError
from mainwright.science.rings import align
from mainwright.science.rings.align import align_chainage, chainage_from_fixed, roll_offset
from mainwright.science.rings.fit import reduce_rings
from mainwright.science.rings.thickness import fold
from tests.unit.science.rings.simulated import Sensor, make_truth, scan


@pytest.mark.parametrize(("drift", "start"), [(0.001, -0.1), (0.005, 0.2), (-0.005, 0.0)])
def test_chainage_within_five_millimetres(drift: float, start: float, full_size: bool) -> None:
    rng = np.random.default_rng(8)
    truth = make_truth(rng, length=300.0 if full_size else 30.0)
    one = scan(truth, Sensor(points=240), rng, lined=False)
    two = scan(truth, Sensor(points=240, drift=drift, start=start, slip=0.002), rng, lined=True)
    first = reduce_rings(radii=one.radii, roll=one.roll)
    second = reduce_rings(radii=two.radii, roll=two.roll)
    found = align_chainage(
        chainage=one.odometer, radius=first.radius, outward=first.outward, second_odometer=two.odometer, second_radius=second.radius,
        second_outward=second.outward,
    )  # fmt: skip
    assert np.sqrt(np.mean((found.chainage - two.chainage) ** 2)) < 0.005


def test_one_pipe_off_is_not_taken() -> None:
    # All joints alike at even distances, and a second pass that begins later: only continuity tells which is which.
    x = np.arange(0.0, 60.0, 0.005)
    joints = 0.003 * np.exp(-0.5 * (((x + 2.75) % 5.5 - 2.75) / 0.01) ** 2)
    rng = np.random.default_rng(1)
    radius = 0.2 + joints + rng.normal(0, 2e-5, x.size)
    second = 0.194 + joints + rng.normal(0, 2e-5, x.size)
    found = align_chainage(
        chainage=x, radius=radius, outward=np.zeros(x.size), second_odometer=0.15 + 1.004 * x, second_radius=second, second_outward=np.zeros(x.size),
    )  # fmt: skip
    assert np.abs(found.chainage - x).max() < 0.006


def test_refused() -> None:
    x = np.arange(0.0, 5.0, 0.005)
    flat, none = np.full(x.size, 0.2), np.zeros(x.size)
    with pytest.raises(InputError, match="in common"):
        align_chainage(chainage=x, radius=flat, outward=none, second_odometer=x + 20.0, second_radius=flat, second_outward=none)
    with pytest.raises(InputError, match="at least 20"):
        align_chainage(chainage=x, radius=flat * np.nan, outward=none, second_odometer=x, second_radius=flat, second_outward=none)


@pytest.mark.outside("the turn that the simulated sensor was mounted with")
def test_roll_of_simulated_scans() -> None:
    rng = np.random.default_rng(2)
    truth = make_truth(rng, length=20.0)
    walls = []
    for lined, mounting in ((False, 0.0), (True, np.deg2rad(4.0))):
        seen = scan(truth, Sensor(points=360, mounting=mounting), rng, lined=lined)
        found = reduce_rings(radii=seen.radii, roll=seen.roll)
        walls.append(fold(chainage=seen.odometer, wall=found.wall, points=found.points, first_cell=0, cells=400).radius())
    offset, strength = roll_offset(wall=walls[0], second=walls[1], about=0.0, within=np.pi)
    assert np.rad2deg(offset) == pytest.approx(4.0, abs=0.2)
    assert strength > 0.05


@pytest.mark.parametrize("offset", [0.0, 4.0, -7.3, 100.0])
def test_roll(offset: float) -> None:
    rng = np.random.default_rng(4)
    angle = (np.arange(144) + 0.5) * (2 * np.pi / 144)
    waves = np.arange(4, 40)
    size, phase = rng.normal(0, 1e-4, (50, waves.size)), rng.uniform(0, 6.28, (50, waves.size))

    def wall(turn: float) -> np.ndarray:
        lines = np.cos(waves[None, :, None] * (angle + turn)[None, None, :] + phase[:, :, None])
        return np.asarray((size[:, :, None] * lines).sum(axis=1) + 0.002 * np.cos(2 * angle))

    found, strength = roll_offset(wall=wall(0.0), second=wall(np.deg2rad(offset)), about=0.0, within=np.pi)
    assert np.rad2deg(found) == pytest.approx(offset, abs=0.05)
    assert strength == pytest.approx(1.0, abs=0.01)


def test_fixed_points() -> None:
    odometer = np.array([0.0, 10.0, 50.0, 120.0])
    one = chainage_from_fixed(odometer=odometer, fixed_odometer=np.array([10.0]), fixed_chainage=np.array([9.5]))
    assert one == pytest.approx(odometer - 0.5)
    two = chainage_from_fixed(odometer=odometer, fixed_odometer=np.array([100.0, 0.0]), fixed_chainage=np.array([101.0, 0.0]))
    assert two == pytest.approx(odometer * 1.01)
    with pytest.raises(InputError, match=r"0\.98 to 1\.02"):
        chainage_from_fixed(odometer=odometer, fixed_odometer=np.array([0.0, 10.0]), fixed_chainage=np.array([0.0, 11.0]))
    with pytest.raises(InputError, match="at least one"):
        chainage_from_fixed(odometer=odometer, fixed_odometer=np.empty(0), fixed_chainage=np.empty(0))


def _worth(score: NDArray[np.float64], path: tuple[int, ...] | list[int]) -> float:
    slips = sum(abs(one - two) for one, two in pairwise(path))
    return float(sum(row[place] for row, place in zip(score, path, strict=True))) - align._SLACK * slips


@pytest.mark.parametrize("seed", range(6))
def test_the_path_is_the_best_of_all(seed: int) -> None:
    rng = np.random.default_rng(seed)
    slip = 1 + seed % 2
    score = rng.random((5, 6))
    score[rng.random(score.shape) < 0.2] = -np.inf
    score[:, 2] = rng.random(5)
    paths = [one for one in product(range(6), repeat=5) if all(abs(a - b) <= slip for a, b in pairwise(one))]
    found = align._viterbi(score, slip)
    assert (np.abs(np.diff(found)) <= slip).all()
    assert _worth(score, found.tolist()) == pytest.approx(max(_worth(score, one) for one in paths), abs=1e-12)


@pytest.mark.parametrize(("size", "width"), [(1, 61), (2, 3), (5, 3), (60, 61), (61, 61), (62, 61), (200, 61), (200, 1)])
def test_the_running_mean_at_the_ends_too(size: int, width: int) -> None:
    line = np.random.default_rng(size).normal(size=size)
    half = width // 2
    true = [line[max(0, place - half) : place + half + 1].mean() for place in range(size)]
    np.testing.assert_allclose(align._smooth(line, width), true, atol=1e-12)
