"""The place ``programme``: who does what on which day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.web.views.drawn import shown
from mainwright.web.views.origins import told
from mainwright.web.views.searching import search_view
from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from mainwright.plan.result import Plan
    from mainwright.web.place import Visit
    from mainwright.words.message import Message

__all__ = ["programme_view", "seen_mark"]


def programme_view(visit: Visit, *, by: str | None = None) -> dict[str, object]:
    """Return what the page shows: who does what on which day; ``by`` is ``place`` for bars by place, else they are by crew."""
    say, plan = visit.reader.say, visit.current or visit.plan
    placed = by == "place"
    sections = shown(visit.uses.sheets.place("programme_by_place" if placed else "programme", plan, say))
    return {
        "bars": "place" if placed else "crew",
        "answer": told("programme", _answer(plan), say, visit.job),
        "sections": sections,
        "issue": _issue(visit),
        "search": search_view(visit),
    }


def _issue(visit: Visit) -> dict[str, object] | None:
    """Return which plan the works follow, and whether this one can be issued; None where there is no programme to follow."""
    if (visit.current or visit.plan).programme is None:
        return None
    say, name = visit.reader.say, visit.at_hand.name
    issued = visit.uses.jobs.issued(name)
    if issued is None:
        text = message(
            "No plan is issued. Issue it before the works begin: what moves from then on is told with its reason, and runs keep their names."
        )
    else:
        text = message(
            "The works follow the plan that {who} issued on {day}, of revision {revision}.",
            who=issued.author, day=issued.time.date(), revision=issued.revision[:12],
        )  # fmt: skip
    count, revision = visit.uses.jobs.shelf.record_count(name), visit.plan.job.revision
    same = issued is not None and issued.revision == revision and issued.place == count and not _found_by(visit)
    return {"text": say.word(text), "again": issued is not None, "same": same, "seen": seen_mark(visit)}


def seen_mark(visit: Visit) -> str:
    """Return what tells the plan that is seen from others: of which revision and records it is, and of which search its programme."""
    count = visit.uses.jobs.shelf.record_count(visit.at_hand.name)
    return f"{visit.plan.job.revision}.{count}.{_found_by(visit)}"


def _found_by(visit: Visit) -> int:
    """Return the number of the search that found the current programme; 0 where it was found at once."""
    searches = visit.uses.searches
    search = None if searches is None else searches.search(visit.at_hand)
    return search.number if search is not None and search.current else 0


def _answer(plan: Plan) -> list[Message]:
    programme = plan.programme
    if programme is None:
        return [message("There is no programme: the job has no first day, or no layout keeps its limits.")]
    late = [one for one in programme.permits if one.overrun]
    said = [message("The work begins on {first} and ends on {last}.", first=programme.first_day, last=programme.last_day)]
    if late:
        said.append(message("The work overruns {n} of {all} {all:permit/permits}: {which}.", n=len(late), all=len(programme.permits), which=", ".join(one.ref for one in late)))  # fmt: skip
    elif programme.permits:
        said.append(message("Every permit is kept."))
    critical = sum(one.critical and not one.done for one in programme.activities)
    said.append(
        message(
            "{n} of {all} {all:activity/activities} {n:moves the end when it is/move the end when they are} late.",
            n=critical,
            all=len(programme.activities),
        )
    )
    return said
