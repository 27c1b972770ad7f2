"""How probable it is that no point of a run falls under its minimum.

The pump's bias is shared by the whole run and does not average out; flow, speed and bore scatter from stretch to stretch. Both
are kept apart here, and joined only in the probability that a run keeps its limits.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Final

from mainwright.errors import InputError, require_not_negative, require_within
from mainwright.science.measurement.distributions import normal_probability, normal_quantile
from mainwright.science.placement.scatter import Scatter, stretches_in

__all__ = ["SHARE_OF_BORE", "AimLength", "RunRow", "failure_probability", "failures", "run_confidence", "run_rows"]

SHARE_OF_BORE: Final = 0.49
"""No lining is thicker than this share of the bore: the first-order scatter has no meaning where the bore closes. [-] Chosen here."""

_ROOT_HALF: Final = math.sqrt(0.5)
_NODES: Final = 40
_TAIL: Final = 7.2  # beyond it a normal variable lies with a probability of 3e-13


@dataclass(frozen=True, slots=True)
class AimLength:
    """A length of one bore inside a run, with what the contract asks there.

    Attributes
    ----------
    length, bore
        How long, and inside diameter of the cleaned main. [m]
    nominal, minimum
        The aim is never under the nominal; no point may be under the minimum. [m]
    mean_minimum, maximum, single_coat_max
        No mean of the run under the first, no aim over the others; None where there is no such limit. [m]
    """

    length: float
    bore: float
    nominal: float
    minimum: float
    mean_minimum: float | None = None
    maximum: float | None = None
    single_coat_max: float | None = None


RunRow = tuple[int, float, float, float]
"""One length as the loops want it: stretches [-], bore, nominal, minimum with eccentricity [m]."""


def run_rows(*, lengths: Sequence[AimLength], scatter: Scatter) -> tuple[RunRow, ...]:
    """Return the lengths of a run as the probability needs them.

    Parameters
    ----------
    lengths : sequence of AimLength
        The lengths of one bore that make up the run. [-]
    scatter : Scatter
        What makes the thickness uncertain. [-]

    Returns
    -------
    tuple of RunRow
        One row for each length.

    Raises
    ------
    InputError
        If there is no length, or one is impossible.

    References
    ----------
    None needed: a check and a change of shape.
    """
    if not lengths:
        raise InputError("lengths", "empty", "-", "at least one length")
    rows = []
    for part in lengths:
        floor = part.minimum + scatter.eccentricity
        cap = SHARE_OF_BORE * part.bore
        if not (part.minimum >= 0.0 and floor < cap and 0.0 < part.nominal < cap < math.inf):
            require_within("bore", part.bore, "m", above=0.0, below=math.inf)
            require_not_negative("minimum", part.minimum, "m")
            require_within("nominal", part.nominal, "m", above=0.0, below=cap)
            require_within("minimum and eccentricity", floor, "m", above=-1.0, below=cap)
        rows.append((stretches_in(length=part.length, correlation=scatter.correlation), part.bore, part.nominal, floor))
    return tuple(rows)


@lru_cache(maxsize=4)
def _gauss_legendre(count: int) -> tuple[tuple[float, float], ...]:
    # Newton on the Legendre polynomial; half of the nodes, the rest by symmetry.
    pairs = []
    for i in range(1, count // 2 + 1):
        x = math.cos(math.pi * (i - 0.25) / (count + 0.5))
        for _ in range(100):
            before, here = 1.0, x
            for n in range(2, count + 1):
                before, here = here, ((2 * n - 1) * x * here - (n - 1) * before) / n
            slope = count * (x * here - before) / (x * x - 1.0)
            step = here / slope
            x -= step
            if abs(step) < 1e-16:
                break
        weight = 2.0 / ((1.0 - x * x) * slope * slope)
        pairs += [(x, weight), (-x, weight)]
    return tuple(pairs)


def _log_keeps(scores: Sequence[tuple[int, float, float]], bias: float) -> float:
    """Return the logarithm of the probability that every stretch keeps its minimum, the shared bias given."""
    total = 0.0
    for count, score, slope in scores:
        z = score + slope * bias
        if z > -1.0:
            total += count * math.log1p(-0.5 * math.erfc(z * _ROOT_HALF))
        elif z > -25.0:
            total += count * math.log(0.5 * math.erfc(-z * _ROOT_HALF))
        else:
            return -math.inf
    return total


def failures(  # noqa: PLR0917 a compiled function takes its arguments by place
    counts: Sequence[int],
    scores: Sequence[float],
    slopes: Sequence[float],
    nodes: Sequence[float],
    weights: Sequence[float],
    half: float,
    middle: float,
) -> float:
    """Return the sum over the nodes of a quadrature of the probability that some stretch falls under its minimum, each at its bias.

    Parameters
    ----------
    counts : sequence of int
        Stretches of each length. [-]
    scores : sequence of float
        Of each length, of the minimum without bias. [-]
    slopes : sequence of float
        How each score moves with the bias. [-]
    nodes : sequence of float
        Of the quadrature, between -1 and 1. [-]
    weights : sequence of float
        Of its nodes. [-]
    half : float
        Half the width of the biases. [-]
    middle : float
        Their middle. [-]

    Returns
    -------
    float
        Weighted by the density of the bias, without its constant. [-]

    References
    ----------
    See `run_confidence`.
    """
    total = 0.0
    for k in range(len(nodes)):
        bias = middle + half * nodes[k]
        keeps = 0.0
        for j in range(len(counts)):
            z = scores[j] + slopes[j] * bias
            if z > -1.0:
                keeps += counts[j] * math.log1p(-0.5 * math.erfc(z * _ROOT_HALF))
            elif z > -25.0:
                keeps += counts[j] * math.log(0.5 * math.erfc(-z * _ROOT_HALF))
            else:
                keeps = -math.inf
                break
        total -= weights[k] * math.exp(-0.5 * bias * bias) * math.expm1(keeps)
    return total


@cache
def _compiled() -> Callable[..., float]:
    """Return the sum, compiled; the compiled code is kept between processes."""
    import numba

    found: Callable[..., float] = numba.njit(cache=True, nogil=True)(failures)
    return found


@cache
def _node_arrays() -> tuple[Any, Any]:
    import numpy as np

    pairs = np.array(_gauss_legendre(_NODES))
    return np.ascontiguousarray(pairs[:, 0]), np.ascontiguousarray(pairs[:, 1])


def failure_probability(*, rows: Sequence[RunRow], thicknesses: Sequence[float], scatter: Scatter, compiled: bool = False) -> float:
    """Return the probability that some point of a run falls under its minimum.

    Parameters
    ----------
    rows : sequence of RunRow
        The lengths of the run, from `run_rows`. [-]
    thicknesses : sequence of float
        Mean thickness of each, over zero and under half its bore; not checked here. [m]
    scatter : Scatter
        What makes the thickness uncertain. [-]
    compiled : bool
        Whether the sum is worth its compiling: where thousands of runs are asked for. [-]

    Returns
    -------
    float
        Probability, with its digits kept where it is small. [-]

    Notes
    -----
    One less `run_confidence`.

    References
    ----------
    See `run_confidence`.
    """
    variance = scatter.flow**2 + scatter.speed**2
    pits, bore_deviation, bias = scatter.pit_allowance, scatter.bore, scatter.flow_bias
    scores = []
    certain: list[tuple[float, float]] = []
    for (count, bore, _, floor), thickness in zip(rows, thicknesses, strict=True):
        free = bore - 2.0 * thickness
        k = (thickness * (bore - thickness) + bore * pits) / free
        of_bore = (thickness + pits) / free * bore_deviation
        deviation = math.sqrt(k * k * variance + of_bore * of_bore)
        margin = thickness - floor
        if deviation > 0.0:
            scores.append((count, margin / deviation, k * bias / deviation))
        else:
            certain.append((margin, k * bias))
    if bias == 0.0:
        if any(margin < -1e-15 for margin, _ in certain):
            return 1.0
        return -math.expm1(_log_keeps(scores, 0.0))
    # Without scatter a length keeps its minimum from one value of the bias on.
    low = max((-margin / slope for margin, slope in certain), default=-_TAIL)
    if not scores:
        return normal_probability(low)
    return _failure_under_bias(scores, max(low, -_TAIL), compiled=compiled)


def _failure_under_bias(scores: Sequence[tuple[int, float, float]], low: float, *, compiled: bool) -> float:
    # Left of `start` some stretch surely fails, right of `end` none does; between them the sigmoid is smooth.
    start, end = low, -_TAIL
    for count, score, slope in scores:
        under, over = _sigmoid(count)
        start = max(start, (under - score) / slope)
        end = max(end, (over - score) / slope)
    start, end = min(start, _TAIL), min(end, _TAIL)
    failure = normal_probability(start)
    if end <= start:
        return failure
    half, middle = 0.5 * (end - start), 0.5 * (end + start)
    if len(scores) == 1:
        # The usual case, kept short: no score lies so low here that a product of probabilities loses its digits.
        exp, expm1, log1p, erfc = math.exp, math.expm1, math.log1p, math.erfc
        total = 0.0
        count, score, slope = scores[0]
        for node, weight in _gauss_legendre(_NODES):
            bias = middle + half * node
            total -= weight * exp(-0.5 * bias * bias) * expm1(count * log1p(-0.5 * erfc((score + slope * bias) * _ROOT_HALF)))
    elif compiled:
        import numpy as np

        counts, lows, slopes = np.array(scores).T
        total = _compiled()(counts, lows, slopes, *_node_arrays(), half, middle)
    else:
        counts, lows, slopes = zip(*scores, strict=True)
        nodes, weights = zip(*_gauss_legendre(_NODES), strict=True)
        total = failures(counts, lows, slopes, nodes, weights, half, middle)
    return failure + half * total / math.sqrt(2.0 * math.pi)


@lru_cache(maxsize=4096)
def _sigmoid(count: int) -> tuple[float, float]:
    """Return between which scores the probability of so many stretches rises from nothing to certainty."""
    return normal_quantile(math.exp(-28.0 / count)), math.sqrt(2.0 * math.log(count / 1e-13))


def run_confidence(*, lengths: Sequence[AimLength], thicknesses: Sequence[float], scatter: Scatter) -> float:
    r"""Return the probability that no point of a run falls under its minimum.

    Parameters
    ----------
    lengths : sequence of AimLength
        The lengths of one bore that make up the run. [-]
    thicknesses : sequence of float
        Mean thickness of each. [m]
    scatter : Scatter
        What makes the thickness uncertain. [-]

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
    :math:`\int \varphi_B \prod_j \Phi((T_j + k_j B - e - m_j) / s_j)^{N_j} dB`, with :math:`N_j` the length over the correlation
    length, rounded up, and B the pump's shared relative error. The integral is taken by Gauss and Legendre's rule between the
    bias at which some stretch surely fails and the one at which none does; what lies outside is exact.

    References
    ----------
    Derived here: independent stretches given the bias, and the law of total probability. Quadrature: Abramowitz, M., Stegun,
    I. A. (1964), Handbook of Mathematical Functions, 25.4.29.

    Examples
    --------
    >>> usual = Scatter(flow_bias=0.0, flow=0.03, speed=0.03, bore=0.001, eccentricity=0.0, pit_allowance=0.0, correlation=1.0)
    >>> run = [AimLength(length=150.0, bore=0.15, nominal=0.006, minimum=0.005)]
    >>> round(run_confidence(lengths=run, thicknesses=[0.006], scatter=usual), 4)
    0.9849
    """
    rows = run_rows(lengths=lengths, scatter=scatter)
    for (_, bore, _, _), thickness in zip(rows, thicknesses, strict=True):
        require_within("thickness", thickness, "m", above=0.0, below=0.5 * bore)
    return 1.0 - failure_probability(rows=rows, thicknesses=thicknesses, scatter=scatter)
