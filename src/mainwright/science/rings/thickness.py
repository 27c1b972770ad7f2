"""Thickness on a grid of chainage by clock: two walls, folded into cells, one less the other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from mainwright.science.rings.reduced import CLOCK_BINS

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["CELLS_PER_METRE", "CELL_LENGTH", "CLOCK_CELLS", "Grid", "Wall", "fold", "metre_statistics", "thickness_grid", "turned"]

CELLS_PER_METRE: Final = 20
CELL_LENGTH: Final = 0.05
"""Of a cell along the main, counted from chainage 0. [m]"""

CLOCK_CELLS: Final = 72
"""Cells round the clock, each a sixth of an hour, counted from 12 o'clock."""

_LEAST_POINTS: Final = 5
"""A cell with fewer points of either pass says nothing."""


@dataclass(frozen=True, slots=True)
class Wall:
    """The wall that one pass has seen, in cells along the main and steps of the clock.

    Attributes
    ----------
    sums
        Sum of the radii. [m], shape (k, 144)
    points
        How many. [-], shape (k, 144)
    """

    sums: NDArray[np.float64]
    points: NDArray[np.float64]

    def radius(self) -> NDArray[np.float64]:
        """Return the mean radius, NaN where nothing was read."""
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.asarray(np.where(self.points > 0.0, self.sums / self.points, np.nan))


@dataclass(frozen=True, slots=True)
class Grid:
    """Thickness in cells; NaN where either pass has too few points.

    Attributes
    ----------
    thickness
        Mean over the cell. [m], shape (k, 72)
    points
        Points of the pass that has fewer. [-], shape (k, 72)
    lined
        Mean radius of the lined wall. [m], shape (k, 72)
    """

    thickness: NDArray[np.float64]
    points: NDArray[np.int64]
    lined: NDArray[np.float64]


def fold(
    *,
    chainage: NDArray[np.float64],
    wall: NDArray[np.float32],
    points: NDArray[np.uint8],
    first_cell: int,
    cells: int,
    compiled: bool = False,
) -> Wall:
    """Return the wall of a length, gathered from rings.

    Parameters
    ----------
    chainage : ndarray of float, shape (n,)
        Of each ring. [m]
    wall : ndarray of float, shape (n, 144)
        Mean radius in steps of the clock; NaN where nothing was read. [m]
    points : ndarray of int, shape (n, 144)
        Points behind each. [-]
    first_cell : int
        The cell with which the length begins; cell 0 begins at chainage 0. [-]
    cells : int
        How many cells it has. [-]
    compiled : bool
        Whether compiled code does it; the sums are the same to their last digits but one. [-]

    Returns
    -------
    Wall
        Sums over the rings of each cell.

    References
    ----------
    Derived here: sums.
    """
    row = np.floor(chainage * CELLS_PER_METRE).astype(np.int64) - first_cell
    sums = np.zeros((cells, CLOCK_BINS))
    counts = np.zeros((cells, CLOCK_BINS))
    if compiled:
        from mainwright.science.rings.compiled import fold_compiled

        fold_compiled(row, wall, points, sums, counts)
        return Wall(sums, counts)
    inside = np.flatnonzero((row >= 0) & (row < cells))
    if inside.size:
        order = inside[np.argsort(row[inside], kind="stable")]
        sorted_row = row[order]
        starts = np.flatnonzero(np.concatenate(([True], np.diff(sorted_row) > 0)))
        weight = points[order].astype(np.float64)
        value = np.where(weight > 0.0, wall[order], 0.0) * weight
        sums[sorted_row[starts]] = np.add.reduceat(value, starts, axis=0)
        counts[sorted_row[starts]] = np.add.reduceat(weight, starts, axis=0)
    return Wall(sums, counts)


def turned(wall: Wall, *, offset: float) -> Wall:
    """Return a wall turned clockwise.

    Parameters
    ----------
    wall : Wall
        The wall, its radii [m] and counts. [-]
    offset : float
        By how much; a step of the clock that falls on two is shared between them. [rad]

    Returns
    -------
    Wall
        With the same sums and counts in all.

    References
    ----------
    Derived here.
    """
    steps = offset * CLOCK_BINS / (2.0 * np.pi)
    whole = int(np.floor(steps))
    part = steps - whole

    def turn(values: NDArray[np.float64]) -> NDArray[np.float64]:
        near = np.roll(values, whole, axis=1)
        found = (1.0 - part) * near
        found[:, 1:] += part * near[:, :-1]
        found[:, 0] += part * near[:, -1]
        return np.asarray(found)

    return Wall(turn(wall.sums), turn(wall.points))


def thickness_grid(*, cleaned: Wall, lined: Wall, up: NDArray[np.float64], right: NDArray[np.float64]) -> Grid:
    r"""Return the thickness of each cell.

    Parameters
    ----------
    cleaned : Wall
        The wall before lining, about its own centre. [m]
    lined : Wall
        The wall after it on the same cells, about its own centre. [m]
    up : ndarray of float, shape (k,)
        How far the lining is thicker at the crown than two self-centred scans can see; nought where nothing is known. [m]
    right : ndarray of float, shape (k,)
        The same at 3 o'clock. [m]

    Returns
    -------
    Grid
        Thickness, points and lined radius.

    Notes
    -----
    Each scan is centred on its own bore. A lining :math:`t_0 + e\cos(\varphi - \alpha)` moves the lined bore's centre by :math:`-e`, and the
    term is gone from the difference of the two; it comes back only from elsewhere, as `up` and `right`.

    References
    ----------
    Derived here.
    """
    counts = np.minimum(_paired(cleaned.points), _paired(lined.points))
    outer, inner = _mean(cleaned), _mean(lined)
    angle = (np.arange(CLOCK_CELLS) + 0.5) * (2.0 * np.pi / CLOCK_CELLS)
    unseen = up[:, None] * np.cos(angle) + right[:, None] * np.sin(angle)
    known = counts >= _LEAST_POINTS
    return Grid(np.where(known, outer - inner + unseen, np.nan), np.floor(counts + 0.5).astype(np.int64), inner)


def _paired(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the sums of the steps of the clock that make a cell."""
    return np.asarray(values[:, ::2] + values[:, 1::2])


def _mean(wall: Wall) -> NDArray[np.float64]:
    """Return the mean radius of the cells; the steps of a cell weigh alike where both were read."""
    radius = wall.radius()
    first, second = radius[:, ::2], radius[:, 1::2]
    mean = 0.5 * (first + second)
    some = np.isnan(mean)
    if some.any():
        mean[some] = np.where(np.isnan(first[some]), second[some], first[some])
    return np.asarray(mean)


def metre_statistics(thickness: NDArray[np.floating[Any]], *, quantiles: tuple[float, ...]) -> NDArray[np.float64]:
    """Return quantiles of the cells of each metre.

    Parameters
    ----------
    thickness : ndarray of float, shape (20 k, 72)
        Of whole metres of cells; NaN is left out. [m]
    quantiles : tuple of float
        Shares, 0 the least. [-]

    Returns
    -------
    ndarray of float, shape (k, q)
        Quantiles, NaN where a metre has no cell. [m]

    References
    ----------
    R. J. Hyndman and Y. Fan, Sample quantiles in statistical packages, The American Statistician 50 (1996) 361-365, definition 7.
    """
    rows = np.sort(thickness.reshape(-1, CELLS_PER_METRE * CLOCK_CELLS), axis=1)
    count = np.isfinite(rows).sum(axis=1)
    found = np.full((len(rows), len(quantiles)), np.nan)
    some = np.flatnonzero(count)
    for column, share in enumerate(quantiles):
        place = share * (count[some] - 1)
        low = np.floor(place).astype(np.int64)
        high = np.minimum(low + 1, count[some] - 1)
        part = place - low
        found[some, column] = rows[some, low] * (1.0 - part) + rows[some, high] * part
    return found
