"""How much water a tested main may take: three kinds of rule that are never mixed, and what the make-up says of soaking and of a leak."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from mainwright.errors import InputError, require_not_negative, require_positive
from mainwright.units import from_si, to_si

__all__ = [
    "MakeUp",
    "air_volume",
    "leakage_allowance_c600",
    "leakage_allowance_rate",
    "split_make_up",
    "volume_loss_en805",
]

_HOUR: Final = 3600.0
_ATMOSPHERE: Final = 101325.0
_FEWEST: Final = 4


def leakage_allowance_c600(*, length: float, bore: float, pressure: float, divisor: Literal[148000, 133200]) -> float:
    r"""Return the make-up flow that the North American installation rules allow a new pipe.

    Parameters
    ----------
    length : float
        Of the tested section. [m]
    bore : float
        Nominal diameter of the pipe. [m]
    pressure : float
        Mean test pressure, gauge. [Pa]
    divisor : int
        148000 in the present form, 133200 in older ones, 11 % more generous. [-]

    Returns
    -------
    float
        Allowed make-up flow. [m3/s]

    Raises
    ------
    InputError
        If an argument is not positive, or the divisor is neither.

    Notes
    -----
    :math:`L = S D \sqrt P / 148000` in gallons an hour, feet, inches and pounds a square inch. It is made for new pipe and for a given time of
    testing; it says nothing of the pressure that an old main bears, and has nothing in common with the loss of EN 805: for the same main the two
    are twenty times apart.

    References
    ----------
    AWWA C600, hydrostatic testing, as told by a hydrotest procedure and a contract specification (secondary); the older divisor from memory, its
    11.65 gallons a day, inch and mile at 150 psi from a copy of poor quality.

    Examples
    --------
    >>> allowed = leakage_allowance_c600(length=304.8, bore=0.1524, pressure=1034213.6, divisor=148000)
    >>> round(allowed * 3600 / 0.003785411784, 2)
    0.5
    """
    require_positive("length", length, "m")
    require_positive("bore", bore, "m")
    require_positive("pressure", pressure, "Pa")
    if divisor not in (148000, 133200):
        raise InputError("divisor", divisor, "", "148000 or 133200")
    gallons = from_si(length, "ft") * from_si(bore, "in") * math.sqrt(from_si(pressure, "psi")) / divisor
    return to_si(gallons, "gal") / _HOUR


def volume_loss_en805(
    *, volume: float, drop: float, bore: float, wall: float, wall_modulus: float, water_modulus: float, factor: float
) -> float:
    r"""Return the water that a sound main gives back elastically for a drop of pressure: the greatest loss of the European rule.

    Parameters
    ----------
    volume : float
        Of the tested section. [m3]
    drop : float
        Drop of pressure. [Pa]
    bore : float
        Inside diameter. [m]
    wall : float
        Thickness of the wall of the host pipe. [m]
    wall_modulus : float
        Modulus of elasticity of the wall, along the hoop. [Pa]
    water_modulus : float
        Bulk modulus of water. [Pa]
    factor : float
        1.2 in the loss of water that is allowed in the main test, 1.5 in the check for air before it. [-]

    Returns
    -------
    float
        Greatest volume. [m3]

    Raises
    ------
    InputError
        If an argument is not positive.

    Notes
    -----
    :math:`\Delta V = f V \Delta p (1/E_w + D / (e E_R))`. The stiffness of the lining is left out, which is on the safe side. It judges a drop
    of pressure within a given time (20 kPa in an hour for iron, steel and lined pipe), never a flow.

    References
    ----------
    EN 805:2000, 11.3.3.4.2 (factor 1.5) and 11.3.3.4.3 (factor 1.2), formula, factors and drops from memory.

    Examples
    --------
    >>> loss = volume_loss_en805(volume=15.708, drop=2e4, bore=0.2, wall=0.0063, wall_modulus=1.7e11, water_modulus=2.1e9, factor=1.2)
    >>> round(loss * 1000, 3)
    0.25
    """
    for name, value, unit in (("volume", volume, "m3"), ("drop", drop, "Pa"), ("bore", bore, "m"), ("wall", wall, "m")):
        require_positive(name, value, unit)
    require_positive("wall_modulus", wall_modulus, "Pa")
    require_positive("water_modulus", water_modulus, "Pa")
    require_positive("factor", factor, "-")
    return factor * volume * drop * (1.0 / water_modulus + bore / (wall * wall_modulus))


def leakage_allowance_rate(*, length: float, bore: float, rate: float) -> float:
    """Return the make-up flow that a client's own rule allows, given as volume by bore, length and time.

    Parameters
    ----------
    length : float
        Of the tested section. [m]
    bore : float
        Diameter that the rule names. [m]
    rate : float
        Volume by bore, length and time: 1.5 l by 10 mm, km and 24 h is 1.736e-9. [m3/(m m s)]

    Returns
    -------
    float
        Allowed make-up flow. [m3/s]

    Raises
    ------
    InputError
        If an argument is not positive.

    References
    ----------
    The form of the Indian water supply manual, 6.10.5 (read in a public copy), and of municipal rules in litres by millimetre, kilometre and day.

    Examples
    --------
    >>> rate = 1.5e-3 / (0.01 * 1000.0 * 86400.0)
    >>> round(leakage_allowance_rate(length=500.0, bore=0.15, rate=rate) * 86400 * 1000, 2)
    11.25
    """
    require_positive("length", length, "m")
    require_positive("bore", bore, "m")
    require_positive("rate", rate, "m3/(m m s)")
    return rate * length * bore


def air_volume(*, removed: float, elastic: float, pressure: float, drop: float) -> float:
    r"""Return the air that must be in the main if more water came out for a drop of pressure than pipe and water give back.

    Parameters
    ----------
    removed : float
        Water that was let out. [m3]
    elastic : float
        Of it, what pipe and water give back: `volume_loss_en805` with the factor 1. [m3]
    pressure : float
        Before the drop, gauge. [Pa]
    drop : float
        Drop of pressure, less than `pressure`. [Pa]

    Returns
    -------
    float
        Volume of the air at the pressure of the atmosphere; 0 where there is none. [m3]

    Raises
    ------
    InputError
        If a volume is negative, or the drop not between 0 and the pressure.

    Notes
    -----
    :math:`V_a p_a (1/(p - \Delta p) - 1/p) = V - V_e` with absolute pressures, at constant temperature.

    References
    ----------
    Boyle's law; derived here.

    Examples
    --------
    >>> round(air_volume(removed=0.0012, elastic=0.001, pressure=12e5, drop=2e4), 3)
    0.165
    """
    require_not_negative("removed", removed, "m3")
    require_not_negative("elastic", elastic, "m3")
    require_positive("pressure", pressure, "Pa")
    if not 0.0 < drop < pressure:
        raise InputError("drop", drop, "Pa", f"over 0 and under the pressure of {pressure:g} Pa")
    before = pressure + _ATMOSPHERE
    grown = _ATMOSPHERE * (1.0 / (before - drop) - 1.0 / before)
    return max(removed - elastic, 0.0) / grown


@dataclass(frozen=True, slots=True)
class MakeUp:
    """What the water that was pumped after says: a leak goes on as time, soaking as its root.

    Attributes
    ----------
    leak, leak_deviation
        Flow that goes on, and one standard deviation. [m3/s]
    soak, soak_deviation
        Constant of soaking, and one standard deviation. [m3/s0.5]
    scatter
        Standard deviation of a reading about the curve. [m3]
    """

    leak: float
    leak_deviation: float
    soak: float
    soak_deviation: float
    scatter: float


def split_make_up(times: Sequence[float], volumes: Sequence[float]) -> MakeUp:
    r"""Return what part of the water pumped after is soaking into the mortar, and what goes on as a leak.

    Parameters
    ----------
    times : sequence of float
        Since the test pressure was first reached, ascending and positive. [s]
    volumes : sequence of float
        Water pumped after until then, in all. [m3]

    Returns
    -------
    MakeUp
        Leak and soaking, neither negative.

    Raises
    ------
    InputError
        If there are fewer than four readings, the times do not rise, or a reading is not finite.

    Notes
    -----
    :math:`V = L t + S \sqrt t`, least squares with both held at 0 or above. Dry mortar takes up water with the root of time; a hole lets it
    through in proportion to time at one pressure. The pressure must be held; with few readings, or all of them late, the two cannot be told
    apart, and the deviations say so. The deviations are of the fit without the bounds.

    References
    ----------
    Hall, C. (1989), Water sorptivity of mortars and concretes: a review, Magazine of Concrete Research 41, 51-61 (root of time, from memory).
    The split is derived here.

    Examples
    --------
    >>> hours = [1, 2, 4, 8, 16, 24]
    >>> found = split_make_up([3600.0 * h for h in hours], [1e-3 * (0.1 * h + 2 * h**0.5) for h in hours])
    >>> round(found.leak * 3.6e6, 3), round(found.soak * 60 * 1000, 3)
    (0.1, 2.0)
    """
    if len(times) != len(volumes) or len(times) < _FEWEST:
        raise InputError("readings", len(times), "", f"at least {_FEWEST}, as many volumes as times")
    for value in (*times, *volumes):
        if not math.isfinite(value):
            raise InputError("reading", value, "", "a finite number")
    if times[0] <= 0.0 or any(later <= sooner for sooner, later in pairwise(times)):
        raise InputError("times", list(times)[:6], "s", "positive and rising")
    # Scaled to the whole time, so that both columns have length of order one.
    whole = times[-1]
    rows = [(time / whole, math.sqrt(time / whole)) for time in times]
    aa = math.fsum(a * a for a, _ in rows)
    ab = math.fsum(a * b for a, b in rows)
    bb = math.fsum(b * b for _, b in rows)
    av = math.fsum(a * v for (a, _), v in zip(rows, volumes, strict=True))
    bv = math.fsum(b * v for (_, b), v in zip(rows, volumes, strict=True))
    determinant = aa * bb - ab * ab
    leak, soak = (bb * av - ab * bv) / determinant, (aa * bv - ab * av) / determinant
    free = _scatter(rows, volumes, leak, soak)
    if leak < 0.0:
        leak, soak = 0.0, max(bv / bb, 0.0)
    elif soak < 0.0:
        leak, soak = max(av / aa, 0.0), 0.0
    return MakeUp(
        leak=leak / whole,
        leak_deviation=free * math.sqrt(bb / determinant) / whole,
        soak=soak / math.sqrt(whole),
        soak_deviation=free * math.sqrt(aa / determinant) / math.sqrt(whole),
        scatter=_scatter(rows, volumes, leak, soak),
    )


def _scatter(rows: Sequence[tuple[float, float]], volumes: Sequence[float], leak: float, soak: float) -> float:
    squares = math.fsum((volume - leak * a - soak * b) ** 2 for (a, b), volume in zip(rows, volumes, strict=True))
    return math.sqrt(squares / (len(rows) - 2))
