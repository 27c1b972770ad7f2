"""Two revisions of a job beside each other, cell by cell."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mainwright.job.columns import TABLES
from mainwright.workflow.editing import cells_of

if TYPE_CHECKING:
    from mainwright.job.column import Table
    from mainwright.job.document import Document

__all__ = ["Change", "compare_documents"]


@dataclass(frozen=True, slots=True)
class Change:
    """One cell, or one whole row, that differs.

    Attributes
    ----------
    table
        Short name of the table.
    where
        What tells the row from others: its chainage or its name; empty where the table is one set of keys.
    column
        The cell's; empty where the whole row came or went.
    before, after
        What stood there and what stands there, as it is typed; empty for nothing.
    """

    table: str
    where: str
    column: str
    before: str
    after: str


def compare_documents(before: Document, after: Document) -> tuple[Change, ...]:
    """Return everything in which two revisions differ.

    Parameters
    ----------
    before, after : Document
        The revisions. [-]

    Returns
    -------
    tuple of Change
        By table in the order of the dictionary, then in the order of the rows.

    Notes
    -----
    Rows are the same where their chainage or name is, several of one key in their order. So a row that was put in between changes no other.
    """
    found: list[Change] = []
    for name, table in TABLES.items():
        old, new = _keyed(before, name, table), _keyed(after, name, table)
        for key in [*new, *(one for one in old if one not in new)]:
            was, now = old.get(key), new.get(key)
            where = "" if table.shape == "single" else key[0]
            if was is None or now is None:
                found.append(Change(name, where, "", _row(was), _row(now)))
                continue
            found += [
                Change(name, where, column, was.get(column, ""), now.get(column, ""))
                for column in dict.fromkeys([*was, *now])
                if was.get(column, "") != now.get(column, "")
            ]
    if before.alignment != after.alignment:
        found.append(Change("alignment", "", "", _points(before), _points(after)))
    return tuple(found)


def _points(document: Document) -> str:
    return "" if not document.alignment else f"{len(document.alignment['points'])} points"


def _row(row: dict[str, str] | None) -> str:
    return "" if row is None else ", ".join(f"{name} {value}" for name, value in row.items())


def _keyed(document: Document, name: str, table: Table) -> dict[tuple[str, int], dict[str, str]]:
    cells = cells_of(document, name)
    keys = table.order or tuple(one for one in ("name", "item", "ref", "day", "activity") if table.column(one))[:1]
    count: dict[str, int] = defaultdict(int)
    found: dict[tuple[str, int], dict[str, str]] = {}
    for row in cells.rows:
        held = {label: cell for label, cell in zip(cells.header, row, strict=True) if cell}
        key = "" if table.shape == "single" else " ".join(held.get(one, "") for one in keys)
        found[key, count[key]] = held
        count[key] += 1
    return found
