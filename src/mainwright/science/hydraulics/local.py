"""Head lost at a place: entry, bend, valve, change of bore."""

from mainwright.constants import STANDARD_GRAVITY
from mainwright.errors import require_not_negative, require_positive
from mainwright.science.bore.volume import bore_area

__all__ = ["expansion_coefficient", "local_loss"]


def local_loss(*, flow: float, bore: float, coefficient: float) -> float:
    r"""Return the head lost at a fitting, or at several in the same bore.

    Parameters
    ----------
    flow : float
        Through the pipe; the loss has its sign. [m3/s]
    bore : float
        Inside diameter to which the coefficient belongs. [m]
    coefficient : float
        Loss coefficient, or the sum of several. [-]

    Returns
    -------
    float
        Head loss. [m]

    Raises
    ------
    InputError
        If the bore is not positive or the coefficient negative.

    Notes
    -----
    :math:`K V |V| / (2 g)`.

    References
    ----------
    White, F. M., Fluid Mechanics, equation (6.78).

    Examples
    --------
    >>> round(local_loss(flow=0.01, bore=0.1, coefficient=10.0), 3)
    0.827
    """
    require_not_negative("coefficient", coefficient, "-")
    speed = flow / bore_area(bore)
    return coefficient * speed * abs(speed) / (2.0 * STANDARD_GRAVITY)


def expansion_coefficient(*, bore: float, wider: float) -> float:
    r"""Return the loss coefficient of a sudden widening, such as the end of a lining or of a narrower piece.

    Parameters
    ----------
    bore : float
        Inside diameter before, to which the coefficient belongs. [m]
    wider : float
        Inside diameter after. [m]

    Returns
    -------
    float
        Loss coefficient; one for an outlet into a reservoir. [-]

    Raises
    ------
    InputError
        If a diameter is not positive.

    Notes
    -----
    :math:`(1 - (D_1 / D_2)^2)^2`, of the velocity before; zero where it does not widen.

    References
    ----------
    Borda, J.-C. (1766), Carnot, L. (1803); White, F. M., Fluid Mechanics, equation (6.80).

    Examples
    --------
    >>> round(expansion_coefficient(bore=0.06, wider=0.09), 4)
    0.3086
    """
    require_positive("bore", bore, "m")
    require_positive("wider", wider, "m")
    return max(1.0 - (bore / wider) ** 2, 0.0) ** 2
