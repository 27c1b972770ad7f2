"""What drinking water may be, which waters a mortar withstands, and how long fresh mortar shows in a soft water."""

from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from mainwright.standards.published import Published, table, value

__all__ = ["CALCITE_EQUIVALENT", "AlkalinityClass", "CementLimit", "alkalinity_class", "as_calcite", "cement_limits", "time_over_ph"]

AlkalinityClass = Literal["to_10", "to_25", "to_55", "over_55"]

CALCITE_EQUIVALENT: Final = 0.05004345
"""Mass of calcium carbonate to one mole of charge. [kg/mol] Half of 100.0869 g/mol: standard atomic weights, IUPAC 2021."""


@dataclass(frozen=True, slots=True)
class CementLimit:
    """One limit of the water for one cement: `parameter` at least (``minimum``) or at most (``maximum``) so much."""

    parameter: str
    kind: Literal["minimum", "maximum"]
    published: Published


def as_calcite(alkalinity: float) -> float:
    """Return an alkalinity as mass of calcium carbonate.

    Parameters
    ----------
    alkalinity : float
        Acid capacity, in moles of charge. [mol/m3]

    Returns
    -------
    float
        The same as CaCO3. [kg/m3]

    Examples
    --------
    >>> round(as_calcite(1.0) * 1000, 2)
    50.04
    """
    return alkalinity * CALCITE_EQUIVALENT


@cache
def _edges() -> tuple[tuple[AlkalinityClass, float], ...]:
    """Return the classes below the last with their greatest alkalinity as CaCO3 [kg/m3], the softest first."""
    classes: tuple[AlkalinityClass, ...] = ("to_10", "to_25", "to_55")
    rows = [(name, table("water").find(**{"key": "class_edge", "class": name})) for name in classes]
    return tuple((name, row.published.value) for name, row in rows if row is not None)


def alkalinity_class(alkalinity: float) -> AlkalinityClass:
    """Return the class of a water by its alkalinity.

    Parameters
    ----------
    alkalinity : float
        Acid capacity, in moles of charge. [mol/m3]

    Returns
    -------
    AlkalinityClass
        By mg/l as CaCO3: up to 10, up to 25, up to 55, over 55.

    Examples
    --------
    >>> alkalinity_class(0.44)
    'to_25'
    """
    content = as_calcite(alkalinity)
    return next((name for name, edge in _edges() if content <= edge), "over_55")


@cache
def time_over_ph(name: AlkalinityClass) -> Published:
    """Return how long field trials saw pH over 9.5 after lining with Portland mortar, in this class of water.

    Parameters
    ----------
    name : AlkalinityClass
        Class of the water. [-]

    Returns
    -------
    Published
        Time since lining [s], with its range and source.

    Examples
    --------
    >>> round(time_over_ph("to_25").value / 604800, 1)
    10.5
    """
    row = table("water").find(**{"key": "over_ph_9_5", "class": name})
    return value("water", "over_ph_9_5") if row is None else row.published


@cache
def cement_limits(cement: Literal["portland", "slag", "high_alumina"]) -> tuple[CementLimit, ...]:
    """Return the limits of the water for mortar of one cement.

    Parameters
    ----------
    cement : str
        ``portland``, ``slag`` (and other sulfate-resisting) or ``high_alumina``. [-]

    Returns
    -------
    tuple of CementLimit
        In the order of the table; a parameter without a limit is absent.

    Examples
    --------
    >>> [limit.parameter for limit in cement_limits("high_alumina")]
    ['ph', 'ammonium']
    """
    return tuple(
        CementLimit(row.text("parameter"), "minimum" if row.text("kind") == "minimum" else "maximum", row.published)
        for row in table("cement_water").all(cement=cement)
    )
