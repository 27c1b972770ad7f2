"""Mortar in the hose: a Bingham fluid in laminar flow, its pressure, its flow, and how long it is on the way."""

import math

from mainwright.constants import STANDARD_GRAVITY
from mainwright.errors import SolveError, require_not_negative, require_positive
from mainwright.science.bore.volume import content

__all__ = ["friction_factor_bingham", "hose_flow", "hose_pressure", "plug_velocity", "residence_time", "static_pressure", "wall_stress"]


def wall_stress(*, flow: float, bore: float, yield_stress: float, plastic_viscosity: float) -> float:
    r"""Return the shear stress at the wall of a hose in which a Bingham fluid flows.

    Parameters
    ----------
    flow : float
        Through the hose. [m3/s]
    bore : float
        Inside diameter of the hose. [m]
    yield_stress : float
        Of the mortar. [Pa]
    plastic_viscosity : float
        Of the mortar. [Pa s]

    Returns
    -------
    float
        Stress at the wall; the yield stress itself where nothing flows. [Pa]

    Raises
    ------
    InputError
        If an argument is out of range.
    SolveError
        If the iteration does not converge.

    Notes
    -----
    Root of :math:`\tau_w - \tfrac43 \tau_0 + \tfrac13 \tau_0^4 / \tau_w^3 = 4 \mu Q / (\pi R^3)`. The common
    approximation :math:`4 \mu Q / (\pi R^3) + \tfrac43 \tau_0` leaves the last term out and is always too high. No slip at the
    wall: mortar that bleeds at the wall needs less, half to all of it.

    References
    ----------
    Buckingham, E. (1921), On plastic flow through capillary tubes, Proc. ASTM 21, 1154-1156; Reiner, M. (1926), Kolloid-Zeitschrift
    39, 80-87. Both from memory; the equation is in the standard texts.

    Examples
    --------
    >>> round(wall_stress(flow=20e-3 / 60, bore=0.038, yield_stress=200.0, plastic_viscosity=2.0), 2)
    380.76
    """
    require_not_negative("flow", flow, "m3/s")
    require_positive("bore", bore, "m")
    require_not_negative("yield_stress", yield_stress, "Pa")
    require_not_negative("plastic_viscosity", plastic_viscosity, "Pa s")
    return _wall_stress(32.0 * plastic_viscosity * flow / (math.pi * bore**3), yield_stress)


def _wall_stress(viscous: float, yield_stress: float) -> float:
    if viscous == 0.0 or yield_stress == 0.0:
        return viscous + yield_stress
    # In parts of the yield stress, u over it: u^2 (3 w^2 + 2 w + 1) / (3 w^3) = v with w = 1 + u; convex, so Newton's steps come down.
    v = viscous / yield_stress
    if v > 1e6:  # the last term is under a part in 1e18
        return viscous + 4.0 / 3.0 * yield_stress
    u = min(v + 1.0 / 3.0, v + math.sqrt(0.5 * v))
    for _ in range(60):
        w = 1.0 + u
        value = u * u * (3.0 * w * w + 2.0 * w + 1.0) / (3.0 * w**3)
        slope = u * (2.0 + u) * (1.0 + w * w) / w**4
        step = (value - v) / slope
        u -= step
        if abs(step) <= 4e-15 * u:
            return (1.0 + u) * yield_stress
    raise SolveError("wall stress of a Bingham fluid", step * yield_stress, 60)


def hose_pressure(*, flow: float, length: float, bore: float, yield_stress: float, plastic_viscosity: float) -> float:
    r"""Return the pressure that friction takes in a hose, or that must be there before anything moves.

    Parameters
    ----------
    flow : float
        Through the hose. [m3/s]
    length : float
        Of the hose, all of it: a coil resists too. [m]
    bore : float
        Inside diameter of the hose. [m]
    yield_stress : float
        Of the mortar. [Pa]
    plastic_viscosity : float
        Of the mortar. [Pa s]

    Returns
    -------
    float
        Difference of pressure between the ends, height not counted. [Pa]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`\Delta p = 4 L \tau_w / d`, the stress from `wall_stress`. Couplings, thickened mortar after a stop and a kink come on
    top; slip at the wall takes off.

    References
    ----------
    As `wall_stress`; balance of forces on the content of the hose.

    Examples
    --------
    >>> round(hose_pressure(flow=20e-3 / 60, length=50.0, bore=0.038, yield_stress=200.0, plastic_viscosity=2.0) / 1e5, 3)
    20.04
    """
    require_not_negative("length", length, "m")
    return 4.0 * length / bore * wall_stress(flow=flow, bore=bore, yield_stress=yield_stress, plastic_viscosity=plastic_viscosity)


def hose_flow(*, pressure: float, length: float, bore: float, yield_stress: float, plastic_viscosity: float) -> float:
    r"""Return the flow that a pressure drives through a hose.

    Parameters
    ----------
    pressure : float
        Difference of pressure between the ends, height not counted. [Pa]
    length : float
        Of the hose. [m]
    bore : float
        Inside diameter of the hose. [m]
    yield_stress : float
        Of the mortar. [Pa]
    plastic_viscosity : float
        Of the mortar. [Pa s]

    Returns
    -------
    float
        Flow; zero where the pressure does not overcome the yield stress. [m3/s]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`Q = \frac{\pi R^3 \tau_w}{4 \mu} (1 - \tfrac43 x + \tfrac13 x^4)`, :math:`x = \tau_0 / \tau_w`,
    :math:`\tau_w = \Delta p\, d / (4 L)`; the bracket is written :math:`(1 - x)^2 (3 + 2 x + x^2) / 3`, which keeps its digits.

    References
    ----------
    As `wall_stress`.

    Examples
    --------
    >>> round(hose_flow(pressure=20.03993296e5, length=50.0, bore=0.038, yield_stress=200.0, plastic_viscosity=2.0) * 60e3, 6)
    20.0
    """
    require_not_negative("pressure", pressure, "Pa")
    require_positive("length", length, "m")
    require_positive("bore", bore, "m")
    require_not_negative("yield_stress", yield_stress, "Pa")
    require_positive("plastic_viscosity", plastic_viscosity, "Pa s")
    stress = pressure * bore / (4.0 * length)
    if stress <= yield_stress:
        return 0.0
    x = yield_stress / stress
    return math.pi * bore**3 * stress / (32.0 * plastic_viscosity) * (1.0 - x) ** 2 * (3.0 + 2.0 * x + x * x) / 3.0


def plug_velocity(*, wall_stress: float, bore: float, yield_stress: float, plastic_viscosity: float) -> float:
    r"""Return the speed of the stiff core in a hose, the fastest mortar there.

    Parameters
    ----------
    wall_stress : float
        Stress at the wall. [Pa]
    bore : float
        Inside diameter of the hose. [m]
    yield_stress : float
        Of the mortar. [Pa]
    plastic_viscosity : float
        Of the mortar. [Pa s]

    Returns
    -------
    float
        Speed; zero where nothing flows. [m/s]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`u = R \tau_w (1 - x)^2 / (2 \mu)`, :math:`x = \tau_0 / \tau_w`.

    References
    ----------
    Coulson, J. M., Richardson, J. F., Chemical Engineering, volume 1, chapter 3, equation (3.145).

    Examples
    --------
    >>> round(plug_velocity(wall_stress=31.29, bore=0.04, yield_stress=14.34, plastic_viscosity=0.1505), 2)
    0.61
    """
    require_positive("wall_stress", wall_stress, "Pa")
    require_positive("bore", bore, "m")
    require_not_negative("yield_stress", yield_stress, "Pa")
    require_positive("plastic_viscosity", plastic_viscosity, "Pa s")
    moving = max(1.0 - yield_stress / wall_stress, 0.0)
    return 0.25 * bore * wall_stress * moving * moving / plastic_viscosity


def friction_factor_bingham(*, reynolds: float, hedstrom: float) -> float:
    r"""Return Fanning's friction factor of a Bingham fluid in laminar flow.

    Parameters
    ----------
    reynolds : float
        :math:`\rho V d / \mu`, with the plastic viscosity. [-]
    hedstrom : float
        :math:`\rho \tau_0 d^2 / \mu^2`. [-]

    Returns
    -------
    float
        Fanning's factor, a fourth of Darcy's. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    Root of :math:`f = \frac{16}{Re} (1 + \frac{He}{6 Re} - \frac{He^4}{3 f^3 Re^7})`, the same equation as `wall_stress`.

    References
    ----------
    As `wall_stress`; the form with Hedström's number: Hedström, B. O. A. (1952), Industrial and Engineering Chemistry 44, 651-656
    (from memory).

    Examples
    --------
    >>> round(friction_factor_bingham(reynolds=12.22980089, hedstrom=158.118), 6)
    4.025246
    """
    require_positive("reynolds", reynolds, "-")
    require_not_negative("hedstrom", hedstrom, "-")
    return 16.0 / reynolds * _wall_stress(1.0, hedstrom / (8.0 * reynolds))


def static_pressure(*, density: float, rise: float) -> float:
    r"""Return the pressure that lifting the mortar takes.

    Parameters
    ----------
    density : float
        Of the fresh mortar. [kg/m3]
    rise : float
        Height of the outlet over the pump; negative where it lies lower. [m]

    Returns
    -------
    float
        Pressure, negative where the mortar falls. [Pa]

    Raises
    ------
    InputError
        If the density is not positive.

    Notes
    -----
    :math:`\rho g h`.

    References
    ----------
    Hydrostatics, elementary.

    Examples
    --------
    >>> round(static_pressure(density=2148.0, rise=-2.0))
    -42129
    """
    require_positive("density", density, "kg/m3")
    return density * STANDARD_GRAVITY * rise


def residence_time(*, flow: float, length: float, bore: float) -> float:
    r"""Return how long mortar is in the hose, on the mean.

    Parameters
    ----------
    flow : float
        Through the hose. [m3/s]
    length : float
        Of the hose. [m]
    bore : float
        Inside diameter of the hose. [m]

    Returns
    -------
    float
        Content by flow. [s]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`\pi d^2 L / (4 Q)`. The core is faster (`plug_velocity`), the layer at the wall slower; a stoppage comes on top.

    References
    ----------
    Derived here: volume by flow.

    Examples
    --------
    >>> round(residence_time(flow=20e-3 / 60, length=150.0, bore=0.038) / 60, 1)
    8.5
    """
    require_positive("flow", flow, "m3/s")
    return content(bore=bore, length=length) / flow
