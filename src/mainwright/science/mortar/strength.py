"""Strength of hardened mortar from what a testing machine read: loads and areas, and the mean of a set with its outliers."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.errors import InputError, require_positive

__all__ = ["SetMean", "compressive_strength", "flexural_strength", "set_mean"]

_SET: Final = 6
"""Halves of the three prisms of one set."""

_SPREAD: Final = 0.10
"""How far a result of a set may lie from the mean of the set, relative."""


@dataclass(frozen=True, slots=True)
class SetMean:
    """Mean of a set of results.

    Attributes
    ----------
    mean
        Of the results that were kept; of all where the set is to be thrown away. [Pa]
    kept
        Results that the mean was taken of.
    discarded
        Results that lay too far from the mean.
    usable
        False where the set must be thrown away and the test repeated.
    """

    mean: float
    kept: tuple[float, ...]
    discarded: tuple[float, ...]
    usable: bool


def compressive_strength(*, load: float, area: float) -> float:
    r"""Return the compressive strength of one specimen.

    Parameters
    ----------
    load : float
        Greatest load. [N]
    area : float
        Loaded area: 40 mm by 40 mm for the half of a prism between the platens of EN 196-1. [m2]

    Returns
    -------
    float
        Strength. [Pa]

    Raises
    ------
    InputError
        If an argument is not positive.

    Notes
    -----
    :math:`R_c = F_c / A`; with 1600 mm2, load in newtons by 1600.

    References
    ----------
    EN 196-1:2016, compressive strength; EN 1015-11, compressive strength (both from memory).

    Examples
    --------
    >>> round(compressive_strength(load=72000.0, area=1.6e-3) / 1e6, 3)
    45.0
    """
    require_positive("load", load, "N")
    require_positive("area", area, "m2")
    return load / area


def flexural_strength(*, load: float, side: float, span: float) -> float:
    r"""Return the flexural strength of one prism, loaded in the middle.

    Parameters
    ----------
    load : float
        Load in the middle at breaking. [N]
    side : float
        Side of the square section: 40 mm. [m]
    span : float
        Between the supports: 100 mm. [m]

    Returns
    -------
    float
        Strength. [Pa]

    Raises
    ------
    InputError
        If an argument is not positive.

    Notes
    -----
    :math:`R_f = 1.5 F_f l / b^3`: the moment :math:`F l / 4` by the section modulus :math:`b^3 / 6` of a square.

    References
    ----------
    EN 196-1:2016, flexural strength; EN 1015-11, flexural strength (both from memory).

    Examples
    --------
    >>> round(flexural_strength(load=3000.0, side=0.04, span=0.1) / 1e6, 3)
    7.031
    """
    require_positive("load", load, "N")
    require_positive("side", side, "m")
    require_positive("span", span, "m")
    return 1.5 * load * span / side**3


def set_mean(strengths: Sequence[float]) -> SetMean:
    """Return the mean of a set of compressive strengths, with the rule for outliers where the set has its six results.

    Parameters
    ----------
    strengths : sequence of float
        Results of one set: one mortar, one age. [Pa]

    Returns
    -------
    SetMean
        The mean and what became of each result.

    Raises
    ------
    InputError
        If there is no result, or one is not positive and finite.

    Notes
    -----
    Of six results one that differs by more than 10 % from their mean is left out and the mean taken of five; if one of the five then differs by
    more than 10 % from their mean, the set is thrown away and the test is repeated. Sets of another size are taken whole: the rule
    does not speak of them. Where several of the six are too far, the furthest goes first.

    References
    ----------
    EN 196-1:2016, calculation of the test result (from memory).

    Examples
    --------
    >>> found = set_mean([45e6, 46e6, 44e6, 45e6, 46e6, 38e6])
    >>> round(found.mean / 1e6, 2), [value / 1e6 for value in found.discarded], found.usable
    (45.2, [38.0], True)
    """
    values = [float(value) for value in strengths]
    if not values:
        raise InputError("strengths", "none", "", "one result or more")
    for value in values:
        if not (math.isfinite(value) and value > 0.0):
            raise InputError("strengths", value, "Pa", "positive and finite")
    whole = math.fsum(values) / len(values)
    if len(values) != _SET:
        return SetMean(whole, tuple(values), (), usable=True)
    furthest = max(range(_SET), key=lambda place: abs(values[place] - whole))
    if not _far(values[furthest], whole):
        return SetMean(whole, tuple(values), (), usable=True)
    rest = values[:furthest] + values[furthest + 1 :]
    mean = math.fsum(rest) / len(rest)
    if any(_far(value, mean) for value in rest):
        return SetMean(whole, (), tuple(values), usable=False)
    return SetMean(mean, tuple(rest), (values[furthest],), usable=True)


def _far(value: float, mean: float) -> bool:
    # A result of exactly a tenth more or less is in; a rounding of the last digit must not throw it out.
    return abs(value - mean) > _SPREAD * mean * (1.0 + 1e-12)
