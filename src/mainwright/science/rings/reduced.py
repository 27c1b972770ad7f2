"""What is kept of a ring once its points have been read: a fit, and the wall in steps of the clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from numpy import float32, uint8
    from numpy.typing import NDArray

__all__ = ["CLOCK_BINS", "ReducedRings"]

CLOCK_BINS: Final = 144
"""Steps of the clock in a reduced ring: 2.5 degrees, two to a cell of the thickness grid."""


@dataclass(frozen=True, slots=True)
class ReducedRings:
    """Fits and walls of n rings, in the order in which they were scanned; a ring that gave no fit is NaN throughout.

    Attributes
    ----------
    radius
        Mean radius. [m], shape (n,)
    up, right
        Centre of the pipe as the sensor sees it, in the sensor's own frame. [m], shape (n,)
    oval_up, oval_right
        Second harmonic of the radius in the true frame: the radius is ``radius + oval_up cos 2a + oval_right sin 2a``. [m], shape (n,)
    share
        Points that lie on the ring, of all that a ring has. [-], shape (n,)
    scatter
        Standard deviation of the points on the ring about it. [m], shape (n,)
    outward
        Points far outside the ring, of all that a ring has: openings and gaps; not counted without a wall. [-], shape (n,)
    wall
        Mean radius from the centre of the pipe in each step of the clock, from the crown clockwise; NaN where nothing was read. [m],
        shape (n, 144), or (n, 0) where it was not asked for
    points
        Points behind each of these. [-], of the same shape
    """

    radius: NDArray[float32]
    up: NDArray[float32]
    right: NDArray[float32]
    oval_up: NDArray[float32]
    oval_right: NDArray[float32]
    share: NDArray[float32]
    scatter: NDArray[float32]
    outward: NDArray[float32]
    wall: NDArray[float32]
    points: NDArray[uint8]
