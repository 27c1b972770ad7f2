"""The place ``lining``: whether it can be lined, and how thick."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.plan.sentences import thickness, whether

if TYPE_CHECKING:
    from mainwright.web.place import Visit

__all__ = ["lining_view"]


def lining_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: whether it can be lined, and how thick."""
    say = visit.reader.say
    return {"answer": [say.word(one) for part in (whether(visit.plan), thickness(visit.plan)) for one in part]}
