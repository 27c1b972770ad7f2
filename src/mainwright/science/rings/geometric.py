"""Circle and ellipse through a few points by their true distances: for a handful of points, and to check the fits of whole rings."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from mainwright.errors import InputError, SolveError

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

__all__ = ["circle_fit", "ellipse_fit"]

_STEPS: Final = 500
_CLOSE: Final = 1e-12


def circle_fit(*, x: NDArray[np.floating[Any]], y: NDArray[np.floating[Any]]) -> tuple[float, float, float]:
    """Return centre and radius of the circle with the least squared distances to the points.

    Parameters
    ----------
    x : ndarray of float, shape (n,)
        Abscissae. [m]
    y : ndarray of float, shape (n,)
        Ordinates. [m]

    Returns
    -------
    tuple of float
        Centre and radius. [m]

    Raises
    ------
    InputError
        If there are under three points, or they lie on a line or in one place.
    SolveError
        If the iteration does not settle.

    References
    ----------
    W. Gander, G. H. Golub and R. Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994) 558-578, section 3: the geometric
    fit, begun here from the linear fit of I. Kasa, IEEE Transactions on Instrumentation and Measurement 25 (1976) 8-14.
    """
    points, middle, scale = _scaled(x, y, 3)
    design = np.column_stack([2.0 * points, np.ones(len(points))])
    first, *_ = np.linalg.lstsq(design, (points**2).sum(axis=1))
    start = np.array([first[0], first[1], math.sqrt(first[2] + first[0] ** 2 + first[1] ** 2)])

    def residual(p: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.hypot(points[:, 0] - p[0], points[:, 1] - p[1]) - p[2])

    found = _least(residual, start) * scale
    return float(found[0] + middle[0]), float(found[1] + middle[1]), abs(float(found[2]))


def ellipse_fit(*, x: NDArray[np.floating[Any]], y: NDArray[np.floating[Any]]) -> tuple[float, float, float, float, float]:
    """Return the ellipse with the least squared distances to the points.

    Parameters
    ----------
    x : ndarray of float, shape (n,)
        Abscissae. [m]
    y : ndarray of float, shape (n,)
        Ordinates. [m]

    Returns
    -------
    tuple of float
        Centre, longer and shorter half axis [m], and the angle from the x axis to the longer one, under a half turn. [rad]

    Raises
    ------
    InputError
        If there are under six points, or they lie on a line or in one place.
    SolveError
        If the iteration does not settle.

    Notes
    -----
    Each point has its own foot on the ellipse, whose parameter is an unknown beside the five of the ellipse.

    References
    ----------
    W. Gander, G. H. Golub and R. Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994) 558-578, section 5.
    """
    points, middle, scale = _scaled(x, y, 6)
    centre = points.mean(axis=0)
    values, vectors = np.linalg.eigh(np.cov((points - centre).T))
    turn = math.atan2(vectors[1, 1], vectors[0, 1])
    half = np.sqrt(2.0 * values[::-1])
    cosine, sine = math.cos(turn), math.sin(turn)
    own = (points - centre) @ np.array([[cosine, -sine], [sine, cosine]])
    foot = np.arctan2(own[:, 1] / half[1], own[:, 0] / half[0])

    def residual(p: NDArray[np.float64]) -> NDArray[np.float64]:
        c, s = math.cos(p[4]), math.sin(p[4])
        along, across = p[2] * np.cos(p[5:]), p[3] * np.sin(p[5:])
        return np.concatenate([points[:, 0] - p[0] - c * along + s * across, points[:, 1] - p[1] - s * along - c * across])

    found = _least(residual, np.concatenate([centre, half, [turn], foot]))
    a, b, angle = abs(float(found[2])), abs(float(found[3])), float(found[4])
    if a < b:
        a, b, angle = b, a, angle + math.pi / 2.0
    return float(found[0] * scale + middle[0]), float(found[1] * scale + middle[1]), a * scale, b * scale, angle % math.pi


def _scaled(
    x: NDArray[np.floating[Any]], y: NDArray[np.floating[Any]], least: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    points = np.column_stack([x, y]).astype(np.float64)
    if len(points) < least or not np.isfinite(points).all():
        raise InputError("points", len(points), "", f"at least {least}, all finite")
    middle = points.mean(axis=0)
    scale = float(np.abs(points - middle).max())
    if scale > 0.0:
        points = (points - middle) / scale
        if float(np.linalg.svd(points, compute_uv=False)[1]) > 1e-6:
            return points, middle, scale
    raise InputError("points", "on a line or in one place", "", "some that go round")


def _least(residual: Callable[[NDArray[np.float64]], NDArray[np.float64]], start: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the least squares by Levenberg's and Marquardt's steps with a difference quotient."""
    place = start.copy()
    now = residual(place)
    damping = 1e-3
    for _ in range(_STEPS):
        slope = np.empty((now.size, place.size))
        for column in range(place.size):
            nudge = np.zeros(place.size)
            nudge[column] = 1e-6 * max(1.0, abs(place[column]))
            slope[:, column] = (residual(place + nudge) - residual(place - nudge)) / (2.0 * nudge[column])
        normal = slope.T @ slope
        step = np.linalg.solve(normal + damping * (np.diag(np.diag(normal)) + 1e-12 * np.eye(place.size)), -slope.T @ now)
        after = residual(place + step)
        if after @ after <= now @ now:
            place, now, damping = place + step, after, max(damping * 0.2, 1e-12)
            if np.abs(step).max() <= _CLOSE * max(1.0, float(np.abs(place).max())):
                return place
        else:
            damping *= 5.0
            if np.abs(step).max() <= 1e-9:
                return place
    raise SolveError("geometric fit", float(np.sqrt(now @ now)), _STEPS)
