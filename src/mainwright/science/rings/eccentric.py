"""A lining thicker on one side: what two self-centred scans cannot see, and what a common reference of both tells of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

__all__ = ["EDGE", "Jump", "Unseen", "centre_jump", "joined", "unseen_from_gauges", "unseen_from_paths"]

_STATION: Final = 0.5
"""Readings closer than this to the one before belong to one place. [m]"""
_WELL_SPREAD: Final = 0.5
"""Least weight of the weaker component, of that of three readings evenly round the clock."""


_CELL: Final = 0.05
"""Rings of so much of the main count once: the wall's roughness goes with the length. [m]"""
_REACH: Final = 0.5
"""How far to either side of an edge of the lining is looked. [m]"""
EDGE: Final = 0.05
"""What is left out to either side of it: no edge is sharp. [m]"""
_FEWEST: Final = 3
"""Cells to either side."""


@dataclass(frozen=True, slots=True)
class Unseen:
    """Eccentricity of the lining at the places where something fixes it.

    Attributes
    ----------
    chainage
        Of each place, rising. [m], shape (k,)
    up, right
        Lining thicker at the crown, and at 3 o'clock. [m], shape (k,)
    deviation
        Standard deviation of either. [m], shape (k,)
    """

    chainage: NDArray[np.float64]
    up: NDArray[np.float64]
    right: NDArray[np.float64]
    deviation: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Jump:
    """How far a pipe's centre moves at one place [m], up and to the right, and one standard deviation of either."""

    up: float
    right: float
    deviation: float


def unseen_from_gauges(
    *, chainage: NDArray[np.float64], angle: NDArray[np.float64], excess: NDArray[np.float64], gauge_deviation: float
) -> Unseen:
    """Return what readings of a gauge tell of the eccentricity.

    Parameters
    ----------
    chainage : ndarray of float, shape (n,)
        Of each reading. [m]
    angle : ndarray of float, shape (n,)
        From the crown, clockwise looking up-chainage. [rad]
    excess : ndarray of float, shape (n,)
        Reading less the thickness of the scans at the same place. [m]
    gauge_deviation : float
        Standard deviation of one such difference. [m]

    Returns
    -------
    Unseen
        Only the places where at least three readings stand well round the clock.

    Notes
    -----
    Least squares of excess = up cos a + right sin a. A common term is not fitted: what the mean of the readings has over the scans is an error
    of the gauge or of a scan, and three readings would have nothing left to show it.

    References
    ----------
    Derived here: linear least squares with two unknowns.
    """
    order = np.argsort(chainage, kind="stable")
    at, turn, more = chainage[order], angle[order], excess[order]
    breaks = np.flatnonzero(np.diff(at) > _STATION) + 1
    rows = []
    for group in np.split(np.arange(at.size), breaks):
        if group.size < 3:
            continue
        design = np.stack([np.cos(turn[group]), np.sin(turn[group])], axis=1)
        normal = design.T @ design
        weakest = float(np.linalg.eigvalsh(normal)[0])
        if weakest < _WELL_SPREAD * 1.5:
            continue
        up, right = np.linalg.solve(normal, design.T @ more[group])
        rows.append((float(at[group].mean()), float(up), float(right), gauge_deviation / weakest**0.5))
    table = np.array(rows, dtype=np.float64).reshape(-1, 4)
    return Unseen(table[:, 0], table[:, 1], table[:, 2], table[:, 3])


def centre_jump(
    *, chainage: NDArray[np.float64], up: NDArray[np.float64], right: NDArray[np.float64], edge: float, reach: float
) -> Jump | None:
    r"""Return how far the centre of a pipe, as a scanning head sees it, moves at an edge.

    Parameters
    ----------
    chainage : ndarray of float, shape (n,)
        Of each ring. [m]
    up : ndarray of float, shape (n,)
        Centre of the pipe against the head, in the true frame; NaN where a ring gave no circle. [m]
    right : ndarray of float, shape (n,)
        The same to the right. [m]
    edge : float
        Where the lining begins or ends. [m]
    reach : float
        How far from there one side is lined, and the other is not; over 0.5 m is not looked at. [m]

    Returns
    -------
    Jump or None
        From the side before the edge to the side behind it; None where less than 0.2 m of either side was read.

    Notes
    -----
    Half a metre to both sides, less 0.05 m at the edge, in cells of 0.05 m: least squares of :math:`a + bs + cs^2 + J[s > 0]`, where the
    parabola is the way of the head. Its deviation is that of the cells about the fit, and of a cell's worth of rings each.

    References
    ----------
    Derived here: linear least squares.
    """
    reach = min(_REACH, reach, float(edge - chainage.min(initial=np.inf)), float(chainage.max(initial=-np.inf) - edge))
    away = chainage - edge
    near = (np.abs(away) <= reach) & (np.abs(away) >= EDGE) & np.isfinite(up) & np.isfinite(right)
    cell = np.floor(away[near] / _CELL).astype(np.int64)
    if cell.size == 0:
        return None
    order = np.argsort(cell, kind="stable")
    starts = np.flatnonzero(np.concatenate(([True], np.diff(cell[order]) > 0)))
    number = np.diff(np.concatenate((starts, [order.size])))
    place, seen_up, seen_right = (np.add.reduceat(values[near][order], starts) / number for values in (away, up, right))
    behind = place > 0.0
    if min(np.count_nonzero(behind), np.count_nonzero(~behind)) < _FEWEST:
        return None
    design = np.stack([np.ones(place.size), place, place**2, behind.astype(np.float64)], axis=1)
    spread = float(np.linalg.inv(design.T @ design)[3, 3])
    found, worst = [], 0.0
    for values in (seen_up, seen_right):
        fit = np.linalg.lstsq(design, values)[0]
        found.append(float(fit[3]))
        left = values - design @ fit
        worst = max(worst, float(left @ left) / (place.size - design.shape[1]))
    return Jump(found[0], found[1], (worst * spread) ** 0.5)


def unseen_from_paths(
    *, chainage: NDArray[np.float64], up: NDArray[np.float64], right: NDArray[np.float64], deviation: NDArray[np.float64]
) -> Unseen:
    """Return the eccentricity where both heads were surveyed.

    Parameters
    ----------
    chainage : ndarray of float, shape (n,)
        Rising. [m]
    up : ndarray of float, shape (n,)
        Centre of the cleaned bore less that of the lined one, in the one frame of both surveys; NaN where not known. [m]
    right : ndarray of float, shape (n,)
        The same to the right. [m]
    deviation : ndarray of float, shape (n,)
        Standard deviation of either. [m]

    Returns
    -------
    Unseen
        One place for each metre of which half is known.

    Notes
    -----
    A lining thicker by e on one side moves the centre of the lined bore by e to the other. Means over a metre; errors of a survey go with
    the length, so they are not taken to be less for that.

    References
    ----------
    Derived here.
    """
    known = np.isfinite(up) & np.isfinite(right) & np.isfinite(deviation)
    metre = np.floor(chainage).astype(np.int64)
    rows = []
    for one in np.unique(metre[known]):
        here = metre == one
        good = here & known
        if 2 * np.count_nonzero(good) >= np.count_nonzero(here):
            rows.append(tuple(float(values[good].mean()) for values in (chainage, up, right, deviation)))
    table = np.array(rows, dtype=np.float64).reshape(-1, 4)
    return Unseen(table[:, 0], table[:, 1], table[:, 2], table[:, 3])


def joined(parts: Sequence[Unseen]) -> Unseen:
    """Return what several references say together.

    Parameters
    ----------
    parts : sequence of Unseen
        One of each kind. [-]

    Returns
    -------
    Unseen
        By chainage; places closer than half a metre as one, each weighed by the inverse of its variance.

    References
    ----------
    Derived here: the weighted mean.
    """
    table = np.concatenate([np.stack([one.chainage, one.up, one.right, one.deviation], axis=1) for one in parts])
    table = table[np.argsort(table[:, 0], kind="stable")]
    if len(parts) == 1 or len(table) == 0:
        return Unseen(table[:, 0], table[:, 1], table[:, 2], table[:, 3])
    group = np.split(table, np.flatnonzero(np.diff(table[:, 0]) > _STATION) + 1)
    rows = []
    for one in group:
        weight = 1.0 / np.maximum(one[:, 3], 1e-6) ** 2
        rows.append([*(weight @ one[:, :3] / weight.sum()), weight.sum() ** -0.5])
    found = np.array(rows, dtype=np.float64)
    return Unseen(found[:, 0], found[:, 1], found[:, 2], found[:, 3])
