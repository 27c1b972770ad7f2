"""Values drawn evenly over their chances, with causes in common, and what the draws say with how sure a number."""

import math
from collections.abc import Sequence
from random import Random

from mainwright.errors import InputError

__all__ = [
    "binomial_quantile",
    "common_cause",
    "normal_probability",
    "normal_strata",
    "poisson_quantile",
    "quantile",
    "replicate_error",
    "strata",
]


def strata(count: int, generator: Random) -> list[float]:
    """Return one probability from each of so many equal shares of 0 to 1, in chance order.

    Parameters
    ----------
    count : int
        How many. [-]
    generator : Random
        Where the chance comes from; the same seed gives the same values. [-]

    Returns
    -------
    list of float
        More than 0 and less than 1. Several calls together are a Latin hypercube. [-]

    References
    ----------
    McKay, Beckman and Conover (1979), A comparison of three methods for selecting values of input variables, Technometrics 21(2).
    """
    if count < 1:
        raise InputError("count", count, "", "at least 1")
    found = [min(max((share + generator.random()) / count, 1e-12), 1.0 - 1e-12) for share in range(count)]
    generator.shuffle(found)
    return found


def normal_strata(count: int, generator: Random) -> list[float]:
    """Return standard normal values, one from each of so many equal shares of probability, in chance order.

    Parameters
    ----------
    count : int
        How many. [-]
    generator : Random
        Where the chance comes from. [-]

    Returns
    -------
    list of float
        Values with mean 0 and deviation 1. [-]

    References
    ----------
    As `strata`; the inverse is Wichura (1988), algorithm AS 241, by the standard library.
    """
    from statistics import NormalDist

    inverse = NormalDist().inv_cdf
    return [inverse(one) for one in strata(count, generator)]


def normal_probability(value: float) -> float:
    """Return with what probability a standard normal value stays under one.

    Parameters
    ----------
    value : float
        Any. [-]

    Returns
    -------
    float
        From 0 to 1. [-]

    References
    ----------
    Abramowitz and Stegun (1964), 7.1.2 and 26.2.29.
    """
    return 0.5 * math.erfc(-value / math.sqrt(2.0))


def common_cause(shared: Sequence[float], own: Sequence[float], *, share: float) -> list[float]:
    r"""Return probabilities of an amount that goes partly with a cause which others share.

    Parameters
    ----------
    shared : sequence of float
        Standard normal values of the cause. [-]
    own : sequence of float
        Standard normal values of the amount alone, as many. [-]
    share : float
        Share of the variance that comes from the cause, 0 to 1; two amounts with the same share are correlated by it. [-]

    Returns
    -------
    list of float
        :math:`\Phi(\sqrt{s} Z + \sqrt{1 - s} E)`: even over 0 to 1 whatever the share, so that each amount keeps its own distribution. [-]

    References
    ----------
    One-factor normal copula: Nelsen (2006), An Introduction to Copulas, 2nd edition, section 2.3; derived.
    """
    if not 0.0 <= share <= 1.0:
        raise InputError("share", share, "", "0 to 1")
    with_all, alone, root = math.sqrt(share), math.sqrt(1.0 - share), -math.sqrt(0.5)
    return [0.5 * math.erfc(root * (with_all * a + alone * b)) for a, b in zip(shared, own, strict=True)]


def poisson_quantile(probability: float, mean: float) -> int:
    """Return the least count that is not passed with a probability, where things happen by chance along a length.

    Parameters
    ----------
    probability : float
        Less than 1. [-]
    mean : float
        How many on average, at most 700. [-]

    Returns
    -------
    int
        A count. [-]

    References
    ----------
    Poisson's law; sum of its terms.
    """
    if not 0.0 <= mean <= 700.0:
        raise InputError("mean", mean, "", "0 to 700")
    term = total = math.exp(-mean)
    count = 0
    while total < probability and term > 0.0:
        count += 1
        term *= mean / count
        total += term
    return count


def binomial_quantile(probability: float, *, tries: int, chance: float) -> int:
    """Return the least count of so many tries that is not passed with a probability.

    Parameters
    ----------
    probability : float
        Less than 1. [-]
    tries : int
        How many. [-]
    chance : float
        Of each, 0 to less than 1. [-]

    Returns
    -------
    int
        A count. [-]

    References
    ----------
    Binomial law; sum of its terms.
    """
    if not 0.0 <= chance < 1.0:
        raise InputError("chance", chance, "", "0 to less than 1")
    term = total = (1.0 - chance) ** tries
    count = 0
    while total < probability and count < tries:
        count += 1
        term *= (tries - count + 1) / count * chance / (1.0 - chance)
        total += term
    return count


def quantile(values: Sequence[float], probability: float) -> float:
    """Return the value that a share of the drawn values stays under.

    Parameters
    ----------
    values : sequence of float
        Sorted, at least one. [amount]
    probability : float
        0 to 1. [-]

    Returns
    -------
    float
        Between neighbours along a straight line. [amount]

    References
    ----------
    Hyndman and Fan (1996), Sample quantiles in statistical packages, The American Statistician 50(4), definition 7.
    """
    if not values:
        raise InputError("values", 0, "", "at least one")
    if not 0.0 <= probability <= 1.0:
        raise InputError("probability", probability, "", "0 to 1")
    place = probability * (len(values) - 1)
    below = min(int(place), len(values) - 1)
    above = min(below + 1, len(values) - 1)
    return values[below] + (place - below) * (values[above] - values[below])


def replicate_error(results: Sequence[float]) -> float:
    """Return the standard error of the mean of results that were drawn apart from each other.

    Parameters
    ----------
    results : sequence of float
        The same figure from each set of draws, at least two. [amount]

    Returns
    -------
    float
        Standard deviation of the mean. [amount]

    References
    ----------
    Owen (2013), Monte Carlo theory, methods and examples, chapter 10: replicates of stratified samples.
    """
    count = len(results)
    if count < 2:
        raise InputError("results", count, "", "at least 2")
    mean = math.fsum(results) / count
    return math.sqrt(math.fsum((one - mean) ** 2 for one in results) / (count - 1) / count)
