"""The place ``money``: what it costs, and what is owed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.words.message import message

if TYPE_CHECKING:
    from mainwright.web.place import Visit

__all__ = ["money_view"]


def money_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: what it costs, and what is owed."""
    say, cost = visit.reader.say, visit.plan.cost
    if cost.rate is None:
        return {"answer": [say.text("Nothing is priced: the job has no prices for the items of the bill.")]}
    sum_ = f"{say.number(cost.rate, 0)}\u00a0{visit.job.info.currency}".strip()
    return {"answer": [say.word(message("The priced items of the bill come to {cost}.", cost=sum_))]}
