"""The place ``documents``: everything on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.words.message import message

if TYPE_CHECKING:
    from mainwright.web.place import Visit

__all__ = ["documents_view"]


def documents_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: everything on paper."""
    text = message("Every paper is made from revision {revision}.", revision=visit.plan.job.revision[:12])
    return {"answer": [visit.reader.say.word(text)]}
