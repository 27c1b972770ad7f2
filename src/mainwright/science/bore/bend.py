"""Bends of the bore: their way along the axis, and what will pass them."""

import math

from mainwright.errors import InputError, require_not_negative, require_positive, require_within

__all__ = ["bend_length", "rigid_length_through_bend"]


def bend_length(*, radius: float, angle: float) -> float:
    r"""Return the way along the axis of a bend.

    Parameters
    ----------
    radius : float
        Radius of the axis. [m]
    angle : float
        Change of direction. [rad]

    Returns
    -------
    float
        Length of the arc. [m]

    Raises
    ------
    InputError
        If an argument is negative.

    Notes
    -----
    :math:`R \theta`.

    References
    ----------
    Length of an arc; elementary geometry.

    Examples
    --------
    >>> round(bend_length(radius=1.0, angle=0.3926990817), 4)
    0.3927
    """
    require_not_negative("radius", radius, "m")
    require_not_negative("angle", angle, "rad")
    return radius * angle


def rigid_length_through_bend(*, bore: float, radius: float, width: float) -> float:
    r"""Return the greatest length of a stiff body that can pass a bend.

    Parameters
    ----------
    bore : float
        Inside diameter along the bend. [m]
    radius : float
        Radius of the axis, more than half the bore. [m]
    width : float
        Greatest width of the body, less than the bore. [m]

    Returns
    -------
    float
        Length of the longest body, straight and of even width. [m]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    In the plane of the bend the body touches the inner wall with its middle and the outer wall with both ends:
    :math:`L = 2 \sqrt{(R + D/2)^2 - (R - D/2 + w)^2}`. It holds for a bend long enough to take the whole body, so it is on the
    safe side for a short bend. Play, joints and wear of the bend are not counted.

    References
    ----------
    Derived here: chord of the outer wall that touches the inner wall at the body's width.

    Examples
    --------
    >>> round(rigid_length_through_bend(bore=0.15, radius=0.6, width=0.10), 3)
    0.51
    """
    require_positive("bore", bore, "m")
    require_within("width", width, "m", above=0.0, below=bore)
    if not radius >= 0.5 * bore:
        raise InputError("radius", radius, "m", f"{0.5 * bore:g} m or more, half the bore")
    outer = radius + 0.5 * bore
    inner = radius - 0.5 * bore + width
    return 2.0 * math.sqrt(outer * outer - inner * inner)
