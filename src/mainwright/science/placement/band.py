"""Between which speeds the head may go: what the man at the winch needs to know at each moment."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from mainwright.errors import require_within
from mainwright.science.measurement.distributions import normal_quantile
from mainwright.science.placement.confidence import AimLength
from mainwright.science.placement.scatter import Scatter, sensitivity_to_flow
from mainwright.science.placement.travel import Travel, travel

__all__ = ["SpeedBand", "speed_band"]


@dataclass(frozen=True, slots=True)
class SpeedBand:
    """Speeds between which the stretch that is being laid keeps minimum and maximum.

    Attributes
    ----------
    low
        Slower than this, the stretch may pass its maximum; None where there is no maximum. [m/s]
    high
        Faster than this, it may fall under its minimum. [m/s]
    maximum_kept
        Whether the aim's own speed keeps the maximum with the wanted confidence. Where it does not, `low` is that speed.
    """

    low: float | None
    high: float
    maximum_kept: bool


def speed_band(
    *,
    part: AimLength,
    aim: float,
    scatter: Scatter,
    confidence: float,
    flow: float,
    deposit_efficiency: float,
    speed_max: float | None,
) -> SpeedBand:
    r"""Return the slowest and the fastest speed that keep one stretch within its limits.

    Parameters
    ----------
    part : AimLength
        The length of one bore: bore, minimum and maximum count. [-]
    aim : float
        Mean thickness that is aimed at there. [m]
    scatter : Scatter
        What makes the thickness uncertain. [-]
    confidence : float
        Wanted probability that the stretch keeps each limit. [-]
    flow : float
        Working output of the pump. [m3/s]
    deposit_efficiency : float
        Share of the pumped mortar that stays on the wall, over 0, up to 1. [-]
    speed_max : float or None
        Greatest speed of the head; None where it has no limit. [m/s]

    Returns
    -------
    SpeedBand
        Both speeds. [m/s]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The band is for one stretch of the correlation length while its speed is read: flow (bias and scatter) and bore stay
    uncertain, the speed does not. With :math:`s_1^2 = k^2 (\sigma_B^2 + \sigma_Q^2) + ((t + p) / (D - 2t))^2 \sigma_D^2` and z
    of the confidence, the fast speed lays the smallest t with :math:`t - e - z s_1 \ge minimum`, the slow one the greatest with
    :math:`t + e + z s_1 \le maximum`: what one side of the clock lacks, the other has too much. The aim asks more than the fast
    speed does, because it must hold for every stretch of the run; so a band says how far a stretch may stray, not where to
    steer. Where the pump's output had to be lowered for the head's sake, the band holds for the lowered output, and its
    fast end is at most the head's greatest speed.

    References
    ----------
    Derived here; JCGM 100:2008, 5.1.2, for the joint deviation.

    Examples
    --------
    >>> usual = Scatter(flow_bias=0.0, flow=0.03, speed=0.03, bore=0.001, eccentricity=0.0, pit_allowance=0.0, correlation=1.0)
    >>> part = AimLength(150.0, 0.15, 0.006, 0.005, maximum=0.009)
    >>> found = speed_band(part=part, aim=0.006, scatter=usual, confidence=0.95, flow=5e-4, deposit_efficiency=1.0, speed_max=None)
    >>> round(60 * (found.low or 0.0), 2), round(60 * found.high, 2)
    (7.91, 12.5)
    """
    require_within("confidence", confidence, "-", above=0.0, below=1.0)
    score = normal_quantile(confidence)
    bore, pits = part.bore, scatter.pit_allowance
    own = travel(thickness=aim, bore=bore, flow=flow, deposit_efficiency=deposit_efficiency, pit_allowance=pits, speed_max=speed_max)

    def doubt(thickness: float) -> float:
        k = sensitivity_to_flow(thickness=thickness, bore=bore, pit_allowance=pits)
        of_bore = (thickness + pits) / (bore - 2.0 * thickness) * scatter.bore
        return scatter.eccentricity + score * math.sqrt(k * k * (scatter.flow_bias**2 + scatter.flow**2) + of_bore * of_bore)

    def speed(thickness: float) -> float:
        return _speed(own, thickness, bore, deposit_efficiency, pits)

    # Both conditions are met at the aim itself, or the aim is the best that can be had.
    thin = _edge(lambda t: t - doubt(t) >= part.minimum, 1e-6 * bore, aim)
    high = speed(thin)
    if speed_max is not None:
        high = min(high, max(speed_max, own.speed))
    if part.maximum is None:
        return SpeedBand(None, high, maximum_kept=True)
    greatest = part.maximum
    if aim + doubt(aim) > greatest:
        return SpeedBand(own.speed, high, maximum_kept=False)
    thick = _edge(lambda t: t + doubt(t) > greatest, aim, 0.499 * bore)
    return SpeedBand(speed(thick), high, maximum_kept=True)


def _speed(own: Travel, thickness: float, bore: float, deposit_efficiency: float, pits: float) -> float:
    found = travel(thickness=thickness, bore=bore, flow=own.flow, deposit_efficiency=deposit_efficiency, pit_allowance=pits, speed_max=None)
    return found.speed


def _edge(holds: Callable[[float], bool], low: float, high: float) -> float:
    """Return where a condition that does not hold at `low` begins to hold, `high` where it never does."""
    if not holds(high):
        return high
    while high - low > 1e-12:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if holds(middle):
            high = middle
        else:
            low = middle
    return high
