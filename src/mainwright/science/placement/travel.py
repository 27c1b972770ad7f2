"""How fast the head must travel for the thickness that is wanted, and what it lays at the speed it has."""

import math
from dataclasses import dataclass

from mainwright.errors import InputError, require_not_negative, require_positive
from mainwright.science.bore.ring import deposit_area, ring_thickness, thickness_of_deposit

__all__ = ["Travel", "laid_thickness", "thickness_from_masses", "travel"]


@dataclass(frozen=True, slots=True)
class Travel:
    """Speed of the head and the flow that goes with it.

    Attributes
    ----------
    speed
        Of the spray plane along the main. [m/s]
    flow
        Pump output at which it holds. [m3/s]
    lowered
        Whether the flow was lowered because the head would have had to go faster than it can.
    """

    speed: float
    flow: float
    lowered: bool


def _efficiency(value: float) -> None:
    if not 0.0 < value <= 1.0:
        raise InputError("deposit_efficiency", value, "-", "over 0, up to 1")


def travel(
    *, thickness: float, bore: float, flow: float, deposit_efficiency: float, pit_allowance: float, speed_max: float | None
) -> Travel:
    r"""Return the speed at which a pump's output makes a thickness, its flow lowered where the head could not follow.

    Parameters
    ----------
    thickness : float
        Mean thickness that is wanted. [m]
    bore : float
        Inside diameter of the cleaned main. [m]
    flow : float
        Working output of the pump. [m3/s]
    deposit_efficiency : float
        Share of the pumped mortar that stays on the wall, over 0, up to 1. [-]
    pit_allowance : float
        Volume that pits and roughness take before mortar counts as thickness, by area of wall. [m]
    speed_max : float or None
        Greatest speed of the head; None where it has no limit. [m/s]

    Returns
    -------
    Travel
        Speed [m/s] and flow [m3/s].

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`v = \eta Q / (\pi t (D - t) + \pi D p)`. Where this passes the greatest speed, the flow is the one that makes the
    thickness at that speed. Joints, hose filling and waste are mixed besides, and do not slow the head.

    References
    ----------
    Derived here: conservation of the mortar's volume.

    Examples
    --------
    A bore of 200 mm, 5 mm and 20 l/min.

    >>> found = travel(thickness=0.005, bore=0.2, flow=0.02 / 60, deposit_efficiency=1.0, pit_allowance=0.0, speed_max=None)
    >>> round(found.speed * 60, 1)
    6.5
    """
    require_positive("thickness", thickness, "m")
    require_positive("flow", flow, "m3/s")
    _efficiency(deposit_efficiency)
    area = deposit_area(thickness=thickness, bore=bore, pit_allowance=pit_allowance)
    speed = deposit_efficiency * flow / area
    if speed_max is None or speed <= speed_max:
        return Travel(speed, flow, lowered=False)
    require_positive("speed_max", speed_max, "m/s")
    return Travel(speed_max, speed_max * area / deposit_efficiency, lowered=True)


def laid_thickness(*, bore: float, flow: float, speed: float, deposit_efficiency: float, pit_allowance: float) -> float:
    r"""Return the mean thickness that a flow makes at a speed.

    Parameters
    ----------
    bore : float
        Inside diameter of the cleaned main. [m]
    flow : float
        Pump output. [m3/s]
    speed : float
        Speed of the head along the main. [m/s]
    deposit_efficiency : float
        Share of the pumped mortar that stays on the wall, over 0, up to 1. [-]
    pit_allowance : float
        Volume that pits and roughness take before mortar counts as thickness, by area of wall. [m]

    Returns
    -------
    float
        Mean radial thickness. [m]

    Raises
    ------
    InputError
        If an argument is out of range, or the mortar would more than fill the bore.

    Notes
    -----
    The thickness t of :math:`\pi t (D - t) + \pi D p = \eta Q / v`; zero where the pits take all. It is the mean round the
    clock: where the head hangs low, the crown has less.

    References
    ----------
    Derived here: conservation of the mortar's volume.

    Examples
    --------
    >>> laid = laid_thickness(bore=0.2, flow=0.02 / 60, speed=6.53 / 60, deposit_efficiency=1.0, pit_allowance=0.0)
    >>> round(laid * 1000, 1)
    5.0
    """
    require_not_negative("flow", flow, "m3/s")
    require_positive("speed", speed, "m/s")
    _efficiency(deposit_efficiency)
    return thickness_of_deposit(area=deposit_efficiency * flow / speed, bore=bore, pit_allowance=pit_allowance)


def thickness_from_masses(
    *, pumped: float, in_hose: float, returned: float, wasted: float, density: float, length: float, bore: float
) -> float:
    r"""Return the mean thickness of a run from what was weighed.

    Parameters
    ----------
    pumped : float
        Mortar that went into the pump. [kg]
    in_hose : float
        Mortar left in the hose. [kg]
    returned : float
        Mortar that came back unused. [kg]
    wasted : float
        Mortar lost on the way. [kg]
    density : float
        Of the fresh mortar. [kg/m3]
    length : float
        Length that was lined. [m]
    bore : float
        Inside diameter of the cleaned main. [m]

    Returns
    -------
    float
        Mean radial thickness, pits counted as thickness. [m]

    Raises
    ------
    InputError
        If an argument is out of range, more was lost than pumped, or the rest would more than fill the bore.

    Notes
    -----
    :math:`A = (m - m_h - m_r - m_w) / (\rho L)`, and the thickness of a ring of that area. It proves the mean of the ring and no
    more: not how it is spread round the clock or along the run.

    References
    ----------
    Derived here: conservation of the mortar's mass.

    Examples
    --------
    >>> masses = {"pumped": 1000.0, "in_hose": 150.0, "returned": 40.0, "wasted": 20.0}
    >>> round(1000.0 * thickness_from_masses(**masses, density=2148.0, length=150.0, bore=0.15), 2)
    5.4
    """
    for name, value in (("pumped", pumped), ("in_hose", in_hose), ("returned", returned), ("wasted", wasted)):
        require_not_negative(name, value, "kg")
    require_positive("density", density, "kg/m3")
    require_positive("length", length, "m")
    left = pumped - in_hose - returned - wasted
    if left < 0.0:
        raise InputError("pumped", pumped, "kg", f"at least {math.fsum((in_hose, returned, wasted)):g} kg, what was left over")
    return ring_thickness(area=left / (density * length), bore=bore)
