"""A lining thicker on one side: what two self-centred scans cannot see, and what readings of a gauge tell of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["Unseen", "unseen_from_gauges"]

_STATION: Final = 0.5
"""Readings closer than this to the one before belong to one place. [m]"""
_WELL_SPREAD: Final = 0.5
"""Least weight of the weaker component, of that of three readings evenly round the clock."""


@dataclass(frozen=True, slots=True)
class Unseen:
    """Eccentricity of the lining at the places where gauge readings fix it.

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
