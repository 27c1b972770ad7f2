"""The place ``water``: how customers keep their water, and when the main may be given back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.words.message import Quantity, message

if TYPE_CHECKING:
    from mainwright.web.place import Visit

__all__ = ["water_view"]


def water_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: how customers keep their water, and when the main may be given back."""
    say, supply = visit.reader.say, visit.plan.supply
    if supply is None or supply.lines is None:
        return {"answer": [say.text("The temporary supply is not sized: the job lacks its feeds, its demand or its pipes.")]}
    length = sum(one.length for one in supply.lines)
    return {"answer": [say.word(message("Customers live on {length} of temporary pipe.", length=Quantity(length, "m", 0)))]}
