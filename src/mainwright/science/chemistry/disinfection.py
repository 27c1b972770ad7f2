"""Chlorine for a main: what a product holds, how much is dosed how fast, what is left, and what takes it away again."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from mainwright.errors import InputError, require_not_negative, require_positive, require_within

__all__ = [
    "AGENTS",
    "Agent",
    "Slug",
    "active_share",
    "agent_mass",
    "chlorine_in_solution",
    "decay_rate",
    "dosing_flow",
    "residual_after",
    "slug",
    "strength_after",
]

_CHLORINE: Final = 0.070906
"""[kg/mol] Cl2; standard atomic weights, IUPAC 2021."""
_HYPOCHLORITE: Final = 0.074442
"""[kg/mol] NaOCl."""

Agent = Literal[
    "sulfur_dioxide",
    "sodium_bisulfite",
    "sodium_metabisulfite",
    "sodium_sulfite",
    "sodium_thiosulfate",
    "sodium_thiosulfate_pentahydrate",
    "ascorbic_acid",
    "sodium_ascorbate",
]

AGENTS: Final[dict[Agent, tuple[float, float]]] = {
    "sulfur_dioxide": (0.064064, 1.0),
    "sodium_bisulfite": (0.104061, 1.0),
    "sodium_metabisulfite": (0.190107, 2.0),
    "sodium_sulfite": (0.126043, 1.0),
    "sodium_thiosulfate": (0.158108, 4.0),
    "sodium_thiosulfate_pentahydrate": (0.248184, 4.0),
    "ascorbic_acid": (0.176124, 1.0),
    "sodium_ascorbate": (0.198106, 1.0),
}
"""Molar mass [kg/mol] and moles of chlorine that one mole takes away at most [-]; standard atomic weights, IUPAC 2021."""


def chlorine_in_solution(strength: float, *, kind: Literal["trade", "hypochlorite", "mass"], density: float | None) -> float:
    """Return the available chlorine that a solution holds.

    Parameters
    ----------
    strength : float
        Strength as the label gives it, as a fraction: 0.12 for 12 %. [-]
    kind : str
        What the label means: ``trade`` is available chlorine by volume (g in 100 ml), ``hypochlorite`` sodium hypochlorite by volume,
        ``mass`` available chlorine by mass. [-]
    density : float or None
        Of the solution; needed for ``mass`` alone. [kg/m3]

    Returns
    -------
    float
        Available chlorine, as Cl2. [kg/m3]

    Raises
    ------
    InputError
        If the strength is not between 0 and 1, or the density is missing.

    Notes
    -----
    The three differ by up to a quarter for the same bottle: the label must say which is meant.

    References
    ----------
    Definitions; ratio of the molar masses of Cl2 and NaOCl, 0.9525.

    Examples
    --------
    >>> round(chlorine_in_solution(0.12, kind="trade", density=None))
    120
    """
    if not 0.0 < strength <= 1.0:
        raise InputError("strength", strength, "", "over 0 and up to 1, a fraction")
    if kind == "mass":
        if density is None:
            raise InputError("density", "missing", "", "the density of the solution, where the strength is by mass")
        require_positive("density", density, "kg/m3")
        return strength * density
    return strength * 1000.0 * (_CHLORINE / _HYPOCHLORITE if kind == "hypochlorite" else 1.0)


def strength_after(strength: float, *, age: float, halving: float) -> float:
    r"""Return the strength that a stored hypochlorite solution still has.

    Parameters
    ----------
    strength : float
        Strength when it was made or tested. [-]
    age : float
        Time since then. [s]
    halving : float
        Time in which a solution of that strength, as warm as it is stored, falls to half. [s]

    Returns
    -------
    float
        Strength. [-]

    Raises
    ------
    InputError
        If the strength or halving time is not positive, or the age negative.

    Notes
    -----
    :math:`c = c_0 / (1 + t / t_{1/2})`: hypochlorite falls apart with the square of its strength, so that half of it, diluted, keeps twice as
    long. The halving time comes from the maker or from two tests; light and metals shorten it. Test it on the day.

    References
    ----------
    Decomposition of second order: Gordon, G., Adam, L., Bubnis, B. (1995), Minimizing chlorate formation in drinking water when hypochlorite ion
    is the chlorinating agent, AWWA Research Foundation (order from memory; no constant is taken from it).

    Examples
    --------
    >>> strength_after(0.12, age=86400.0 * 60, halving=86400.0 * 60)
    0.06
    """
    require_positive("strength", strength, "-")
    require_not_negative("age", age, "s")
    require_positive("halving", halving, "s")
    return strength / (1.0 + age / halving)


def dosing_flow(*, water_flow: float, dose: float, chlorine: float) -> float:
    """Return the flow of solution that doses water as it fills a main.

    Parameters
    ----------
    water_flow : float
        Flow of the water. [m3/s]
    dose : float
        Wanted chlorine in the water. [kg/m3]
    chlorine : float
        Available chlorine in the solution. [kg/m3]

    Returns
    -------
    float
        Flow of solution. [m3/s]

    Raises
    ------
    InputError
        If an argument is not positive.

    Notes
    -----
    The water that the solution itself brings is left out, as site tables do: at 25 mg/l from a 1 % solution it is a quarter of a per cent.

    References
    ----------
    Balance of chlorine.

    Examples
    --------
    >>> round(dosing_flow(water_flow=2e-3, dose=0.1, chlorine=10.0) * 3.6e6, 1)
    72.0
    """
    require_positive("water_flow", water_flow, "m3/s")
    require_positive("dose", dose, "kg/m3")
    require_positive("chlorine", chlorine, "kg/m3")
    return water_flow * dose / chlorine


@dataclass(frozen=True, slots=True)
class Slug:
    """A column of strong water that moves through a main: its length [m], volume [m3], speed [m/s], flow [m3/s], time until it is out [s]."""

    length: float
    volume: float
    velocity: float
    flow: float
    time: float


def slug(*, bore: float, length: float, share: float, contact: float) -> Slug:
    """Return how a slug of strong chlorine moves through a main so that every point has its time of contact.

    Parameters
    ----------
    bore : float
        Inside diameter, after lining. [m]
    length : float
        Of the main. [m]
    share : float
        Length of the slug by that of the main. [-]
    contact : float
        Time that every point must be in the slug. [s]

    Returns
    -------
    Slug
        The slug; it moves as a plug.

    Raises
    ------
    InputError
        If an argument is not positive, or the share over 1.

    References
    ----------
    Continuity. The method: AWWA C651, slug method (secondary: Lauer, W., Sanchez, F. (2006), field guide on disinfection of pipelines).

    Examples
    --------
    >>> found = slug(bore=0.5, length=1000.0, share=0.2, contact=10800.0)
    >>> round(found.volume, 2), round(found.time / 3600)
    (39.27, 18)
    """
    require_positive("bore", bore, "m")
    require_positive("length", length, "m")
    require_positive("contact", contact, "s")
    if not 0.0 < share <= 1.0:
        raise InputError("share", share, "", "over 0 and up to 1")
    area = math.pi / 4.0 * bore**2
    long = share * length
    velocity = long / contact
    return Slug(length=long, volume=area * long, velocity=velocity, flow=area * velocity, time=(length + long) / velocity)


def residual_after(dose: float, *, time: float, bulk_rate: float, wall_rate: float, bore: float) -> float:
    r"""Return the chlorine that is left after a time in a main.

    Parameters
    ----------
    dose : float
        Chlorine at the beginning. [kg/m3]
    time : float
        Time. [s]
    bulk_rate : float
        Decay in the water itself. [1/s]
    wall_rate : float
        Decay at the wall, by its area; fresh mortar and what is stirred up take more than an old wall. [m/s]
    bore : float
        Inside diameter. [m]

    Returns
    -------
    float
        Chlorine. [kg/m3]

    Raises
    ------
    InputError
        If an argument is negative, or the bore not positive.

    Notes
    -----
    :math:`c = c_0 \exp(-(k_b + 4 k_w / D) t)`, first order, without the resistance of the flow to what reaches the wall. Rates come from a
    reading on site; none is printed here.

    References
    ----------
    Rossman, L. A., Clark, R. M., Grayman, W. M. (1994), Modeling chlorine residuals in drinking-water distribution systems, Journal of
    Environmental Engineering 120, 803-820 (first order in bulk and wall, from memory).

    Examples
    --------
    >>> round(residual_after(0.025, time=86400.0, bulk_rate=1e-5, wall_rate=0.0, bore=0.1) * 1000, 1)
    10.5
    """
    require_not_negative("dose", dose, "kg/m3")
    require_not_negative("time", time, "s")
    require_not_negative("bulk_rate", bulk_rate, "1/s")
    require_not_negative("wall_rate", wall_rate, "m/s")
    require_positive("bore", bore, "m")
    return dose * math.exp(-(bulk_rate + 4.0 * wall_rate / bore) * time)


def decay_rate(times: Sequence[float], residuals: Sequence[float]) -> float:
    """Return the rate of decay that readings of the residual show.

    Parameters
    ----------
    times : sequence of float
        Times of the readings. [s]
    residuals : sequence of float
        Chlorine then, positive. [kg/m3]

    Returns
    -------
    float
        Slope of the logarithm, by least squares; negative where the chlorine rose. [1/s]

    Raises
    ------
    InputError
        If there are fewer than two readings, all at one time, or one is not positive.

    References
    ----------
    First order, as `residual_after`.

    Examples
    --------
    >>> round(decay_rate([0.0, 86400.0], [0.025, 0.010]) * 86400, 3)
    0.916
    """
    if len(times) != len(residuals) or len(times) < 2:
        raise InputError("readings", len(times), "", "at least 2, as many residuals as times")
    for one in residuals:
        require_positive("residual", one, "kg/m3")
    mean = math.fsum(times) / len(times)
    spread = math.fsum((time - mean) ** 2 for time in times)
    require_positive("spread of the times", spread, "s2")
    return -math.fsum((time - mean) * math.log(one) for time, one in zip(times, residuals, strict=True)) / spread


def active_share(*, ph: float, temperature: float) -> float:
    r"""Return the share of free chlorine that is hypochlorous acid, which disinfects; the rest is hypochlorite ion, many times weaker.

    Parameters
    ----------
    ph : float
        pH of the water with its chlorine. [-]
    temperature : float
        0 to 35 degC. [K]

    Returns
    -------
    float
        0 to 1. [-]

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    :math:`1 / (1 + 10^{pH - pK})` with :math:`pK = 3000/T - 10.0686 + 0.0253 T`. Activity coefficients are left out. In water at pH 10.5 from
    fresh mortar a thousandth is left: flush first, or count on the time that the rule gives and prove it by samples.

    References
    ----------
    Morris, J. C. (1966), The acid ionization constant of HOCl from 5 to 35 degC, Journal of Physical Chemistry 70, 3798-3805 (equation from
    memory; it gives the 2.90e-8 of its table at 25 degC).

    Examples
    --------
    >>> round(active_share(ph=7.0, temperature=293.15), 2), round(active_share(ph=10.5, temperature=283.15), 4)
    (0.79, 0.0015)
    """
    require_within("ph", ph, "-", above=0.0, below=14.0)
    if not 273.15 <= temperature <= 308.15:
        raise InputError("temperature", temperature, "K", "273.15 to 308.15 K, which is 0 to 35 degC")
    pk = 3000.0 / temperature - 10.0686 + 0.0253 * temperature
    return 1.0 / (1.0 + math.pow(10.0, ph - pk))


def agent_mass(agent: Agent, *, chlorine: float) -> float:
    """Return the least mass of a reducing agent that takes away some chlorine, by stoichiometry.

    Parameters
    ----------
    agent : str
        One of ``AGENTS``. [-]
    chlorine : float
        Chlorine, as Cl2. [kg]

    Returns
    -------
    float
        Pure agent. [kg]

    Raises
    ------
    InputError
        If the agent is not known, or the chlorine negative.

    Notes
    -----
    Thiosulfate takes four moles of chlorine where it is oxidised to sulfate, which wants time and pH; as it is used it takes down to one. Practice
    uses more of each agent than this, and tests what leaves: see the published table in ``standards``.

    References
    ----------
    Balances of the reactions: HSO3-, SO3-- and SO2 to sulfate with one Cl2; S2O5-- with two; S2O3-- with four; ascorbic acid to
    dehydroascorbic acid with one.

    Examples
    --------
    >>> round(agent_mass("sodium_metabisulfite", chlorine=1.0), 2)
    1.34
    """
    require_not_negative("chlorine", chlorine, "kg")
    if agent not in AGENTS:
        raise InputError("agent", agent, "", ", ".join(AGENTS))
    molar, takes = AGENTS[agent]
    return chlorine / _CHLORINE * molar / takes
