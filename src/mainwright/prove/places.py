"""Where a section or a point of a record lies: by the ids of runs, or by its chainages, or else the whole main."""

import re
from collections.abc import Sequence
from typing import Final

from mainwright.plan.result import Run

__all__ = ["place_of"]

_WORDS: Final = re.compile(r"[^\s,;+/]+")
_SPAN: Final = re.compile(r"^\s*(\d+(?:\.\d+)?)\s*(?:m\s*)?(?:-|–|to)\s*(\d+(?:\.\d+)?)\s*m?\s*$")
_POINT: Final = re.compile(r"^\s*(\d+(?:\.\d+)?)\s*m?\s*$")


def place_of(name: str, runs: Sequence[Run], *, start: float, end: float) -> tuple[float, float]:
    """Return the chainages between which a named section lies.

    Parameters
    ----------
    name : str
        As it was written: ids of runs (``R01`` or ``R01+R02``), two chainages (``212-478``), one chainage, or anything else. [-]
    runs : sequence of Run
        Of the plan. [-]
    start, end : float
        Of the whole main, which is meant where the name says nothing else. [m]

    Returns
    -------
    tuple of float
        Lower and higher chainage; the same twice for a point. [m]

    Examples
    --------
    >>> place_of("212-478", (), start=0.0, end=900.0), place_of("whole main", (), start=0.0, end=900.0)
    ((212.0, 478.0), (0.0, 900.0))
    """
    words = set(_WORDS.findall(name))
    named = [run for run in runs if run.id in words]
    if named:
        return min(run.start for run in named), max(run.end for run in named)
    span = _SPAN.match(name)
    if span:
        low, high = sorted((float(span[1]), float(span[2])))
        return low, high
    point = _POINT.match(name)
    if point:
        return float(point[1]), float(point[1])
    return start, end
