"""What a change of bore and wall is worth: more flow at the same head, or less pumping at the same flow."""

from dataclasses import dataclass

from mainwright.constants import STANDARD_GRAVITY
from mainwright.errors import InputError, require_not_negative, require_positive
from mainwright.science.hydraulics.head_loss import flow_for_head_loss, head_loss

__all__ = ["Bore", "capacity_gain", "pump_power", "pumping_energy"]


@dataclass(frozen=True, slots=True)
class Bore:
    """A pipe as the water sees it: inside diameter and equivalent sand roughness k, both in metres."""

    diameter: float
    roughness: float


def capacity_gain(*, flow: float, before: Bore, after: Bore, viscosity: float) -> float:
    r"""Return by how much more water a pipe carries at today's head loss.

    Parameters
    ----------
    flow : float
        Today's flow, which sets today's head loss. [m3/s]
    before : Bore
        Bore and roughness today. [m]
    after : Bore
        Bore and roughness afterwards. [m]
    viscosity : float
        Kinematic viscosity. [m2/s]

    Returns
    -------
    float
        Flow afterwards by flow today, at the same friction loss by length. [-]

    Raises
    ------
    InputError
        If an argument is not positive.

    Notes
    -----
    Local losses are not counted: where they are a great part, the gain is less.

    References
    ----------
    Derived here from `head_loss` and `flow_for_head_loss`.

    Examples
    --------
    >>> rough, lined = Bore(0.130, 3e-3), Bore(0.142, 0.1e-3)
    >>> round(capacity_gain(flow=0.008, before=rough, after=lined, viscosity=1.307e-6), 2)
    1.96
    """
    require_positive("flow", flow, "m3/s")
    slope = head_loss(flow=flow, bore=before.diameter, length=1.0, roughness=before.roughness, viscosity=viscosity)
    then = flow_for_head_loss(loss=slope, bore=after.diameter, length=1.0, roughness=after.roughness, viscosity=viscosity)
    return then / flow


def pump_power(*, flow: float, head: float, density: float, efficiency: float) -> float:
    r"""Return the power that lifts a flow by a head.

    Parameters
    ----------
    flow : float
        Flow. [m3/s]
    head : float
        Head. [m]
    density : float
        Of the water. [kg/m3]
    efficiency : float
        Of all that lies between meter and water, over 0, up to 1. [-]

    Returns
    -------
    float
        Power taken. [W]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`\rho g Q h / \eta`.

    References
    ----------
    White, F. M., Fluid Mechanics, section 11.2; definition of the efficiency.

    Examples
    --------
    >>> round(pump_power(flow=0.012, head=6.4, density=1000.0, efficiency=0.65))
    1159
    """
    require_not_negative("flow", flow, "m3/s")
    require_not_negative("head", head, "m")
    require_positive("density", density, "kg/m3")
    if not 0.0 < efficiency <= 1.0:
        raise InputError("efficiency", efficiency, "-", "over 0, up to 1")
    return density * STANDARD_GRAVITY * flow * head / efficiency


def pumping_energy(*, flow: float, head: float, density: float, efficiency: float, duration: float) -> float:
    r"""Return the energy that lifts a steady flow by a head.

    Parameters
    ----------
    flow : float
        Flow. [m3/s]
    head : float
        Head. [m]
    density : float
        Of the water. [kg/m3]
    efficiency : float
        Of all that lies between meter and water, over 0, up to 1. [-]
    duration : float
        How long. [s]

    Returns
    -------
    float
        Energy. [J]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    For a steady flow. Where it varies, friction grows with nearly its third power: the mean flow says too little.

    References
    ----------
    As `pump_power`.

    Examples
    --------
    >>> round(pumping_energy(flow=0.012, head=6.4, density=1000.0, efficiency=0.65, duration=8760 * 3600.0) / 3.6e6)
    10150
    """
    require_not_negative("duration", duration, "s")
    return pump_power(flow=flow, head=head, density=density, efficiency=efficiency) * duration
