"""What a flow test says of a main: its roughness and its coefficient C, each with its uncertainty."""

import math
from dataclasses import dataclass

from mainwright.constants import STANDARD_GRAVITY
from mainwright.errors import InputError, require_not_negative, require_positive
from mainwright.science.hydraulics.friction import TURBULENT_FROM, reynolds_number, roughness_of_factor
from mainwright.science.hydraulics.hazen_williams import hazen_williams_coefficient
from mainwright.science.hydraulics.head_loss import velocity

__all__ = ["FlowTest", "Measured", "WallOfMain", "head_between_gauges", "hydrant_flow", "wall_of_main"]


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its standard deviation, in the same unit."""

    value: float
    deviation: float


@dataclass(frozen=True, slots=True)
class FlowTest:
    """One test between two gauges on a length without draw-off: flow [m3/s], bore [m], head lost between them [m], length [m]."""

    flow: Measured
    bore: Measured
    head: Measured
    length: float


@dataclass(frozen=True, slots=True)
class WallOfMain:
    """What the test says.

    Attributes
    ----------
    coefficient
        Hazen and Williams' C for the bore that was given. [-]
    roughness
        Equivalent sand roughness k for that bore. [m]
    roughness_low, roughness_high
        With the three errors against each other at one standard deviation; k is not symmetric. [m]
    factor, reynolds
        Darcy's factor and Reynolds' number of the test. [-]
    smoother_than_smooth
        Whether the readings give less loss than a smooth pipe: then `roughness` is zero and something is wrong with them.
    """

    coefficient: Measured
    roughness: float
    roughness_low: float
    roughness_high: float
    factor: float
    reynolds: float
    smoother_than_smooth: bool


def head_between_gauges(*, flowing: tuple[float, float], static: tuple[float, float], density: float) -> float:
    r"""Return the head lost between two gauges, heights and offsets of the gauges taken out.

    Parameters
    ----------
    flowing : tuple of float
        Pressures up and down the flow while it flows, gauge. [Pa]
    static : tuple of float
        Pressures at the same gauges at rest, gauge. [Pa]
    density : float
        Of the water. [kg/m3]

    Returns
    -------
    float
        Head loss. [m]

    Raises
    ------
    InputError
        If the density is not positive.

    Notes
    -----
    :math:`((p_1 - p_2) - (p_1^0 - p_2^0)) / (\rho g)`.

    References
    ----------
    Walski, T. M., Analysis of Water Distribution Systems; AWWA M32, section on C-factor tests (from memory).

    Examples
    --------
    >>> round(head_between_gauges(flowing=(4.00e5, 3.20e5), static=(5.0e5, 4.7e5), density=1000.0), 2)
    5.1
    """
    require_positive("density", density, "kg/m3")
    return ((flowing[0] - flowing[1]) - (static[0] - static[1])) / (density * STANDARD_GRAVITY)


def hydrant_flow(*, outlet: float, coefficient: float, pressure: float, density: float) -> float:
    r"""Return the flow from an open outlet by the pressure of its jet.

    Parameters
    ----------
    outlet : float
        Inside diameter of the outlet. [m]
    coefficient : float
        Of the outlet: 0.90 well rounded, 0.80 square, 0.70 projecting inwards. [-]
    pressure : float
        Of the jet in a pitot tube, gauge. [Pa]
    density : float
        Of the water. [kg/m3]

    Returns
    -------
    float
        Flow. [m3/s]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`c \frac{\pi d^2}{4} \sqrt{2 p / \rho}`; in gpm, inch and psi that is :math:`29.84\, c\, d^2 \sqrt p`.

    References
    ----------
    Torricelli's law; constant and coefficients as printed for hydrant flow tests.

    Examples
    --------
    >>> round(1000 * hydrant_flow(outlet=2.5 * 0.0254, coefficient=0.9, pressure=68947.57, density=999.0), 1)
    33.5
    """
    require_positive("outlet", outlet, "m")
    require_positive("coefficient", coefficient, "-")
    require_not_negative("pressure", pressure, "Pa")
    require_positive("density", density, "kg/m3")
    return coefficient * 0.25 * math.pi * outlet**2 * math.sqrt(2.0 * pressure / density)


def _roughness(flow: float, bore: float, slope: float, viscosity: float) -> tuple[float, float, float]:
    """Return roughness, factor and Reynolds' number."""
    factor = slope * bore * 2.0 * STANDARD_GRAVITY / velocity(flow=flow, bore=bore) ** 2
    reynolds = reynolds_number(flow=flow, bore=bore, viscosity=viscosity)
    return roughness_of_factor(factor=factor, reynolds=reynolds, bore=bore), factor, reynolds


def wall_of_main(*, test: FlowTest, viscosity: float) -> WallOfMain:
    r"""Return roughness and coefficient C of a main from a test between two gauges.

    Parameters
    ----------
    test : FlowTest
        Flow, bore and head with their deviations, and the length between the gauges. [-]
    viscosity : float
        Kinematic viscosity. [m2/s]

    Returns
    -------
    WallOfMain
        Both, with their uncertainty.

    Raises
    ------
    InputError
        If a value is not positive, or the flow is not turbulent.

    Notes
    -----
    :math:`u_C / C = \sqrt{u_Q^2 + (2.63\, u_D)^2 + (0.54\, u_h)^2}` with relative deviations: one per cent of bore is 2.6 % of C. For
    k each value is moved by its deviation in turn, and the moves to either side are joined as a root of squares.
    A loss of 5 m or more keeps the error of the gauges small. The errors are taken as independent.

    References
    ----------
    Walski and AWWA M32 as in `head_between_gauges`; JCGM 100:2008, 5.1.2 and 5.1.3.

    Examples
    --------
    >>> test = FlowTest(Measured(0.0126, 0.0126 * 0.02), Measured(0.1524, 0.001524), Measured(4.719715276, 0.1), 300.0)
    >>> found = wall_of_main(test=test, viscosity=1.307e-6)
    >>> round(found.coefficient.value, 1), round(found.coefficient.deviation, 1), round(1000 * found.roughness, 1)
    (60.0, 2.1, 14.4)
    """
    for name, measured, unit in (("flow", test.flow, "m3/s"), ("bore", test.bore, "m"), ("head", test.head, "m")):
        require_positive(name, measured.value, unit)
        require_not_negative(f"deviation of {name}", measured.deviation, unit)
    require_positive("length", test.length, "m")
    flow, bore, head = test.flow.value, test.bore.value, test.head.value
    reynolds = reynolds_number(flow=flow, bore=bore, viscosity=viscosity)
    if reynolds < TURBULENT_FROM:
        raise InputError("reynolds", reynolds, "-", f"{TURBULENT_FROM:g} or more: in slower flow the wall does not show")
    coefficient = hazen_williams_coefficient(flow=flow, bore=bore, slope=head / test.length)
    relative = math.hypot(test.flow.deviation / flow, 2.63 * test.bore.deviation / bore, 0.54 * test.head.deviation / head)
    roughness, factor, _ = _roughness(flow, bore, head / test.length, viscosity)
    over = under = 0.0
    for moved in ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)):
        there, _, _ = _roughness(
            flow + moved[0] * test.flow.deviation,
            bore + moved[1] * test.bore.deviation,
            max(head + moved[2] * test.head.deviation, 1e-9 * head) / test.length,
            viscosity,
        )
        if there > roughness:
            over += (there - roughness) ** 2
        else:
            under += (there - roughness) ** 2
    return WallOfMain(
        coefficient=Measured(coefficient, coefficient * relative),
        roughness=max(roughness, 0.0),
        roughness_low=max(roughness - math.sqrt(under), 0.0),
        roughness_high=max(roughness + math.sqrt(over), 0.0),
        factor=factor,
        reynolds=reynolds,
        smoother_than_smooth=roughness < 0.0,
    )
