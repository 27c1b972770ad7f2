"""Peak flow of many users who do not all draw at once: published shapes, without anybody's constants."""

import math
from collections.abc import Sequence

from mainwright.errors import InputError, require_not_negative, require_positive

__all__ = ["peak_flow_by_population", "peak_flow_by_power", "peak_flow_by_root", "peak_flow_by_table"]


def peak_flow_by_power(total: float, *, factor: float, exponent: float, less: float) -> float:
    r"""Return the peak flow of fittings by a power of the sum of their flows.

    Parameters
    ----------
    total : float
        Sum of the flows of all fittings. [m3/s]
    factor : float
        Of the formula, which is written in litres a second. [-]
    exponent : float
        Of the formula. [-]
    less : float
        What is taken off, in litres a second. [-]

    Returns
    -------
    float
        Peak flow, never more than the sum, never less than nothing. [m3/s]

    Raises
    ------
    InputError
        If a number is out of range.

    Notes
    -----
    :math:`V_S = a (\sum V_R)^b - c` in l/s. The formula passes the sum below about 0.2 l/s: there all fittings run at once.

    References
    ----------
    DIN 1988-300:2012, Technical rules for drinking water installations, pipe sizing (formula as a glossary of building services prints it).

    Examples
    --------
    >>> round(1000 * peak_flow_by_power(0.005, factor=1.48, exponent=0.19, less=0.94), 4)
    1.0694
    """
    require_not_negative("total", total, "m3/s")
    require_positive("factor", factor, "-")
    require_positive("exponent", exponent, "-")
    require_not_negative("less", less, "l/s")
    sum_ = 1000.0 * total
    return min(total, max(0.0, factor * math.pow(sum_, exponent) - less) / 1000.0) if total > 0.0 else 0.0


def peak_flow_by_root(total: float, *, fittings: float, factor: float) -> float:
    r"""Return the peak flow of fittings by the root of their number.

    Parameters
    ----------
    total : float
        Sum of the flows of all fittings. [m3/s]
    fittings : float
        How many there are. [-]
    factor : float
        Of the formula. [-]

    Returns
    -------
    float
        Peak flow, never more than the sum. [m3/s]

    Raises
    ------
    InputError
        If a number is out of range.

    Notes
    -----
    :math:`Q = a \sum q / \sqrt{x - 1}`; made for more than five fittings, with fewer of them all run at once.

    References
    ----------
    NF P 40-202 (DTU 60.11), with a = 0.8 (from memory).

    Examples
    --------
    >>> round(peak_flow_by_root(0.0092, fittings=50.0, factor=0.8), 6)
    0.001051
    """
    require_not_negative("total", total, "m3/s")
    require_not_negative("fittings", fittings, "-")
    require_positive("factor", factor, "-")
    if fittings <= 5.0:
        return total
    return min(1.0, factor / math.sqrt(fittings - 1.0)) * total


def peak_flow_by_population(people: float, *, daily_use: float, factor: float, exponent: float) -> float:
    r"""Return the flow in the peak hour of the year by the number of people.

    Parameters
    ----------
    people : float
        Who are supplied. [-]
    daily_use : float
        Mean use of one of them in a day. [m3]
    factor : float
        Of the peak factor of one person. [-]
    exponent : float
        With which the peak factor falls. [-]

    Returns
    -------
    float
        Flow in the peak hour. [m3/s]

    Raises
    ------
    InputError
        If a number is out of range.

    Notes
    -----
    :math:`Q = a E^{-b} \cdot E\, q / 86400`. A mean over an hour: single taps draw more, so it falls short for the last few houses.

    References
    ----------
    DVGW W 410:2008, with a = 18.1 and b = 0.1682 (from memory).

    Examples
    --------
    The peak hour of 1000 people is 5.66 times their mean.

    >>> round(1000 * peak_flow_by_population(1000.0, daily_use=0.125, factor=18.1, exponent=0.1682), 2)
    8.19
    """
    require_not_negative("people", people, "-")
    require_positive("daily_use", daily_use, "m3")
    require_positive("factor", factor, "-")
    require_positive("exponent", exponent, "-")
    return factor * math.pow(people, 1.0 - exponent) * daily_use / 86400.0 if people > 0.0 else 0.0


def peak_flow_by_table(units: float, points: Sequence[tuple[float, float]]) -> float:
    r"""Return the peak flow of so many units by a table.

    Parameters
    ----------
    units : float
        Units of load. [-]
    points : sequence of (float, float)
        Units [-] and their peak flow [m3/s], both rising. [various]

    Returns
    -------
    float
        Peak flow on the straight line between two points, and between nothing and the first. [m3/s]

    Raises
    ------
    InputError
        If there are more units than the table goes to, or its points do not rise.

    References
    ----------
    Hunter, R. B. (1940), Methods of estimating loads in plumbing systems, National Bureau of Standards report BMS 65, gave the first such curve.

    Examples
    --------
    >>> round(peak_flow_by_table(15.0, [(10.0, 1e-3), (20.0, 1.4e-3)]), 9)
    0.0012
    """
    require_not_negative("units", units, "-")
    before, flow_before = 0.0, 0.0
    for place, flow in points:
        if place <= before or flow < flow_before:
            raise InputError("points", place, "-", "points that rise")
        if units <= place:
            return flow_before + (flow - flow_before) * (units - before) / (place - before)
        before, flow_before = place, flow
    raise InputError("units", units, "-", f"up to {before:g}, where the table ends")
