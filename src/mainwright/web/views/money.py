"""The place ``money``: what it costs, and what is owed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.web.views.drawn import shown
from mainwright.web.views.origins import told
from mainwright.web.views.owed import owed
from mainwright.words.message import message

if TYPE_CHECKING:
    from mainwright.web.place import Visit
    from mainwright.words.message import Message

__all__ = ["money_view"]


def money_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: what it costs, and what is owed."""
    say = visit.reader.say
    sections = shown([*owed(visit), *visit.uses.sheets.place("money", visit.plan, say)])
    return {"answer": told("money", _answer(visit), say, visit.job), "sections": sections, "unpriced": visit.plan.cost.rate is None}


def _answer(visit: Visit) -> list[Message]:
    say, cost, currency = visit.reader.say, visit.plan.cost, visit.job.info.currency

    def money(value: float) -> str:
        return f"{say.number(value, 0)}\u00a0{currency}".strip()

    if cost.rate is None:
        return [message("Nothing is priced: the job has no prices for the items of the bill.")]
    said = [message("The priced items of the bill come to {cost}.", cost=money(cost.rate))]
    if cost.low is not None and cost.high is not None:
        text = "Between {low} with every low price at once and {high} with every high one: the prices together go less far, delays and finds come on top."
        said.append(message(text, low=money(cost.low), high=money(cost.high)))
    spread = visit.plan.spread
    if spread is not None:
        text = "Half of the time the works cost more than {middle}, one time in ten more than {high}."
        said.append(message(text, middle=money(spread.cost.middle), high=money(spread.cost.high)))
    if cost.unpriced:
        said.append(message("Without a price, and not in the sum: {items}.", items=", ".join(say.code(one) for one in cost.unpriced)))
    return said
