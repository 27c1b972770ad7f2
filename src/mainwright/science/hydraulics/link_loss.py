"""Head lost along the links of a network, with its slope: written once, for one link and for arrays of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, TypeAlias

import numpy as np

from mainwright.constants import STANDARD_GRAVITY
from mainwright.errors import InputError, require_positive
from mainwright.science.hydraulics.friction import LAMINAR_TO, TURBULENT_FROM

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

__all__ = [
    "FLOW_FLOOR",
    "DarcyLaw",
    "LinkLaw",
    "PowerLaw",
    "darcy_law",
    "darcy_link",
    "hazen_williams_law",
    "power_link",
]

FLOW_FLOOR: Final = 1e-7
"""Below this flow [m3/s] a power law goes on as a straight line: its slope at rest would be none, and its conductance without bound."""

_WIDTH: Final = TURBULENT_FROM - LAMINAR_TO
_F0: Final = 64.0 / LAMINAR_TO
_SLOPE0: Final = -64.0 / LAMINAR_TO**2 * _WIDTH
_PER_LOG: Final = 2.0 / math.log(10.0)
_FACTOR: Final = 10.66683  # 4.727 by 0.3048 to the power 4.871 - 3 * 1.852
_FLOW_POWER: Final = 1.852
_BORE_POWER: Final = 4.871


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """Loss as ``r Q |Q|^(n-1) + m Q |Q|``: `resistance` [m/(m3/s)^n], `local` [m/(m3/s)^2], one entry a link; `exponent` [-]."""

    resistance: NDArray[np.float64]
    exponent: float
    local: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class DarcyLaw:
    """Loss by Darcy and Weisbach, one entry a link.

    Attributes
    ----------
    per_flow
        Reynolds' number by flow. [s/m3]
    relative
        Roughness over bore. [-]
    scale
        Loss where the friction factor times the square of Reynolds' number is one. [m]
    local
        Local losses by the square of the flow. [m/(m3/s)^2]
    """

    per_flow: NDArray[np.float64]
    relative: NDArray[np.float64]
    scale: NDArray[np.float64]
    local: NDArray[np.float64]


LinkLaw: TypeAlias = "PowerLaw | DarcyLaw"


def power_link(flow: Any, resistance: Any, exponent: Any, local: Any) -> tuple[Any, Any]:  # noqa: ANN401 scalar or array
    r"""Return the loss of a link under a power law, and its slope.

    Parameters
    ----------
    flow : float or ndarray
        Through the link, positive from its start to its end. [m3/s]
    resistance : float or ndarray
        Of the link. [m/(m3/s)^n]
    exponent : float
        Power of the flow. [-]
    local : float or ndarray
        Local losses by the square of the flow. [m/(m3/s)^2]

    Returns
    -------
    tuple
        Loss with the sign of the flow [m], and its slope by flow [m/(m3/s)], never zero.

    Notes
    -----
    Exponential and logarithm instead of a power: half the time in compiled code, the same to the last digits.

    References
    ----------
    Williams and Hazen (1905) with n 1.852; turbulent rough flow with n 2.

    Examples
    --------
    >>> [round(float(value), 6) for value in power_link(2.0, 0.5, 2.0, 0.0)]
    [2.0, 2.0]
    """
    size = np.maximum(np.abs(flow), FLOW_FLOOR)
    secant = resistance * np.exp((exponent - 1.0) * np.log(size))
    square = local * size
    return (secant + square) * flow, exponent * secant + 2.0 * square


def darcy_link(flow: Any, per_flow: Any, relative: Any, scale: Any, local: Any) -> tuple[Any, Any]:  # noqa: ANN401 scalar or array
    r"""Return the loss of a link by Darcy and Weisbach, and its slope.

    Parameters
    ----------
    flow : float or ndarray
        Through the link, positive from its start to its end. [m3/s]
    per_flow : float or ndarray
        Reynolds' number by flow, 4 over pi, bore and viscosity. [s/m3]
    relative : float or ndarray
        Roughness over bore. [-]
    scale : float or ndarray
        Loss where f times the square of Reynolds' number is one. [m]
    local : float or ndarray
        Local losses by the square of the flow. [m/(m3/s)^2]

    Returns
    -------
    tuple
        Loss with the sign of the flow [m], and its slope by flow [m/(m3/s)], never zero.

    Notes
    -----
    The factor of `mainwright.science.hydraulics.friction.friction_factor`: laminar to 2000, Colebrook and White from 4000, a cubic with value
    and slope of either side between them. Four of Newton's steps from Haaland's explicit formula reach the last digits. Without a branch,
    so that one text serves arrays and compiled loops; the slope is that of the loss itself, so that Newton's method keeps its speed.

    References
    ----------
    Colebrook (1939) and the cubic, as in `mainwright.science.hydraulics.friction`.

    Examples
    --------
    Laminar loss is a straight line.

    >>> [round(float(value), 12) for value in darcy_link(0.5, 1000.0, 1e-3, 1e-6, 0.0)]
    [0.032, 0.064]
    """
    size = np.abs(flow)
    reynolds = size * per_flow
    low = (reynolds < LAMINAR_TO) * 1.0
    turbulent = np.maximum(reynolds, TURBULENT_FROM)
    rough = relative / 3.7
    smooth = 2.51 / turbulent
    x = -1.8 / math.log(10.0) * np.log(rough**1.11 + 6.9 / turbulent)
    for _ in range(4):
        inside = rough + smooth * x
        x = x - (x + _PER_LOG * np.log(inside)) / (1.0 + _PER_LOG * smooth / inside)
    inside = rough + smooth * x
    f1 = 1.0 / (x * x)
    bend = _PER_LOG * smooth / inside
    slope1 = -2.0 * f1 * bend / (turbulent * (1.0 + bend)) * _WIDTH
    s = np.minimum(np.maximum((reynolds - LAMINAR_TO) / _WIDTH, 0.0), 1.0)
    square = 3.0 * (f1 - _F0) - 2.0 * _SLOPE0 - slope1
    cube = 2.0 * (_F0 - f1) + _SLOPE0 + slope1
    factor = _F0 + s * (_SLOPE0 + s * (square + s * cube))
    bent = (_SLOPE0 + s * (2.0 * square + 3.0 * s * cube)) / _WIDTH
    # Loss over scale, and its slope by Reynolds' number.
    secant = low * 64.0 + (1.0 - low) * factor * reynolds
    tangent = low * 64.0 + (1.0 - low) * reynolds * (2.0 * factor + bent * reynolds)
    return scale * secant * per_flow * flow + local * size * flow, scale * tangent * per_flow + 2.0 * local * size


def _column(name: str, given: ArrayLike, *, count: int, zero: bool = False) -> NDArray[np.float64]:
    values = np.broadcast_to(np.asarray(given, dtype=np.float64), (count,)).copy()
    bad = ~(np.isfinite(values) & ((values >= 0.0) if zero else (values > 0.0)))
    if bool(np.any(bad)):
        first = int(np.argmax(bad))
        raise InputError(
            f"{name}[{first}]", float(values[first]), "", "a finite number, zero or more" if zero else "a finite number over zero"
        )
    return values


def hazen_williams_law(*, length: ArrayLike, bore: ArrayLike, coefficient: ArrayLike, local: ArrayLike = 0.0) -> PowerLaw:
    r"""Return the power law of Hazen and Williams' formula for pipes.

    Parameters
    ----------
    length : array_like
        Of each pipe. [m]
    bore : array_like
        Inside diameter of each. [m]
    coefficient : array_like
        Coefficient C of each. [-]
    local : array_like
        Sum of the coefficients of local losses of each, on its velocity head. [-]

    Returns
    -------
    PowerLaw
        For `mainwright.science.hydraulics.network`.

    Raises
    ------
    InputError
        If a number is out of range.

    Notes
    -----
    :math:`h = 10.66683\, C^{-1.852} D^{-4.871} L\, Q^{1.852}`, the constants of the common network programs.

    References
    ----------
    Rossman, L. A. (2000), EPANET 2 users manual, EPA/600/R-00/057, table 3.1 (4.727 in feet and cubic feet a second).

    Examples
    --------
    >>> law = hazen_williams_law(length=[150.0], bore=[0.0514], coefficient=[140.0])
    >>> round(float(law.resistance[0] * 0.002**law.exponent), 1)
    3.2
    """
    count = np.size(length)
    lengths, bores = _column("length", length, count=count), _column("bore", bore, count=count)
    resistance = _FACTOR * lengths / (_column("coefficient", coefficient, count=count) ** _FLOW_POWER * bores**_BORE_POWER)
    return PowerLaw(resistance, _FLOW_POWER, _local(local, bores))


def _local(given: ArrayLike, bores: NDArray[np.float64]) -> NDArray[np.float64]:
    square = 8.0 / (math.pi**2 * STANDARD_GRAVITY * bores**4)
    return np.asarray(_column("local", given, count=len(bores), zero=True) * square, dtype=np.float64)


def darcy_law(*, length: ArrayLike, bore: ArrayLike, roughness: ArrayLike, viscosity: float, local: ArrayLike = 0.0) -> DarcyLaw:
    r"""Return the law of Darcy and Weisbach for pipes.

    Parameters
    ----------
    length : array_like
        Of each pipe. [m]
    bore : array_like
        Inside diameter of each. [m]
    roughness : array_like
        Equivalent sand roughness k of each. [m]
    viscosity : float
        Kinematic viscosity. [m2/s]
    local : array_like
        Sum of the coefficients of local losses of each, on its velocity head. [-]

    Returns
    -------
    DarcyLaw
        For `mainwright.science.hydraulics.network`.

    Raises
    ------
    InputError
        If a number is out of range.

    Notes
    -----
    :math:`h = f \frac{8 L}{\pi^2 g D^5} Q |Q|`, written with :math:`f Re^2` so that the loss of resting water has a slope.

    References
    ----------
    White, F. M., Fluid Mechanics, equation (6.10).

    Examples
    --------
    >>> law = darcy_law(length=[100.0], bore=[0.5], roughness=[0.046e-3], viscosity=1.023053e-6)
    >>> loss, _ = darcy_link(0.416, law.per_flow, law.relative, law.scale, law.local)
    >>> round(float(loss[0]), 2)
    0.61
    """
    require_positive("viscosity", viscosity, "m2/s")
    count = np.size(length)
    lengths, bores = _column("length", length, count=count), _column("bore", bore, count=count)
    relative = _column("roughness", roughness, count=count, zero=True) / bores
    if bool(np.any(relative > 1.0)):
        first = int(np.argmax(relative > 1.0))
        raise InputError(f"roughness[{first}]", float(relative[first] * bores[first]), "m", f"up to the bore, {bores[first]:g} m")
    per_flow = 4.0 / (math.pi * bores * viscosity)
    scale = lengths * viscosity**2 / (2.0 * STANDARD_GRAVITY * bores**3)
    return DarcyLaw(per_flow, relative, scale, _local(local, bores))
