"""Lime that a fresh lining gives to the water that stays in it."""

import math
from typing import Final

from mainwright.errors import require_not_negative, require_positive

__all__ = ["WEEK", "age_at_uptake", "lime_uptake", "standing_uptake", "stay_share"]

WEEK: Final = 604800.0
"""[s]"""
_BORE: Final = 0.1
"""Bore for which the rate of the law is stated. [m]"""


def standing_uptake(*, rate: float, age: float, bore: float) -> float:
    r"""Return what water that has stood in a lining since it was placed has taken up, by the pure diffusion law.

    Parameters
    ----------
    rate : float
        Leaching constant. [mol/m2/s0.5]
    age : float
        Time since placing. [s]
    bore : float
        Inside diameter of the lining. [m]

    Returns
    -------
    float
        Concentration. [mol/m3]

    Notes
    -----
    :math:`c = 4 k \sqrt t / D`: what diffuses out of a thick wall grows with the root of time; wall to volume is 4/D.

    References
    ----------
    Crank, J. (1975): The Mathematics of Diffusion, 2nd edition, section 3.3 (half space, root of time); 4/D derived here.
    """
    require_not_negative("age", age, "s")
    require_positive("bore", bore, "m")
    return 4.0 * rate * math.sqrt(age) / bore


def stay_share(*, stay: float, scale: float) -> float:
    r"""Return how much of what a long stay brings the water has taken up after a stay.

    Parameters
    ----------
    stay : float
        Time in the lining. [s]
    scale : float
        Time scale of the approach. [s]

    Returns
    -------
    float
        0 to 1. [-]

    Notes
    -----
    :math:`1 - e^{-\tau/\tau_s}`: in proportion to the stay while it is short, as a wall of given release demands; then it levels off,
    because the water comes to balance with the pores at the wall.

    References
    ----------
    Derived here, a linear driving force; its scale is fitted to field trials.
    """
    require_not_negative("stay", stay, "s")
    require_positive("scale", scale, "s")
    return -math.expm1(-stay / scale)


def lime_uptake(*, age: float, share: float, bore: float, rate: float, exponent: float) -> float:
    r"""Return the lime that water takes up from a lining of some age.

    Parameters
    ----------
    age : float
        Time since placing. [s]
    share : float
        Share of the uptake of a long stay. [-]
    bore : float
        Inside diameter of the lining. [m]
    rate : float
        Uptake of a long stay in a bore of 0.1 m one week after placing. [mol/m3]
    exponent : float
        Fall with time; 0.5 is the pure diffusion law. [-]

    Returns
    -------
    float
        Ca(OH)2. [mol/m3]

    Notes
    -----
    :math:`c = c_1 s \frac{0.1}{D} (t / \text{week})^{-n}`. The diffusion law gives a release that falls as :math:`t^{-1/2}`; the exponent
    is fitted to field trials, which fall more slowly.

    References
    ----------
    Derived here from the diffusion law and wall to volume 4/D; constants fitted, see ``standards/data/leaching.toml``.
    """
    require_positive("age", age, "s")
    require_positive("bore", bore, "m")
    return rate * share * (_BORE / bore) * math.pow(age / WEEK, -exponent)


def age_at_uptake(*, uptake: float, share: float, bore: float, rate: float, exponent: float) -> float:
    r"""Return when the lime that water takes up has fallen to a given amount.

    Parameters
    ----------
    uptake : float
        Ca(OH)2. [mol/m3]
    share : float
        Share of the uptake of a long stay. [-]
    bore : float
        Inside diameter of the lining. [m]
    rate : float
        Uptake of a long stay in a bore of 0.1 m one week after placing. [mol/m3]
    exponent : float
        Fall with time. [-]

    Returns
    -------
    float
        Time since placing; infinite for an uptake of 0. [s]

    References
    ----------
    The inverse of `lime_uptake`.
    """
    require_not_negative("uptake", uptake, "mol/m3")
    require_positive("bore", bore, "m")
    if uptake == 0.0:
        return math.inf
    return WEEK * math.pow(rate * share * (_BORE / bore) / uptake, 1.0 / exponent)
