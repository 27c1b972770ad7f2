"""The list of jobs in words: how far each is, what is due next, and which of them somebody looks for."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

from mainwright.web.pages import Part
from mainwright.words.message import Quantity, message

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from mainwright.words.message import Message
    from mainwright.words.wording import Wording
    from mainwright.workflow.board import Due, JobCard, Phase

__all__ = ["PHASES", "SORTS", "jobs_view"]

PHASES: Final[Mapping[Phase, tuple[Message, str]]] = {
    "unread": (message("being read"), ""),
    "survey": (message("Survey: faults to mend"), "bad"),
    "planning": (message("Planning"), ""),
    "issued": (message("Plan issued"), "good"),
    "lining": (message("Lining and proof"), "watch"),
    "returned": (message("Given back"), "good"),
}
"""How far a job is in words, with the state of its sign."""

SORTS: Final[Mapping[str, Message]] = {
    "due": message("what is due first"),
    "name": message("name"),
    "changed": message("changed last"),
}
"""The orders of the list."""

_TEXTS: Final[Mapping[str, tuple[Message, str]]] = {
    "first_day": (message("A first day is to be set: without one there is no programme."), "survey?table=job#editor"),
    "letters": (message("Letters to the customers are due by {day}."), "documents"),
    "begin": (message("The work begins on {day}."), "programme"),
    "begun": (message("The work was to begin on {day}; no run is on record."), "programme"),
    "letters_over": (message("Letters to the customers were due by {day}."), "documents"),
    "permit_begins": (message("Permit {what} begins on {day}."), "programme"),
    "permit_ends": (message("Permit {what} ends on {day}."), "programme"),
    "permit_over": (message("Permit {what} ended on {day}."), "programme"),
    "thickness": (message("Lined, and no thickness on record: {n} {n:run/runs}."), "proof"),
    "curing": (message("Lined, and no reading of the curing on record: {n} {n:run/runs}."), "proof"),
    "signature": (message("Lined and not accepted by signature: {n} {n:run/runs}."), "proof"),
    "water": (message("The water is to be accepted."), "water"),
}
_GONE: Final = {"begin": "begun", "letters": "letters_over"}


def jobs_view(cards: Sequence[JobCard], asked: Mapping[str, str], today: date, say: Wording) -> dict[str, Any]:
    """Return what the list shows.

    Parameters
    ----------
    cards : sequence of JobCard
        All jobs. [-]
    asked : mapping of str to str
        ``q`` looks in names, references and clients; ``phase`` keeps one phase, ``sort`` is one of `SORTS`, ``away`` shows what was put away. [-]
    today : date
        By which days are past. [-]
    say : Wording
        How the reader reads. [-]

    Returns
    -------
    dict
        Answer, rows, how many of each phase, and what was asked.
    """
    away, text, phase = asked.get("away") == "yes", asked.get("q", "").strip()[:80], asked.get("phase", "")
    here = [one for one in cards if one.archived == away]
    sort = asked["sort"] if asked.get("sort") in SORTS else "due"
    wanted = [one for one in here if _fits(one, text) and phase in ("", one.phase)]
    rows = [Part("jobs_row.html", one, today, partial(_row, one, today, say)) for one in sorted(wanted, key=lambda one: _order(one, sort))]
    counts = [(name, say.word(head), sum(one.phase == name for one in here)) for name, (head, _) in PHASES.items()]
    return {
        "answer": _answer(here, today, say, away=away),
        "rows": rows,
        "counts": [one for one in counts if one[2]],
        "sorts": [(name, say.word(head)) for name, head in SORTS.items()],
        "asked": {"q": text, "phase": phase, "sort": sort, "away": away},
        "any": bool(cards),
        "there": len(here),
        "away_count": sum(one.archived for one in cards),
        "unread": any(one.phase == "unread" for one in here),
    }


def _answer(here: Sequence[JobCard], today: date, say: Wording, *, away: bool) -> list[str]:
    length = sum(one.job.main[-1].end - one.job.main[0].start for one in here if one.job is not None)
    size = Quantity(length, "m", 0)
    if away:
        first = message("{n} {n:job is put away. Nothing of it/jobs are put away. Nothing of them} is lost.", n=len(here))
    else:
        first = message("{n} {n:job is/jobs are} open, {length} of main.", n=len(here), length=size)
    said = [say.word(first)]
    late = sum(any(_is_late(due, today) for due in one.due) for one in here)
    if late and not away:
        said.append(say.word(message("In {n} of them a day has passed on which something was due.", n=late)))
    return said


def _is_late(due: Due, today: date) -> bool:
    return due.kind == "permit_over" or (due.kind in _GONE and due.day is not None and due.day < today)


def _fits(card: JobCard, text: str) -> bool:
    client = "" if card.job is None else card.job.info.client or ""
    there = f"{card.revision.name} {card.revision.job} {client}".casefold()
    return all(part in there for part in text.casefold().split())


def _order(card: JobCard, sort: str) -> tuple[object, ...]:
    name = (card.revision.name or card.revision.job).casefold()
    if sort == "changed":
        return (-card.revision.time.timestamp(), name)
    if sort == "name":
        return (name,)
    first = card.due[0] if card.due else None
    if first is None:
        return (2, 0, name)
    return (0, 0, name) if first.day is None else (1, first.day.toordinal(), name)


def _row(card: JobCard, today: date, say: Wording) -> dict[str, object]:
    job, (phase, state) = card.job, PHASES[card.phase]
    facts = [card.revision.job]
    if job is not None:
        facts += [one for one in (job.info.client, say.quantity(job.main[-1].end - job.main[0].start, "m", 0)) if one]
    facts.append(say.word(message("revision {n} of {day}", n=card.revision.number, day=card.revision.time.date())))
    if card.runs_lined:
        facts.append(
            say.word(message("{n} {n:run/runs} lined", n=card.runs_lined))
            if card.runs is None
            else say.word(message("{n} of {all} {all:run/runs} lined", n=card.runs_lined, all=card.runs))
        )
    return {
        "name": card.name,
        "title": card.revision.name or card.revision.job,
        "href": f"/jobs/{card.name}/{'survey' if card.phase in ('survey', 'unread') else 'lining'}",
        "facts": " · ".join(facts),
        "phase": say.word(phase),
        "state": state,
        "due": [_due(one, card.name, today, say) for one in card.due[:3]],
        "more": max(0, len(card.due) - 3),
        "known": card.phase != "unread",
    }


def _due(due: Due, name: str, today: date, say: Wording) -> dict[str, object]:
    late = _is_late(due, today)
    if due.kind == "faults":
        text, place = message("{n} {n:fault/faults}", n=due.count), "survey"
    else:
        plain, place = _TEXTS[_GONE.get(due.kind, due.kind) if late else due.kind]
        values: dict[str, str | int | date] = {}
        if due.day is not None:
            values["day"] = due.day
        if "{what}" in plain.text:
            values["what"] = due.what
        if "{n}" in plain.text:
            values["n"] = due.count
        text = message(plain.text, **values)
    return {"text": say.word(text), "href": f"/jobs/{name}/{place}", "late": late or due.kind == "faults"}
