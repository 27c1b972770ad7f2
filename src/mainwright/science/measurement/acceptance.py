"""Acceptance by variables: whether a sample shows that no more than a share lies beyond a limit, and how often it would say so."""

import math

from mainwright.errors import InputError, require_positive, require_within
from mainwright.science.measurement.distributions import normal_probability, normal_quantile
from mainwright.science.measurement.noncentral import noncentral_t_probability
from mainwright.science.measurement.tolerance import one_sided_factor

__all__ = ["acceptance_probability", "acceptance_probability_known", "quality_statistic", "readings_needed"]


def quality_statistic(*, mean: float, deviation: float, limit: float, upper: bool) -> float:
    r"""Return how many deviations the mean of a sample lies on the good side of a limit.

    Parameters
    ----------
    mean : float
        Of the sample. [any]
    deviation : float
        Of the sample, or known beforehand. [any]
    limit : float
        The limit. [any]
    upper : bool
        Whether values shall lie under it; else over it. [-]

    Returns
    -------
    float
        Q; a lot is accepted where it is k or more. [-]

    Raises
    ------
    InputError
        If the deviation is not positive.

    Notes
    -----
    :math:`Q_U = (U - \bar x) / s`, :math:`Q_L = (\bar x - L) / s`.

    References
    ----------
    MIL-STD-414 (1957), section B, single specification limit, form 1 (from memory); ISO 3951-1 uses the same form.

    Examples
    --------
    >>> round(quality_statistic(mean=195.0, deviation=8.80341, limit=209.0, upper=True), 3)
    1.59
    """
    require_positive("deviation", deviation, "any")
    return (limit - mean) / deviation if upper else (mean - limit) / deviation


def acceptance_probability_known(*, share_beyond: float, count: int, k: float) -> float:
    r"""Return how often a lot is accepted, its deviation being known.

    Parameters
    ----------
    share_beyond : float
        Of the lot that really lies beyond the limit. [-]
    count : int
        Size of the sample, one or more. [-]
    k : float
        Least statistic that is accepted. [-]

    Returns
    -------
    float
        Probability: one point of the operating characteristic. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`\Phi(\sqrt n (z_{1-p} - k))`. Values must be normal.

    References
    ----------
    Derived here from the normal distribution of the mean; the method is that of ISO 3951 for a known deviation.

    Examples
    --------
    >>> round(acceptance_probability_known(share_beyond=0.05, count=10, k=1.6448536), 6)
    0.5
    """
    _require(share_beyond, count, 1)
    return normal_probability(math.sqrt(count) * (normal_quantile(1.0 - share_beyond) - k))


def acceptance_probability(*, share_beyond: float, count: int, k: float) -> float:
    r"""Return how often a lot is accepted, its deviation coming from the same sample.

    Parameters
    ----------
    share_beyond : float
        Of the lot that really lies beyond the limit. [-]
    count : int
        Size of the sample, two or more. [-]
    k : float
        Least statistic that is accepted; zero or more. [-]

    Returns
    -------
    float
        Probability: one point of the operating characteristic. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`P(t'_{n-1}(\sqrt n z_{1-p}) \ge k \sqrt n)` of the noncentral t distribution. Values must be normal.

    References
    ----------
    Owen, D. B. (1968), Technometrics 10, 445-478; the method is that of ISO 3951 for an unknown deviation.

    Examples
    --------
    >>> round(acceptance_probability(share_beyond=0.05, count=10, k=2.91096), 3)
    0.05
    """
    _require(share_beyond, count, 2)
    if not 0.0 <= k < math.inf:
        raise InputError("k", k, "-", "finite and zero or more")
    root = math.sqrt(count)
    below = noncentral_t_probability(t=k * root, freedom=count - 1, delta=root * normal_quantile(1.0 - share_beyond))
    return min(max(1.0 - below, 0.0), 1.0)


def readings_needed(*, k: float, share: float, confidence: float, most: int) -> int | None:
    """Return how many readings would show a share within the limit, if more of them gave the same statistic.

    Parameters
    ----------
    k : float
        Statistic of the readings so far; may be infinite. [-]
    share : float
        Of all values that shall lie within the limit. [-]
    confidence : float
        That they do. [-]
    most : int
        Number at which it is given up. [-]

    Returns
    -------
    int or None
        Two or more; None where no number of readings up to `most` would be enough.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The least n of which the one-sided tolerance factor is no more than k. It falls with n towards the quantile of the share, so a k at or
    under that is never enough.

    References
    ----------
    Derived here; the factor is that of `one_sided_factor`.

    Examples
    --------
    >>> readings_needed(k=2.92, share=0.95, confidence=0.95, most=1000)
    10
    """
    require_within("share", share, "-", above=0.0, below=1.0)
    require_within("confidence", confidence, "-", above=0.0, below=1.0)
    require_positive("most", most, "-")
    if k <= normal_quantile(share):
        return None

    def enough(count: int) -> bool:
        return one_sided_factor(count=count, share=share, confidence=confidence) <= k

    low, high = 1, 2
    while not enough(high):
        low, high = high, 2 * high
        if low >= most:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        if enough(middle):
            high = middle
        else:
            low = middle
    return high if high <= most else None


def _require(share_beyond: float, count: int, least: int) -> None:
    require_within("share_beyond", share_beyond, "-", above=0.0, below=1.0)
    if count < least:
        raise InputError("count", count, "-", f"{least} or more")
