"""Hazen and Williams' formula, for those who think in its coefficient C."""

import math
from typing import Final

from mainwright.errors import require_not_negative, require_positive
from mainwright.science.bore.volume import bore_area
from mainwright.science.hydraulics.head_loss import head_loss

__all__ = ["equivalent_coefficient", "hazen_williams_coefficient", "hazen_williams_flow", "hazen_williams_loss"]

_FACTOR: Final = 0.849


def hazen_williams_coefficient(*, flow: float, bore: float, slope: float) -> float:
    r"""Return the coefficient C that a flow, a bore and a slope of the head speak of.

    Parameters
    ----------
    flow : float
        Through the pipe. [m3/s]
    bore : float
        Inside diameter to which the coefficient belongs. [m]
    slope : float
        Head loss by length. [-]

    Returns
    -------
    float
        Coefficient C, in its usual unit. [m^0.37/s over 0.849]

    Raises
    ------
    InputError
        If an argument is not positive.

    Notes
    -----
    :math:`V = 0.849\, C\, R^{0.63} S^{0.54}`, R a fourth of the bore. Other published constants differ by up to 0.3 % in head
    loss. A C belongs to a bore: say whether it is the nominal, the old or the lined one.

    References
    ----------
    Williams, G. S., Hazen, A. (1905), Hydraulic Tables; SI form as in the handbooks.

    Examples
    --------
    >>> round(hazen_williams_coefficient(flow=0.0126, bore=0.1524, slope=4.719715276 / 300), 1)
    60.0
    """
    require_positive("flow", flow, "m3/s")
    require_positive("slope", slope, "-")
    return flow / bore_area(bore) / (_FACTOR * math.pow(0.25 * bore, 0.63) * math.pow(slope, 0.54))


def hazen_williams_loss(*, flow: float, bore: float, length: float, coefficient: float) -> float:
    r"""Return the head lost along a pipe by Hazen and Williams' formula.

    Parameters
    ----------
    flow : float
        Through the pipe; the loss has its sign. [m3/s]
    bore : float
        Inside diameter to which the coefficient belongs. [m]
    length : float
        Length of the pipe. [m]
    coefficient : float
        Coefficient C. [-]

    Returns
    -------
    float
        Head loss. [m]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    As `hazen_williams_coefficient`, solved for the slope.

    References
    ----------
    As `hazen_williams_coefficient`.

    Examples
    --------
    >>> round(hazen_williams_loss(flow=0.002, bore=0.0514, length=150.0, coefficient=140.0), 1)
    3.2
    """
    require_not_negative("length", length, "m")
    require_positive("coefficient", coefficient, "-")
    speed = abs(flow) / bore_area(bore)
    slope = math.pow(speed / (_FACTOR * coefficient * math.pow(0.25 * bore, 0.63)), 1.0 / 0.54)
    return math.copysign(slope * length, flow)


def hazen_williams_flow(*, bore: float, slope: float, coefficient: float) -> float:
    r"""Return the flow that a slope of the head drives, by Hazen and Williams' formula.

    Parameters
    ----------
    bore : float
        Inside diameter to which the coefficient belongs. [m]
    slope : float
        Head loss by length. [-]
    coefficient : float
        Coefficient C. [-]

    Returns
    -------
    float
        Flow. [m3/s]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    As `hazen_williams_coefficient`.

    References
    ----------
    As `hazen_williams_coefficient`.

    Examples
    --------
    A bore of 152 mm with C 45, lined to 145.6 mm with C 120.

    >>> before = hazen_williams_flow(bore=0.152, slope=0.01, coefficient=45.0)
    >>> round(hazen_williams_flow(bore=0.1456, slope=0.01, coefficient=120.0) / before, 2)
    2.38
    """
    require_not_negative("slope", slope, "-")
    require_positive("coefficient", coefficient, "-")
    return bore_area(bore) * _FACTOR * coefficient * math.pow(0.25 * bore, 0.63) * math.pow(slope, 0.54)


def equivalent_coefficient(*, flow: float, bore: float, roughness: float, viscosity: float) -> float:
    r"""Return the coefficient C with which Hazen and Williams' formula gives the same loss as Darcy's.

    Parameters
    ----------
    flow : float
        Through the pipe. [m3/s]
    bore : float
        Inside diameter. [m]
    roughness : float
        Equivalent sand roughness k. [m]
    viscosity : float
        Kinematic viscosity. [m2/s]

    Returns
    -------
    float
        Coefficient C at this flow; it falls a little as the flow grows in a rough pipe. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    `hazen_williams_coefficient` at the slope of `head_loss`.

    References
    ----------
    As both.

    Examples
    --------
    >>> round(equivalent_coefficient(flow=0.0176715, bore=0.15, roughness=0.1e-3, viscosity=1.307e-6), 1)
    135.6
    """
    slope = head_loss(flow=flow, bore=bore, length=1.0, roughness=roughness, viscosity=viscosity)
    return hazen_williams_coefficient(flow=flow, bore=bore, slope=slope)
