"""Straight-line calibration, its prediction, and the reading of it backwards."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.errors import InputError, require_within
from mainwright.science.measurement.distributions import student_quantile

__all__ = ["Interval", "Inverse", "StraightLine", "inverse_prediction", "mean_response", "prediction", "straight_line"]


@dataclass(frozen=True, slots=True)
class StraightLine:
    """A line fitted by least squares; y is the response, x the setting.

    Attributes
    ----------
    intercept, slope
        Of the line. [y] [y/x]
    intercept_deviation, slope_deviation
        Their standard errors; None with two points. [y] [y/x]
    deviation
        Standard deviation of the points about the line; None with two points. [y]
    count
        Points. [-]
    mean_x, mean_y
        Centre of the points. [x] [y]
    squares_x
        Sum of squares of x about its mean. [x2]
    r_squared
        Share of the variation that the line explains. [-]
    residuals
        Observed less fitted, in the order of the points: a curve shows in them. [y]
    """

    intercept: float
    slope: float
    intercept_deviation: float | None
    slope_deviation: float | None
    deviation: float | None
    count: int
    mean_x: float
    mean_y: float
    squares_x: float
    r_squared: float
    residuals: tuple[float, ...]

    @property
    def freedom(self) -> int:
        """Degrees of freedom of the deviation."""
        return self.count - 2


@dataclass(frozen=True, slots=True)
class Interval:
    """A predicted response and its limits; None with two points, which say nothing of their error. [y]."""

    value: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Inverse:
    """The setting for a response.

    Attributes
    ----------
    value
        Setting on the line. [x]
    low, high
        Fieller's limits; None where they are not bounded. [x]
    bounded
        Whether the slope is sure enough for the limits to be an interval.
    deviation
        Standard error by first order; None with two points. [x]
    """

    value: float
    low: float | None
    high: float | None
    bounded: bool
    deviation: float | None


def straight_line(*, x: Sequence[float], y: Sequence[float]) -> StraightLine:
    r"""Return the line of least squares through points.

    Parameters
    ----------
    x : sequence of float
        Settings, taken as exact. [x]
    y : sequence of float
        Responses. [y]

    Returns
    -------
    StraightLine
        The line with its standard errors.

    Raises
    ------
    InputError
        If there are fewer than two points, not as many x as y, or one x only.

    Notes
    -----
    Sums about the means, exactly rounded (``fsum``), so that a far-off zero costs no digits.

    References
    ----------
    Draper, N. R., Smith, H., Applied Regression Analysis, chapter 1; checked with the certified sets of NIST.

    Examples
    --------
    >>> line = straight_line(x=[20, 40, 60, 80], y=[10.1, 20.3, 30.2, 40.4])
    >>> round(line.intercept, 3), round(line.slope, 4)
    (0.05, 0.504)
    """
    n = len(x)
    if n != len(y):
        raise InputError("y", len(y), "values", f"as many as x, {n}")
    if n < 2 or not all(math.isfinite(value) for value in (*x, *y)):
        raise InputError("points", n, "-", "two or more, all finite")
    mean_x, mean_y = math.fsum(x) / n, math.fsum(y) / n
    dx = [value - mean_x for value in x]
    dy = [value - mean_y for value in y]
    sxx = math.fsum(a * a for a in dx)
    if sxx <= 0.0 or max(x) == min(x):
        raise InputError("x", x[0], "", "at least two different settings")
    slope = math.fsum(a * b for a, b in zip(dx, dy, strict=True)) / sxx
    # The mean of x is rounded: what is left of the sum of dx is taken into the intercept.
    intercept = mean_y - slope * mean_x
    residuals = tuple(b - slope * a for a, b in zip(dx, dy, strict=True))
    rest = math.fsum(r * r for r in residuals)
    whole = math.fsum(b * b for b in dy)
    r_squared = 1.0 - rest / whole if whole > 0.0 else 1.0
    if n == 2:
        return StraightLine(intercept, slope, None, None, None, n, mean_x, mean_y, sxx, r_squared, residuals)
    s = math.sqrt(rest / (n - 2))
    return StraightLine(
        intercept, slope, s * math.sqrt(1.0 / n + mean_x**2 / sxx), s / math.sqrt(sxx), s, n, mean_x, mean_y, sxx, r_squared, residuals
    )


def _response(line: StraightLine, x: float, confidence: float, alone: float) -> Interval:
    require_within("confidence", confidence, "-", above=0.0, below=1.0)
    value = line.mean_y + line.slope * (x - line.mean_x)
    if line.deviation is None:
        return Interval(value, None, None)
    t = student_quantile(probability=0.5 + 0.5 * confidence, freedom=line.freedom)
    half = t * line.deviation * math.sqrt(alone + 1.0 / line.count + (x - line.mean_x) ** 2 / line.squares_x)
    return Interval(value, value - half, value + half)


def mean_response(*, line: StraightLine, x: float, confidence: float) -> Interval:
    r"""Return the mean response at a setting with its confidence limits.

    Parameters
    ----------
    line : StraightLine
        From `straight_line`. [-]
    x : float
        Setting. [x]
    confidence : float
        Two-sided, 0 to 1. [-]

    Returns
    -------
    Interval
        Of the line itself. [y]

    Raises
    ------
    InputError
        If the confidence is not between 0 and 1.

    Notes
    -----
    :math:`\hat y \pm t s \sqrt{1/n + (x - \bar x)^2 / S_{xx}}`.

    References
    ----------
    Draper, N. R., Smith, H., Applied Regression Analysis, section 1.4.

    Examples
    --------
    >>> line = straight_line(x=[20, 40, 60, 80], y=[10.1, 20.3, 30.2, 40.4])
    >>> round(mean_response(line=line, x=50.0, confidence=0.95).value, 2)
    25.25
    """
    return _response(line, x, confidence, 0.0)


def prediction(*, line: StraightLine, x: float, confidence: float, repeats: int) -> Interval:
    r"""Return the mean of so many further responses at a setting, with its prediction limits.

    Parameters
    ----------
    line : StraightLine
        From `straight_line`. [-]
    x : float
        Setting. [x]
    confidence : float
        Two-sided, 0 to 1. [-]
    repeats : int
        Further readings whose mean is meant, one or more. [-]

    Returns
    -------
    Interval
        Of the mean of the readings to come. [y]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`\hat y \pm t s \sqrt{1/m + 1/n + (x - \bar x)^2 / S_{xx}}`.

    References
    ----------
    Draper, N. R., Smith, H., Applied Regression Analysis, section 1.4.

    Examples
    --------
    >>> line = straight_line(x=[20, 40, 60, 80], y=[10.1, 20.3, 30.2, 40.4])
    >>> found = prediction(line=line, x=50.0, confidence=0.95, repeats=1)
    >>> round(found.low, 2), round(found.high, 2)
    (24.79, 25.71)
    """
    if repeats < 1:
        raise InputError("repeats", repeats, "-", "1 or more")
    return _response(line, x, confidence, 1.0 / repeats)


def inverse_prediction(*, line: StraightLine, y: float, confidence: float, repeats: int | None) -> Inverse:
    r"""Return the setting for a response, with Fieller's limits.

    Parameters
    ----------
    line : StraightLine
        From `straight_line`. [-]
    y : float
        The response: a wanted mean, or the mean of readings. [y]
    confidence : float
        Two-sided, 0 to 1. [-]
    repeats : int or None
        Readings whose mean is `y`; None where the mean response itself is meant. [-]

    Returns
    -------
    Inverse
        Setting and limits. [x]

    Raises
    ------
    InputError
        If an argument is out of range, or the line is level.

    Notes
    -----
    The limits are where the band of the line meets y:
    :math:`(b^2 - t^2 s^2 / S_{xx}) d^2 - 2 b (y - \bar y) d + (y - \bar y)^2 - t^2 s^2 (1/m + 1/n) = 0`, :math:`d = x - \bar x`, without
    :math:`1/m` for the mean response. They are an interval only while the slope differs from zero at the same confidence.

    References
    ----------
    Fieller, E. C. (1954), Some problems in interval estimation, J. R. Stat. Soc. B 16, 175-185; Graybill, F. A., Iyer, H. K. (1994),
    Regression Analysis: Concepts and Applications, chapter 6.

    Examples
    --------
    >>> line = straight_line(x=[20, 40, 60, 80], y=[10.1, 20.3, 30.2, 40.4])
    >>> found = inverse_prediction(line=line, y=30.0, confidence=0.95, repeats=None)
    >>> round(found.value, 2), round(found.low, 2), round(found.high, 2)
    (59.42, 58.99, 59.87)
    """
    require_within("confidence", confidence, "-", above=0.0, below=1.0)
    if repeats is not None and repeats < 1:
        raise InputError("repeats", repeats, "-", "1 or more")
    if line.slope == 0.0:
        raise InputError("slope", line.slope, "", "not level: a level line says nothing of the setting")
    away = y - line.mean_y
    value = line.mean_x + away / line.slope
    if line.deviation is None:
        return Inverse(value, None, None, bounded=False, deviation=None)
    alone = (0.0 if repeats is None else 1.0 / repeats) + 1.0 / line.count
    error = line.deviation / abs(line.slope) * math.sqrt(alone + (value - line.mean_x) ** 2 / line.squares_x)
    t = student_quantile(probability=0.5 + 0.5 * confidence, freedom=line.freedom)
    noise = (t * line.deviation) ** 2
    leading = line.slope**2 - noise / line.squares_x
    if leading <= 0.0:
        return Inverse(value, None, None, bounded=False, deviation=error)
    middle = line.slope * away / leading
    half = math.sqrt(noise * (leading * alone + away * away / line.squares_x)) / leading
    return Inverse(value, line.mean_x + middle - half, line.mean_x + middle + half, bounded=True, deviation=error)
