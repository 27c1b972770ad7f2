"""The place ``programme``: who does what on which day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.words.message import message

if TYPE_CHECKING:
    from mainwright.web.place import Visit

__all__ = ["programme_view"]


def programme_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: who does what on which day."""
    say, programme = visit.reader.say, visit.plan.programme
    if programme is None:
        return {"answer": [say.text("There is no programme: the job has no first day, or no layout keeps its limits.")]}
    text = message("The work begins on {first} and ends on {last}.", first=programme.first_day, last=programme.last_day)
    return {"answer": [say.word(text)]}
