"""Head lost along a pipe, and the flow or the bore that goes with it."""

import math

from mainwright.constants import STANDARD_GRAVITY
from mainwright.errors import InputError, SolveError, require_not_negative, require_positive
from mainwright.science.bore.volume import bore_area
from mainwright.science.hydraulics.friction import LAMINAR_TO, TURBULENT_FROM, friction_factor, reynolds_number

__all__ = ["bore_for_head_loss", "flow_for_head_loss", "head_loss", "velocity"]


def velocity(*, flow: float, bore: float) -> float:
    r"""Return the mean velocity in a round pipe.

    Parameters
    ----------
    flow : float
        Through the pipe. [m3/s]
    bore : float
        Inside diameter. [m]

    Returns
    -------
    float
        Mean velocity. [m/s]

    Raises
    ------
    InputError
        If the bore is not positive.

    References
    ----------
    Continuity; elementary.

    Examples
    --------
    >>> round(velocity(flow=0.416, bore=0.5), 2)
    2.12
    """
    return flow / bore_area(bore)


def head_loss(*, flow: float, bore: float, length: float, roughness: float, viscosity: float) -> float:
    r"""Return the head lost by friction along a pipe.

    Parameters
    ----------
    flow : float
        Through the pipe; the loss has its sign. [m3/s]
    bore : float
        Inside diameter. [m]
    length : float
        Length of the pipe. [m]
    roughness : float
        Equivalent sand roughness k. [m]
    viscosity : float
        Kinematic viscosity. [m2/s]

    Returns
    -------
    float
        Head loss, local losses not counted. [m]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`h = f \frac{L}{D} \frac{V |V|}{2 g}`, f from `friction_factor`.

    References
    ----------
    Darcy, H. (1857) and Weisbach, J. (1845); White, F. M., Fluid Mechanics, equation (6.10).

    Examples
    --------
    >>> round(head_loss(flow=0.416, bore=0.5, length=100.0, roughness=0.046e-3, viscosity=1.023053e-6), 2)
    0.61
    """
    require_not_negative("length", length, "m")
    require_not_negative("roughness", roughness, "m")
    reynolds = reynolds_number(flow=flow, bore=bore, viscosity=viscosity)
    if reynolds == 0.0:
        return 0.0
    speed = velocity(flow=flow, bore=bore)
    factor = friction_factor(reynolds=reynolds, relative_roughness=roughness / bore)
    return factor * length / bore * speed * abs(speed) / (2.0 * STANDARD_GRAVITY)


def flow_for_head_loss(*, loss: float, bore: float, length: float, roughness: float, viscosity: float) -> float:
    r"""Return the flow that a head loss drives through a pipe.

    Parameters
    ----------
    loss : float
        Head lost by friction; the flow has its sign. [m]
    bore : float
        Inside diameter. [m]
    length : float
        Length of the pipe. [m]
    roughness : float
        Equivalent sand roughness k. [m]
    viscosity : float
        Kinematic viscosity. [m2/s]

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
    Turbulent, without iteration: :math:`V = -2 \sqrt{2 g D S} \log_{10}(k/(3.7 D) + 2.51 \nu / (D \sqrt{2 g D S}))`, for
    :math:`Re \sqrt f` needs no velocity; laminar :math:`V = g S D^2 / (32 \nu)`; between them by halving.

    References
    ----------
    Colebrook (1939) with Darcy's equation, as in Chadwick, A., Morfett, J., Hydraulics in Civil and Environmental Engineering, section 4.3.

    Examples
    --------
    >>> round(flow_for_head_loss(loss=0.6, bore=0.5, length=100.0, roughness=0.046e-3, viscosity=1.023e-6), 4)
    0.4131
    """
    if not math.isfinite(loss):
        raise InputError("loss", loss, "m", "a finite number")
    require_positive("bore", bore, "m")
    require_positive("length", length, "m")
    require_not_negative("roughness", roughness, "m")
    require_positive("viscosity", viscosity, "m2/s")
    if roughness > bore:
        raise InputError("roughness", roughness, "m", f"up to the bore, {bore:g} m")
    if loss == 0.0:
        return 0.0
    slope = abs(loss) / length
    by_reynolds = math.copysign(0.25 * math.pi * bore * viscosity, loss)
    laminar = STANDARD_GRAVITY * slope * bore**3 / (32.0 * viscosity**2)
    if laminar <= LAMINAR_TO:
        return laminar * by_reynolds
    shear = math.sqrt(2.0 * STANDARD_GRAVITY * bore * slope)
    turbulent = -2.0 * shear * math.log10(roughness / (3.7 * bore) + 2.51 * viscosity / (bore * shear)) * bore / viscosity
    if turbulent >= TURBULENT_FROM:
        return turbulent * by_reynolds
    wanted = (bore * shear / viscosity) ** 2
    low, high = LAMINAR_TO, TURBULENT_FROM
    while high - low > 1e-13 * high:
        middle = 0.5 * (low + high)
        if friction_factor(reynolds=middle, relative_roughness=roughness / bore) * middle * middle < wanted:
            low = middle
        else:
            high = middle
        if middle in (low, high) and high - low <= 4e-13 * high:
            break
    return 0.5 * (low + high) * by_reynolds


def bore_for_head_loss(*, flow: float, loss: float, length: float, roughness: float, viscosity: float) -> float:
    r"""Return the bore in which a flow loses a given head.

    Parameters
    ----------
    flow : float
        Through the pipe. [m3/s]
    loss : float
        Head that may be lost by friction. [m]
    length : float
        Length of the pipe. [m]
    roughness : float
        Equivalent sand roughness k. [m]
    viscosity : float
        Kinematic viscosity. [m2/s]

    Returns
    -------
    float
        Inside diameter. [m]

    Raises
    ------
    InputError
        If an argument is not positive, or the answer would be rougher than it is wide.
    SolveError
        If the halving does not converge.

    Notes
    -----
    Halving on the logarithm of the bore: head loss falls steadily with it.

    References
    ----------
    As `head_loss`.

    Examples
    --------
    >>> round(bore_for_head_loss(flow=0.416, loss=0.6, length=100.0, roughness=0.046e-3, viscosity=1.023053e-6), 3)
    0.501
    """
    require_positive("flow", flow, "m3/s")
    require_positive("loss", loss, "m")
    low, high = max(roughness, 1e-4), 100.0
    for wide, bore in ((False, low), (True, high)):
        there = head_loss(flow=flow, bore=bore, length=length, roughness=roughness, viscosity=viscosity)
        if (there > loss) is wide:
            raise InputError("loss", loss, "m", f"that of a bore from {low:g} to {high:g} m")
    for _ in range(200):
        middle = math.sqrt(low * high)
        if high / low - 1.0 < 1e-14 or middle in (low, high):
            return middle
        if head_loss(flow=flow, bore=middle, length=length, roughness=roughness, viscosity=viscosity) > loss:
            low = middle
        else:
            high = middle
    raise SolveError("bore for a head loss", high - low, 200)
