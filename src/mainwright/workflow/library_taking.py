"""Taking an entry of the library into a job: its values, and where they come from, as the job's next revision."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from mainwright.job.columns import TABLES
from mainwright.job.document import Document
from mainwright.job.origins import ROW_KEYS, marks_of, name_of_row
from mainwright.words.message import Message, message
from mainwright.workflow.library_parts import KINDS, keys_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.job.faults import Row, Rows
    from mainwright.workflow.library_entry import Entry, EntryRevision
    from mainwright.workflow.library_parts import Kind

__all__ = ["HOW", "How", "refusal", "taken_into"]

How = Literal["replace", "merge"]

HOW: Final[Mapping[Kind, How]] = {"specification": "replace", "plant": "replace", "prices": "merge"}
"""What is usual: a document and a set of plant stand as a whole, a price list leaves the job's own items."""

_WITHIN: Final = {"by_dn": "lining", "classes": "measurement"}
"""Tables that say nothing without another one: where that is replaced and they are not given, they go."""


def refusal(document: Document, entry: Entry, revision: EntryRevision) -> Message | None:
    """Return why an entry can not be taken into a job; None where it can.

    Parameters
    ----------
    document : Document
        The job. [-]
    entry : Entry
        What is to be taken. [-]
    revision : EntryRevision
        Which of its revisions. [-]

    Returns
    -------
    Message or None
        What is in the way, and what would be right.
    """
    if entry.withdrawn:
        return message("{name} was withdrawn: another entry, or a further revision of this one, is right.", name=revision.facts.name)
    info = document.rows("job")[0] if document.rows("job") else {}
    currency = str(info.get("currency") or "")
    if revision.facts.currency and not currency:
        return message(
            "The job does not say its currency: give it in the table job first, for the entry is in {entry}.", entry=revision.facts.currency
        )
    if revision.facts.currency and revision.facts.currency != currency:
        text = "The entry is in {entry} and the job in {job}: prices are not converted here, an entry in {job} is right."
        return message(text, entry=revision.facts.currency, job=currency)
    return None


def taken_into(document: Document, entry: Entry, revision: EntryRevision, *, how: How) -> Document:
    """Return a job with the values of an entry, and an origin for each of them.

    Parameters
    ----------
    document : Document
        The job as it was. [-]
    entry : Entry
        What is taken. [-]
    revision : EntryRevision
        Which of its revisions. [-]
    how : str
        ``replace``: its tables stand in place of the job's. ``merge``: rows and keys of the same name are replaced, the job's others stay. [-]

    Returns
    -------
    Document
        Tables that the entry does not hold, and what is of one job alone, are as they were.
    """
    tables: dict[str, Rows] = {name: [dict(row) for row in rows] for name, rows in document.tables.items()}
    given = revision.tables
    gone = [inner for inner, outer in _WITHIN.items() if how == "replace" and outer in given and inner not in given]
    for name in KINDS[entry.kind]:
        if name in given:
            own = tables.get(name, [])
            tables[name] = _single(name, own, given[name], how) if TABLES[name].shape == "single" else _rows(name, own, given[name], how)
        elif name in gone:
            tables.pop(name, None)
    marks, new = marks_of(tables), marks_of(given)
    tables["origins"] = [
        *(row for row in tables.get("origins", []) if (key := _dotted(row)) in marks and key not in new and not _replaced(row, given, how)),
        *(_origin(name, marks[name], revision) for name in new),
    ]
    order = {name: place for place, name in enumerate(TABLES)}
    headers = {name: names for name, names in document.headers.items() if name not in given and name != "origins"}
    return Document(
        {name: tables[name] for name in sorted(tables, key=lambda one: order[one])}, document.alignment, document.extra, headers
    )


def _single(name: str, own: Rows, given: Rows, how: How) -> Rows:
    row = dict(own[0]) if own else {}
    if how == "replace":
        return [_row(name, row, given[0])]
    return [row | given[0]]


def _rows(name: str, own: Rows, given: Rows, how: How) -> Rows:
    """Return the rows of a table; what is of this job alone, as the days of a crew, stays where the row has the same name."""
    there = {name_of_row(name, row): row for row in reversed(own)}
    new = [_row(name, there.get(name_of_row(name, row), {}), row) for row in given]
    if how == "replace":
        return new
    named = {name_of_row(name, row): row for row in new}
    found = [named.pop(key) if (key := name_of_row(name, row)) in named else row for row in own]
    return [*found, *named.values()]


def _row(name: str, own: Row, given: Row) -> Row:
    return {key: value for key, value in own.items() if key not in keys_of(name)} | given


def _dotted(row: Row) -> str:
    return f"{row.get('table')}.{row.get('name')}"


def _replaced(row: Row, given: Mapping[str, Rows], how: How) -> bool:
    """Return whether an origin was of a table that now stands as the entry has it."""
    return (
        how == "replace"
        and row.get("table") in given
        and (row.get("table") in ROW_KEYS or row.get("name") in keys_of(str(row.get("table"))))
    )


def _origin(dotted: str, mark: str, revision: EntryRevision) -> Row:
    table, _, name = dotted.partition(".")
    facts = revision.facts
    row: Row = {
        "table": table,
        "name": name,
        "entry": facts.name,
        "revision": revision.number,
        "day": None if facts.day is None else facts.day.isoformat(),
        "status": facts.status,
        "author": revision.author,
        "origin": facts.origin,
        "mark": mark,
    }
    return {key: value for key, value in row.items() if value not in (None, "")}
