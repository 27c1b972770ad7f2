"""By how much the thickness of a lining deviates from the mean that was aimed at."""

import math
from dataclasses import dataclass

from mainwright.errors import InputError, require_not_negative, require_positive

__all__ = ["Scatter", "scatter_of_thickness", "sensitivity_to_flow", "stretches_in"]


@dataclass(frozen=True, slots=True)
class Scatter:
    """What makes the thickness of a run uncertain; each deviation is one standard deviation.

    Attributes
    ----------
    flow_bias
        Of the pump's error that the whole run shares, relative. [-]
    flow
        Of the pump's scatter along the run, relative. [-]
    speed
        Of the travel speed along the run, relative. [-]
    bore
        Of the bore along the run. [m]
    eccentricity
        By how much the worst point of the clock is thinner than the mean. [m]
    pit_allowance
        Volume that pits and roughness take before mortar counts as thickness, by area of wall. [m]
    correlation
        Length over which the thickness is one independent stretch. [m]
    """

    flow_bias: float
    flow: float
    speed: float
    bore: float
    eccentricity: float
    pit_allowance: float
    correlation: float

    def __post_init__(self) -> None:
        require_not_negative("flow_bias", self.flow_bias, "-")
        require_not_negative("flow_deviation", self.flow, "-")
        require_not_negative("speed_deviation", self.speed, "-")
        require_not_negative("bore_deviation", self.bore, "m")
        require_not_negative("eccentricity", self.eccentricity, "m")
        require_not_negative("pit_allowance", self.pit_allowance, "m")
        require_positive("correlation", self.correlation, "m")


def sensitivity_to_flow(*, thickness: float, bore: float, pit_allowance: float) -> float:
    r"""Return by how much the thickness changes with the flow, as a length for a relative change.

    Parameters
    ----------
    thickness : float
        Mean thickness. [m]
    bore : float
        Inside diameter of the cleaned main. [m]
    pit_allowance : float
        Volume that pits and roughness take before mortar counts as thickness, by area of wall. [m]

    Returns
    -------
    float
        :math:`k = dt / d(\ln Q)`; against the travel speed it is the same with the other sign. [m]

    Raises
    ------
    InputError
        If the thickness is negative or half the bore and more.

    Notes
    -----
    :math:`k = (t (D - t) + D p) / (D - 2t)`, first order of :math:`\pi t (D - t) + \pi D p = \eta Q / v`.

    References
    ----------
    Derived here from the volume balance of the head.

    Examples
    --------
    >>> round(1000 * sensitivity_to_flow(thickness=0.005, bore=0.15, pit_allowance=0.0), 3)
    5.179
    """
    _require_thickness(thickness, bore)
    return (thickness * (bore - thickness) + bore * pit_allowance) / (bore - 2.0 * thickness)


def scatter_of_thickness(*, thickness: float, bore: float, scatter: Scatter) -> float:
    r"""Return the standard deviation of the thickness in one independent stretch, the shared bias left out.

    Parameters
    ----------
    thickness : float
        Mean thickness. [m]
    bore : float
        Inside diameter of the cleaned main. [m]
    scatter : Scatter
        What makes it uncertain. [-]

    Returns
    -------
    float
        Standard deviation. [m]

    Raises
    ------
    InputError
        If the thickness is negative or half the bore and more.

    Notes
    -----
    :math:`s^2 = k^2 (\sigma_Q^2 + \sigma_v^2) + ((t + p) / (D - 2t))^2 \sigma_D^2`, independent errors to first order.

    References
    ----------
    JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.1.2, equation (10); derivatives as in
    `sensitivity_to_flow`.

    Examples
    --------
    >>> usual = Scatter(flow_bias=0.0, flow=0.03, speed=0.03, bore=0.001, eccentricity=0.0, pit_allowance=0.0, correlation=1.0)
    >>> round(1000 * scatter_of_thickness(thickness=0.006, bore=0.15, scatter=usual), 3)
    0.269
    """
    _require_thickness(thickness, bore)
    free = bore - 2.0 * thickness
    flow = (thickness * (bore - thickness) + bore * scatter.pit_allowance) / free
    round_bore = (thickness + scatter.pit_allowance) / free * scatter.bore
    return math.sqrt(flow * flow * (scatter.flow**2 + scatter.speed**2) + round_bore * round_bore)


def stretches_in(*, length: float, correlation: float) -> int:
    """Return how many independent stretches a length holds.

    Parameters
    ----------
    length : float
        Length that is lined. [m]
    correlation : float
        Length over which the thickness is one stretch. [m]

    Returns
    -------
    int
        At least one. [-]

    Raises
    ------
    InputError
        If an argument is not positive.

    Notes
    -----
    Rounded up; a rest under a billionth of a stretch is the rounding of the division.

    References
    ----------
    Derived here: division, rounded up.

    Examples
    --------
    >>> stretches_in(length=150.3, correlation=1.0)
    151
    """
    require_positive("length", length, "m")
    require_positive("correlation", correlation, "m")
    return max(1, math.ceil(length / correlation - 1e-9))


def _require_thickness(thickness: float, bore: float) -> None:
    if not 0.0 <= thickness < 0.5 * bore:
        raise InputError("thickness", thickness, "m", f"0 or more, under {0.5 * bore:g} m, half the bore")
