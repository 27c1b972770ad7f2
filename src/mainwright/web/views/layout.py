"""The place ``layout``: where the road is opened, and what is lined between."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.plan.sentences import how

if TYPE_CHECKING:
    from mainwright.web.place import Visit

__all__ = ["layout_view"]


def layout_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: where the road is opened, and what is lined between."""
    say = visit.reader.say
    return {"answer": [say.word(one) for one in how(visit.plan)]}
