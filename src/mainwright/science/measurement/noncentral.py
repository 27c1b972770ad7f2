"""The noncentral t distribution: what a mean by its deviation does when the true mean lies off the limit."""

import math
from collections.abc import Callable
from functools import lru_cache

from mainwright.errors import InputError, require_positive
from mainwright.science.measurement.distributions import chi_square_exceeds, normal_density, normal_probability

__all__ = ["gauss_legendre", "noncentral_t_probability"]

_NODES = 32
_FAR = 8.5
"""So many deviations from the mean nothing of a normal variable is left."""


@lru_cache(maxsize=1)
def gauss_legendre() -> tuple[tuple[float, float], ...]:
    """Return nodes and weights of the rule of 32 points between -1 and 1.

    Returns
    -------
    tuple of (float, float)
        Pairs of node and weight. [-]

    References
    ----------
    Abramowitz, M., Stegun, I. (1964), Handbook of Mathematical Functions, formula 25.4.29; nodes by Newton's method on the Legendre polynomial.
    """
    pairs = []
    for i in range(1, _NODES // 2 + 1):
        x = math.cos(math.pi * (i - 0.25) / (_NODES + 0.5))
        for _ in range(20):
            before, here = 1.0, x
            for n in range(2, _NODES + 1):
                before, here = here, ((2 * n - 1) * x * here - (n - 1) * before) / n
            slope = _NODES * (x * here - before) / (x * x - 1.0)
            x -= here / slope
        weight = 2.0 / ((1.0 - x * x) * slope * slope)
        pairs += [(x, weight), (-x, weight)]
    return tuple(pairs)


def _integral(function: Callable[[float], float], low: float, high: float, panels: int) -> float:
    total = 0.0
    half = 0.5 * (high - low) / panels
    for panel in range(panels):
        middle = low + (2 * panel + 1) * half
        total += half * math.fsum(weight * function(middle + half * node) for node, weight in gauss_legendre())
    return total


def noncentral_t_probability(*, t: float, freedom: int, delta: float) -> float:
    r"""Return the probability that a noncentral t is at most a value.

    Parameters
    ----------
    t : float
        The value; zero or more. [-]
    freedom : int
        Degrees of freedom, one or more. [-]
    delta : float
        Noncentrality. [-]

    Returns
    -------
    float
        Probability. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    With a standard normal z and a chi of :math:`\nu` degrees, :math:`P((z + \delta) \sqrt\nu / \chi \le t)
    = \int \varphi(z) P(\chi^2_\nu \ge \nu ((z + \delta)/t)^2) dz`, and left of :math:`-\delta` the whole density counts, for a chi is never negative.

    References
    ----------
    Owen, D. B. (1968), A survey of properties and applications of the noncentral t-distribution, Technometrics 10, 445-478.

    Examples
    --------
    >>> round(noncentral_t_probability(t=2.911 * 10**0.5, freedom=9, delta=1.6448536 * 10**0.5), 3)
    0.95
    """
    require_positive("freedom", freedom, "-")
    if not (0.0 <= t < math.inf and math.isfinite(delta)):
        raise InputError("t", t, "-", "finite and zero or more, with a finite noncentrality")
    if t == 0.0:
        return normal_probability(-delta)
    edge = min(max(-delta, -_FAR), _FAR)
    # Beyond this the chi is never so great: what is left to integrate is all that changes, however small t is.
    far = min(_FAR, t * (1.0 + 12.0 / math.sqrt(2.0 * freedom)) - delta)
    if far <= edge:
        return normal_probability(edge)
    return normal_probability(edge) + _integral(
        lambda z: normal_density(z) * chi_square_exceeds(value=freedom * ((z + delta) / t) ** 2, freedom=freedom), edge, far, 6
    )
