"""How long a hose takes to give: its time constant from a record of the pump's stop or start."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.errors import InputError

__all__ = ["FittedLag", "fit_lag"]

_GOLDEN = 0.5 * (math.sqrt(5.0) - 1.0)


@dataclass(frozen=True, slots=True)
class FittedLag:
    """The time constant [s], the value that is reached in the end and the one at the beginning, and the sum of squares that is left."""

    lag: float
    end: float
    begin: float
    residual: float


def fit_lag(times: Sequence[float], values: Sequence[float], *, begin: float | None = None) -> FittedLag:
    r"""Return the time constant with which a value goes from one level to another after the pump stopped or started.

    Parameters
    ----------
    times : sequence of float
        Since the stop or start. [s]
    values : sequence of float
        Pressure at the pump [Pa], flow at the head [m3/s], or what ran into a vessel at the head after the stop [m3]; all of one kind. [any]
    begin : float or None
        The value at time 0 where it is known, as nought for a vessel; fitted where not given. [any]

    Returns
    -------
    FittedLag
        By least squares.

    Raises
    ------
    InputError
        If there are fewer than four readings, or they show no approach to a level.

    Notes
    -----
    :math:`y = y_\infty + (y_0 - y_\infty) e^{-t/\tau}`. For a given constant the levels follow from a straight line; the constant itself is
    sought between a hundredth of the first time and a thousand times the last, on a grid of its logarithm and then by golden section.

    References
    ----------
    Golub, G. H., Pereyra, V. (1973): The differentiation of pseudo-inverses and nonlinear least squares problems whose variables separate.
    SIAM Journal on Numerical Analysis 10, 413-432 (the idea of the separation).

    Examples
    --------
    >>> times = [0.0, 2.0, 4.0, 8.0, 16.0]
    >>> round(fit_lag(times, [2.0 + 3.0 * math.exp(-t / 4.0) for t in times]).lag, 6)
    4.0
    """
    if len(times) != len(values) or len(times) < 4:
        raise InputError("readings of a stop or start", min(len(times), len(values)), "", "four or more, with a time each")
    later = sorted(time for time in times if time > 0.0)
    if len(later) < 3 or not all(map(math.isfinite, (*times, *values))):
        raise InputError("readings of a stop or start", len(later), "", "three or more after the stop or start, finite")
    low, high = math.log(0.01 * later[0]), math.log(1000.0 * later[-1])

    def left(place: float) -> float:
        return _levels(times, values, math.exp(place), begin)[2]

    grid = [low + (high - low) * step / 200 for step in range(201)]
    found = [left(place) for place in grid]
    best = min(range(201), key=found.__getitem__)
    if best in (0, 200):
        raise InputError("readings of a stop or start", f"{values[0]:g} to {values[-1]:g}", "", "an approach to a level that they show")
    one, other = grid[best - 1], grid[best + 1]
    while other - one > 1e-12:
        third, fourth = other - _GOLDEN * (other - one), one + _GOLDEN * (other - one)
        if left(third) <= left(fourth):
            other = fourth
        else:
            one = third
        if other - one <= 4.0 * math.ulp(abs(other)):
            break
    lag = math.exp(0.5 * (one + other))
    end, start, residual = _levels(times, values, lag, begin)
    return FittedLag(lag, end, start, residual)


def _levels(times: Sequence[float], values: Sequence[float], lag: float, begin: float | None) -> tuple[float, float, float]:
    """Return the levels at the end and the beginning that fit best with a constant, and the sum of squares that is left."""
    # 1 - exp, written so that a long constant keeps its digits.
    shares = [-math.expm1(-time / lag) for time in times]
    if begin is not None:
        square = math.fsum(share * share for share in shares)
        slope = math.fsum(share * (value - begin) for share, value in zip(shares, values, strict=True)) / square if square > 0.0 else 0.0
        start = begin
    else:
        middle, mean = math.fsum(shares) / len(shares), math.fsum(values) / len(values)
        square = math.fsum((share - middle) ** 2 for share in shares)
        slope = (
            math.fsum((share - middle) * (value - mean) for share, value in zip(shares, values, strict=True)) / square if square else 0.0
        )
        start = mean - slope * middle
    rest = math.fsum((value - start - slope * share) ** 2 for share, value in zip(shares, values, strict=True))
    return start + slope, start, rest
