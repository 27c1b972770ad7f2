"""The library: clients' specifications, plant and prices that are kept across jobs, each entry with all its revisions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, Literal, Protocol, cast, get_args

from mainwright.errors import Conflict, NotFound
from mainwright.job.columns import TABLES
from mainwright.job.document import Document
from mainwright.words.message import Message, message
from mainwright.workflow.editing import check_cells
from mainwright.workflow.store_ports import KeptRecord, NewRecord

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.job.faults import Fault, Row, Rows

__all__ = [
    "KINDS",
    "STATUSES",
    "Entry",
    "EntryRevision",
    "Facts",
    "Kind",
    "Library",
    "LibraryFiles",
    "LibraryShelf",
    "ReadEntry",
    "Tables",
    "check_part",
    "keys_of",
    "part_of",
    "step_of",
    "wrong_facts",
]

Kind = Literal["specification", "plant", "prices"]
Tables = dict[str, "Rows"]

KINDS: Final[Mapping[Kind, tuple[str, ...]]] = MappingProxyType(
    {
        "specification": ("lining", "by_dn", "acceptance", "curing", "test", "giving_back", "measurement", "classes", "payment"),
        "plant": ("pump", "hose", "lining_head", "rope", "mixer", "supply_pipe", "crew", "mortar_flow", "crews", "outputs"),
        "prices": ("prices",),
    }
)
"""Tables that an entry of each kind may hold."""

STATUSES: Final = ("read", "secondary", "memory", "practice", "derived")
"""How the values of an entry were come by."""

_ONLY: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "lining": frozenset(
            {
                "governing_document", "nominal_mm", "minimum_mm", "mean_minimum_mm", "maximum_mm", "single_coat_max_mm", "crack_limit_mm", "finish",
            }
        ),
        "test": frozenset({"rule"}),
    }
)  # fmt: skip
"""Keys that belong to a client's document: the others of the table are of one pipe, or of how this contractor works."""

_NOT: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "giving_back": frozenset(
            {
                "test_loss_l", "fill_flow_l_s", "flush_flow_max_l_s", "discharge_to", "product_pct", "product_age_days", "product_halving_days",
                "night_flow_pct", "quick_return_hours", "quick_return_signed", "cement",
            }
        ),
        "crews": frozenset({"first_day", "last_day"}),
    }
)  # fmt: skip
"""Columns that are of one job."""

_ARCHIVE: Final = "entries"
_CURRENCY: Final = re.compile(r"[A-Z]{3}")
_NEVER: Final = datetime.min.replace(tzinfo=UTC)
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


@dataclass(frozen=True, slots=True)
class ReadEntry:
    """What the files of an entry say.

    Attributes
    ----------
    tables
        The values.
    faults
        What is wrong: file, line, column and what would be right.
    told
        What was left aside.
    """

    tables: Tables
    faults: tuple[tuple[str, int, str, Message], ...] = ()
    told: tuple[Message, ...] = ()


class LibraryFiles(Protocol):
    """The values of an entry as files, in the formats of a job folder."""

    def read(self, kind: Kind, files: Mapping[str, bytes]) -> ReadEntry:
        """Return what files say, with everything that is wrong at once."""
        ...

    def write(self, kind: Kind, tables: Tables) -> Mapping[str, bytes]:
        """Return the files that say it, by name: reading them gives the same tables, and writing those the same bytes."""
        ...


class LibraryShelf(Protocol):
    """Where a library lies."""

    def library(self, name: str) -> Sequence[KeptRecord]:
        """Return everything that was ever kept in it."""
        ...

    def add_to_library(self, name: str, new: Sequence[NewRecord], *, author: str) -> None:
        """Keep something in it."""
        ...


class Library:
    """The entries on a shelf.

    Parameters
    ----------
    shelf : LibraryShelf
        Where they lie. [-]
    """

    def __init__(self, shelf: LibraryShelf) -> None:
        self._shelf = shelf

    def entries(self) -> tuple[Entry, ...]:
        """Return every entry, those that were withdrawn too, in the order in which they were first kept."""
        steps: dict[str, list[EntryRevision]] = {}
        kinds: dict[str, Kind] = {}
        places: dict[str, int] = {}
        names: dict[int, str] = {}
        for one in self._shelf.library(_ARCHIVE):
            name = names[one.corrects] if one.row is None and one.corrects in names else str((one.row or {}).get("entry", ""))
            names[one.place] = name
            kinds.setdefault(name, cast("Kind", one.kind))
            history = steps.setdefault(name, [])
            history.append(_step(one, len(history) + 1, history[-1].facts if history else None))
            places[name] = one.place
        return tuple(Entry(name, kinds[name], tuple(history), places[name]) for name, history in steps.items())

    def entry(self, name: str) -> Entry | None:
        """Return an entry by its id."""
        return next((one for one in self.entries() if one.id == name), None)

    def keep(self, kind: Kind, facts: Facts, tables: Tables, *, author: str, entry: str | None = None, base: int | None = None) -> str:
        """Keep values as a new entry, or as a further revision of one; return its id.

        Parameters
        ----------
        kind : str
            A key of `KINDS`. [-]
        facts : Facts
            What it says of itself. [-]
        tables : dict
            Its values. [-]
        author : str
            Who keeps it. [-]
        entry : str, optional
            Id of the entry of which it is a further revision. [-]
        base : int, optional
            Number of the revision that was changed. [-]

        Returns
        -------
        str
            Id of the entry.

        Raises
        ------
        NotFound
            If there is no such entry.
        Conflict
            If somebody kept a revision of it meanwhile.
        """
        there = {one.id: one for one in self.entries()}
        if entry is None:
            name, corrects = _id_of(facts.name, there), None
        elif entry not in there:
            raise NotFound(f"The library has no entry {entry}.")
        elif base is not None and base != there[entry].history[-1].number:
            raise Conflict(f"A revision of {entry} was kept meanwhile.")
        else:
            name, corrects = entry, there[entry].last_place
        row = step_of(EntryRevision(0, facts, tables, "", _NEVER)) | {"entry": name}
        self._shelf.add_to_library(_ARCHIVE, [NewRecord(kind, row, corrects=corrects)], author=author)
        return name

    def withdraw(self, entry: str, *, author: str) -> None:
        """Say that nobody should take an entry any more; it stays, with its history. A further revision takes that back.

        Raises
        ------
        NotFound
            If there is no such entry.
        """
        found = self.entry(entry)
        if found is None:
            raise NotFound(f"The library has no entry {entry}.")
        if not found.withdrawn:
            self._shelf.add_to_library(_ARCHIVE, [NewRecord(found.kind, None, corrects=found.last_place)], author=author)

    def take_in(self, entry: Entry, *, author: str) -> int:
        """Take an entry of another library in, with its history; return how many of its revisions were not here.

        Parameters
        ----------
        entry : Entry
            As it is there. [-]
        author : str
            Who takes it in. [-]

        Returns
        -------
        int
            None is taken twice. Where the entry went another way here, the other's stands beside it under another id.
        """
        wanted = [step_of(one) | _when(one) for one in entry.history]
        there = {one.id: one for one in self.entries()}
        name, known = _id_of(entry.latest.facts.name, there), 0
        for one in there.values():
            had = [step_of(step) | _when(step) for step in one.history]
            if one.kind == entry.kind and had[: len(wanted)] == wanted[: len(had)]:
                name, known = one.id, min(len(had), len(wanted))
                break
        place = there[name].last_place if name in there else None
        new = [NewRecord(entry.kind, {"entry": name, **step}, corrects=None if at else place) for at, step in enumerate(wanted[known:])]
        if new:
            self._shelf.add_to_library(_ARCHIVE, new, author=author)
        return len(wanted) - known


def keys_of(table: str) -> tuple[str, ...]:
    """Return the columns of a table that an entry of the library may hold.

    Examples
    --------
    >>> keys_of("crews")
    ('crew', 'skill', 'count')
    """
    only, never = _ONLY.get(table), _NOT.get(table, frozenset())
    return tuple(
        column.name
        for column in TABLES[table].columns
        if column.kind != "rows" and column.name not in never and (only is None or column.name in only)
    )


def part_of(kind: Kind, tables: Mapping[str, Rows]) -> tuple[Tables, tuple[str, ...]]:
    """Return what of some tables an entry may hold, and the names of what it may not.

    Parameters
    ----------
    kind : str
        A key of `KINDS`. [-]
    tables : mapping
        Rows by short name of the table, as of a job. [-]

    Returns
    -------
    tuple
        Tables of that kind; dotted names of filled keys that are of one job, or not known.
    """
    found: Tables = {}
    aside: list[str] = []
    for name in KINDS[kind]:
        allowed = set(keys_of(name))
        rows: Rows = []
        for row in tables.get(name, []):
            kept: Row = {key: value for key, value in row.items() if key in allowed and value not in (None, "")}
            aside += [f"{name}.{key}" for key, value in row.items() if key not in allowed and value not in (None, "")]
            if kept:
                rows.append(kept)
        if rows:
            found[name] = rows
    return found, tuple(dict.fromkeys(aside))


def check_part(kind: Kind, tables: Tables) -> tuple[Fault, ...]:
    """Return everything that is wrong with the values of an entry, each at its cell.

    Parameters
    ----------
    kind : str
        A key of `KINDS`. [-]
    tables : dict
        Its values. [-]

    Returns
    -------
    tuple of Fault
        As of a job, of these tables only.
    """
    found = check_cells(Document(dict(tables)))
    return tuple(one for one in found if one.severity == "fault" and one.table in KINDS[kind])


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


def _when(step: EntryRevision) -> dict[str, str]:
    return {"author": step.author, "time": step.time.isoformat()}


def _step(record: KeptRecord, number: int, before: Facts | None) -> EntryRevision:
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


def _id_of(name: str, taken: Mapping[str, object]) -> str:
    """Return an id that can stand in an address, and that no entry has."""
    found = plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "entry"
    count = 1
    while found in taken:
        count += 1
        found = f"{plain}-{count}"
    return found


assert get_args(Kind) == tuple(KINDS)  # noqa: S101 - the two lists are one
