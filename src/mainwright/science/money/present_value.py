"""What an amount is worth at another time: annuities, sinking funds, gradients, rising prices, and the rate at which all balances."""

import math
from collections.abc import Sequence
from itertools import pairwise

from mainwright.errors import InputError, SolveError

__all__ = [
    "annuity_future_value",
    "annuity_present_value",
    "capital_recovery",
    "gradient_present_value",
    "growing_annuity_present_value",
    "internal_rate_of_return",
    "present_value",
    "sinking_fund_payment",
]


def _compound(rate: float, years: float) -> float:
    if not rate > -1.0 or not math.isfinite(rate):
        raise InputError("rate", rate, "1/a", "more than -1")
    if not years >= 0.0 or not math.isfinite(years):
        raise InputError("years", years, "a", "at least 0")
    return math.exp(years * math.log1p(rate))


def present_value(amount: float, *, rate: float, years: float) -> float:
    r"""Return what an amount due later is worth today.

    Parameters
    ----------
    amount : float
        Amount when it is due. [currency]
    rate : float
        Rate of interest a year. [1/a]
    years : float
        Until it is due. [a]

    Returns
    -------
    float
        :math:`F (1 + i)^{-n}`. [currency]

    References
    ----------
    Compound interest; derived.
    """
    return amount / _compound(rate, years)


def annuity_present_value(payment: float, *, rate: float, years: float) -> float:
    r"""Return what equal payments at the end of each year are worth today.

    Parameters
    ----------
    payment : float
        Paid each year. [currency/a]
    rate : float
        Rate of interest a year. [1/a]
    years : float
        How many payments; a part of a year counts by the same formula. [a]

    Returns
    -------
    float
        :math:`A (1 - (1 + i)^{-n}) / i`, at no interest :math:`A n`. [currency]

    References
    ----------
    Geometric series; derived. Checked against Panneerselvam, Engineering Economics, example 4.1, p. 44.
    """
    _compound(rate, years)
    if abs(rate) * years < 1e-9:
        return payment * years
    return -payment * math.expm1(-years * math.log1p(rate)) / rate


def annuity_future_value(payment: float, *, rate: float, years: float) -> float:
    r"""Return what equal payments at the end of each year amount to with the last of them.

    Parameters
    ----------
    payment : float
        Paid each year. [currency/a]
    rate : float
        Rate of interest a year. [1/a]
    years : float
        How many payments. [a]

    Returns
    -------
    float
        :math:`A ((1 + i)^n - 1) / i`. [currency]

    References
    ----------
    Geometric series; derived. Checked against Panneerselvam, Engineering Economics, example 3.3, p. 31.
    """
    return annuity_present_value(payment, rate=rate, years=years) * _compound(rate, years)


def sinking_fund_payment(amount: float, *, rate: float, years: float) -> float:
    """Return what must be put aside each year to have an amount at the end.

    Parameters
    ----------
    amount : float
        Needed at the end. [currency]
    rate : float
        Rate of interest a year. [1/a]
    years : float
        How many payments, more than 0. [a]

    Returns
    -------
    float
        Payment at the end of each year. [currency/a]

    References
    ----------
    Inverse of `annuity_future_value`. Checked against Panneerselvam, Engineering Economics, example 3.4.
    """
    if not years > 0.0:
        raise InputError("years", years, "a", "more than 0")
    return amount / annuity_future_value(1.0, rate=rate, years=years)


def capital_recovery(amount: float, *, rate: float, years: float) -> float:
    """Return the equal payment a year that pays an amount back.

    Parameters
    ----------
    amount : float
        Spent today. [currency]
    rate : float
        Rate of interest a year. [1/a]
    years : float
        How many payments, more than 0. [a]

    Returns
    -------
    float
        Payment at the end of each year: what the amount costs a year over its life. [currency/a]

    References
    ----------
    Inverse of `annuity_present_value`. Checked against Panneerselvam, Engineering Economics, example 3.6.
    """
    if not years > 0.0:
        raise InputError("years", years, "a", "more than 0")
    return amount / annuity_present_value(1.0, rate=rate, years=years)


def gradient_present_value(step: float, *, rate: float, years: int) -> float:
    r"""Return what payments that begin at nothing and grow by the same step each year are worth today.

    Parameters
    ----------
    step : float
        By how much the payment of a year is more than that of the year before; the first is nothing. [currency/a]
    rate : float
        Rate of interest a year. [1/a]
    years : int
        How many payments. [a]

    Returns
    -------
    float
        :math:`\sum_{k=1}^{n} (k - 1) G (1 + i)^{-k}`. [currency]

    References
    ----------
    Sum written out; checked against Panneerselvam, Engineering Economics, example 10.1, p. 138.
    """
    return step * math.fsum((year - 1) / _compound(rate, year) for year in range(1, years + 1))


def growing_annuity_present_value(payment: float, *, rate: float, growth: float, years: float) -> float:
    r"""Return what payments at the end of each year are worth today when their price rises.

    Parameters
    ----------
    payment : float
        A year, at today's prices. [currency/a]
    rate : float
        Rate of interest a year. [1/a]
    growth : float
        By how much the price rises a year. [1/a]
    years : float
        How many payments. [a]

    Returns
    -------
    float
        An annuity at the rate :math:`(1 + i) / (1 + g) - 1`. [currency]

    References
    ----------
    Geometric series; derived.
    """
    if not growth > -1.0:
        raise InputError("growth", growth, "1/a", "more than -1")
    return annuity_present_value(payment, rate=(1.0 + rate) / (1.0 + growth) - 1.0, years=years)


def internal_rate_of_return(flows: Sequence[float]) -> float:
    """Return the rate at which the flows of all years together are worth nothing.

    Parameters
    ----------
    flows : sequence of float
        One for each year from today; what is spent is negative. [currency]

    Returns
    -------
    float
        Between -0.99 and 10. [1/a]

    Raises
    ------
    InputError
        If the flows do not change their sign exactly once: then there is none, or there may be several.
    SolveError
        If it lies outside those limits.

    References
    ----------
    Root of the present value, by bisection. Checked against Panneerselvam, Engineering Economics, example 7.1, p. 89.
    """
    signs = [flow > 0.0 for flow in flows if flow != 0.0]
    if sum(a != b for a, b in pairwise(signs)) != 1:
        raise InputError("flows", len(signs), "", "one change of sign")

    def worth(rate: float) -> float:
        return math.fsum(flow / _compound(rate, year) for year, flow in enumerate(flows))

    low, high = -0.99, 10.0
    rising = worth(low) < 0.0
    if (worth(high) < 0.0) == rising:
        raise SolveError("the rate of return between -0.99 and 10", residual=worth(high), count=0)
    for _ in range(200):
        middle = 0.5 * (low + high)
        if (worth(middle) < 0.0) == rising:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
