"""From metres of main to metres that are paid: the contract's rules of measurement, for the bill and for what was done alike."""

import math
from collections.abc import Iterable, Sequence
from typing import Final

from mainwright.job.job import Job
from mainwright.job.measurement import Measurement

__all__ = ["joined_spans", "measured_length", "priced_dn", "rounded"]

_IN_LINE: Final = ("gate_valve", "butterfly_valve", "check_valve", "tee", "cross", "reducer", "meter", "flange_adaptor", "repair_clamp")
"""Features that take up length of the main; bends are pipe."""

_SAME: Final = 1e-6
"""Lengths closer than this are the same. [m]"""


def priced_dn(rules: Measurement, dn: int) -> int:
    """Return the DN under which a size is priced.

    Parameters
    ----------
    rules : Measurement
        The contract's rules. [-]
    dn : int
        Size of the main. [-]

    Returns
    -------
    int
        That of its class, both edges of a class included; its own where it is in none.
    """
    return next((one.dn for one in rules.classes if one.dn_from <= dn <= one.dn_to), dn)


def rounded(rules: Measurement, length: float) -> float:
    """Return a length rounded as the contract says.

    Parameters
    ----------
    rules : Measurement
        The contract's rules. [-]
    length : float
        Length. [m]

    Returns
    -------
    float
        Length, the same where nothing is rounded. [m]
    """
    step = rules.rounding
    if step <= 0.0:
        return length
    steps = length / step
    match rules.round_to:
        case "down":
            whole = math.floor(steps + _SAME)
        case "up":
            whole = math.ceil(steps - _SAME)
        case _:
            whole = math.floor(steps + 0.5 + _SAME)
    return round(whole * step, 9)


def joined_spans(spans: Iterable[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Return spans of chainage joined where they overlap or touch: each place once.

    Parameters
    ----------
    spans : iterable of tuple
        Lower and higher chainage of each. [m]

    Returns
    -------
    tuple of tuple
        In order of chainage.
    """
    joined: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + _SAME:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return tuple(joined)


def measured_length(job: Job, spans: Sequence[tuple[float, float]], *, whole: bool) -> float:
    """Return the length that is paid for one run.

    Parameters
    ----------
    job : Job
        The job with its rules and fittings. [-]
    spans : sequence of tuple
        Lower and higher chainage of each length that counts. [m]
    whole : bool
        Whether the run is done whole: only then is the least length paid. [-]

    Returns
    -------
    float
        First fittings are deducted, where they are: one at the end of a length takes half of its own from it. Then the least length is paid, then
        it is rounded. [m]
    """
    rules = job.measurement
    length = math.fsum(high - low for low, high in spans)
    if rules.fittings == "deducted" and rules.fitting_length is not None:
        for one in job.features:
            if one.kind in _IN_LINE:
                length -= rules.fitting_length * sum(_share(one.chainage, low, high) for low, high in spans)
    length = max(0.0, length)
    if whole and spans:
        length = max(length, rules.minimum_length)
    return rounded(rules, length)


def _share(place: float, low: float, high: float) -> float:
    if abs(place - low) <= _SAME or abs(place - high) <= _SAME:
        return 0.5
    return 1.0 if low < place < high else 0.0
