"""What a cubic metre of mortar is made of, and how many batches and bags a volume takes."""

import math
from dataclasses import dataclass

from mainwright.constants import WATER_DENSITY_MIXING
from mainwright.errors import InputError, require_not_negative, require_positive, require_within

__all__ = ["Batches", "Mix", "bags", "batches", "mix"]


@dataclass(frozen=True, slots=True)
class Mix:
    """Masses in one cubic metre of fresh mortar.

    Attributes
    ----------
    density
        Of the fresh mortar, air included. [kg/m3]
    cement, sand, water
        Cement, dry sand and all mixing water. [kg/m3]
    sand_moist, water_added
        The sand as it lies on site, and the water that is still to be added. [kg/m3]
    yield_by_cement
        Mortar made from one kilogram of cement. [m3/kg]
    """

    density: float
    cement: float
    sand: float
    water: float
    sand_moist: float
    water_added: float
    yield_by_cement: float


@dataclass(frozen=True, slots=True)
class Batches:
    """How a volume is divided among fillings of the mixer.

    Attributes
    ----------
    count
        Fillings, the last one included. [-]
    size, last
        Volume of every filling but the last, and of the last. [m3]
    """

    count: int
    size: float
    last: float


def mix(
    *,
    sand_per_cement: float,
    water_per_cement: float,
    air: float,
    cement_density: float,
    sand_density: float,
    sand_moisture: float,
) -> Mix:
    r"""Return what a cubic metre of fresh mortar holds, by absolute volumes.

    Parameters
    ----------
    sand_per_cement : float
        Dry sand to cement, by mass. [-]
    water_per_cement : float
        All mixing water to cement, by mass; moisture of the sand counts. [-]
    air : float
        Share of air in the fresh mortar's volume. [-]
    cement_density : float
        Of the cement's grains. [kg/m3]
    sand_density : float
        Of the sand's grains. [kg/m3]
    sand_moisture : float
        Water in the sand as it lies on site, of its dry mass. [-]

    Returns
    -------
    Mix
        Masses by volume and yield.

    Raises
    ------
    InputError
        If an argument is out of range, or the sand alone brings more water than the mix may have.

    Notes
    -----
    The volumes of cement, sand, water and air fill the whole:
    :math:`c (1/\rho_c + s/\rho_s + w/\rho_w) = 1 - a`. Water that the grains soak up is not set apart.

    References
    ----------
    ACI 211.1-91, example 1, absolute volume basis (from memory).

    Examples
    --------
    >>> made = mix(sand_per_cement=1, water_per_cement=0.4, air=0.02, cement_density=3150, sand_density=2650, sand_moisture=0)
    >>> round(made.cement), round(made.sand), round(made.water), round(made.density)
    (895, 895, 358, 2148)
    """
    require_not_negative("sand_per_cement", sand_per_cement, "-")
    require_positive("water_per_cement", water_per_cement, "-")
    if not 0.0 <= air < 1.0:
        raise InputError("air", air, "-", "0 or more, under 1")
    require_positive("cement_density", cement_density, "kg/m3")
    require_positive("sand_density", sand_density, "kg/m3")
    require_not_negative("sand_moisture", sand_moisture, "-")
    if sand_per_cement * sand_moisture > water_per_cement:
        raise InputError(
            "sand_moisture", sand_moisture, "-", f"up to {water_per_cement / sand_per_cement:g}: the sand brings all the water then"
        )
    solid_and_water = 1.0 / cement_density + sand_per_cement / sand_density + water_per_cement / WATER_DENSITY_MIXING
    cement = (1.0 - air) / solid_and_water
    sand = sand_per_cement * cement
    water = water_per_cement * cement
    return Mix(
        density=cement + sand + water,
        cement=cement,
        sand=sand,
        water=water,
        sand_moist=sand * (1.0 + sand_moisture),
        water_added=water - sand * sand_moisture,
        yield_by_cement=1.0 / cement,
    )


def batches(*, volume: float, batch: float) -> Batches:
    """Return how many fillings of the mixer a volume takes, and how big the last one is.

    Parameters
    ----------
    volume : float
        Mortar that is to be mixed. [m3]
    batch : float
        Volume of a full batch. [m3]

    Returns
    -------
    Batches
        Full batches and a last one that holds the rest.

    Raises
    ------
    InputError
        If the volume is negative or the batch not positive.

    Notes
    -----
    A rest under a billionth of a batch is no batch of its own: it is the rounding of the sum.

    References
    ----------
    Derived here: division with a rest.

    Examples
    --------
    >>> batches(volume=1.0, batch=0.24)
    Batches(count=5, size=0.24, last=0.04)
    """
    require_not_negative("volume", volume, "m3")
    require_positive("batch", batch, "m3")
    count = math.ceil(volume / batch - 1e-9)
    if count == 0:
        return Batches(0, batch, 0.0)
    # Rounded far below a drop, so that 1.0 less four times 0.24 is 0.04.
    return Batches(count, batch, round(volume - (count - 1) * batch, 15))


def bags(*, mass: float, bag: float) -> int:
    """Return how many whole bags a mass takes.

    Parameters
    ----------
    mass : float
        Of what comes in bags. [kg]
    bag : float
        Mass in one bag. [kg]

    Returns
    -------
    int
        Bags to be on site. [-]

    Raises
    ------
    InputError
        If the mass is negative or the bag not positive.

    Notes
    -----
    Rounded up; a rest under a billionth of a bag is the rounding of the sum.

    References
    ----------
    Derived here: division, rounded up.

    Examples
    --------
    >>> bags(mass=248.0, bag=25.0)
    10
    """
    require_not_negative("mass", mass, "kg")
    require_within("bag", bag, "kg", above=0.0, below=math.inf)
    return math.ceil(mass / bag - 1e-9)
