"""The way through the main as a rope meets it: straights with their slope, and bends."""

import math
from bisect import bisect_right
from itertools import pairwise

from mainwright.job.job import Job
from mainwright.plan.result import Direction
from mainwright.science.placement.pull import Piece, reversed_profile

__all__ = ["profile_between"]


def profile_between(job: Job, *, start: float, end: float, direction: Direction = "increasing") -> tuple[Piece, ...]:
    """Return the pieces between two openings in the order in which a tool travels them.

    Parameters
    ----------
    job : Job
        The job with its levels and bends. [-]
    start, end : float
        Chainage of the two openings, start < end. [m]
    direction : Direction
        Way of the tool; the winch stands at its end. [-]

    Returns
    -------
    tuple of Piece
        Straights between the places where the slope changes or a bend stands, and the bends strictly inside; level where no
        height of the pipe is known. A bend of unknown angle counts as the greatest that may stay in a run.
    """
    heights = [(level.chainage, level.pipe) for level in job.levels if level.pipe is not None]
    bends = sorted(
        (feature.chainage, job.runs.max_bend if feature.angle is None else feature.angle)
        for feature in job.features
        if feature.kind == "bend" and start < feature.chainage < end
    )
    places = sorted({start, end, *(place for place, _ in bends), *(place for place, _ in heights if start < place < end)})
    angles: dict[float, float] = {}
    for place, angle in bends:
        angles[place] = angles.get(place, 0.0) + angle
    pieces: list[Piece] = []
    for low, high in pairwise(places):
        rise = _height(heights, high) - _height(heights, low)
        pieces.append(Piece(length=high - low, slope=math.asin(max(-1.0, min(1.0, rise / (high - low))))))
        if high in angles:
            pieces.append(Piece(bend=angles[high]))
    return tuple(pieces) if direction == "increasing" else reversed_profile(pieces)


def _height(heights: list[tuple[float, float]], chainage: float) -> float:
    """Return the height of the pipe by straight lines between the known points, level beyond the first and the last."""
    if not heights:
        return 0.0
    after = bisect_right(heights, chainage, key=lambda point: point[0])
    if after == 0:
        return heights[0][1]
    if after == len(heights):
        return heights[-1][1]
    (low, low_height), (high, high_height) = heights[after - 1], heights[after]
    return low_height + (high_height - low_height) * (chainage - low) / (high - low)
