"""Normal and Student t distributions, in plain floats: small commands start without a statistics library."""

import math
from typing import Final

from mainwright.errors import InputError, SolveError, require_positive, require_within

__all__ = [
    "chi_square_exceeds",
    "incomplete_beta",
    "log_normal_probability",
    "normal_density",
    "normal_probability",
    "normal_quantile",
    "student_probability",
    "student_quantile",
]

_ROOT_TWO: Final = math.sqrt(2.0)
_ROOT_TWO_PI: Final = math.sqrt(2.0 * math.pi)
_HALF_LOG_TWO_PI: Final = 0.5 * math.log(2.0 * math.pi)


def normal_density(z: float) -> float:
    r"""Return the density of the standard normal distribution.

    Parameters
    ----------
    z : float
        Standard deviations from the mean. [-]

    Returns
    -------
    float
        Density. [-]

    Notes
    -----
    :math:`\varphi(z) = e^{-z^2/2} / \sqrt{2 \pi}`.

    References
    ----------
    Abramowitz, M., Stegun, I. A. (1964), Handbook of Mathematical Functions, 26.2.1.

    Examples
    --------
    >>> round(normal_density(0.0), 6)
    0.398942
    """
    return math.exp(-0.5 * z * z) / _ROOT_TWO_PI


def normal_probability(z: float) -> float:
    r"""Return the probability that a standard normal variable is not over a value.

    Parameters
    ----------
    z : float
        Standard deviations from the mean. [-]

    Returns
    -------
    float
        Probability. [-]

    Notes
    -----
    :math:`\Phi(z) = \operatorname{erfc}(-z / \sqrt 2) / 2`, exact in both tails.

    References
    ----------
    Abramowitz, M., Stegun, I. A. (1964), Handbook of Mathematical Functions, 26.2.29.

    Examples
    --------
    >>> normal_probability(0.0)
    0.5
    """
    return 0.5 * math.erfc(-z / _ROOT_TWO)


def log_normal_probability(z: float) -> float:
    r"""Return the logarithm of the normal probability, with all its digits in both tails.

    Parameters
    ----------
    z : float
        Standard deviations from the mean. [-]

    Returns
    -------
    float
        :math:`\ln \Phi(z)`. [-]

    Notes
    -----
    Near one by ``log1p`` of the other tail, so that thousands of stretches can be multiplied; far below the mean by the asymptotic series.

    References
    ----------
    Abramowitz, M., Stegun, I. A. (1964), Handbook of Mathematical Functions, 26.2.12 and 26.2.29.

    Examples
    --------
    >>> f"{log_normal_probability(9.0):.9e}"
    '-1.128588406e-19'
    """
    if z > -1.0:
        return math.log1p(-0.5 * math.erfc(z / _ROOT_TWO))
    if z > -30.0:
        return math.log(0.5 * math.erfc(-z / _ROOT_TWO))
    inverse = 1.0 / (z * z)
    series = 1.0 - inverse * (1.0 - 3.0 * inverse * (1.0 - 5.0 * inverse * (1.0 - 7.0 * inverse)))
    return -0.5 * z * z - _HALF_LOG_TWO_PI - math.log(-z) + math.log(series)


def normal_quantile(probability: float) -> float:
    """Return the value that a standard normal variable is under with a given probability.

    Parameters
    ----------
    probability : float
        Strictly between 0 and 1. [-]

    Returns
    -------
    float
        Standard deviations from the mean. [-]

    Raises
    ------
    InputError
        If the probability is not strictly between 0 and 1.

    Notes
    -----
    A rational first guess, then Halley's steps on the exact probability to machine precision.

    References
    ----------
    Abramowitz, M., Stegun, I. A. (1964), Handbook of Mathematical Functions, 26.2.23 (first guess).

    Examples
    --------
    >>> round(normal_quantile(0.975), 6)
    1.959964
    """
    require_within("probability", probability, "-", above=0.0, below=1.0)
    tail = min(probability, 1.0 - probability)
    root = math.sqrt(-2.0 * math.log(tail))
    z = root - (2.515517 + root * (0.802853 + root * 0.010328)) / (1.0 + root * (1.432788 + root * (0.189269 + root * 0.001308)))
    for _ in range(4):
        # Upper tail, so that small probabilities keep their digits.
        ratio = (0.5 * math.erfc(z / _ROOT_TWO) - tail) / normal_density(z)
        step = ratio / (1.0 + 0.5 * z * ratio)
        z += step
        if abs(step) < 1e-15 * (1.0 + abs(z)):
            break
    return z if probability > 0.5 else -z


def incomplete_beta(*, a: float, b: float, x: float) -> float:
    r"""Return the regularised incomplete beta function.

    Parameters
    ----------
    a : float
        First parameter, over zero. [-]
    b : float
        Second parameter, over zero. [-]
    x : float
        Upper limit, 0 to 1. [-]

    Returns
    -------
    float
        :math:`I_x(a, b)`. [-]

    Raises
    ------
    InputError
        If an argument is out of range.
    SolveError
        If the fraction does not converge.

    Notes
    -----
    Continued fraction by Lentz's method, on the side where it converges fast.

    References
    ----------
    Abramowitz, M., Stegun, I. A. (1964), Handbook of Mathematical Functions, 26.5.8; Lentz, W. J. (1976), Applied Optics 15, 668-671.

    Examples
    --------
    >>> round(incomplete_beta(a=2.0, b=2.0, x=0.25), 6)
    0.15625
    """
    require_positive("a", a, "-")
    require_positive("b", b, "-")
    if not 0.0 <= x <= 1.0:
        raise InputError("x", x, "-", "0 to 1")
    if x in (0.0, 1.0):
        return x
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _beta_fraction(a, b, x) / a
    return 1.0 - front * _beta_fraction(b, a, 1.0 - x) / b


def _beta_fraction(a: float, b: float, x: float) -> float:
    tiny = 1e-300
    c = 1.0
    d = 1.0 - (a + b) * x / (a + 1.0)
    d = 1.0 / (d if abs(d) > tiny else tiny)
    result = d
    for m in range(1, 10_000):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0)),
        ):
            d = 1.0 + term * d
            c = 1.0 + term / c
            d = 1.0 / (d if abs(d) > tiny else tiny)
            c = c if abs(c) > tiny else tiny
            result *= c * d
        if abs(c * d - 1.0) < 1e-16 * 8:
            return result
    raise SolveError("continued fraction of the incomplete beta function", c * d - 1.0, 10_000)


def chi_square_exceeds(*, value: float, freedom: float) -> float:
    r"""Return the probability that a chi-square variable is over a value.

    Parameters
    ----------
    value : float
        The value. [-]
    freedom : float
        Degrees of freedom, over zero. [-]

    Returns
    -------
    float
        Probability; one where the value is not positive. [-]

    Raises
    ------
    InputError
        If the degrees of freedom are not positive.
    SolveError
        If series or fraction does not converge.

    Notes
    -----
    The upper incomplete gamma function :math:`Q(\nu/2, x/2)`: one less its series up to the middle, a continued fraction beyond.

    References
    ----------
    Abramowitz, M., Stegun, I. A. (1964), Handbook of Mathematical Functions, 6.5.29, 6.5.31 and 26.4.19.

    Examples
    --------
    >>> round(chi_square_exceeds(value=3.841459, freedom=1.0), 6)
    0.05
    """
    require_positive("freedom", freedom, "-")
    if value <= 0.0:
        return 1.0
    a, x = 0.5 * freedom, 0.5 * value
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    if x < a + 1.0:
        term = total = 1.0 / a
        for n in range(1, 100_000):
            term *= x / (a + n)
            total += term
            if term < 1e-17 * total:
                return 1.0 - front * total
    else:
        b, tiny = x + 1.0 - a, 1e-300
        c, d = 1.0 / tiny, 1.0 / b
        total = d
        for n in range(1, 100_000):
            step = -n * (n - a)
            b += 2.0
            d = 1.0 / (step * d + b or tiny)
            c = b + step / c or tiny
            total *= c * d
            if abs(c * d - 1.0) < 1e-15:
                return front * total
    raise SolveError("incomplete gamma function", front, 100_000)


def student_probability(*, t: float, freedom: float) -> float:
    r"""Return the probability that a Student t variable is not over a value.

    Parameters
    ----------
    t : float
        The value. [-]
    freedom : float
        Degrees of freedom, over zero. [-]

    Returns
    -------
    float
        Probability. [-]

    Raises
    ------
    InputError
        If the degrees of freedom are not positive.

    Notes
    -----
    :math:`1 - \tfrac12 I_{\nu/(\nu+t^2)}(\nu/2, 1/2)` for a positive t.

    References
    ----------
    Abramowitz, M., Stegun, I. A. (1964), Handbook of Mathematical Functions, 26.7.1.

    Examples
    --------
    >>> round(student_probability(t=1.0, freedom=1.0), 12)
    0.75
    """
    require_positive("freedom", freedom, "-")
    square = t * t
    if square < 0.25:  # here nothing cancels against the half
        half = 0.5 * incomplete_beta(a=0.5, b=0.5 * freedom, x=square / (freedom + square))
        return 0.5 + math.copysign(half, t)
    tail = 0.5 * incomplete_beta(a=0.5 * freedom, b=0.5, x=freedom / (freedom + square))
    return tail if t < 0.0 else 1.0 - tail


def student_quantile(*, probability: float, freedom: float) -> float:
    r"""Return the value that a Student t variable is under with a given probability.

    Parameters
    ----------
    probability : float
        Strictly between 0 and 1. [-]
    freedom : float
        Degrees of freedom, over zero. [-]

    Returns
    -------
    float
        The value. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    Newton's steps on :math:`\operatorname{asinh}(t)`, in which even the tail of one degree of freedom is tame, kept inside a bracket.

    References
    ----------
    Abramowitz, M., Stegun, I. A. (1964), Handbook of Mathematical Functions, 26.7.1; Newton's method.

    Examples
    --------
    >>> round(student_quantile(probability=0.975, freedom=10.0), 4)
    2.2281
    """
    require_within("probability", probability, "-", above=0.0, below=1.0)
    require_positive("freedom", freedom, "-")
    tail = min(probability, 1.0 - probability)
    if tail == 0.5:
        return 0.0
    constant = math.lgamma(0.5 * (freedom + 1.0)) - math.lgamma(0.5 * freedom) - 0.5 * math.log(freedom * math.pi)
    low, high = 0.0, 700.0
    u = math.asinh(min(-normal_quantile(tail), 1e3))
    for _ in range(200):
        t = math.sinh(u)
        there = student_probability(t=-t, freedom=freedom)
        if there > tail:
            low = u
        else:
            high = u
        # d(tail)/du = -density * cosh(u); the step is on the logarithm of the tail.
        slope = math.exp(constant - 0.5 * (freedom + 1.0) * math.log1p(t * t / freedom)) * math.cosh(u)
        step = there * math.log(there / tail) / slope if there > 0.0 and slope > 0.0 else math.inf
        after = u + step
        if not low < after < high:
            after = 0.5 * (low + high)
        if abs(after - u) <= 1e-15 * (1.0 + u):
            u = after
            break
        u = after
    t = math.sinh(u)
    return t if probability > 0.5 else -t
