"""Amounts of which the lowest, the likely and the highest value are known."""

import math

from mainwright.errors import InputError

__all__ = [
    "lognormal_quantile",
    "pert_mean",
    "pert_variance",
    "triangular_mean",
    "triangular_quantile",
    "triangular_variance",
]


def _ordered(low: float, likely: float, high: float) -> None:
    if not low <= likely <= high or not math.isfinite(high - low):
        raise InputError("likely", likely, "", f"between low {low} and high {high}")


def triangular_quantile(probability: float, *, low: float, likely: float, high: float) -> float:
    r"""Return the value that a triangular amount stays under with a probability.

    Parameters
    ----------
    probability : float
        From 0 to 1. [-]
    low : float
        Its least value. [amount]
    likely : float
        Its most likely value. [amount]
    high : float
        Its greatest value. [amount]

    Returns
    -------
    float
        :math:`a + \sqrt{p (b - a)(c - a)}` up to the likely value, its mirror above it. [amount]

    References
    ----------
    Inverse of the area under a triangle; derived.
    """
    _ordered(low, likely, high)
    if not 0.0 <= probability <= 1.0:
        raise InputError("probability", probability, "", "0 to 1")
    width = high - low
    if width == 0.0:
        return likely
    if probability * width <= likely - low:
        return low + math.sqrt(probability * width * (likely - low))
    return high - math.sqrt((1.0 - probability) * width * (high - likely))


def triangular_mean(*, low: float, likely: float, high: float) -> float:
    """Return the mean of a triangular amount.

    Parameters
    ----------
    low : float
        Its least value. [amount]
    likely : float
        Its most likely value. [amount]
    high : float
        Its greatest value. [amount]

    Returns
    -------
    float
        A third of their sum. [amount]

    References
    ----------
    Centre of a triangle; derived.
    """
    _ordered(low, likely, high)
    return (low + likely + high) / 3.0


def triangular_variance(*, low: float, likely: float, high: float) -> float:
    """Return the variance of a triangular amount.

    Parameters
    ----------
    low : float
        Its least value. [amount]
    likely : float
        Its most likely value. [amount]
    high : float
        Its greatest value. [amount]

    Returns
    -------
    float
        Square of the standard deviation. [amount2]

    References
    ----------
    Second moment of a triangle; derived.
    """
    _ordered(low, likely, high)
    return (low * low + likely * likely + high * high - low * likely - low * high - likely * high) / 18.0


def pert_mean(*, low: float, likely: float, high: float) -> float:
    """Return the mean that the method of three times gives.

    Parameters
    ----------
    low : float
        Its least value. [amount]
    likely : float
        Its most likely value. [amount]
    high : float
        Its greatest value. [amount]

    Returns
    -------
    float
        The likely value counts four times. [amount]

    References
    ----------
    Hillier and Lieberman, Introduction to Operations Research, project management: the three-estimate approach.
    """
    _ordered(low, likely, high)
    return (low + 4.0 * likely + high) / 6.0


def pert_variance(*, low: float, likely: float, high: float) -> float:
    """Return the variance that the method of three times gives.

    Parameters
    ----------
    low : float
        Its least value. [amount]
    likely : float
        Its most likely value. [amount]
    high : float
        Its greatest value. [amount]

    Returns
    -------
    float
        Square of a sixth of the range. [amount2]

    References
    ----------
    Hillier and Lieberman, Introduction to Operations Research, project management: the three-estimate approach.
    """
    _ordered(low, likely, high)
    return ((high - low) / 6.0) ** 2


def lognormal_quantile(normal: float, *, low: float, high: float) -> float:
    """Return a value of a lognormal amount for a standard normal one.

    Parameters
    ----------
    normal : float
        Standard normal value. [-]
    low : float
        Value that the amount stays under with 10 %, more than 0. [amount]
    high : float
        Value that it stays under with 90 %. [amount]

    Returns
    -------
    float
        The value with the same probability. [amount]

    References
    ----------
    Normal distribution of the logarithm; its 90 % point is 1.2815515655446004.
    """
    if not 0.0 < low <= high:
        raise InputError("low", low, "", f"more than 0, at most high {high}")
    middle, half = 0.5 * (math.log(low) + math.log(high)), 0.5 * (math.log(high) - math.log(low))
    return math.exp(middle + half * normal / 1.2815515655446004)
