"""Flow, water and time to fill and to flush a main."""

import math

from mainwright.errors import require_positive

__all__ = ["bore_volume", "flush_flow", "flush_time"]


def bore_volume(*, bore: float, length: float) -> float:
    """Return the water that a length of main holds.

    Parameters
    ----------
    bore : float
        Inside diameter, after lining. [m]
    length : float
        Length. [m]

    Returns
    -------
    float
        Volume. [m3]

    References
    ----------
    A cylinder.

    Examples
    --------
    >>> round(bore_volume(bore=0.15, length=1.0) * 1000, 3)
    17.671
    """
    require_positive("bore", bore, "m")
    require_positive("length", length, "m")
    return math.pi / 4.0 * bore**2 * length


def flush_flow(*, bore: float, velocity: float) -> float:
    """Return the flow that gives a velocity.

    Parameters
    ----------
    bore : float
        Inside diameter, after lining. [m]
    velocity : float
        Mean velocity. [m/s]

    Returns
    -------
    float
        Flow. [m3/s]

    References
    ----------
    Continuity.

    Examples
    --------
    >>> round(flush_flow(bore=0.144, velocity=1.0) * 1000, 3)
    16.286
    """
    require_positive("bore", bore, "m")
    require_positive("velocity", velocity, "m/s")
    return math.pi / 4.0 * bore**2 * velocity


def flush_time(*, volume: float, flow: float, changes: float) -> float:
    """Return how long a main is flushed until its water has been changed so many times.

    Parameters
    ----------
    volume : float
        Water in the main. [m3]
    flow : float
        Flow. [m3/s]
    changes : float
        Changes of the water; each parcel moves on as a plug. [-]

    Returns
    -------
    float
        Time. [s]

    References
    ----------
    Continuity.

    Examples
    --------
    >>> round(flush_time(volume=4.886, flow=0.016286, changes=3) / 60)
    15
    """
    require_positive("volume", volume, "m3")
    require_positive("flow", flow, "m3/s")
    require_positive("changes", changes, "-")
    return changes * volume / flow
