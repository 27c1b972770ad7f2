"""Rings against a known wall, against general fits, and at the ends of what can be fitted."""

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares

from mainwright.errors import InputError
from mainwright.science.rings.fit import reduce_rings
from mainwright.science.rings.reduced import CLOCK_BINS, ReducedRings
from tests.unit.science.rings.simulated import Sensor, make_truth, scan

MM = 1e-3


def _ring(*, radius: float, up: float = 0.0, right: float = 0.0, oval: float = 0.0, size: int = 360) -> NDArray[np.float64]:
    """Return radii seen from off the centre of an ellipse whose longer axis is upright."""
    angle = np.arange(size) * (2 * np.pi / size)
    shown = np.full(size, radius)
    for _ in range(60):
        x, y = shown * np.cos(angle) - up, shown * np.sin(angle) - right
        shown = shown * (radius + oval * np.cos(2 * np.arctan2(y, x))) / np.hypot(x, y)
    return shown


def _reduced(radii: NDArray[np.floating[Any]], roll: float = 0.0) -> ReducedRings:
    rows = np.atleast_2d(radii)
    return reduce_rings(radii=rows, roll=np.full(len(rows), roll))


@pytest.mark.parametrize("radius", [0.04, 0.203, 1.5])
@pytest.mark.parametrize(("up", "right"), [(0.0, 0.0), (0.1, -0.05), (-0.3, 0.2)])
def test_a_true_circle_comes_back(radius: float, up: float, right: float) -> None:
    offset = min(radius, 0.2)
    found = _reduced(_ring(radius=radius, up=up * offset, right=right * offset))
    assert found.radius[0] == pytest.approx(radius, abs=0.005 * MM)
    assert found.up[0] == pytest.approx(up * offset, abs=0.005 * MM)
    assert found.right[0] == pytest.approx(right * offset, abs=0.005 * MM)
    assert found.share[0] == 1.0


@pytest.mark.parametrize("turn", [0.0, 0.3, -2.0])
def test_the_ellipse_is_told_in_the_true_frame(turn: float) -> None:
    found = _reduced(_ring(radius=0.2, oval=0.002, up=0.004), turn)
    assert float(found.oval_up[0]) == pytest.approx(0.002 * np.cos(2 * turn), abs=0.01 * MM)
    assert float(found.oval_right[0]) == pytest.approx(0.002 * np.sin(2 * turn), abs=0.01 * MM)


def test_the_wall_is_where_it_is() -> None:
    found = _reduced(_ring(radius=0.2, oval=0.002, right=0.01, size=1440), 0.4)
    middle = (np.arange(CLOCK_BINS) + 0.5) * (2 * np.pi / CLOCK_BINS)
    assert np.abs(found.wall[0] - (0.2 + 0.002 * np.cos(2 * (middle - 0.4)))).max() < 0.05 * MM
    assert found.points.sum() == 1440


STRESS = {
    "as it is": (Sensor(), 0.15, 0.01, 0.03),
    "40 mm off": (Sensor(offset=0.044), 0.15, 0.01, 0.03),
    "80 mm off": (Sensor(offset=0.088), 0.15, 0.01, 0.03),
    "20 % outliers": (Sensor(outliers=0.2), 0.15, 0.01, 0.03),
    "40 % outliers": (Sensor(outliers=0.4), 0.15, 0.01, 0.04),
    "60 degrees missing": (Sensor(missing=np.deg2rad(60)), 0.15, 0.01, 0.05),
    "tilted by 5 degrees": (Sensor(tilt=np.deg2rad(5)), 0.15, 0.10, 0.10),
    "90 degrees of the invert under water": (Sensor(water=np.deg2rad(90)), 0.18, 0.03, 0.08),
    "120 degrees missing": (Sensor(missing=np.deg2rad(120)), 0.45, 0.06, 0.25),
}


@pytest.mark.parametrize("name", STRESS)
@pytest.mark.outside(
    "circle and ellipse of a simulated wall whose every radius is known; limits from what general tools reach on such rings"
)
def test_a_bad_sensor(name: str) -> None:
    sensor, centre, bias, spread = STRESS[name]
    rng = np.random.default_rng(11)
    truth = make_truth(rng, length=4.0, patches=0)
    seen = scan(truth, sensor, rng, lined=False)
    found = _reduced(seen.radii)
    wall = np.where(np.abs(truth.wall - np.median(truth.wall, axis=1, keepdims=True)) < 0.008, truth.wall, np.nan)
    good = np.isfinite(found.radius)
    assert good.mean() > 0.995
    off = np.hypot(found.up - seen.up, found.right - seen.right)[good]
    error = (found.radius - np.nanmean(wall, axis=1))[good]
    assert np.sqrt(np.mean(off**2)) < centre * MM
    assert abs(error.mean()) < bias * MM
    assert error.std() < spread * MM


@pytest.mark.outside("scipy.optimize.least_squares on the same model and the same inliers")
def test_the_answer_is_that_of_a_general_routine() -> None:
    rng = np.random.default_rng(5)
    seen = scan(make_truth(rng, length=0.1, patches=0), Sensor(), rng, lined=False).radii.astype(np.float64)
    found = _reduced(seen)
    angle = np.arange(seen.shape[1]) * (2 * np.pi / seen.shape[1])

    def residual(p: NDArray[np.float64], radii: NDArray[np.float64], at: NDArray[np.float64]) -> NDArray[np.float64]:
        x, y = radii * np.cos(at) - p[1], radii * np.sin(at) - p[2]
        turn = np.arctan2(y, x)
        return np.asarray(np.hypot(x, y) - p[0] - p[3] * np.cos(2 * turn) - p[4] * np.sin(2 * turn))

    for row in range(len(seen)):
        ours = np.array([found.radius[row], found.up[row], found.right[row], found.oval_up[row], found.oval_right[row]], dtype=np.float64)
        with np.errstate(invalid="ignore"):
            on_it = np.abs(residual(ours, seen[row], angle)) < 2.5 * MM
        theirs = least_squares(residual, ours + 0.002, args=(seen[row, on_it], angle[on_it]), xtol=1e-12).x
        assert np.abs(ours - theirs).max() < 0.03 * MM


@pytest.mark.parametrize(
    "radii",
    [np.full(72, np.nan), np.zeros(72), np.full(72, -1.0), np.full(72, np.inf), np.where(np.arange(72) < 6, 0.2, np.nan)],
    ids=["no echo", "zero", "negative", "infinite", "six points"],
)
def test_what_is_no_ring_is_not_a_number(radii: NDArray[np.float64]) -> None:
    found = _reduced(np.vstack([radii, np.full(72, 0.2)]))
    assert np.isnan([found.radius[0], found.up[0], found.oval_up[0], found.share[0]]).all()
    assert np.isnan(found.wall[0]).all()
    assert found.points[0].sum() == 0
    assert found.radius[1] == pytest.approx(0.2)


def test_a_bare_place_is_wall_and_an_opening_is_none() -> None:
    radii = np.full(720, 0.2)
    radii[100:130] += 0.008
    radii[300:330] += 0.030
    found = _reduced(radii)
    assert found.wall[0, 22] == pytest.approx(0.208, abs=0.1 * MM)
    assert np.isnan(found.wall[0, 62])
    assert found.outward[0] == pytest.approx(30 / 720)


@pytest.mark.parametrize(("shape", "roll"), [((3, 12), (3,)), ((3, 40_000), (3,)), ((3, 72), (2,)), ((72,), (72,))])
def test_refused(shape: tuple[int, ...], roll: tuple[int, ...]) -> None:
    with pytest.raises(InputError, match="allowed"):
        reduce_rings(radii=np.full(shape, 0.2), roll=np.zeros(roll))


def test_a_ring_does_not_depend_on_those_beside_it() -> None:
    rng = np.random.default_rng(2)
    seen = scan(make_truth(rng, length=1.0, patches=0), Sensor(), rng, lined=False)
    whole, part = _reduced(seen.radii), _reduced(seen.radii[128:])
    assert np.nanmax(np.abs(whole.radius[128:] - part.radius)) < 0.002 * MM
