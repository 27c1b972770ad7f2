"""What a round pipe or hose holds."""

import math

from mainwright.errors import require_not_negative, require_positive

__all__ = ["bore_area", "content", "deposit_volume_by_length"]


def bore_area(bore: float) -> float:
    r"""Return the free cross-section of a round pipe, which is also its content by length.

    Parameters
    ----------
    bore : float
        Inside diameter. [m]

    Returns
    -------
    float
        Area. [m2]

    Raises
    ------
    InputError
        If the bore is not positive.

    Notes
    -----
    :math:`\pi D^2 / 4`.

    References
    ----------
    Area of a circle; elementary geometry.

    Examples
    --------
    >>> round(bore_area(0.038) * 1000.0, 2)
    1.13
    """
    require_positive("bore", bore, "m")
    return 0.25 * math.pi * bore * bore


def content(*, bore: float, length: float) -> float:
    r"""Return the volume that a length of pipe or hose holds.

    Parameters
    ----------
    bore : float
        Inside diameter. [m]
    length : float
        Length. [m]

    Returns
    -------
    float
        Volume. [m3]

    Raises
    ------
    InputError
        If the bore is not positive or the length is negative.

    Notes
    -----
    :math:`\pi D^2 L / 4`. A hose under pressure holds a little more: its stretch is not counted.

    References
    ----------
    Volume of a cylinder; elementary geometry.

    Examples
    --------
    >>> round(content(bore=0.038, length=150.0) * 1000.0)
    170
    """
    require_not_negative("length", length, "m")
    return bore_area(bore) * length


def deposit_volume_by_length(*, bore: float, thickness: float) -> float:
    r"""Return the volume of deposits on the wall by length.

    Parameters
    ----------
    bore : float
        Clean bore, without the deposits. [m]
    thickness : float
        Mean thickness of the deposits. [m]

    Returns
    -------
    float
        Volume by length; the whole bore where the deposits close it. [m2]

    Raises
    ------
    InputError
        If the bore is not positive or the thickness is negative.

    Notes
    -----
    :math:`\pi t (D - t)` up to half the bore.

    References
    ----------
    Area between two circles; elementary geometry.

    Examples
    --------
    >>> round(deposit_volume_by_length(bore=0.150, thickness=0.010) * 1000.0, 2)
    4.4
    """
    require_not_negative("thickness", thickness, "m")
    area = bore_area(bore)
    return area if thickness >= 0.5 * bore else math.pi * thickness * (bore - thickness)
