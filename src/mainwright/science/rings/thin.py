"""Thin areas: cells under a minimum that touch, as objects along the main and round the clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mainwright.science.rings.thickness import CELL_LENGTH, CELLS_PER_METRE, CLOCK_CELLS

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["ThinArea", "thin_areas"]


@dataclass(frozen=True, slots=True)
class ThinArea:
    """Cells under the minimum that touch by a side.

    Attributes
    ----------
    start, end
        Outer edges along the main. [m]
    clock_start, clock_end
        Outer edges, clockwise; over the crown the first is the greater; all round they are 0 and 12. [hours of the clock]
    area
        Of the lined wall. [m2]
    minimum
        The smallest thickness of its cells. [m]
    """

    start: float
    end: float
    clock_start: float
    clock_end: float
    area: float
    minimum: float


def thin_areas(
    *, row: NDArray[np.int64], column: NDArray[np.int64], thickness: NDArray[np.float64], lined: NDArray[np.float64]
) -> tuple[ThinArea, ...]:
    """Return thin areas, in order of chainage and clock.

    Parameters
    ----------
    row : ndarray of int, shape (n,)
        Cell along the main of each thin cell, counted from chainage 0. [-]
    column : ndarray of int, shape (n,)
        Its cell round the clock, counted from 12 o'clock. [-]
    thickness : ndarray of float, shape (n,)
        Its thickness. [m]
    lined : ndarray of float, shape (n,)
        Radius of its lined wall. [m]

    Returns
    -------
    tuple of ThinArea
        Each as one object, over the crown too.

    References
    ----------
    R. E. Tarjan, Efficiency of a good but not linear set union algorithm, Journal of the ACM 22 (1975) 215-225: how cells that touch are joined.
    """
    if row.size == 0:
        return ()
    label = _labels(row, column)
    order = np.argsort(label, kind="stable")
    starts = np.flatnonzero(np.concatenate(([True], np.diff(label[order]) > 0)))
    cell = lined * (2.0 * np.pi / CLOCK_CELLS) * CELL_LENGTH
    areas = np.add.reduceat(cell[order], starts)
    least = np.minimum.reduceat(thickness[order], starts)
    first = np.minimum.reduceat(row[order], starts)
    last = np.maximum.reduceat(row[order], starts)
    ends = np.append(starts[1:], order.size)
    found = []
    for index, (low, high) in enumerate(zip(starts, ends, strict=True)):
        begin, stop = _span(np.unique(column[order[low:high]]))
        found.append(
            ThinArea(
                int(first[index]) / CELLS_PER_METRE,
                (int(last[index]) + 1) / CELLS_PER_METRE,
                begin,
                stop,
                float(areas[index]),
                float(least[index]),
            )
        )
    return tuple(sorted(found, key=lambda one: (one.start, one.clock_start, one.end)))


def _labels(row: NDArray[np.int64], column: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return for each cell the place of the first cell of its area."""
    key = row * CLOCK_CELLS + column
    order = np.argsort(key, kind="stable")
    ordered = key[order]
    pairs = []
    for other in (row * CLOCK_CELLS + (column + 1) % CLOCK_CELLS, key + CLOCK_CELLS):
        place = np.minimum(np.searchsorted(ordered, other), ordered.size - 1)
        there = np.flatnonzero(ordered[place] == other)
        pairs.append(np.stack([there, order[place[there]]]))
    one, two = np.concatenate(pairs, axis=1)
    parent = np.arange(row.size)
    # Hook the larger root to the smaller, then shorten the paths, until nothing changes.
    while True:
        left, right = parent[one], parent[two]
        differ = left != right
        if not differ.any():
            return parent
        high, low = np.maximum(left, right)[differ], np.minimum(left, right)[differ]
        np.minimum.at(parent, high, low)
        while True:
            shorter = parent[parent]
            if np.array_equal(shorter, parent):
                break
            parent = shorter


def _span(columns: NDArray[np.int64]) -> tuple[float, float]:
    """Return the outer edges of occupied cells on the circle, clockwise: what is left of it is the widest gap."""
    if columns.size == CLOCK_CELLS:
        return 0.0, 12.0
    gap = np.diff(np.append(columns, columns[0] + CLOCK_CELLS))
    widest = int(np.argmax(gap))
    stop = int(columns[widest]) + 1
    begin = int(columns[(widest + 1) % columns.size])
    hours = 12.0 / CLOCK_CELLS
    return begin * hours, stop * hours
