"""How much mortar stands on the wall: area of the ring, and the thickness that an area makes."""

import math

from mainwright.errors import InputError, require_not_negative, require_positive, require_within

__all__ = ["deposit_area", "ring_area", "ring_thickness", "thickness_of_deposit"]


def ring_area(*, thickness: float, bore: float) -> float:
    r"""Return the cross-section of a lining, which is also its volume by length.

    Parameters
    ----------
    thickness : float
        Radial thickness, uniform round the bore. [m]
    bore : float
        Inside diameter of the cleaned main. [m]

    Returns
    -------
    float
        Area of the ring. [m2]

    Raises
    ------
    InputError
        If the bore is not positive, or the thickness is negative or more than fills the bore.

    Notes
    -----
    :math:`A = \pi t (D - t)`.

    References
    ----------
    Area between two circles; elementary geometry.

    Examples
    --------
    >>> round(ring_area(thickness=0.005, bore=0.150) * 1000.0, 2)
    2.28
    """
    require_positive("bore", bore, "m")
    if not 0.0 <= thickness <= 0.5 * bore:
        raise InputError("thickness", thickness, "m", f"0 to {0.5 * bore:g} m, half the bore")
    return math.pi * thickness * (bore - thickness)


def ring_thickness(*, area: float, bore: float) -> float:
    r"""Return the thickness of a lining whose cross-section is known.

    Parameters
    ----------
    area : float
        Area of the ring, or volume by length. [m2]
    bore : float
        Inside diameter of the cleaned main. [m]

    Returns
    -------
    float
        Radial thickness, uniform round the bore. [m]

    Raises
    ------
    InputError
        If the bore is not positive, or the area is negative or more than the whole bore.

    Notes
    -----
    The smaller root of :math:`\pi t (D - t) = A`, written so that thin linings keep their digits:
    :math:`t = 2 A / \pi / (D + \sqrt{D^2 - 4 A / \pi})`.

    References
    ----------
    Inverse of the area between two circles; elementary geometry.

    Examples
    --------
    >>> round(ring_thickness(area=ring_area(thickness=0.006, bore=0.2), bore=0.2), 12)
    0.006
    """
    require_positive("bore", bore, "m")
    whole = 0.25 * math.pi * bore * bore
    if not 0.0 <= area <= whole * (1.0 + 1e-12):
        raise InputError("area", area, "m2", f"0 to {whole:g} m2, the whole bore")
    share = area / math.pi
    return 2.0 * share / (bore + math.sqrt(max(bore * bore - 4.0 * share, 0.0)))


def deposit_area(*, thickness: float, bore: float, pit_allowance: float) -> float:
    r"""Return what must reach the wall by length so that a thickness counts: the ring, and what the pits swallow.

    Parameters
    ----------
    thickness : float
        Radial thickness over the sound metal. [m]
    bore : float
        Inside diameter of the cleaned main. [m]
    pit_allowance : float
        Volume that pits and roughness take before mortar counts as thickness, by area of wall. [m]

    Returns
    -------
    float
        Volume by length. [m2]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`\pi t (D - t) + \pi D p`.

    References
    ----------
    Derived here: volume of the ring and of a layer of depth p on the wall.

    Examples
    --------
    A mean pit depth of 1 mm in a bore of 150 mm, under 5 mm, takes a sixth of all that is laid.

    >>> ring = ring_area(thickness=0.005, bore=0.150)
    >>> round(1.0 - ring / deposit_area(thickness=0.005, bore=0.150, pit_allowance=0.001), 3)
    0.171
    """
    require_not_negative("pit_allowance", pit_allowance, "m")
    return ring_area(thickness=thickness, bore=bore) + math.pi * bore * pit_allowance


def thickness_of_deposit(*, area: float, bore: float, pit_allowance: float) -> float:
    r"""Return the thickness that a deposit by length makes, once the pits have had their share.

    Parameters
    ----------
    area : float
        Mortar that stays on the wall, volume by length. [m2]
    bore : float
        Inside diameter of the cleaned main. [m]
    pit_allowance : float
        Volume that pits and roughness take before mortar counts as thickness, by area of wall. [m]

    Returns
    -------
    float
        Radial thickness over the sound metal; zero where the pits take all. [m]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    Inverse of `deposit_area`.

    References
    ----------
    Derived here: volume of the ring and of a layer of depth p on the wall.

    Examples
    --------
    >>> round(thickness_of_deposit(area=deposit_area(thickness=0.005, bore=0.15, pit_allowance=5e-4), bore=0.15, pit_allowance=5e-4), 12)
    0.005
    """
    require_not_negative("area", area, "m2")
    require_not_negative("pit_allowance", pit_allowance, "m")
    require_within("bore", bore, "m", above=0.0, below=math.inf)
    return ring_thickness(area=max(area - math.pi * bore * pit_allowance, 0.0), bore=bore)
