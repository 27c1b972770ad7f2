"""The place ``lining``: whether it can be lined, and how thick."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.plan.sentences import thickness, whether
from mainwright.web.views.drawn import shown
from mainwright.web.views.origins import told

if TYPE_CHECKING:
    from mainwright.plan.result import Plan
    from mainwright.web.place import Visit
    from mainwright.words.message import Message

__all__ = ["lining_view"]


def lining_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: whether it can be lined, and how thick."""
    say = visit.reader.say
    sections = shown(visit.uses.sheets.place("lining", visit.plan, say))
    return {"answer": told("lining", _answer(visit.plan), say, visit.job), "sections": sections}


def _answer(plan: Plan) -> list[Message]:
    return [*whether(plan), *thickness(plan)]
