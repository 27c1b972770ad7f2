"""Where labels and ticks stand."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression

from mainwright.errors import InputError
from mainwright.figures.place import spread, ticks

labels = st.lists(st.tuples(st.floats(0, 100), st.floats(0.5, 8.0)), max_size=12)


@given(labels)
def test_labels_never_touch_and_stay_inside(pairs: list[tuple[float, float]]) -> None:
    pairs.sort()
    wanted, widths = [x for x, _ in pairs], [w for _, w in pairs]
    places = spread(wanted, widths, 0.0, 100.0)
    edges = [(place - width / 2, place + width / 2) for place, width in zip(places, widths, strict=True)]
    assert all(second[0] >= first[1] - 1e-9 for first, second in itertools.pairwise(edges))
    assert not edges or (edges[0][0] >= -1e-9 and edges[-1][1] <= 100.0 + 1e-9)


@pytest.mark.outside("scipy.optimize.isotonic_regression")
@pytest.mark.parametrize("seed", range(8))
def test_labels_move_by_the_least_squares(seed: int) -> None:
    rng = np.random.default_rng(seed)
    wanted, widths = np.sort(rng.uniform(10, 90, 7)), rng.uniform(3, 12, 7)
    before = np.cumsum(widths) - widths / 2
    free = 100.0 - widths.sum()
    best = np.clip(isotonic_regression(wanted - before).x, 0.0, free) + before
    assert spread(list(wanted), list(widths), 0.0, 100.0) == pytest.approx(best, abs=1e-9)


def test_too_many_labels_are_refused() -> None:
    with pytest.raises(InputError, match="at most 10"):
        spread([1.0, 2.0], [6.0, 6.0], 0.0, 10.0)


@pytest.mark.parametrize(("low", "high", "wanted", "step"), [(0, 420, 8, 100), (0, 1, 4, 0.5), (1010, 1236, 5, 50), (4.1, 9.2, 4, 2)])
def test_ticks_are_round(low: float, high: float, wanted: int, step: float) -> None:
    values = ticks(low, high, wanted)
    assert np.diff(values) == pytest.approx(step)
    assert low - 1e-9 <= values[0]
    assert values[-1] <= high + 1e-9


def test_no_length_has_one_tick() -> None:
    assert ticks(5.0, 5.0, 4) == [5.0]
