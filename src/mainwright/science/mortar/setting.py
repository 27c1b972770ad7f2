"""How temperature changes the minutes in which mortar can be used, and in which it sets."""

import math
from dataclasses import dataclass
from typing import Final

from mainwright.constants import GAS_CONSTANT, ZERO_CELSIUS
from mainwright.errors import InputError, require_positive

__all__ = ["SETTING_TABLE", "Minutes", "setting_factor", "time_at_temperature"]

_FAHRENHEIT: Final = ((40.0, 14.0), (50.0, 11.0), (60.0, 8.0), (70.0, 6.0), (80.0, 4.0), (90.0, 8.0 / 3.0), (100.0, 5.0 / 3.0))

SETTING_TABLE: Final = tuple(((f - 32.0) * 5.0 / 9.0 + ZERO_CELSIUS, hours * 3600.0) for f, hours in _FAHRENHEIT)
"""Temperature [K] and setting time [s] of concrete, guidance of a cement association (secondary source, not read in the original)."""

_REFERENCE: Final = 20.0 + ZERO_CELSIUS
_COLDEST: Final = ZERO_CELSIUS
_WARMEST: Final = 45.0 + ZERO_CELSIUS
# Activation energies of published maturity laws [J/mol], which bound the table's own slope: see `setting_factor`.
_ENERGIES: Final = (4000.0 * GAS_CONSTANT, 5000.0 * GAS_CONSTANT)


@dataclass(frozen=True, slots=True)
class Minutes:
    """A time at a temperature, with the spread of the published laws.

    Attributes
    ----------
    value, low, high
        Best estimate, and least and greatest of the laws that were compared. [s]
    """

    value: float
    low: float
    high: float


def setting_factor(temperature: float) -> float:
    r"""Return by how much longer mortar takes than at 20 degC.

    Parameters
    ----------
    temperature : float
        Of the mortar, or of the wall it lies on; 0 to 45 degC. [K]

    Returns
    -------
    float
        Ratio of times; over one where it is colder. [-]

    Raises
    ------
    InputError
        If the temperature is out of range.

    Notes
    -----
    Read from a table of setting times, straight between its points in the logarithm of time against the reciprocal of
    temperature, its first and last slope carried on to 0 and 45 degC. One Arrhenius constant does not fit the table: its cold half
    behaves like 35 kJ/mol, its hot half like 58 kJ/mol. It is for plain Portland cement without admixture; an admixture, a
    slag blend or another water content changes it, so a trial with the job's own mortar goes before it.

    References
    ----------
    Cement association guidance on setting time by temperature, as told by secondary sources: 40 degF 14 h, 50 degF 11 h, 60 degF 8 h,
    70 degF 6 h, 80 degF 4 h, 90 degF 2 h 40 min, 100 degF 1 h 40 min.

    Examples
    --------
    >>> round(setting_factor(283.15), 2), setting_factor(293.15)
    (1.73, 1.0)
    """
    if not _COLDEST <= temperature <= _WARMEST:
        raise InputError("temperature", temperature, "K", f"{_COLDEST:g} to {_WARMEST:g} K, which is 0 to 45 degC")
    return math.exp(_log_time(temperature) - _log_time(_REFERENCE))


def _log_time(temperature: float) -> float:
    index = 0
    while index < len(SETTING_TABLE) - 2 and temperature > SETTING_TABLE[index + 1][0]:
        index += 1
    (cold, slow), (warm, fast) = SETTING_TABLE[index], SETTING_TABLE[index + 1]
    share = (1.0 / temperature - 1.0 / cold) / (1.0 / warm - 1.0 / cold)
    return math.log(slow) + share * (math.log(fast) - math.log(slow))


def time_at_temperature(*, at_reference: float, temperature: float) -> Minutes:
    r"""Return how long mortar can be used, or takes to set, at a temperature.

    Parameters
    ----------
    at_reference : float
        The time at 20 degC, from the job's own tested mortar. [s]
    temperature : float
        Of the mortar, or of the wall it lies on; 0 to 45 degC. [K]

    Returns
    -------
    Minutes
        The time, and the spread between published laws. [s]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The value is `at_reference` times `setting_factor`. Its spread is taken from two laws of maturity besides the table,
    :math:`\exp(E / R (1/T - 1/T_{20}))` with :math:`E/R` of 4000 K and 5000 K: the least and the greatest of the three. That the
    usable time follows the same factor as the set time is assumed. A limit on which safety or a customer's pipe depends takes the end of the
    spread that is unfavourable.

    References
    ----------
    Table: see `setting_factor`. 4000 K: EN 1992-1-1:2004, annex B, equation (B.10) (from memory); 5000 K: ASTM C1074, equation (2) with
    its default constant (default from memory).

    Examples
    --------
    >>> found = time_at_temperature(at_reference=5400.0, temperature=283.15)
    >>> [round(seconds / 60) for seconds in (found.low, found.value, found.high)]
    [146, 156, 164]
    """
    require_positive("at_reference", at_reference, "s")
    factors = [setting_factor(temperature)]
    factors += [math.exp(energy / GAS_CONSTANT * (1.0 / temperature - 1.0 / _REFERENCE)) for energy in _ENERGIES]
    return Minutes(factors[0] * at_reference, min(factors) * at_reference, max(factors) * at_reference)
