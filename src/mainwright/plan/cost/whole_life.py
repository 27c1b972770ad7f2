"""Lining, relaying, slip-lining and spraying beside each other over the years: first cost, pumping energy, life; and from what length a run pays."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from mainwright.job.job import Job
from mainwright.job.office import Money
from mainwright.plan.bill import price_of
from mainwright.plan.result import BillLine, Comparison, HydraulicResult, LinedStretch
from mainwright.plan.result_cost import BreakEven, LifeWay
from mainwright.science.hydraulics.capacity import pumping_energy
from mainwright.science.money.present_value import annuity_present_value, capital_recovery
from mainwright.standards.source import Assumed
from mainwright.units import from_si
from mainwright.words.message import Message, message

__all__ = ["CHANGES", "break_even", "life_assumed", "whole_life"]

_YEAR: Final = 31_557_600.0
_WATER: Final = 1000.0
"""Density of cold water, near enough for a price. [kg/m3]"""

CHANGES: Final[Mapping[str, Message]] = {
    "interest_low": message("interest 2 points lower"),
    "interest_high": message("interest 2 points higher"),
    "energy_double": message("energy twice as dear"),
    "life_short": message("each life a quarter shorter"),
}
"""What is changed, one at a time, to see how much hangs on it."""

_LINING: Final = "lining_dn"
_SLIP_BORE: Final = 0.85
"""Bore of a pipe drawn in, relative to the host's clean bore; an assumption. [-]"""

_TEXTS: Final[Mapping[str, Message]] = {
    "lined": message("lined with cement mortar"),
    "new_pipe_same": message("new pipe of the same DN"),
    "new_pipe_next": message("new pipe of the next DN"),
    "slip_lining": message("smaller pipe drawn in (slip-lining)"),
    "spraying": message("sprayed with resin"),
}


@dataclass(frozen=True, slots=True)
class _Way:
    name: str
    first: float | None
    life: float
    energy: float | None
    missing: tuple[str, ...]


def whole_life(
    job: Job,
    *,
    stretches: Sequence[LinedStretch],
    gains: Sequence[HydraulicResult],
    comparisons: Sequence[Comparison],
    bill: Sequence[BillLine],
) -> tuple[LifeWay, ...]:
    """Return each way with its first cost, its energy and what it is worth over the years.

    Parameters
    ----------
    job : Job
        The job with its prices and ``[money]``. [-]
    stretches : sequence of LinedStretch
        The main as it would be lined. [-]
    gains : sequence of HydraulicResult
        The same stretches before and after. [-]
    comparisons : sequence of Comparison
        Lining and new pipes at their first cost. [-]
    bill : sequence of BillLine
        Of the lining. [-]

    Returns
    -------
    tuple of LifeWay
        First cost and energy as equal payments over each way's own life, worth today over the horizon of the job: so lives of different length
        stand beside each other. Without an energy price nothing is reckoned for energy; where the flow is not known it is None.

    Notes
    -----
    Slip-lining and spraying are priced by ``slip_lining_dn<DN>`` and ``spraying_dn<DN>`` by metre, and bear the openings, set-ups, cleaning,
    temporary supply and clearing of the lining. Loss follows the fifth power of the bore at the flow of the hydraulics.
    """
    money = job.money
    costs = {one.name: one for one in comparisons}
    length = math.fsum(one.end - one.start for one in stretches)
    if length <= 0.0:
        return ()
    shared = math.fsum(
        line.quantity * line.rate for line in bill if line.rate is not None and not line.item.startswith(("lining_dn", "cement", "sand"))
    )
    ways = (
        [_Way("lined", costs["lined"].cost, money.life_lined, _energy(job, gains, _as_lined), costs["lined"].missing)]
        if "lined" in costs
        else []
    )
    for name in ("new_pipe_same", "new_pipe_next"):
        if name in costs:
            bores = None if costs[name].bore is None else costs[name].capacity_gain
            ways.append(_Way(name, costs[name].cost, money.life_new_pipe, _energy(job, gains, _by_gain(bores)), costs[name].missing))
    for name, life, bore in (("slip_lining", money.life_slip_lining, _SLIP_BORE), ("spraying", money.life_spraying, 1.0)):
        missing = tuple(sorted({f"{name}_dn{one.dn}" for one in stretches if price_of(job, f"{name}_dn{one.dn}") is None}))
        first = None
        if not missing:
            first = shared + math.fsum((one.end - one.start) * _rate(job, f"{name}_dn{one.dn}") for one in stretches)
        ways.append(_Way(name, first, life, _energy(job, gains, _narrowed(bore)), missing))
    return tuple(_valued(one, money) for one in ways)


def _rate(job: Job, item: str) -> float:
    found = price_of(job, item)
    return 0.0 if found is None or found.rate is None else found.rate


_Loss = Callable[[HydraulicResult], float | None]


def _as_lined(one: HydraulicResult) -> float | None:
    return one.head_loss_after


def _by_gain(gain: float | None) -> _Loss:
    """Return the loss of a main of that capacity: the same flow needs less head by nearly the square."""

    def loss(one: HydraulicResult) -> float | None:
        return None if one.head_loss_before is None or not gain else one.head_loss_before / gain**2

    return loss


def _narrowed(share: float) -> _Loss:
    def loss(one: HydraulicResult) -> float | None:
        return None if one.head_loss_after is None else one.head_loss_after / share**5

    return loss


def _energy(job: Job, gains: Sequence[HydraulicResult], loss: _Loss) -> float | None:
    """Return what a year's pumping against friction costs."""
    money = job.money
    if money.energy_price is None:
        return None
    total = 0.0
    for one in gains:
        head = loss(one)
        if head is None or one.flow is None:
            return None
        energy = pumping_energy(
            flow=one.flow, head=max(head, 0.0), density=_WATER, efficiency=money.pump_efficiency, duration=money.pumped_share * _YEAR
        )
        total += from_si(energy, "kwh") * money.energy_price
    return total


def _valued(way: _Way, money: Money) -> LifeWay:
    changed: dict[str, tuple[Money, float, float]] = {
        "interest_low": (replace(money, interest=max(money.interest - 0.02, 0.0)), 1.0, 1.0),
        "interest_high": (replace(money, interest=money.interest + 0.02), 1.0, 1.0),
        "energy_double": (money, 2.0, 1.0),
        "life_short": (money, 1.0, 0.75),
    }
    yearly, worth = _worth(way, money, energy=1.0, life=1.0)
    return LifeWay(
        name=way.name,
        text=_TEXTS[way.name],
        first=way.first,
        life=way.life,
        energy=way.energy,
        yearly=yearly,
        worth=worth,
        sensitivity=tuple((name, _worth(way, other, energy=energy, life=life)[1]) for name, (other, energy, life) in changed.items()),
        missing=way.missing,
    )


def _worth(way: _Way, money: Money, *, energy: float, life: float) -> tuple[float | None, float | None]:
    """Return what a way costs a year, and what that is worth today over the horizon."""
    if way.first is None:
        return None, None
    years = from_si(way.life, "years") * life
    yearly = capital_recovery(way.first, rate=money.interest, years=years) + energy * (way.energy or 0.0)
    return yearly, annuity_present_value(yearly, rate=money.interest, years=from_si(money.horizon, "years"))


def break_even(job: Job, *, bill: Sequence[BillLine], stretches: Sequence[LinedStretch]) -> tuple[BreakEven, ...]:
    """Return from what length of each DN a run pays against a new pipe of the same DN.

    Parameters
    ----------
    job : Job
        The job with its prices. [-]
    bill : sequence of BillLine
        Of the lining. [-]
    stretches : sequence of LinedStretch
        The main as it would be lined. [-]

    Returns
    -------
    tuple of BreakEven
        By DN, those of the main and the others of the price list; a DN without a price of lining or of a new pipe is left out. Setting up is one run with its share of openings, pump places and
        traffic; by metre is everything else of the bill but the lining and cleaning of other DN. A length of None: it never pays.
    """
    priced = {line.item: line for line in bill if line.rate is not None}
    runs = priced["set_up_run"].quantity if "set_up_run" in priced else 0.0
    length = math.fsum(line.quantity for item, line in priced.items() if item.startswith("lining_dn"))
    if runs <= 0.0 or length <= 0.0:
        return ()

    def amount(*starts: str) -> float:
        return math.fsum(line.quantity * (line.rate or 0.0) for item, line in priced.items() if item.startswith(starts))

    once = amount("opening_", "set_up_", "traffic_day") / runs
    along = (amount("") - amount("opening_", "set_up_", "traffic_day", "lining_dn", "cleaning_dn")) / length
    found = []
    main = {one.dn for one in stretches}
    for dn in sorted(main | _priced_sizes(job)):
        if price_of(job, f"lining_dn{dn}") is None or not _rate(job, f"new_pipe_dn{dn}"):
            continue
        by_length = along + _rate(job, f"lining_dn{dn}") + _rate(job, f"cleaning_dn{dn}")
        new_pipe = _rate(job, f"new_pipe_dn{dn}")
        saved = new_pipe - by_length
        share = 1.0 - (by_length + once * runs / length) / new_pipe
        found.append(BreakEven(dn, once, by_length, new_pipe, once / saved if saved > 0.0 else None, share, dn in main))
    return tuple(found)


def _priced_sizes(job: Job) -> set[int]:
    """Return the DN of which the price list has a rate for cleaning and lining."""
    sizes = {
        int(one.item[len(_LINING) :])
        for one in job.prices
        if one.item.startswith(_LINING) and one.item[len(_LINING) :].isascii() and one.item[len(_LINING) :].isdigit()
    }
    return {dn for dn in sizes if price_of(job, f"cleaning_dn{dn}") is not None}


def life_assumed(job: Job, ways: Sequence[LifeWay]) -> tuple[Assumed, ...]:
    """Return what the comparison over the years takes for granted beside the job's own ``[money]``.

    Parameters
    ----------
    job : Job
        The job. [-]
    ways : sequence of LifeWay
        What was compared. [-]

    Returns
    -------
    tuple of Assumed
        One for each.
    """
    if not ways:
        return ()
    found = [Assumed("life.slip_bore", _SLIP_BORE, "", message("Bore of a pipe drawn in, relative to the host's clean bore."))]
    if job.money.energy_price is None:
        found.append(Assumed("money.energy_price_kwh", None, "", message("No price of energy: pumping counts as nothing.")))
    return tuple(found)
