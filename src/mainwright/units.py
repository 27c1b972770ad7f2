"""Display units and their factors to SI: the only place where a factor is written.

A unit is named as it ends a column, a key or a heading (``flow_l_min`` has the unit ``l_min``).
The value in SI is ``value * factor + offset``.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from mainwright.constants import STANDARD_GRAVITY, ZERO_CELSIUS
from mainwright.errors import InputError

__all__ = ["UNITS", "US_PARTNER", "Unit", "from_si", "significant", "to_si"]

_FOOT: Final = 0.3048
_INCH: Final = 0.0254
_POUND: Final = 0.45359237
_US_GALLON: Final = 231 * _INCH**3
_DEGREE: Final = 3.141592653589793 / 180.0
_POUND_FORCE: Final = _POUND * STANDARD_GRAVITY


@dataclass(frozen=True, slots=True)
class Unit:
    """One display unit.

    Attributes
    ----------
    label
        How it is printed beside a number.
    factor, offset
        ``si = value * factor + offset``.
    """

    label: str
    factor: float
    offset: float = 0.0


UNITS: Final = MappingProxyType(
    {
        "-": Unit("", 1.0),
        "": Unit("", 1.0),
        "m": Unit("m", 1.0),
        "mm": Unit("mm", 1e-3),
        "km": Unit("km", 1e3),
        "m2": Unit("m²", 1.0),
        "mm2": Unit("mm²", 1e-6),
        "cm2": Unit("cm²", 1e-4),
        "m3": Unit("m³", 1.0),
        "l": Unit("l", 1e-3),
        "l_m": Unit("l/m", 1e-3),
        "l_m2": Unit("l/m²", 1e-3),
        "l_s": Unit("l/s", 1e-3),
        "l_min": Unit("l/min", 1e-3 / 60.0),
        "m3_s": Unit("m³/s", 1.0),
        "m_s": Unit("m/s", 1.0),
        "m_min": Unit("m/min", 1.0 / 60.0),
        "s": Unit("s", 1.0),
        "minutes": Unit("min", 60.0),
        "hours": Unit("h", 3600.0),
        "days": Unit("d", 86400.0),
        "weeks": Unit("weeks", 604800.0),
        "years": Unit("years", 31_557_600.0),
        "per_hour": Unit("per hour", 1.0 / 3600.0),
        "pa": Unit("Pa", 1.0),
        "pa_s": Unit("Pa·s", 1.0),
        "kpa": Unit("kPa", 1e3),
        "bar": Unit("bar", 1e5),
        "mpa": Unit("MPa", 1e6),
        "n": Unit("N", 1.0),
        "kn": Unit("kN", 1e3),
        "kg": Unit("kg", 1.0),
        "t": Unit("t", 1e3),
        "kg_m3": Unit("kg/m³", 1.0),
        "mg_l": Unit("mg/l", 1e-3),
        "mg_m3": Unit("mg/m³", 1e-6),
        "per_cm3": Unit("/cm³", 1e6),
        "ppm": Unit("ppm", 1e-6),
        "mmol_l": Unit("mmol/l", 1.0),
        "deg": Unit("°", _DEGREE),
        "c": Unit("°C", 1.0, ZERO_CELSIUS),
        "pct": Unit("%", 0.01),
        "w": Unit("W", 1.0),
        "kwh": Unit("kWh", 3.6e6),
        "rpm": Unit("rpm", 1.0 / 60.0),
        "ft": Unit("ft", _FOOT),
        "in": Unit("in", _INCH),
        "mi": Unit("mi", 5280 * _FOOT),
        "ft2": Unit("ft²", _FOOT**2),
        "in2": Unit("in²", _INCH**2),
        "gal": Unit("gal", _US_GALLON),
        "gal_ft": Unit("gal/ft", _US_GALLON / _FOOT),
        "gal_ft2": Unit("gal/ft²", _US_GALLON / _FOOT**2),
        "gpm": Unit("gpm", _US_GALLON / 60.0),
        "ft_s": Unit("ft/s", _FOOT),
        "ft_min": Unit("ft/min", _FOOT / 60.0),
        "psi": Unit("psi", _POUND_FORCE / _INCH**2),
        "lbf": Unit("lbf", _POUND_FORCE),
        "lb": Unit("lb", _POUND),
        "ton": Unit("ton", 2000 * _POUND),
        "lb_ft3": Unit("lb/ft³", _POUND / _FOOT**3),
        "f": Unit("°F", 5.0 / 9.0, ZERO_CELSIUS - 32.0 * 5.0 / 9.0),
    }
)
"""Every display unit, by the name that ends a column. Feet, inch, pound and US gallon are exact: international yard and
pound agreement (1959); NIST Special Publication 811 (2008), appendix B."""

US_PARTNER: Final = MappingProxyType(
    {
        "m": "ft",
        "mm": "in",
        "km": "mi",
        "m2": "ft2",
        "cm2": "in2",
        "m3": "gal",
        "l": "gal",
        "l_m": "gal_ft",
        "l_m2": "gal_ft2",
        "l_s": "gpm",
        "l_min": "gpm",
        "m_s": "ft_s",
        "m_min": "ft_min",
        "bar": "psi",
        "mpa": "psi",
        "n": "lbf",
        "kn": "lbf",
        "kg": "lb",
        "t": "ton",
        "kg_m3": "lb_ft3",
        "c": "f",
    }
)
"""The unit in which a result is shown to a reader of US units, for each metric one that has a partner."""


def _unit(name: str) -> Unit:
    try:
        return UNITS[name]
    except KeyError:
        raise InputError("unit", name, "", "one of " + ", ".join(sorted(UNITS))) from None


def to_si(value: float, unit: str) -> float:
    """Return a value in SI.

    Parameters
    ----------
    value : float
        Value in the display unit. [unit]
    unit : str
        Name of the display unit. [-]

    Returns
    -------
    float
        The value in SI.

    Raises
    ------
    InputError
        If the unit is not known.

    Examples
    --------
    >>> to_si(6.0, "mm")
    0.006
    """
    known = _unit(unit)
    return value * known.factor + known.offset


def from_si(value: float, unit: str) -> float:
    """Return an SI value in a display unit.

    Parameters
    ----------
    value : float
        Value in SI. [SI]
    unit : str
        Name of the display unit. [-]

    Returns
    -------
    float
        The value in the display unit.

    Raises
    ------
    InputError
        If the unit is not known.

    Examples
    --------
    >>> from_si(0.006, "mm")
    6.0
    """
    known = _unit(unit)
    return (value - known.offset) / known.factor


def significant(value: float, digits: int = 10) -> float:
    """Return a number rounded to so many significant digits, as numbers leave the program.

    Parameters
    ----------
    value : float
        Any finite number. [any]
    digits : int
        Significant digits to keep. [-]

    Returns
    -------
    float
        The nearest such number; what was typed in millimetres and kept in metres comes back as typed.

    Examples
    --------
    >>> significant(0.1 + 0.2)
    0.3
    """
    return float(f"{value:.{digits}g}")
