"""Yield stress and plastic viscosity of the day's mortar, from what the pump's gauge shows."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.errors import InputError, require_positive
from mainwright.science.mortar.hose import wall_stress

__all__ = ["MortarReading", "Rheology", "calibrate"]


@dataclass(frozen=True, slots=True)
class MortarReading:
    """One reading of the gauge: flow [m3/s], length of the hose [m], pressure that friction takes [Pa]."""

    flow: float
    length: float
    pressure: float


@dataclass(frozen=True, slots=True)
class Rheology:
    """What the readings say of the mortar.

    Attributes
    ----------
    yield_stress, plastic_viscosity
        The constants that fit best, neither of them negative. [Pa] [Pa s]
    residuals
        Pressure read less pressure computed, in the order of the readings. [Pa]
    deviation
        Standard deviation of the readings about the fit; None with two readings, which say nothing of their error. [Pa]
    at_limit
        Whether a constant is zero because the readings would have it negative: then they contradict a Bingham fluid.
    """

    yield_stress: float
    plastic_viscosity: float
    residuals: tuple[float, ...]
    deviation: float | None
    at_limit: bool


def calibrate(*, readings: Sequence[MortarReading], bore: float) -> Rheology:
    r"""Return the constants of a Bingham fluid that explain readings of flow and pressure.

    Parameters
    ----------
    readings : sequence of MortarReading
        Two or more, at two or more flows, in the same hose with the same mortar. [-]
    bore : float
        Inside diameter of the hose. [m]

    Returns
    -------
    Rheology
        Yield stress and plastic viscosity with what is left over.

    Raises
    ------
    InputError
        If there are fewer than two flows, or a reading is not positive.

    Notes
    -----
    Least squares of the pressures with neither constant under zero. Gauss and Newton's steps on the exact equation, with the
    slopes :math:`\partial \tau_w / \partial \tau_0 = \tfrac43 (1 - x^3) / (1 - x^4)` and
    :math:`\partial \tau_w / \partial v = 1 / (1 - x^4)`, v the viscous part; the edges of the allowed range are tried as well.
    Two readings are met exactly where constants that are not negative can meet them.

    References
    ----------
    Buckingham (1921) and Reiner (1926) as in `wall_stress`; Björck, Å. (1996), Numerical Methods for Least Squares Problems,
    chapter 9 (method).

    Examples
    --------
    >>> shown = [MortarReading(20e-3 / 60, 50.0, 20.03993296e5), MortarReading(10e-3 / 60, 50.0, 16.35655347e5)]
    >>> found = calibrate(readings=shown, bore=0.038)
    >>> round(found.yield_stress), round(found.plastic_viscosity, 2)
    (200, 2.0)
    """
    require_positive("bore", bore, "m")
    for number, reading in enumerate(readings, start=1):
        require_positive(f"flow of reading {number}", reading.flow, "m3/s")
        require_positive(f"length of reading {number}", reading.length, "m")
        require_positive(f"pressure of reading {number}", reading.pressure, "Pa")
    flows = [reading.flow for reading in readings]
    if len(readings) < 2 or max(flows) - min(flows) < 1e-6 * max(flows):
        raise InputError("readings", len(readings), "-", "two or more, at two or more different flows")
    # Per reading: factor from stress to pressure, viscous stress by viscosity, stress read.
    rows = [(4.0 * r.length / bore, 32.0 * r.flow / (math.pi * bore**3), r.pressure) for r in readings]
    only_viscous = max(_slope([(g * v, p) for g, v, p in rows]), 0.0)
    only_yield = max(_slope([(g, p) for g, _, p in rows]), 0.0)
    candidates = [(0.0, only_viscous), (only_yield, 0.0)]
    inside = _inside(rows, readings, bore)
    if inside is not None:
        candidates.append(inside)
    best = min(candidates, key=lambda pair: math.fsum(r * r for r in _residuals(readings, bore, *pair)))
    residuals = _residuals(readings, bore, *best)
    freedom = len(readings) - 2
    deviation = math.sqrt(math.fsum(r * r for r in residuals) / freedom) if freedom > 0 else None
    return Rheology(best[0], best[1], residuals, deviation, at_limit=min(best) == 0.0)


def _slope(pairs: Sequence[tuple[float, float]]) -> float:
    return math.fsum(x * y for x, y in pairs) / math.fsum(x * x for x, _ in pairs)


def _residuals(readings: Sequence[MortarReading], bore: float, yield_stress: float, viscosity: float) -> tuple[float, ...]:
    return tuple(
        r.pressure - 4.0 * r.length / bore * wall_stress(flow=r.flow, bore=bore, yield_stress=yield_stress, plastic_viscosity=viscosity)
        for r in readings
    )


def _solve(rows: Sequence[tuple[float, float, float]]) -> tuple[float, float] | None:
    """Return the least-squares solution of a x + b y = c."""
    aa = math.fsum(a * a for a, _, _ in rows)
    ab = math.fsum(a * b for a, b, _ in rows)
    bb = math.fsum(b * b for _, b, _ in rows)
    ac = math.fsum(a * c for a, _, c in rows)
    bc = math.fsum(b * c for _, b, c in rows)
    determinant = aa * bb - ab * ab
    if determinant <= 1e-14 * aa * bb:
        return None
    return (bb * ac - ab * bc) / determinant, (aa * bc - ab * ac) / determinant


def _inside(rows: Sequence[tuple[float, float, float]], readings: Sequence[MortarReading], bore: float) -> tuple[float, float] | None:
    """Return constants over zero that fit best, None where the steps lead out of the range."""
    # The first guess is the approximation that is straight in both.
    start = _solve([(g * 4.0 / 3.0, g * v, p) for g, v, p in rows])
    if start is None:
        return None
    stress, viscosity = max(start[0], 1e-3), max(start[1], 1e-6)
    size = math.fsum(r * r for r in _residuals(readings, bore, stress, viscosity))
    for _ in range(100):
        normal = []
        for (g, v, _), rest in zip(rows, _residuals(readings, bore, stress, viscosity), strict=True):
            x = stress / wall_stress(flow=v * math.pi * bore**3 / 32.0, bore=bore, yield_stress=stress, plastic_viscosity=viscosity)
            by_yield = 4.0 / 3.0 * (1.0 + x + x * x) / ((1.0 + x) * (1.0 + x * x))
            by_viscous = 1.0 / max((1.0 - x) * (1.0 + x) * (1.0 + x * x), 1e-12)
            normal.append((g * by_yield, g * v * by_viscous, rest))
        step = _solve(normal)
        if step is None:
            return None
        share = 1.0
        while share > 1e-6:
            trial = (max(stress + share * step[0], 0.1 * stress), max(viscosity + share * step[1], 0.1 * viscosity))
            trial_size = math.fsum(r * r for r in _residuals(readings, bore, *trial))
            if trial_size <= size:
                break
            share *= 0.5
        else:
            return stress, viscosity
        moved = max(abs(trial[0] / stress - 1.0), abs(trial[1] / viscosity - 1.0))
        (stress, viscosity), size = trial, trial_size
        if moved < 1e-13:
            break
    return stress, viscosity
