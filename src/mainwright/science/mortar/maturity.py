"""How far mortar has hardened: age and temperature taken together, two laws, and when a wanted age is reached."""

import math
from collections.abc import Sequence
from typing import Final

from mainwright.constants import ZERO_CELSIUS
from mainwright.errors import InputError, require_not_negative, require_positive

__all__ = ["DATUM", "REFERENCE", "REFERENCE_US", "age_factor", "equivalent_age", "nurse_saul_maturity", "strength_share_ec2", "time_to_age"]

REFERENCE: Final = 20.0 + ZERO_CELSIUS
"""Temperature to which European equivalent ages refer. [K]"""
REFERENCE_US: Final = 23.0 + ZERO_CELSIUS
"""Temperature to which North American equivalent ages often refer. [K]"""
DATUM: Final = ZERO_CELSIUS
"""Temperature below which the sum of Nurse and Saul counts nothing, the datum of ASTM C1074 for cement without admixture. [K]"""

_FROZEN: Final = ZERO_CELSIUS
_HOTTEST: Final = 60.0 + ZERO_CELSIUS
_DAY: Final = 86400.0
_FULL: Final = 28.0


def _check(temperature: float) -> None:
    if not -50.0 <= temperature - ZERO_CELSIUS <= _HOTTEST - ZERO_CELSIUS:
        raise InputError("temperature", temperature, "K", "223.15 to 333.15 K, which is -50 to 60 degC")


def age_factor(temperature: float, *, activation: float, reference: float) -> float:
    r"""Return by how much faster mortar ages than at the reference temperature.

    Parameters
    ----------
    temperature : float
        Of the mortar; at most 60 degC. [K]
    activation : float
        Activation energy over the gas constant. [K]
    reference : float
        Temperature to which the age refers. [K]

    Returns
    -------
    float
        Ratio of ages; 0 at freezing and below. [-]

    Raises
    ------
    InputError
        If the temperature is out of range, or another argument not positive.

    Notes
    -----
    :math:`\exp(-Q (1/T - 1/T_r))`, meant for 0 to 40 degC. That freezing mortar does not age is the safe side: it may be ruined.

    References
    ----------
    ASTM C1074, equation (2), with Q = 5000 K where nothing better is known (from memory). EN 1992-1-1:2004, annex B, equation (B.10) is
    the same law with Q = 4000 K at 20 degC, its constant rounded (from memory).

    Examples
    --------
    >>> round(age_factor(283.15, activation=5000.0, reference=293.15), 4)
    0.5475
    """
    _check(temperature)
    require_positive("activation", activation, "K")
    require_positive("reference", reference, "K")
    if temperature <= _FROZEN:
        return 0.0
    return math.exp(activation * (1.0 / reference - 1.0 / temperature))


def equivalent_age(durations: Sequence[float], temperatures: Sequence[float], *, activation: float, reference: float) -> float:
    """Return the age at the reference temperature that mortar has after a history of temperatures.

    Parameters
    ----------
    durations : sequence of float
        Lengths of the intervals. [s]
    temperatures : sequence of float
        Mean temperature of the mortar in each. [K]
    activation : float
        Activation energy over the gas constant. [K]
    reference : float
        Temperature to which the age refers. [K]

    Returns
    -------
    float
        Equivalent age. [s]

    Raises
    ------
    InputError
        If the lengths differ, a duration is negative, or a temperature is out of range.

    Notes
    -----
    The sum of the durations times `age_factor`. An equivalent age means nothing without its reference temperature.

    References
    ----------
    ASTM C1074, equation (2) (from memory).

    Examples
    --------
    >>> round(equivalent_age([72 * 3600.0], [283.15], activation=5000.0, reference=293.15) / 3600, 2)
    39.42
    """
    _match(durations, temperatures)
    factors = [age_factor(one, activation=activation, reference=reference) for one in temperatures]
    return math.fsum(duration * factor for duration, factor in zip(durations, factors, strict=True))


def nurse_saul_maturity(durations: Sequence[float], temperatures: Sequence[float], *, datum: float) -> float:
    r"""Return the maturity by Nurse and Saul: degrees over a datum times time.

    Parameters
    ----------
    durations : sequence of float
        Lengths of the intervals. [s]
    temperatures : sequence of float
        Mean temperature of the mortar in each. [K]
    datum : float
        Temperature at which mortar stops hardening; published ones lie between -12 and 0 degC. [K]

    Returns
    -------
    float
        Maturity. [K s]

    Raises
    ------
    InputError
        If the lengths differ, a duration is negative, or a temperature is out of range.

    Notes
    -----
    :math:`\sum \max(T - T_0, 0) \Delta t`. The datum goes with the number: the same history has another maturity with another datum.

    References
    ----------
    Saul, A. G. A. (1951), Principles underlying the steam curing of concrete at atmospheric pressure, Magazine of Concrete Research 2, 127-140
    (from memory); ASTM C1074, equation (1) (from memory).

    Examples
    --------
    >>> round(nurse_saul_maturity([86400.0], [283.15], datum=273.15) / 3600)
    240
    """
    _match(durations, temperatures)
    for one in temperatures:
        _check(one)
    return math.fsum(duration * max(one - datum, 0.0) for duration, one in zip(durations, temperatures, strict=True))


def _match(durations: Sequence[float], temperatures: Sequence[float]) -> None:
    if len(durations) != len(temperatures):
        raise InputError("durations", len(durations), "", f"as many as temperatures, {len(temperatures)}")
    for duration in durations:
        require_not_negative("duration", duration, "s")


def time_to_age(
    age: float, durations: Sequence[float], temperatures: Sequence[float], *, activation: float, reference: float
) -> float | None:
    """Return when mortar has reached an equivalent age, under a forecast or log of temperatures.

    Parameters
    ----------
    age : float
        Wanted equivalent age. [s]
    durations : sequence of float
        Lengths of the intervals; the last goes on for ever. [s]
    temperatures : sequence of float
        Mean temperature of the mortar in each. [K]
    activation : float
        Activation energy over the gas constant. [K]
    reference : float
        Temperature to which the age refers. [K]

    Returns
    -------
    float or None
        Time from the beginning; None where it is never reached because the last interval freezes. [s]

    Raises
    ------
    InputError
        If there is no interval, the lengths differ, or an argument is out of range.

    References
    ----------
    The inverse of `equivalent_age`, derived here.

    Examples
    --------
    >>> round(time_to_age(39.42 * 3600, [3600.0], [283.15], activation=5000.0, reference=293.15) / 3600)
    72
    """
    require_not_negative("age", age, "s")
    _match(durations, temperatures)
    if not durations:
        raise InputError("durations", 0, "", "at least one interval")
    factors = [age_factor(one, activation=activation, reference=reference) for one in temperatures]
    passed, left = 0.0, age
    for duration, factor in zip(durations[:-1], factors[:-1], strict=True):
        if left <= duration * factor:
            return passed + (left / factor if left > 0.0 else 0.0)
        left -= duration * factor
        passed += duration
    if left <= 0.0:
        return passed
    return passed + left / factors[-1] if factors[-1] > 0.0 else None


def strength_share_ec2(age: float, *, cement: float) -> float:
    r"""Return the mean strength at an age at 20 degC, by that at 28 days.

    Parameters
    ----------
    age : float
        Age at 20 degC, or the equivalent age that refers to it. [s]
    cement : float
        Coefficient of the cement: 0.20 rapid, 0.25 normal, 0.38 slow. [-]

    Returns
    -------
    float
        Share of the strength at 28 days; 0 at age 0. [-]

    Raises
    ------
    InputError
        If the age is negative or the coefficient not positive.

    Notes
    -----
    :math:`\exp(s (1 - \sqrt{28 / t}))` with the age in days. It is for concrete cured under water at 20 degC; a thin lining that may dry is
    carried over here, and the first hours before setting are not meant.

    References
    ----------
    EN 1992-1-1:2004, 3.1.2(6) (from memory).

    Examples
    --------
    >>> round(strength_share_ec2(7 * 86400.0, cement=0.25), 3)
    0.779
    """
    require_not_negative("age", age, "s")
    require_positive("cement", cement, "-")
    if age == 0.0:
        return 0.0
    return math.exp(cement * (1.0 - math.sqrt(_FULL * _DAY / age)))
