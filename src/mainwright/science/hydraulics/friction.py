"""Darcy's friction factor of a round pipe, from rest to full turbulence."""

import math
from typing import Final

from mainwright.errors import InputError, SolveError, require_positive, require_within

__all__ = [
    "LAMINAR_TO",
    "TURBULENT_FROM",
    "friction_factor",
    "friction_factor_colebrook_1939",
    "friction_factor_laminar",
    "reynolds_number",
    "roughness_of_factor",
]

LAMINAR_TO: Final = 2000.0
TURBULENT_FROM: Final = 4000.0
_PER_LOG: Final = 2.0 / math.log(10.0)


def reynolds_number(*, flow: float, bore: float, viscosity: float) -> float:
    r"""Return Reynolds' number of a flow in a round pipe.

    Parameters
    ----------
    flow : float
        Through the pipe, either way. [m3/s]
    bore : float
        Inside diameter. [m]
    viscosity : float
        Kinematic viscosity. [m2/s]

    Returns
    -------
    float
        :math:`V D / \nu`. [-]

    Raises
    ------
    InputError
        If the bore or the viscosity is not positive.

    References
    ----------
    Reynolds, O. (1883), Phil. Trans. R. Soc. 174, 935-982; definition.

    Examples
    --------
    >>> round(reynolds_number(flow=0.416, bore=0.5, viscosity=1.023053e-6))
    1035465
    """
    require_positive("bore", bore, "m")
    require_positive("viscosity", viscosity, "m2/s")
    return 4.0 * abs(flow) / (math.pi * bore * viscosity)


def friction_factor_laminar(reynolds: float) -> float:
    r"""Return the friction factor of laminar flow.

    Parameters
    ----------
    reynolds : float
        Reynolds' number. [-]

    Returns
    -------
    float
        Darcy's factor. [-]

    Raises
    ------
    InputError
        If Reynolds' number is not positive.

    Notes
    -----
    :math:`64 / Re`.

    References
    ----------
    Hagen (1839) and Poiseuille (1840); White, F. M., Fluid Mechanics, section 6.4.

    Examples
    --------
    >>> friction_factor_laminar(1000.0)
    0.064
    """
    require_positive("reynolds", reynolds, "-")
    return 64.0 / reynolds


def friction_factor_colebrook_1939(*, reynolds: float, relative_roughness: float) -> float:
    r"""Return the friction factor of turbulent flow, solved to the last digit.

    Parameters
    ----------
    reynolds : float
        Reynolds' number. [-]
    relative_roughness : float
        Roughness k over bore, 0 to 1; the formula was drawn up for up to 0.05. [-]

    Returns
    -------
    float
        Darcy's factor. [-]

    Raises
    ------
    InputError
        If an argument is out of range.
    SolveError
        If the iteration does not converge.

    Notes
    -----
    :math:`1/\sqrt f = -2 \log_{10}(k/(3.7 D) + 2.51/(Re \sqrt f))`, by Newton's steps on :math:`1/\sqrt f` from the explicit formula of
    Haaland. Severely tuberculated small mains have k/D well over 0.05: there the formula is only carried on.

    References
    ----------
    Colebrook, C. F. (1939), Turbulent flow in pipes, with particular reference to the transition region between the smooth and rough
    pipe laws, Journal of the ICE 11, 133-156; first guess: Haaland, S. E. (1983), J. Fluids Eng. 105, 89-90.

    Examples
    --------
    >>> round(friction_factor_colebrook_1939(reynolds=1e5, relative_roughness=1e-3), 10)
    0.0221745359
    """
    require_positive("reynolds", reynolds, "-")
    if not 0.0 <= relative_roughness <= 1.0:
        raise InputError("relative_roughness", relative_roughness, "-", "0 to 1")
    rough = relative_roughness / 3.7
    smooth = 2.51 / reynolds
    x = -1.8 * math.log10(rough**1.11 + 6.9 / reynolds)
    for _ in range(50):
        inside = rough + smooth * x
        step = (x + _PER_LOG * math.log(inside)) / (1.0 + _PER_LOG * smooth / inside)
        x -= step
        if abs(step) <= 4e-15 * x:
            return 1.0 / (x * x)
    raise SolveError("Colebrook and White's equation", step, 50)


def _colebrook_with_slope(reynolds: float, relative_roughness: float) -> tuple[float, float]:
    """Return the turbulent factor and its slope with Reynolds' number."""
    f = friction_factor_colebrook_1939(reynolds=reynolds, relative_roughness=relative_roughness)
    x = 1.0 / math.sqrt(f)
    smooth = 2.51 / reynolds
    inside = relative_roughness / 3.7 + smooth * x
    # From x + c ln(rough + 2.51 x / Re) = 0.
    dx = _PER_LOG * smooth * x / (reynolds * inside) / (1.0 + _PER_LOG * smooth / inside)
    return f, -2.0 * f / x * dx


def friction_factor(*, reynolds: float, relative_roughness: float) -> float:
    r"""Return the friction factor at any Reynolds' number over zero.

    Parameters
    ----------
    reynolds : float
        Reynolds' number. [-]
    relative_roughness : float
        Roughness k over bore, 0 to 1. [-]

    Returns
    -------
    float
        Darcy's factor. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    Up to 2000 laminar, from 4000 Colebrook and White. Between them flow is not steady and no formula is right; a cubic in Reynolds' number
    with value and slope of either side is taken, so that head loss rises smoothly with flow and can be inverted.

    References
    ----------
    As the two formulas; cubic in the range 2000 to 4000 after Dunlop, E. J. (1991), WADI user manual (from memory: there with an explicit
    turbulent formula, here with the solved one).

    Examples
    --------
    >>> round(friction_factor(reynolds=2000.0, relative_roughness=1e-3), 6)
    0.032
    """
    require_positive("reynolds", reynolds, "-")
    if reynolds <= LAMINAR_TO:
        return friction_factor_laminar(reynolds)
    if reynolds >= TURBULENT_FROM:
        return friction_factor_colebrook_1939(reynolds=reynolds, relative_roughness=relative_roughness)
    width = TURBULENT_FROM - LAMINAR_TO
    f0, slope0 = 64.0 / LAMINAR_TO, -64.0 / LAMINAR_TO**2 * width
    f1, slope1 = _colebrook_with_slope(TURBULENT_FROM, relative_roughness)
    slope1 *= width
    s = (reynolds - LAMINAR_TO) / width
    return f0 + s * (slope0 + s * (3.0 * (f1 - f0) - 2.0 * slope0 - slope1 + s * (2.0 * (f0 - f1) + slope0 + slope1)))


def roughness_of_factor(*, factor: float, reynolds: float, bore: float) -> float:
    r"""Return the roughness that a measured friction factor speaks of.

    Parameters
    ----------
    factor : float
        Darcy's factor, in turbulent flow. [-]
    reynolds : float
        Reynolds' number, 4000 or more. [-]
    bore : float
        Inside diameter. [m]

    Returns
    -------
    float
        Roughness k; negative where the pipe seems smoother than smooth. [m]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    Colebrook and White's equation solved for k: :math:`k = 3.7 D (10^{-1/(2 \sqrt f)} - 2.51/(Re \sqrt f))`.

    References
    ----------
    Colebrook (1939), as in `friction_factor_colebrook_1939`.

    Examples
    --------
    >>> round(1000 * roughness_of_factor(factor=0.0221745359, reynolds=1e5, bore=0.15), 6)
    0.15
    """
    require_positive("factor", factor, "-")
    require_positive("bore", bore, "m")
    require_within("reynolds", reynolds, "-", above=TURBULENT_FROM * (1.0 - 1e-12), below=math.inf)
    root = math.sqrt(factor)
    return 3.7 * bore * (math.pow(10.0, -0.5 / root) - 2.51 / (reynolds * root))
