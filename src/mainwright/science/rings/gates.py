"""How far from the ring a point may lie, step by step: the numbers that both ways of fitting share. All in metres."""

from typing import Final

__all__ = [
    "FAR", "FIRST_GATE", "LAST_GATE", "LEAST_SHARE", "MAP_GATE", "OUTWARD_GATE", "PATIENT", "REFINEMENTS", "SURE_SHARE", "THINNED", "THINNEST", "TIGHT_START", "WIDE_GAIN", "WIDE_START",
]  # fmt: skip

TIGHT_START: Final = ((0.120, 0.015), (0.060, 0.004), (0.020, 0.002), (0.008, 0.002))
"""Gate and clip of each step for a head near the centre: it does not follow a false wall such as standing water."""

WIDE_START: Final = ((0.250, 0.080), (0.120, 0.025), (0.030, 0.008), (0.008, 0.004))
"""For a head far off centre; tried where the tight one leaves too many points outside."""

WIDE_GAIN: Final = 0.1
"""Share of points that the wide start must have over the tight one to be taken: a false wall gives it a few."""

PATIENT: Final = ((0.020, 0.004), (0.020, 0.002), (0.020, 0.002), (0.008, 0.002), (0.008, 0.002), (0.008, 0.002))
"""Further steps, for rings of which too much lies outside."""

SURE_SHARE: Final = 0.85
"""Share of the points with an echo inside the last gate of a start above which nothing else is tried."""

FIRST_GATE: Final = 0.006
LAST_GATE: Final = 0.0025
"""Gate of the last refinements: eight times the noise of a good sensor, wider where the wall is rougher."""

REFINEMENTS: Final = 3

THINNED: Final = (4, 3, 2)
"""Every so many of a ring's points are enough for its start and its first refinement, which only bring the last ones near."""

THINNEST: Final = 160
"""Points that must be left by that."""

LEAST_SHARE: Final = 0.25
"""A ring with fewer of its points on it is no ring."""

MAP_GATE: Final = 0.006
"""Inside it a point belongs to the wall. Thickness is never gated."""

OUTWARD_GATE: Final = 0.010
"""Up to here outward, points that are the most of a step of the clock are wall too (a pit, a bare place); beyond it lies an opening."""

FAR: Final = 1.0e3
"""Stands for a point without echo: finite, so that its weight of nought makes nought of it."""
