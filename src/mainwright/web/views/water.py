"""The place ``water``: how customers keep their water, and when the main may be given back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.web.views.drawn import shown
from mainwright.web.views.origins import told
from mainwright.web.views.recorded import recorded
from mainwright.web.views.ribbon import ribbon_frame
from mainwright.words.message import Message, Quantity, message

if TYPE_CHECKING:
    from mainwright.plan.result import Plan
    from mainwright.web.place import Visit
    from mainwright.words.message import Message

__all__ = ["water_view"]


def water_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: how customers keep their water, and when the main may be given back."""
    say = visit.reader.say
    samples = recorded(visit, (say.text("Water: the gate before customers"),))
    sections = shown([*samples, *visit.uses.sheets.place("water", visit.plan, say)])
    return {
        "answer": told("water", _answer(visit.plan), say, visit.job),
        "frame": ribbon_frame(visit.job, visit.at_hand.name, say),
        "sections": sections,
    }


def _answer(plan: Plan) -> list[Message]:
    supply, back = plan.supply, plan.return_to_service
    said: list[Message] = []
    if supply is None or supply.lines is None:
        said.append(message("The temporary supply is not sized: the job lacks its feeds, its demand or its pipes."))
    else:
        length = sum(one.length for one in supply.lines)
        said.append(message("Customers live on {length} of temporary pipe.", length=Quantity(length, "m", 0)))
        taps = [one.pressure for one in supply.points or () if one.feeds]
        if taps and supply.wanted is not None:
            said.append(message("The least pressure at a tap is {least}; wanted is {wanted}.", least=Quantity(min(taps), "bar", 2), wanted=Quantity(supply.wanted, "bar", 2)))  # fmt: skip
        if supply.without:
            said.append(message("{n} {n:connection is/connections are} without water for a time.", n=len(supply.without)))
    if back is not None and back.blocks:
        times = [one.give_back for one in back.blocks if one.give_back is not None]
        if len(times) == len(back.blocks):
            said.append(
                message("A block is back {time} after its last ends are closed, at the soonest.", time=Quantity(max(times), "hours", 0))
            )
        else:
            least = max(one.at_least for one in back.blocks)
            said.append(message("When a block is back is not known to the end: not before {time} after its last ends are closed.", time=Quantity(least, "hours", 0)))  # fmt: skip
    return said
