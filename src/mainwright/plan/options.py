"""The lined main against a new pipe of the same and of the next size."""

from collections.abc import Callable, Sequence

from mainwright.job.job import Job
from mainwright.plan.bill import price_of
from mainwright.plan.result import Comparison, Cost, LinedStretch
from mainwright.words.message import message

__all__ = ["CapacityOfNew", "compare"]

CapacityOfNew = Callable[[LinedStretch, int], float | None]
"""Ratio of the flow of a new pipe of a DN to today's, at today's head loss along one stretch; None where it is not known."""


def compare(
    job: Job,
    *,
    stretches: Sequence[LinedStretch],
    cost: Cost,
    lined_capacity: float | None,
    bore_new: Callable[[int], float | None],
    capacity_new: CapacityOfNew,
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
    lined_capacity : float or None
        Least gain of capacity along the lined main. [-]
    bore_new : callable
        Inside diameter of a new pipe of a DN. [m]
    capacity_new : callable
        Gain of capacity of a new pipe along one stretch. [-]

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
        capacity_gain=lined_capacity,
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
        "new_pipe_same": message("new pipe of the same DN"),
        "new_pipe_next": message("new pipe of the next DN in the price list"),
    }
    choices: dict[str, dict[int, int | None]] = {"new_pipe_same": dict(same), "new_pipe_next": following}
    others = []
    for name, sizes in choices.items():
        missing = tuple(sorted({_missing(job, dn=dn, new=new) for dn, new in sizes.items()} - {""}))
        known = [(item, new) for item in stretches if (new := sizes[item.dn]) is not None]
        gains = [capacity_new(item, new) for item, new in known]
        bores = [bore_new(new) for _, new in known]
        others.append(
            Comparison(
                name=name,
                text=texts[name],
                cost_low=None if missing else _cost(job, known, "low"),
                cost=None if missing else _cost(job, known, "rate"),
                cost_high=None if missing else _cost(job, known, "high"),
                bore=_least(bores),
                capacity_gain=_least(gains) if len(known) == len(stretches) else None,
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


def _least(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return min(known) if known and len(known) == len(values) else None
