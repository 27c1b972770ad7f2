"""The place ``proof``: what is proved, and what is missing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.words.message import message

if TYPE_CHECKING:
    from mainwright.web.place import Visit

__all__ = ["proof_view"]


def proof_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: what is proved, and what is missing."""
    kept = visit.uses.jobs.shelf.records(visit.at_hand.name)
    if not kept:
        return {"answer": [visit.reader.say.text("Nothing is on record yet: a proof begins with the first batch, reading or picture.")]}
    return {"answer": [visit.reader.say.word(message("{n} records are kept of this job.", n=len(kept)))]}
