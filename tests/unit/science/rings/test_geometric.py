"""Fits to the published point sets."""

import numpy as np
import pytest

from mainwright.errors import InputError
from mainwright.science.rings.fit import reduce_rings
from mainwright.science.rings.geometric import circle_fit, ellipse_fit
from tests.unit.science.rings.simulated import Sensor, make_truth, scan


def _points(*pairs: tuple[float, float]) -> dict[str, np.ndarray]:
    table = np.array(pairs, dtype=np.float64)
    return {"x": table[:, 0], "y": table[:, 1]}


@pytest.mark.outside("Gander, Golub and Strebel, BIT 34 (1994) 558-578, circle example (values from memory, recomputed independently)")
def test_six_points_on_a_short_arc() -> None:
    found = circle_fit(**_points((1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)))
    assert found == pytest.approx((4.7398, 2.9835, 4.7142), abs=6e-5)


@pytest.mark.outside("Gander, Golub and Strebel, BIT 34 (1994) 558-578, ellipse example (values from memory, recomputed independently)")
def test_eight_points_of_an_ellipse() -> None:
    found = ellipse_fit(**_points((1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7), (6, 2), (8, 4)))
    assert found == pytest.approx((2.6996, 3.8160, 6.5187, 3.0319, 0.3596), abs=6e-5)


@pytest.mark.outside("SciPy cookbook, Least squares circle: the orthogonal distance fit (from memory, recomputed independently)")
def test_a_whole_circle_with_noise() -> None:
    found = circle_fit(**_points((9, 34), (35, 10), (-13, 6), (10, -14), (23, 27), (0, -10)))
    assert found == pytest.approx((10.5001, 9.65995, 23.3335), abs=6e-5)


@pytest.mark.outside("OSGeoLabBp tutorials, data_processing/circle.rst: the points; the geometric answer recomputed independently")
def test_four_points() -> None:
    found = circle_fit(**_points((11.88, 0.08), (10.34, 8.59), (2.58, 9.54), (-0.29, 1.95)))
    assert found == pytest.approx((6.08113, 3.62995, 6.69873), abs=6e-6)


@pytest.mark.outside("scikit-image 0.26, EllipseModel and CircleModel on the points that lie on the ring")
def test_scikit_image_on_random_rings() -> None:
    measure = pytest.importorskip("skimage.measure")
    rng = np.random.default_rng(17)
    seen = scan(make_truth(rng, length=0.1, patches=0), Sensor(outliers=0.0, dropouts=0.0, empty=0.0), rng, lined=False).radii
    found = reduce_rings(radii=seen, roll=np.zeros(len(seen)))
    angle = np.arange(seen.shape[1]) * (2 * np.pi / seen.shape[1])
    for row, radii in enumerate(seen.astype(np.float64)):
        points = np.column_stack([radii * np.cos(angle), radii * np.sin(angle)])
        ellipse = measure.EllipseModel.from_estimate(points)
        centre, lengths = ellipse.center, ellipse.axis_lengths
        assert np.hypot(centre[0] - found.up[row], centre[1] - found.right[row]) < 1e-4
        assert np.mean(lengths) == pytest.approx(found.radius[row], abs=2e-5)


@pytest.mark.parametrize("scale", [1e-6, 1.0, 1e6])
def test_any_scale(scale: float) -> None:
    turn = np.linspace(0, 6, 40)
    found = ellipse_fit(x=scale * (3 + 2 * np.cos(turn)), y=scale * (1 + np.sin(turn)))
    assert np.array(found[:4]) / scale == pytest.approx([3, 1, 2, 1], rel=1e-6)
    assert np.array(circle_fit(x=scale * (3 + np.cos(turn)), y=scale * np.sin(turn))) / scale == pytest.approx([3, 0, 1], abs=1e-6)


@pytest.mark.parametrize("pairs", [[(0, 0), (1, 1)], [(0, 0), (1, 1), (2, 2), (5, 5)], [(1, 1)] * 8, [(0, 0), (1, 2), (float("nan"), 1)]])
def test_degenerate(pairs: list[tuple[float, float]]) -> None:
    with pytest.raises(InputError, match="points"):
        circle_fit(**_points(*pairs))
