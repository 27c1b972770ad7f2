"""Tolerance factors: how far from the mean a share of all values lies, when mean and deviation come from a sample."""

import math
from collections.abc import Callable

from mainwright.errors import InputError, SolveError, require_within
from mainwright.science.measurement.distributions import chi_square_exceeds, normal_density, normal_probability, normal_quantile
from mainwright.science.measurement.noncentral import gauss_legendre, noncentral_t_probability

__all__ = ["one_sided_factor", "one_sided_factor_known", "two_sided_factor"]


def _require(count: int, share: float, confidence: float, least: int) -> None:
    if count < least:
        raise InputError("count", count, "-", f"{least} or more")
    require_within("share", share, "-", above=0.0, below=1.0)
    require_within("confidence", confidence, "-", above=0.0, below=1.0)


def _rising_root(function: Callable[[float], float], wanted: float, start: float) -> float:
    """Return where a rising function of a positive number reaches a value, by false position after Anderson and Björck."""
    low, high = 0.0, start
    f_low, f_high = -wanted, function(high) - wanted
    while f_high < 0.0:
        low, f_low, high = high, f_high, 2.0 * high
        f_high = function(high) - wanted
    for _ in range(200):
        x = low - f_low * (high - low) / (f_high - f_low)
        if not low < x < high:
            x = 0.5 * (low + high)
        f = function(x) - wanted
        if abs(f) < 1e-13 or high - low <= 1e-12 * high:
            return x
        # The end that stays weighs less by how far the step overshot.
        if f < 0.0:
            f_high *= max(1.0 - f / f_low, 0.5) if f > f_low else 0.5
            low, f_low = x, f
        else:
            f_low *= max(1.0 - f / f_high, 0.5) if f < f_high else 0.5
            high, f_high = x, f
    raise SolveError("tolerance factor", f, 200)


def one_sided_factor(*, count: int, share: float, confidence: float) -> float:
    r"""Return k for a limit on one side, with the deviation from the sample.

    Parameters
    ----------
    count : int
        Size of the sample, two or more. [-]
    share : float
        Of all values that shall lie within the limit. [-]
    confidence : float
        That they do. [-]

    Returns
    -------
    float
        With this confidence at least that share lies over the sample's mean less k of its deviations. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The exact factor :math:`k = t'_{n-1}(\gamma;\, z_p \sqrt n) / \sqrt n` of the noncentral t distribution, whose probability is
    integrated as :math:`\int \varphi(z) P(\chi^2_\nu \ge \nu ((z + \delta)/t)^2) dz`. The values must be normal and the sample a
    fair one.

    References
    ----------
    Owen, D. B. (1968), A survey of properties and applications of the noncentral t-distribution, Technometrics 10, 445-478; NIST/SEMATECH
    e-Handbook of Statistical Methods, section 7.2.6.3.

    Examples
    --------
    >>> round(one_sided_factor(count=10, share=0.95, confidence=0.95), 3)
    2.911
    """
    _require(count, share, confidence, 2)
    root = math.sqrt(count)
    delta = normal_quantile(share) * root

    def at_most(t: float) -> float:
        return noncentral_t_probability(t=t, freedom=count - 1, delta=delta)

    if confidence <= normal_probability(-delta):
        raise InputError("confidence", confidence, "-", f"over {normal_probability(-delta):g}: less gives no factor over zero")
    return _rising_root(at_most, confidence, max(delta, 1.0)) / root


def one_sided_factor_known(*, count: int, share: float, confidence: float) -> float:
    r"""Return k for a limit on one side, with the deviation known beforehand.

    Parameters
    ----------
    count : int
        Size of the sample, one or more. [-]
    share : float
        Of all values that shall lie within the limit. [-]
    confidence : float
        That they do. [-]

    Returns
    -------
    float
        With this confidence at least that share lies over the sample's mean less k known deviations. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`k = z_p + z_\gamma / \sqrt n`.

    References
    ----------
    ISO 16269-6:2014, case of a known deviation (from memory); derived here from the normal distribution of the mean.

    Examples
    --------
    >>> round(one_sided_factor_known(count=10, share=0.95, confidence=0.95), 3)
    2.165
    """
    _require(count, share, confidence, 1)
    return normal_quantile(share) + normal_quantile(confidence) / math.sqrt(count)


def two_sided_factor(*, count: int, share: float, confidence: float) -> float:
    r"""Return k for limits on both sides, with the deviation from the sample.

    Parameters
    ----------
    count : int
        Size of the sample, two or more. [-]
    share : float
        Of all values that shall lie between the limits. [-]
    confidence : float
        That they do. [-]

    Returns
    -------
    float
        With this confidence at least that share lies within k deviations of the sample's mean. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    Exact: :math:`\gamma = 2 \int_0^\infty \varphi(z) P(\chi^2_\nu \ge \nu (r(z)/k)^2) dz`, where r(z) makes
    :math:`\Phi(z/\sqrt n + r) - \Phi(z/\sqrt n - r)` the share.

    References
    ----------
    ISO 16269-6:2014, annex F; Wald, A., Wolfowitz, J. (1946), Annals of Mathematical Statistics 17, 208-215.

    Examples
    --------
    >>> round(two_sided_factor(count=8, share=0.90, confidence=0.90), 4)
    2.7541
    """
    _require(count, share, confidence, 2)
    root, freedom = math.sqrt(count), count - 1
    widths: list[tuple[float, float]] = []
    panels, high = 2, 8.5
    half = 0.5 * high / panels
    for panel in range(panels):
        for node, weight in gauss_legendre():
            z = (2 * panel + 1) * half + half * node
            widths.append((2.0 * half * weight * normal_density(z), _half_width(z / root, share)))

    def covers(k: float) -> float:
        return math.fsum(weight * chi_square_exceeds(value=freedom * (r / k) ** 2, freedom=freedom) for weight, r in widths)

    return _rising_root(covers, confidence, normal_quantile(0.5 + 0.5 * share))


def _half_width(centre: float, share: float) -> float:
    """Return how far on both sides of a centre a share of a standard normal variable lies."""
    r = centre + normal_quantile(share) if centre > 1.0 else normal_quantile(0.5 + 0.5 * share)
    for _ in range(50):
        step = (normal_probability(centre + r) - normal_probability(centre - r) - share) / (
            normal_density(centre + r) + normal_density(centre - r)
        )
        r = max(r - step, 0.1 * r)
        if abs(step) < 1e-14 * r:
            break
    return r
