"""Linear least squares with several unknowns."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.errors import InputError

__all__ = ["LinearFit", "least_squares", "polynomial"]


@dataclass(frozen=True, slots=True)
class LinearFit:
    """Coefficients of a linear model.

    Attributes
    ----------
    coefficients, deviations
        Estimates and their standard errors, in the order of the columns; errors None without freedom.
    deviation
        Standard deviation of the observations about the model; None without freedom.
    r_squared
        Share of the variation about the mean that the model explains. [-]
    freedom
        Observations less unknowns. [-]
    """

    coefficients: tuple[float, ...]
    deviations: tuple[float, ...] | None
    deviation: float | None
    r_squared: float
    freedom: int


def least_squares(*, rows: Sequence[Sequence[float]], y: Sequence[float]) -> LinearFit:
    r"""Return the coefficients with which a linear model comes nearest to observations.

    Parameters
    ----------
    rows : sequence of sequence of float
        One row of the design for each observation; give a column of ones for a constant. [x]
    y : sequence of float
        Observations. [y]

    Returns
    -------
    LinearFit
        Coefficients with their standard errors.

    Raises
    ------
    InputError
        If there are fewer observations than unknowns, or the columns do not tell the unknowns apart.

    Notes
    -----
    Columns are scaled to unit length and the model is solved by Householder's orthogonal triangularisation, then refined once on its
    residuals, whose sums are rounded exactly: normal equations, which square the condition, are never formed.

    References
    ----------
    Björck, Å. (1996), Numerical Methods for Least Squares Problems, sections 2.4 and 2.9; checked with the certified sets of NIST.

    Examples
    --------
    >>> fit = least_squares(rows=polynomial(x=[0, 1, 2, 3], degree=2), y=[1, 3, 7, 13])
    >>> [round(value, 9) for value in fit.coefficients]
    [1.0, 1.0, 1.0]
    """
    n = len(rows)
    p = len(rows[0]) if n else 0
    if n != len(y) or any(len(row) != p for row in rows):
        raise InputError("rows", n, "-", f"as many as observations, {len(y)}, all of one width")
    if p == 0 or n < p:
        raise InputError("observations", n, "-", f"at least as many as unknowns, {p}")
    scales = [math.sqrt(math.fsum(row[j] ** 2 for row in rows)) for j in range(p)]
    if min(scales) == 0.0:
        raise InputError("column", scales.index(0.0) + 1, "", "not all zero")
    columns = [[row[j] / scales[j] for row in rows] for j in range(p)]
    reflectors, triangle = _triangularise(columns)
    solution = _solve(reflectors, triangle, list(y))
    for _ in range(2):
        rest = _residuals(columns, solution, y)
        solution = [a + b for a, b in zip(solution, _solve(reflectors, triangle, rest), strict=True)]
    rest = _residuals(columns, solution, y)
    squares = math.fsum(r * r for r in rest)
    mean = math.fsum(y) / n
    whole = math.fsum((value - mean) ** 2 for value in y)
    coefficients = tuple(value / scale for value, scale in zip(solution, scales, strict=True))
    r_squared = 1.0 - squares / whole if whole > 0.0 else 1.0
    if n == p:
        return LinearFit(coefficients, None, None, r_squared, 0)
    deviation = math.sqrt(squares / (n - p))
    spreads = _inverse_row_norms(triangle)
    deviations = tuple(deviation * spread / scale for spread, scale in zip(spreads, scales, strict=True))
    return LinearFit(coefficients, deviations, deviation, r_squared, n - p)


def polynomial(*, x: Sequence[float], degree: int) -> list[list[float]]:
    """Return the rows of a design for a polynomial.

    Parameters
    ----------
    x : sequence of float
        Settings. [x]
    degree : int
        Greatest power. [-]

    Returns
    -------
    list of list of float
        Powers 0 to `degree` of each setting.

    Raises
    ------
    InputError
        If the degree is negative.

    References
    ----------
    Definition of a polynomial.

    Examples
    --------
    >>> polynomial(x=[2.0], degree=3)
    [[1.0, 2.0, 4.0, 8.0]]
    """
    if degree < 0:
        raise InputError("degree", degree, "-", "0 or more")
    return [[float(value) ** power for power in range(degree + 1)] for value in x]


def _triangularise(columns: Sequence[Sequence[float]]) -> tuple[list[list[float]], list[list[float]]]:
    """Return Householder's vectors of unit length, and the upper triangle by columns."""
    work = [list(column) for column in columns]
    reflectors = []
    for j, column in enumerate(work):
        size = math.sqrt(math.fsum(value * value for value in column[j:]))
        if size < 1e-13:
            raise InputError("column", j + 1, "", "not a combination of the columns before it")
        v = [0.0] * j + column[j:]
        v[j] += math.copysign(size, v[j])
        norm = math.sqrt(math.fsum(value * value for value in v))
        v = [value / norm for value in v]
        reflectors.append(v)
        for k in range(j, len(work)):
            work[k] = _reflect(v, work[k])
    return reflectors, work


def _reflect(v: Sequence[float], column: Sequence[float]) -> list[float]:
    double = 2.0 * math.fsum(a * b for a, b in zip(v, column, strict=True))
    return [b - double * a for a, b in zip(v, column, strict=True)]


def _solve(reflectors: Sequence[Sequence[float]], triangle: Sequence[Sequence[float]], y: list[float]) -> list[float]:
    for v in reflectors:
        y = _reflect(v, y)
    p = len(triangle)
    solution = [0.0] * p
    for i in range(p - 1, -1, -1):
        known = math.fsum(triangle[k][i] * solution[k] for k in range(i + 1, p))
        solution[i] = (y[i] - known) / triangle[i][i]
    return solution


def _residuals(columns: Sequence[Sequence[float]], solution: Sequence[float], y: Sequence[float]) -> list[float]:
    return [math.fsum((value, *(-column[i] * b for column, b in zip(columns, solution, strict=True)))) for i, value in enumerate(y)]


def _inverse_row_norms(triangle: Sequence[Sequence[float]]) -> list[float]:
    """Return the length of each row of the inverse of the triangle: the square root of the diagonal of (R'R)^-1."""
    p = len(triangle)
    squares = [0.0] * p
    for j in range(p):
        x = [0.0] * p
        for i in range(j, -1, -1):
            known = math.fsum(triangle[k][i] * x[k] for k in range(i + 1, j + 1))
            x[i] = ((1.0 if i == j else 0.0) - known) / triangle[i][i]
        for i in range(j + 1):
            squares[i] += x[i] * x[i]
    return [math.sqrt(value) for value in squares]
