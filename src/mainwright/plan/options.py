"""The lined main against a new pipe of the same and of the next size."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.job.job import Job
from mainwright.plan.bill import price_of
from mainwright.plan.hydraulics import gain_of_main
from mainwright.plan.result import Comparison, Cost, HydraulicResult, LinedStretch, PlanWarning
from mainwright.standards.source import Assumed
from mainwright.units import to_si
from mainwright.words.message import Quantity, message

__all__ = ["USUAL_SAVING", "CapacityOf", "Compared", "compare", "compare_new_pipes"]

USUAL_SAVING: Final = (0.15, 0.50)
"""By how much lining usually comes cheaper than a new pipe, by diameter: common practice of the trade, without a source. [-]"""

CapacityOf = Callable[[Sequence[float | None]], float | None]
"""Gain of capacity of the whole main for the bores of its stretches, at today's head loss; None where it is not known."""


@dataclass(frozen=True, slots=True)
class Compared:
    """Ways beside each other, and what was assumed of the new pipe."""

    ways: tuple[Comparison, ...]
    assumed: tuple[Assumed, ...]
    warnings: tuple[PlanWarning, ...]


def compare_new_pipes(job: Job, *, stretches: Sequence[LinedStretch], gains: Sequence[HydraulicResult], cost: Cost) -> Compared:
    """Return the lined main beside new pipes of which the bore is their nominal size and the wall as smooth as a lining.

    Parameters
    ----------
    job : Job
        The job with its prices. [-]
    stretches : sequence of LinedStretch
        The main as it would be lined. [-]
    gains : sequence of HydraulicResult
        The same stretches before and after. [-]
    cost : Cost
        Of the lining. [-]

    Returns
    -------
    Compared
        Capacities are those of the whole main, at today's head loss from end to end.
    """
    ways = compare(
        job,
        stretches=stretches,
        cost=cost,
        bore_new=lambda dn: to_si(dn, "mm"),
        capacity=lambda bores: gain_of_main(job, results=gains, bores=bores),
    )
    if len(ways) == 1:
        return Compared(ways, (), ())
    bore = message("For the comparison a new pipe has its nominal size as bore; the supplier's own bore replaces it.")
    wall = message("For the comparison a new pipe is as smooth as the lined wall.")
    assumed = (Assumed("new_pipe.bore", "DN", "", bore), Assumed("new_pipe.roughness", "lined_roughness_mm", "", wall))
    return Compared(ways, assumed, _unusual(ways))


def _unusual(ways: Sequence[Comparison]) -> tuple[PlanWarning, ...]:
    """Return a warning where the saving against a new pipe of the same size is not what the trade knows."""
    costs = {way.name: way for way in ways}
    lined, new = costs["lined"], costs["new_pipe_same"]
    if lined.cost is None or not new.cost or lined.missing:
        return ()
    saving = 1.0 - lined.cost / new.cost
    if USUAL_SAVING[0] <= saving <= USUAL_SAVING[1]:
        return ()
    text = message(
        "Lining comes {saving} cheaper than a new pipe of the same size; usual are {low} to {high} (common practice, without a source). "
        "Check the prices, and what the price of a new pipe holds.",
        saving=Quantity(saving, "pct", 0),
        low=Quantity(USUAL_SAVING[0], "pct", 0),
        high=Quantity(USUAL_SAVING[1], "pct", 0),
    )
    return (PlanWarning("saving_unusual", None, None, text, "note"),)


def compare(
    job: Job,
    *,
    stretches: Sequence[LinedStretch],
    cost: Cost,
    bore_new: Callable[[int], float],
    capacity: CapacityOf,
) -> tuple[Comparison, ...]:
    """Return the lined main beside a new pipe of the same and of the next DN that is priced.

    Parameters
    ----------
    job : Job
        The job with its prices. [-]
    stretches : sequence of LinedStretch
        The main as it would be lined. [-]
    cost : Cost
        Of the lining, from its bill. [-]
    bore_new : callable
        Inside diameter of a new pipe of a DN. [m]
    capacity : callable
        Gain of capacity for the bores of the stretches. [-]

    Returns
    -------
    tuple of Comparison
        ``lined``, ``new_pipe_same`` and ``new_pipe_next``; a price that is missing is named, and its cost is None.
    """
    lined = Comparison(
        name="lined",
        text=message("lined with cement mortar"),
        cost_low=cost.low,
        cost=cost.rate,
        cost_high=cost.high,
        bore=min((item.bore_lined for item in stretches if item.bore_lined is not None), default=None),
        capacity_gain=capacity([item.bore_lined for item in stretches]),
        missing=cost.unpriced,
    )
    priced = sorted(
        int(price.item.removeprefix("new_pipe_dn"))
        for price in job.prices
        if price.rate is not None and price.item.startswith("new_pipe_dn") and price.item.removeprefix("new_pipe_dn").isdecimal()
    )
    if not priced:
        return (lined,)
    same = {item.dn: item.dn for item in stretches}
    following = {dn: next((other for other in priced if other > dn), None) for dn in same}
    texts = {
        "new_pipe_same": message("new pipe of the same DN, laid, at its price by metre alone"),
        "new_pipe_next": message("new pipe of the next DN in the price list, laid, at its price by metre alone"),
    }
    choices: dict[str, dict[int, int | None]] = {"new_pipe_same": dict(same), "new_pipe_next": following}
    others = []
    for name, sizes in choices.items():
        missing = tuple(sorted({_missing(job, dn=dn, new=new) for dn, new in sizes.items()} - {""}))
        known = [(item, new) for item in stretches if (new := sizes[item.dn]) is not None]
        bores = [bore_new(new) for _, new in known]
        others.append(
            Comparison(
                name=name,
                text=texts[name],
                cost_low=None if missing else _cost(job, known, "low"),
                cost=None if missing else _cost(job, known, "rate"),
                cost_high=None if missing else _cost(job, known, "high"),
                bore=min(bores, default=None),
                capacity_gain=capacity(bores) if len(known) == len(stretches) else None,
                missing=missing,
            )
        )
    return (lined, *others)


def _missing(job: Job, *, dn: int, new: int | None) -> str:
    if new is None:
        return f"new_pipe_dn>{dn}"
    return "" if price_of(job, f"new_pipe_dn{new}") is not None else f"new_pipe_dn{new}"


def _cost(job: Job, sizes: Sequence[tuple[LinedStretch, int]], point: str) -> float:
    total = 0.0
    for item, new in sizes:
        price = price_of(job, f"new_pipe_dn{new}")
        if price is None or price.rate is None:
            continue
        value = getattr(price, point)
        total += (item.end - item.start) * (price.rate if value is None else value)
    return total
