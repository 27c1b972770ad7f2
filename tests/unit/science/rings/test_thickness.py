"""Cells, quantiles, thin areas and the unseen eccentricity."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from mainwright.science.rings.eccentric import unseen_from_gauges
from mainwright.science.rings.thickness import CLOCK_CELLS, Wall, fold, metre_statistics, thickness_grid, turned
from mainwright.science.rings.thin import thin_areas


def test_fold_sums_the_rings_of_each_cell() -> None:
    wall = np.full((5, 144), 0.2, dtype=np.float32)
    wall[4] = 0.3
    points = np.full((5, 144), 2, dtype=np.uint8)
    found = fold(chainage=np.array([0.051, 0.049, 0.0, 7.0, 0.06]), wall=wall, points=points, first_cell=0, cells=3)
    assert found.points[:, 0].tolist() == [4.0, 4.0, 0.0]
    assert found.radius()[:2, 0] == pytest.approx([0.2, 0.25])
    assert np.isnan(found.radius()[2]).all()


def test_compiled_folding_gives_the_same_sums() -> None:
    rng = np.random.default_rng(5)
    wall = rng.uniform(0.19, 0.21, (400, 144)).astype(np.float32)
    points = rng.integers(0, 9, (400, 144)).astype(np.uint8)
    wall[points == 0] = np.nan
    chainage = rng.uniform(-1.0, 6.0, 400)
    one, two = (fold(chainage=chainage, wall=wall, points=points, first_cell=0, cells=80, compiled=how) for how in (False, True))
    assert (one.points == two.points).all()
    assert one.sums == pytest.approx(two.sums, rel=1e-12)


def test_turned_keeps_the_sums_and_turns_clockwise() -> None:
    sums = np.zeros((1, 144))
    sums[0, 143] = 1.0
    found = turned(Wall(sums, sums), offset=np.deg2rad(2.5 * 1.25))
    assert found.sums[0, 0] == pytest.approx(0.75)
    assert found.sums[0, 1] == pytest.approx(0.25)
    assert found.sums.sum() == pytest.approx(1.0)


def test_thickness_is_one_wall_less_the_other() -> None:
    full = np.full((2, 144), 10.0)
    grid = thickness_grid(cleaned=Wall(full * 0.2, full), lined=Wall(full * 0.194, full), up=np.array([0.0, 0.001]), right=np.zeros(2))
    assert grid.thickness[0] == pytest.approx(0.006)
    assert grid.thickness[1, 0] == pytest.approx(0.007, abs=1e-5)
    assert grid.thickness[1, 36] == pytest.approx(0.005, abs=1e-5)
    assert (grid.points == 20).all()


@pytest.mark.outside("numpy.nanquantile, numpy 2")
def test_quantiles_of_a_metre() -> None:
    rng = np.random.default_rng(3)
    cells = rng.normal(size=(60, CLOCK_CELLS))
    cells[rng.random(cells.shape) < 0.3] = np.nan
    cells[40:] = np.nan
    found = metre_statistics(cells, quantiles=(0.05, 0.5, 0.0))
    for metre in (0, 1):
        assert found[metre] == pytest.approx(np.nanquantile(cells[metre * 20 : metre * 20 + 20], [0.05, 0.5, 0.0]))
    assert np.isnan(found[2]).all()


def _areas(thin: np.ndarray) -> list[tuple[float, float, float, float, float]]:
    row, column = np.nonzero(thin)
    found = thin_areas(row=row, column=column, thickness=np.full(row.size, 0.003), lined=np.full(row.size, 0.2))
    return [(one.start, one.end, one.clock_start, one.clock_end, one.area) for one in found]


def test_an_area_over_the_crown_is_one() -> None:
    thin = np.zeros((10, 72), dtype=bool)
    thin[4, 70:] = thin[4:6, :2] = True
    cell = 0.05 * 2 * np.pi * 0.2 / 72
    assert _areas(thin) == [pytest.approx((0.2, 0.3, 70 / 6, 2 / 6, 6 * cell))]


def test_an_area_all_round() -> None:
    thin = np.zeros((10, 72), dtype=bool)
    thin[3] = True
    assert _areas(thin)[0][2:4] == (0.0, 12.0)


def test_corners_do_not_touch() -> None:
    thin = np.zeros((4, 72), dtype=bool)
    thin[0, 3] = thin[1, 4] = True
    assert len(_areas(thin)) == 2
    assert _areas(np.zeros((4, 72), dtype=bool)) == []


@pytest.mark.outside("scipy.ndimage.label, scipy 1.17, on three turns of the clock")
@settings(max_examples=40)
@given(st.integers(0, 2**32 - 1), st.floats(0.05, 0.95))
def test_areas_are_those_of_a_general_tool(seed: int, share: float) -> None:
    thin = np.random.default_rng(seed).random((12, 72)) < share
    labels, _ = ndimage.label(np.hstack([thin, thin]))
    # Over the seam two labels are one: join those of the same cell in both turns.
    groups: dict[int, int] = {}

    def root(one: int) -> int:
        while groups.get(one, one) != one:
            one = groups[one]
        return one

    for row, column in zip(*np.nonzero(thin), strict=True):
        a, b = root(int(labels[row, column])), root(int(labels[row, column + 72]))
        groups[max(a, b)] = min(a, b)
    count = len({root(int(label)) for label in labels[labels > 0]})
    found = _areas(thin)
    assert len(found) == count
    assert sum(one[4] for one in found) == pytest.approx(thin.sum() * 0.05 * 2 * np.pi * 0.2 / 72)


def test_three_readings_fix_both_components() -> None:
    turn = np.deg2rad([0.0, 120.0, 240.0, 10.0, 20.0])
    chainage = np.array([5.0, 5.1, 5.2, 30.0, 30.1])
    excess = 0.001 * np.cos(turn) - 0.0005 * np.sin(turn)
    found = unseen_from_gauges(chainage=chainage, angle=turn, excess=excess, gauge_deviation=0.0003)
    assert found.chainage == pytest.approx([5.1])
    assert found.up == pytest.approx([0.001])
    assert found.right == pytest.approx([-0.0005])
    assert found.deviation == pytest.approx([0.0003 / 1.5**0.5])
