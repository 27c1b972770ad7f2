"""One entry of the library: what it says of itself, its revisions, and how each is kept."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Final

from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.workflow.library_parts import Kind, Tables
    from mainwright.workflow.store_ports import KeptRecord

__all__ = ["STATUSES", "Entry", "EntryRevision", "Facts", "revision_of", "step_of", "when_of", "wrong_facts"]

STATUSES: Final = ("read", "secondary", "memory", "practice", "derived")
"""How the values of an entry were come by."""

_CURRENCY: Final = re.compile(r"[A-Z]{3}")
_LONGEST: Final = 200
_LONGEST_NOTE: Final = 1000


@dataclass(frozen=True, slots=True)
class Facts:
    """What an entry says of itself.

    Attributes
    ----------
    name
        By which people know it.
    day
        Of which its values are.
    status
        How they were come by.
    origin
        Where they are from: a document with its edition, a quotation, a job.
    currency
        Of the money in it; empty where there is none.
    note
        Remark.
    """

    name: str
    day: date | None
    status: str
    origin: str
    currency: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class EntryRevision:
    """One step in the history of an entry: its values, or that it was withdrawn.

    Attributes
    ----------
    number
        From 1.
    facts, tables
        What it says, and its values in the units of the files; nothing where it was withdrawn.
    author, time
        Who kept it, and when.
    withdrawn
        Whether this step withdrew it.
    taken_in_by, taken_in
        Who took it in from another library, and when; nothing where it was made here.
    """

    number: int
    facts: Facts
    tables: Tables
    author: str
    time: datetime
    withdrawn: bool = False
    taken_in_by: str = ""
    taken_in: datetime | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing of the library, with all its revisions, the first one first."""

    id: str
    kind: Kind
    history: tuple[EntryRevision, ...]
    last_place: int

    @property
    def latest(self) -> EntryRevision:
        """The last revision that says something."""
        return next(one for one in reversed(self.history) if not one.withdrawn)

    @property
    def withdrawn(self) -> bool:
        """Whether nobody should take it any more."""
        return self.history[-1].withdrawn

    def revision(self, number: int | None) -> EntryRevision | None:
        """Return a revision by its number, the latest without one; None where there is none that says something."""
        if number is None:
            return self.latest
        return next((one for one in self.history if one.number == number and not one.withdrawn), None)


def wrong_facts(kind: Kind, facts: Facts, tables: Tables) -> dict[str, Message]:
    """Return by its field what is wrong with what an entry says of itself, all at once.

    Parameters
    ----------
    kind : str
        A key of `KINDS`. [-]
    facts : Facts
        What it says. [-]
    tables : dict
        Its values. [-]

    Returns
    -------
    dict of str to Message
        Empty where nothing is.
    """
    wrong: dict[str, Message] = {}
    if not facts.name:
        wrong["name"] = message("It has no name: people look for it by one.")
    for field, most in (("name", _LONGEST), ("origin", _LONGEST), ("note", _LONGEST_NOTE)):
        text = str(getattr(facts, field))
        if len(text) > most or not text.replace("\n", " ").replace("\r", " ").isprintable():
            wrong[field] = message("At most {most} plain characters are right.", most=most)
    if facts.day is None:
        wrong["day"] = message("It says no day, or none of the calendar: the day of which its values are is right.")
    if facts.status not in STATUSES:
        wrong["status"] = message("It does not say how the values were come by: one of the list is right.")
    if not facts.origin:
        wrong["origin"] = message("It does not say where the values are from: a document with its edition, a quotation, a job.")
    priced = kind == "prices" or any(row.get("price_m") not in (None, "") for row in tables.get("supply_pipe", []))
    if (priced or facts.currency) and not _CURRENCY.fullmatch(facts.currency):
        wrong["currency"] = message("Money needs its currency: three capitals are right, as EUR.")
    return wrong


def step_of(step: EntryRevision) -> dict[str, Any]:
    """Return what a revision says, as plain data."""
    if step.withdrawn:
        return {"withdrawn": True}
    facts = step.facts
    return {
        "name": facts.name,
        "day": "" if facts.day is None else facts.day.isoformat(),
        "status": facts.status,
        "origin": facts.origin,
        "currency": facts.currency,
        "note": facts.note,
        "tables": {name: [dict(row) for row in rows] for name, rows in step.tables.items()},
    }


def when_of(step: EntryRevision) -> dict[str, str]:
    """Return who kept a revision and when, as plain data."""
    return {"author": step.author, "time": step.time.isoformat()}


def revision_of(record: KeptRecord, number: int, before: Facts | None) -> EntryRevision:
    """Return what a record of the library says.

    Parameters
    ----------
    record : KeptRecord
        As it was kept. [-]
    number : int
        Of the revision that it is. [-]
    before : Facts or None
        What the entry said of itself before; None for the first. [-]

    Returns
    -------
    EntryRevision
        Values, or that the entry was withdrawn.
    """
    row: Mapping[str, Any] = record.row or {"withdrawn": True}
    carried = "time" in row
    author = str(row.get("author", "")) if carried else record.author
    time = datetime.fromisoformat(row["time"]) if carried else record.time
    brought = (record.author, record.time) if carried else ("", None)
    if row.get("withdrawn"):
        return EntryRevision(number, before or Facts("", None, "", ""), {}, author, time, True, *brought)
    facts = Facts(
        str(row["name"]), date.fromisoformat(row["day"]), str(row["status"]), str(row["origin"]), str(row["currency"]), str(row["note"])
    )
    return EntryRevision(number, facts, dict(row["tables"]), author, time, False, *brought)
