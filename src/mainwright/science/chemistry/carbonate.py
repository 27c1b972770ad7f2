"""Free carbon dioxide of a water: the bound that a few readings give before the whole balance is known."""

import math

from mainwright.errors import InputError

__all__ = ["first_dissociation_plummer_1982", "free_carbon_dioxide_bound"]


def first_dissociation_plummer_1982(*, temperature: float) -> float:
    r"""Return the first dissociation constant of carbonic acid, as pK1.

    Parameters
    ----------
    temperature : float
        Temperature of the water. [K]

    Returns
    -------
    float
        Negative decimal logarithm of K1. [-]

    Raises
    ------
    InputError
        If the temperature is outside 0 to 90 degC, the range of the source.

    Notes
    -----
    :math:`\log K_1 = -356.3094 - 0.06091964\,T + 21834.37/T + 126.8339 \log T - 1684915/T^2`.

    References
    ----------
    Plummer, L. N., Busenberg, E. (1982): The solubilities of calcite, aragonite and vaterite in CO2-H2O solutions between 0 and 90 degC.
    Geochimica et Cosmochimica Acta 46, 1011-1040, table 1. doi:10.1016/0016-7037(82)90056-4
    """
    if not 273.1 <= temperature <= 363.2:
        raise InputError("temperature", temperature, "K", "273.15 to 363.15")
    return -(
        -356.3094 - 0.06091964 * temperature + 21834.37 / temperature + 126.8339 * math.log10(temperature) - 1684915.0 / temperature**2
    )


def free_carbon_dioxide_bound(*, ph: float, alkalinity: float, temperature: float) -> float:
    r"""Return the most free carbon dioxide that a water of this pH and alkalinity can hold.

    Parameters
    ----------
    ph : float
        pH of the water. [-]
    alkalinity : float
        Acid capacity, in moles of charge. [mol/m3]
    temperature : float
        Temperature of the water. [K]

    Returns
    -------
    float
        Upper bound of dissolved CO2. [mol/m3]

    Raises
    ------
    InputError
        If the pH is outside 5 to 10, or the alkalinity is negative.

    Notes
    -----
    :math:`[CO_2] = \gamma [HCO_3^-] 10^{pK_1 - pH}`, with the bicarbonate taken as the whole alkalinity (and the hydrogen ions, which
    count against it) and the activity coefficient as one: both make it greater. Aggressive carbon dioxide is a part of the free, so the
    bound holds for it too.

    References
    ----------
    Stumm, W., Morgan, J. J. (1996): Aquatic Chemistry, 3rd edition, chapter 4 (definitions); the bound is derived here.
    """
    if not 5.0 <= ph <= 10.0:
        raise InputError("ph", ph, "-", "5 to 10")
    if alkalinity < 0.0:
        raise InputError("alkalinity", alkalinity, "mol/m3", "at least 0")
    hydrogen = 1000.0 * math.pow(10.0, -ph)
    return (alkalinity + hydrogen) * math.pow(10.0, first_dissociation_plummer_1982(temperature=temperature) - ph)
