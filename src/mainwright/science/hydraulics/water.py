"""Density and viscosity of pure water by temperature, at the pressure of the air."""

import math
from typing import Final

from mainwright.constants import ZERO_CELSIUS
from mainwright.errors import InputError

__all__ = ["kinematic_viscosity", "water_density", "water_viscosity"]

_KELL: Final = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
_IAPWS: Final = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))


def _require_liquid(temperature: float) -> None:
    if not 0.0 <= temperature - ZERO_CELSIUS <= 100.0:
        raise InputError("temperature", temperature, "K", "273.15 to 373.15 K, liquid water")


def water_density(temperature: float) -> float:
    r"""Return the density of pure water.

    Parameters
    ----------
    temperature : float
        0 to 100 degC. [K]

    Returns
    -------
    float
        Density at one atmosphere. [kg/m3]

    Raises
    ------
    InputError
        If the temperature is out of range.

    Notes
    -----
    A quotient of polynomials in the temperature in degC. Dissolved salts of drinking water add less than 1 kg/m3.

    References
    ----------
    Kell, G. S. (1975), Density, thermal expansivity, and compressibility of liquid water from 0 to 150 degC, Journal of Chemical and
    Engineering Data 20, 97-105, equation (16), doi 10.1021/je60064a005 (coefficients from memory, checked against a table).

    Examples
    --------
    >>> round(water_density(293.15), 2)
    998.2
    """
    _require_liquid(temperature)
    t = temperature - ZERO_CELSIUS
    total = 0.0
    for coefficient in reversed(_KELL):
        total = total * t + coefficient
    return total / (1.0 + 16.879850e-3 * t)


def water_viscosity(temperature: float) -> float:
    r"""Return the dynamic viscosity of pure water.

    Parameters
    ----------
    temperature : float
        0 to 100 degC. [K]

    Returns
    -------
    float
        Dynamic viscosity. [Pa s]

    Raises
    ------
    InputError
        If the temperature is out of range.

    Notes
    -----
    :math:`\mu = 10^{-6} \sum a_i (T / 300)^{b_i}`, stated uncertainty 1 %.

    References
    ----------
    IAPWS SR6-08 (2011), Revised supplementary release on properties of liquid water at 0.1 MPa, equation (7); Pátek, J. et al. (2009),
    J. Phys. Chem. Ref. Data 38, 21-29 (coefficients from memory, checked against a table).

    Examples
    --------
    >>> round(water_viscosity(293.15) * 1e3, 4)
    1.0016
    """
    _require_liquid(temperature)
    ratio = temperature / 300.0
    return 1e-6 * math.fsum(a * math.pow(ratio, b) for a, b in _IAPWS)


def kinematic_viscosity(temperature: float) -> float:
    r"""Return the kinematic viscosity of pure water.

    Parameters
    ----------
    temperature : float
        0 to 100 degC. [K]

    Returns
    -------
    float
        Kinematic viscosity. [m2/s]

    Raises
    ------
    InputError
        If the temperature is out of range.

    Notes
    -----
    `water_viscosity` by `water_density`.

    References
    ----------
    As for both.

    Examples
    --------
    >>> f"{kinematic_viscosity(283.15):.4g}"
    '1.306e-06'
    """
    return water_viscosity(temperature) / water_density(temperature)
