"""What openings and runs cost: the job's prices as the layout uses them."""

from dataclasses import dataclass
from typing import Final

from mainwright.job.job import Job
from mainwright.job.survey import Ground
from mainwright.standards.source import Assumed
from mainwright.words.message import message

__all__ = ["PRICED_COVER", "Rates", "rates_of", "unpriced"]

PRICED_COVER: Final = 1.5
"""Cover up to which the price of an opening goes; deeper ones pay by the metre. [m] Part of the meaning of ``opening_<surface>``."""


@dataclass(frozen=True, slots=True)
class Rates:
    """The rates that matter to the choice of openings, in the job's currency; an item without a rate is missing from `by_item`."""

    by_item: dict[str, float]

    def get(self, item: str) -> float:
        """Return a rate, zero where there is none."""
        return self.by_item.get(item, 0.0)

    def opening(self, ground: Ground) -> float | None:
        """Return the price of an opening in this ground, None where nothing of it is priced."""
        base = None if ground.surface is None else self.by_item.get(f"opening_{ground.surface}")
        depth = None
        if ground.cover is not None and ground.cover > PRICED_COVER:
            by_metre = self.by_item.get("opening_extra_depth")
            depth = None if by_metre is None else by_metre * (ground.cover - PRICED_COVER)
        if base is None and depth is None:
            return None
        return (base or 0.0) + (depth or 0.0)


def rates_of(job: Job) -> Rates:
    """Return the job's rates; an item that has a low and a high but no rate is not priced.

    Parameters
    ----------
    job : Job
        The job. [-]

    Returns
    -------
    Rates
        In the job's currency.
    """
    return Rates({price.item: price.rate for price in job.prices if price.rate is not None})


def unpriced(items: list[str], rates: Rates) -> tuple[Assumed, ...]:
    """Return what was taken as costing nothing, each once, in the order given.

    Parameters
    ----------
    items : list of str
        Items that the layout asked for. [-]
    rates : Rates
        What is priced. [-]

    Returns
    -------
    tuple of Assumed
        One for each item without a rate.
    """
    because = message("The item has no rate in the price list: the choice of openings counts it as nothing.")
    missing = dict.fromkeys(item for item in items if item not in rates.by_item)
    return tuple(Assumed(f"prices.{item}", None, "", because) for item in missing)
