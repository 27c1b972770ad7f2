"""How good a programme is, and the search for a better one, in words."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from mainwright.plan.programme.sighting import Sighting
from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.plan.timetable import Programme
    from mainwright.web.place import Visit
    from mainwright.words.wording import Wording
    from mainwright.workflow.issuing import IssuedPlan
    from mainwright.workflow.searching import Phase, Search

__all__ = ["search_view"]

_MINUTES: Final = 2
"""What the form offers."""

_STANDING: Final[Mapping[Phase, Message]] = {
    "waiting": message("The search waits for that of another job."),
    "planning": message("The plan is made up to its programme; then the search begins."),
    "looking": message("A better programme is looked for."),
    "finishing": message("The search has ended; the rest of the plan is made from what it found."),
    "changed": message("The job or its records changed while it was searched: the search ended, and nothing of it is kept."),
    "cancelled": message("The search was cancelled: the programme is the one from before it."),
}


def search_view(visit: Visit, *, alone: bool = False) -> dict[str, object] | None:
    """Return what the page says of how good its programme is, and of the search.

    Parameters
    ----------
    visit : Visit
        Who looks. [-]
    alone : bool
        Whether it comes without the page, which may then show another programme still. [-]

    Returns
    -------
    dict or None
        None where there is no programme.
    """
    programme = (visit.current or visit.plan).programme
    if programme is None:
        return None
    say, uses = visit.reader.say, visit.uses
    search = None if uses.searches is None else uses.searches.search(visit.at_hand)
    going_on = search is not None and search.going_on
    issued = uses.jobs.issued(visit.at_hand.name)
    as_issued = issued is not None and _is_issued(programme, issued)
    now = _seen(programme)
    if as_issued and issued is not None and issued.programme is not None and issued.revision == visit.plan.job.revision:
        # What the search proved before it was issued holds for the same job.
        was = issued.programme
        now = replace(now, bound=was.bound, because=was.because, gap=was.gap, proven=was.proven)
    if as_issued:
        shown = message("This programme is as it was issued.")
    elif search is not None and search.current:
        shown = message(
            "This programme comes from a search of {time}. It is kept until this program ends or the job changes: issue the plan to keep it for good.",
            time=_time(say, search.spent),
        )
    else:
        shown = message("This programme was found at once, by a quick search.")
    if search is not None and going_on and search.best is not None:
        now = search.best
    told = None if search is None else _told(search, visit, as_issued=as_issued)
    return {
        "shown": say.word(shown),
        "told": "" if told is None else say.word(told),
        "phase": "" if search is None else search.phase,
        "number": 0 if search is None else search.number,
        "going_on": going_on,
        "share": 0.0 if search is None else min(search.spent / search.seconds, 1.0),
        "facts": _facts(visit, now, search if going_on else None),
        "open": uses.searches is not None and not now.proven,
        "minutes": _MINUTES,
        "fresh": alone and search is not None and search.current,
    }


def _is_issued(programme: Programme, issued: IssuedPlan) -> bool:
    """Return whether a programme has the dates of the one that was issued."""
    # The text also holds what is waited for.
    was = {} if issued.programme is None else issued.programme.begins
    return all(was.get(one.id) == f"{one.begin:%Y-%m-%dT%H:%M}" for one in programme.activities)


def _seen(programme: Programme) -> Sighting:
    """Return what a search would tell of a programme."""
    costs = [one.charge for one in programme.permits if one.overrun and one.charge is not None]
    return Sighting(
        shifts=programme.shifts,
        bound=programme.bound,
        because=programme.because,
        overrun=sum(one.overrun for one in programme.permits),
        charge=sum(costs) if costs else None,
        gap=programme.gap,
        proven=programme.proven,
        weight=0,
    )


def _told(search: Search, visit: Visit, *, as_issued: bool) -> Message | None:
    """Return where the search stands, or how it ended."""
    say = visit.reader.say
    if search.going_on and search.stopping:
        return message("The search was asked to end, and does so at its next step.")
    if search.phase in _STANDING:
        return _STANDING[search.phase]
    if search.phase == "failed":
        return message("The search failed: {why}", why=search.failed)
    if not search.current:
        return None if as_issued else message("The job or its records changed since the last search: what it found is not shown any more.")
    return _found(search, say)


def _found(search: Search, say: Wording) -> Message:
    first, best = search.first, search.best
    if search.phase == "same" or first is None or best is None:
        return message("The search found nothing better in {time}.", time=_time(say, search.spent))
    return message(
        "The search found a better programme: {after} {after:shift/shifts} instead of {before}.",
        after=say.number(best.shifts, 1),
        before=say.number(first.shifts, 1),
    )


def _facts(visit: Visit, now: Sighting, search: Search | None) -> list[tuple[str, str]]:
    """Return length, overruns, bound and gap of the best so far, and the time of a search that goes on."""
    say = visit.reader.say
    money = f" · {say.number(now.charge, 0)} {visit.job.info.currency}".rstrip() if now.charge else ""
    far = say.text("proven: nothing better exists") if now.proven else f"{say.number(100.0 * now.gap, 1)} %"
    found = [
        (say.text("Length now"), say.word(message("{n} {n:shift/shifts}", n=say.number(now.shifts, 1)))),
        (say.text("Overruns of permits now"), f"{say.word(message('{n} {n:day/days}', n=now.overrun))}{money}"),
        (
            say.text("None can be under"),
            f"{say.word(message('{n} {n:shift/shifts}', n=say.number(now.bound, 1)))} ({say.code(now.because)})",
        ),
        (say.text("At most from the best"), far),
    ]
    if search is not None:
        found.append((say.text("Time"), f"{_time(say, search.spent)} / {_time(say, search.seconds)}"))
    return found


def _time(say: Wording, seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{say.number(float(minutes), 0)}\u00a0min {rest:02d}\u00a0s" if minutes else f"{rest}\u00a0s"
