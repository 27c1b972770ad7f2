"""The mean thickness to aim at, so that no point of a run falls under the minimum."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from mainwright.errors import SolveError, require_within
from mainwright.science.measurement.distributions import normal_quantile
from mainwright.science.placement.confidence import SHARE_OF_BORE, AimLength, RunRow, failure_probability, run_rows
from mainwright.science.placement.scatter import Scatter

__all__ = ["Aim", "Governed", "Limit", "aim_thickness"]

Limit = Literal["maximum", "single_coat", "bore"]
"""bore: no thickness keeps the minimum with the wanted confidence, however thick, for the scatter grows with it."""

Governed = Literal["nominal", "minimum", "mean_minimum"]


@dataclass(frozen=True, slots=True)
class Aim:
    """The mean thickness to aim at.

    Attributes
    ----------
    thicknesses
        One for each length. [m]
    thickness
        The greatest of them. [m]
    confidence
        Probability that no point of the run falls under its minimum. [-]
    governed_by
        What makes the aim as thick as it is.
    exceeded
        Limits that this aim does not keep; empty where all are kept. With ``bore`` the aim is the nominal, and it does not keep
        the minimum with the wanted confidence.
    """

    thicknesses: tuple[float, ...]
    thickness: float
    confidence: float
    governed_by: Governed
    exceeded: tuple[Limit, ...]


def aim_thickness(*, lengths: Sequence[AimLength], scatter: Scatter, confidence: float, compiled: bool = False) -> Aim:
    r"""Return the mean thickness to aim at in each length of a run.

    Parameters
    ----------
    lengths : sequence of AimLength
        The lengths of one bore that make up the run. [-]
    scatter : Scatter
        What makes the thickness uncertain. [-]
    confidence : float
        Wanted probability that no point of the run falls under its minimum, and that its mean is not under the mean minimum. [-]
    compiled : bool
        Whether thousands of runs are asked for, so that compiling is worth its time. [-]

    Returns
    -------
    Aim
        The aim, what governs it and which limits it does not keep.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The aim is the smallest :math:`T_j = \max(nominal_j, minimum_j + e + M)` with one margin M for the whole run, so that
    `run_confidence` is at least the wanted one; where all lengths have the same minimum that is one thickness T for the run.
    The mean of the run deviates by the shared bias and by :math:`s / \sqrt N`, eccentricity does not change it:
    :math:`\bar T - z \sqrt{(\sigma_B \bar k)^2 + \sum w_j^2 s_j^2 / N_j}` is not under the mean minimum, with weights by length.
    The confidence is computed to 1e-9, the thickness to 1e-12 m. It depends on a length only through its number of stretches
    (and its weight in the mean), so results may be kept by that.

    References
    ----------
    Derived here; see `run_confidence`.

    Examples
    --------
    >>> usual = Scatter(flow_bias=0.02, flow=0.03, speed=0.03, bore=0.001, eccentricity=0.0, pit_allowance=0.0, correlation=1.0)
    >>> found = aim_thickness(lengths=[AimLength(300.0, 0.15, 0.006, 0.005)], scatter=usual, confidence=0.95)
    >>> round(1000 * found.thickness, 3), found.governed_by, found.exceeded
    (6.061, 'minimum', ())
    """
    require_within("confidence", confidence, "-", above=0.0, below=1.0)
    rows = run_rows(lengths=lengths, scatter=scatter)
    means: tuple[tuple[float, float], ...] = ()
    if any(part.mean_minimum is not None for part in lengths):
        # A length without a mean minimum of its own is asked for no more than its minimum.
        means = tuple((part.length, part.minimum if part.mean_minimum is None else part.mean_minimum) for part in lengths)
    thicknesses, reached, governed, attained = _solve(rows, means, scatter, confidence, compiled=compiled)
    exceeded: list[Limit] = [] if attained else ["bore"]
    if any(part.maximum is not None and thickness > part.maximum + 1e-12 for part, thickness in zip(lengths, thicknesses, strict=True)):
        exceeded.append("maximum")
    if any(
        part.single_coat_max is not None and thickness > part.single_coat_max + 1e-12
        for part, thickness in zip(lengths, thicknesses, strict=True)
    ):
        exceeded.append("single_coat")
    return Aim(thicknesses, max(thicknesses), reached, governed, tuple(exceeded))


@lru_cache(maxsize=16384)
def _solve(
    rows: tuple[RunRow, ...], means: tuple[tuple[float, float], ...], scatter: Scatter, confidence: float, *, compiled: bool
) -> tuple[tuple[float, ...], float, Governed, bool]:
    """Return thicknesses, confidence reached, what governs, and whether the wanted confidence is reached at all."""
    # Up to this margin the nominal governs every length and nothing changes.
    plateau = max(min(row[2] - row[3] for row in rows), 0.0)
    cap = min(SHARE_OF_BORE * row[1] - row[3] for row in rows)
    governed: Governed = "nominal" if all(row[2] >= row[3] for row in rows) else "minimum"
    at_plateau = _thicknesses(rows, plateau)
    known: dict[float, float] = {}

    def failing_with(margin: float) -> float:
        # Each takes a tenth of a millisecond or more, and the first and the last margin are asked for twice.
        if margin not in known:
            known[margin] = failure_probability(rows=rows, thicknesses=_thicknesses(rows, margin), scatter=scatter, compiled=compiled)
        return known[margin]

    failure = failing_with(plateau)
    margin: float | None = plateau
    if failure > 1.0 - confidence:
        margin = _margin_for_points(rows, scatter, confidence, (plateau, cap), failing_with)
        governed = "minimum"
    if margin is not None and means:
        start = margin
        short = _mean_shortfall(rows, means, scatter, normal_quantile(confidence))
        if short(start) > 0.0:
            margin, governed = _smallest(short, start, short(start), cap, 2.0 * short(start)), "mean_minimum"
    if margin is None:
        return at_plateau, 1.0 - failure, "nominal", False
    thicknesses = _thicknesses(rows, margin)
    if margin > plateau:
        failing = failing_with(margin)
        if governed == "mean_minimum" and failing > 1.0 - confidence + 1e-9:
            # So thick that the scatter has outgrown the margin: what the mean asks, the points cannot keep.
            return at_plateau, 1.0 - failure, "nominal", False
        failure = failing
    return thicknesses, 1.0 - failure, governed, True


def _margin_for_points(
    rows: tuple[RunRow, ...], scatter: Scatter, confidence: float, between: tuple[float, float], failing_with: Callable[[float], float]
) -> float | None:
    """Return the smallest margin between two with which no point falls under the minimum, None where there is none."""
    plateau, cap = between
    count = sum(row[0] for row in rows)
    offset = math.log(3.0 * count)

    def height(failing: float) -> float:
        # About the score of the worst stretch: nearly straight in the margin, so that few steps are needed.
        if failing >= 1.0:
            return -1e3
        if failing <= 0.0:
            return 1e3
        square = 2.0 * (offset - math.log(-math.log1p(-failing)))
        return 2.0 * math.sqrt(square) - 1.0 if square > 1.0 else square

    wanted = height(1.0 - confidence)

    def shortfall(margin: float) -> float:
        return wanted - height(failing_with(margin))

    first = _first_guess(rows, scatter, confidence, count)
    return _smallest(shortfall, plateau, wanted - height(failing_with(plateau)), cap, max(first - plateau, 0.02 * first))


def _thicknesses(rows: Sequence[RunRow], margin: float) -> tuple[float, ...]:
    return tuple([row[2] if row[2] > row[3] + margin else row[3] + margin for row in rows])


def _first_guess(rows: Sequence[RunRow], scatter: Scatter, confidence: float, count: int) -> float:
    """Return about the margin that will be needed: worst stretch and shared bias, joined as if both were normal."""
    middle = normal_quantile(math.exp(-0.5621 / count))
    spread = normal_quantile(math.exp(math.log(confidence) / count)) - middle
    share = normal_quantile(confidence) * scatter.flow_bias
    guess = 1e-6
    for _, bore, nominal, floor in rows:
        thickness = max(nominal, floor)
        free = bore - 2.0 * thickness
        k = (thickness * (bore - thickness) + bore * scatter.pit_allowance) / free / thickness
        of_bore = (thickness + scatter.pit_allowance) / free / thickness * scatter.bore
        deviation = math.sqrt(k * k * (scatter.flow**2 + scatter.speed**2) + of_bore * of_bore)
        # Relative to the thickness, with which the deviation grows.
        relative = middle * deviation + math.copysign(math.hypot(spread * deviation, k * share), spread)
        guess = max(guess, floor * relative / max(1.0 - relative, 0.2))
    return guess


def _mean_shortfall(
    rows: tuple[RunRow, ...], means: tuple[tuple[float, float], ...], scatter: Scatter, score: float
) -> Callable[[float], float]:
    """Return by how much the mean of the run, less its uncertainty, falls short of the mean minimum, as a function of the margin."""
    whole = math.fsum(length for length, _ in means)
    weights = [length / whole for length, _ in means]
    wanted = math.fsum(length * mean for length, mean in means) / whole
    variance = scatter.flow**2 + scatter.speed**2

    def shortfall(margin: float) -> float:
        mean = shared = scattered = 0.0
        for weight, (count, bore, _, _), thickness in zip(weights, rows, _thicknesses(rows, margin), strict=True):
            free = bore - 2.0 * thickness
            k = (thickness * (bore - thickness) + bore * scatter.pit_allowance) / free
            of_bore = (thickness + scatter.pit_allowance) / free * scatter.bore
            mean += weight * thickness
            shared += weight * k * scatter.flow_bias
            scattered += weight * weight * (k * k * variance + of_bore * of_bore) / count
        short = wanted - mean + score * math.sqrt(shared * shared + scattered)
        return short if short > 1e-15 else min(short, 0.0)

    return shortfall


def _smallest(shortfall: Callable[[float], float], start: float, f_start: float, cap: float, step: float) -> float | None:
    """Return the smallest margin from a start to a cap where a function is no more over zero; None where it stays over zero."""
    before, low, f_low = start, start, f_start
    high = min(start + step, cap)
    while True:
        f_high = shortfall(high)
        if f_high <= 0.0:
            return _root(shortfall, low, high, f_low, f_high)
        if f_high >= f_low and f_low < 900.0:
            # It has begun to rise again: the best lies between the last three.
            best = _lowest(shortfall, before, high)
            f_best = shortfall(best)
            return None if f_best > 0.0 else _root(shortfall, before, best, shortfall(before), f_best)
        if high >= cap:
            return None
        # Go on a little further than the slope says, to have the root between two points.
        onward = 1.05 * f_high * (high - low) / (f_low - f_high) if f_low < 900.0 else 0.05 * step
        before, low, f_low = low, high, f_high
        high = min(high + min(max(onward, 1e-9), 0.25 * (high + step)), cap)


def _lowest(function: Callable[[float], float], low: float, high: float) -> float:
    """Return about where a function with one valley is lowest, by golden section."""
    ratio = 0.5 * (math.sqrt(5.0) - 1.0)
    a, b = low, high
    c, d = b - ratio * (b - a), a + ratio * (b - a)
    f_c, f_d = function(c), function(d)
    for _ in range(60):
        if f_c <= 0.0 or f_d <= 0.0:
            break
        if f_c < f_d:
            b, d, f_d = d, c, f_c
            c = b - ratio * (b - a)
            f_c = function(c)
        else:
            a, c, f_c = c, d, f_d
            d = a + ratio * (b - a)
            f_d = function(d)
    return c if f_c < f_d else d


def _root(function: Callable[[float], float], low: float, high: float, f_low: float, f_high: float) -> float:
    """Return where a function comes down to zero between two points, by false position with halving of the stuck end."""
    for _ in range(200):
        if high - low <= 1e-13:
            return high
        # An end far out says only on which side the root lies: halve instead.
        x = 0.5 * (low + high) if max(f_low, -f_high) > 900.0 else low + (high - low) * f_low / (f_low - f_high)
        if not low < x < high:
            x = 0.5 * (low + high)
        f = function(x)
        if abs(f) < 1e-11:
            return x
        if f > 0.0:
            # The stuck end weighs less by how far the step overshot (Anderson and Bjoerck).
            f_high *= max(1.0 - f / f_low, 0.5) if f < f_low else 0.5
            low, f_low = x, f
        else:
            f_low *= max(1.0 - f / f_high, 0.5) if f > f_high else 0.5
            high, f_high = x, f
    raise SolveError("margin over the minimum thickness", f_high, 200)
