"""How long fresh mortar keeps the pH of the water over 9.5: a curve through what field trials saw, and how sure it is."""

import math
from dataclasses import dataclass
from typing import Final

from mainwright.errors import require_not_negative, require_positive

__all__ = ["LONGEST", "Duration", "time_over_high_ph"]

_WEEK: Final = 604800.0

LONGEST: Final = 520.0 * _WEEK
"""Longer than this nobody has looked; ten years. [s]"""

_TRIALS: Final = ((10.0, 260.0), (22.0, 10.5), (35.0, 3.0), (55.0, 1.0))
"""Alkalinity [mg/l as CaCO3] and weeks over pH 9.5 with Portland mortar: "several years" is taken as five, "up to a month" as three weeks."""

_FACTOR: Final = 2.0
"""The stated uncertainty, to each side."""

_FACTOR_BELOW: Final = 5.0
"""And downward below 19 mg/l, where the curve falls by a factor of 25 between two trials and slag mortar at 12 to 16 mg/l was much shorter."""

_CONTACT_POWER: Final = 0.3
"""From one hour of contact to six the trials went from 12 weeks to 15 and from 9 to more than 15: powers of 0.12 and over 0.28."""

_HOUR: Final = 3600.0
_BORE: Final = 0.1


@dataclass(frozen=True, slots=True)
class Duration:
    """How long the pH stays over 9.5, from placing, with the stated uncertainty. [s]."""

    low: float
    middle: float
    high: float


def time_over_high_ph(*, alkalinity: float, contact: float, bore: float) -> Duration:
    r"""Return how long water in a freshly lined main stays over pH 9.5.

    Parameters
    ----------
    alkalinity : float
        Of the water that comes in, as calcium carbonate. [kg/m3]
    contact : float
        Stay of the water in the lined main. [s]
    bore : float
        Of the lined main. [m]

    Returns
    -------
    Duration
        For plain Portland mortar; at most ten years. [s]

    Raises
    ------
    InputError
        If the alkalinity is negative, or contact or bore is not positive.

    Notes
    -----
    The logarithm of the time runs straight in the logarithm of the alkalinity between the trials, and goes on so beyond them: under 10 and
    over 55 mg/l it is outside what was seen. Contact counts from one hour in a bore of 100 mm with the power 0.3, and bore as wall
    area by volume does. At the trials the curve goes through what was seen; the slag mortars of 1989, 12 weeks at 12 to 16 mg/l and 9 weeks
    at 19 to 23, come out at a fifth and at seven tenths of it.

    References
    ----------
    Drinking water inspectorate and national water research centre, reports DWI0785 (1988), DWI0284 (1988) and DWI0285 (1989): durations by
    alkalinity and contact. The curve is derived here.

    Examples
    --------
    >>> found = time_over_high_ph(alkalinity=0.022, contact=3600.0, bore=0.1)
    >>> round(found.middle / 604800.0, 1)
    10.5
    """
    require_not_negative("alkalinity", alkalinity, "kg/m3")
    require_positive("contact", contact, "s")
    require_positive("bore", bore, "m")
    milligrams = 1000.0 * alkalinity
    if milligrams < 1.0:
        return Duration(LONGEST / _FACTOR_BELOW, LONGEST, LONGEST)
    place = next((k for k in range(1, len(_TRIALS)) if milligrams <= _TRIALS[k][0]), len(_TRIALS) - 1)
    (a, weeks_a), (b, weeks_b) = _TRIALS[place - 1], _TRIALS[place]
    slope = math.log(weeks_b / weeks_a) / math.log(b / a)
    weeks = weeks_a * (milligrams / a) ** slope
    middle = weeks * _WEEK * (contact / _HOUR * _BORE / bore) ** _CONTACT_POWER
    below = _FACTOR_BELOW if milligrams < 19.0 else _FACTOR
    high = middle * _FACTOR
    if milligrams > _TRIALS[-1][0]:
        high = max(high, _WEEK)  # Of the first week the trials say nothing, however hard the water.
    return Duration(min(middle / below, LONGEST), min(middle, LONGEST), min(high, LONGEST))
