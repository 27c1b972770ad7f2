"""The place ``runs``: what the crew needs of each run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.words.message import Quantity, message

if TYPE_CHECKING:
    from mainwright.web.place import Visit

__all__ = ["runs_view"]


def runs_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: what the crew needs of each run."""
    say, runs = visit.reader.say, visit.plan.runs
    text = message("{n} runs, {length} in all.", n=len(runs), length=Quantity(sum(one.length for one in runs), "m", 0))
    return {"answer": [say.word(text)]}
