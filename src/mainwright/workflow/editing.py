"""The tables of a job as cells that a person types: text in, faults at their cells out, and nothing that was typed is lost."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from mainwright.job.columns import TABLES
from mainwright.job.document import Document, check_document
from mainwright.job.faults import Fault
from mainwright.job.table import cell_text, read_cell
from mainwright.words.message import Message

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.job.column import Column, Plain, Table
    from mainwright.job.faults import Row, Rows

__all__ = ["MOST_CELLS", "Cells", "cells_of", "check_cells", "columns_of", "with_cells"]

MOST_CELLS: Final = 500_000
"""Cells of one table that are taken."""

_TYPED: Final = frozenset({"number", "integer", "yes_no", "choices", "points"})


@dataclass(frozen=True, slots=True)
class Cells:
    """A table as text: names of its columns, and a text for each cell."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def columns_of(table: Table) -> tuple[Column, ...]:
    """Return the columns that are typed: those that hold a table of their own stand apart."""
    return tuple(column for column in table.columns if column.kind != "rows")


def cells_of(document: Document, name: str, *, most: int | None = None) -> Cells:
    """Return a table of a document as text.

    Parameters
    ----------
    document : Document
        Whole or faulty. [-]
    name : str
        Short name of the table. [-]
    most : int, optional
        How many rows are wanted, from the first one; all where not given. [-]

    Returns
    -------
    Cells
        Every known column in the order of the dictionary, then the unknown ones that are filled.
    """
    table = TABLES[name]
    rows = document.rows(name)
    known = [column.name for column in columns_of(table)]
    apart = {column.name for column in table.columns} - set(known)
    more = sorted({one for row in rows for one in row} - set(known) - apart)
    header = (*known, *more)
    return Cells(header, tuple(tuple(_text(row.get(one)) for one in header) for row in rows[:most]))


def _text(value: Plain) -> str:
    if isinstance(value, list):
        if all(isinstance(one, str) for one in value):
            return ", ".join(str(one) for one in value)
        return json.dumps(value)
    return cell_text(value)


def _typed(column: Column, text: str) -> Plain | Message:
    """Return what a cell says, or what is wrong with it; a decimal comma is read as one."""
    if not text:
        return None
    if column.kind == "choices":
        return [part.strip() for part in text.split(",") if part.strip()]
    if column.kind == "points":
        try:
            found = json.loads(text)
        except (ValueError, RecursionError):
            return text
        return found if isinstance(found, list) else text
    return read_cell(column, text, decimal_comma=True)


def with_cells(document: Document, changed: Mapping[str, Cells]) -> Document:
    """Return a document with other cells in some of its tables; what cannot be read stays in it as it was typed.

    Parameters
    ----------
    document : Document
        What it was. [-]
    changed : mapping
        Cells by short name of the table; rows without any cell are left out. [-]

    Returns
    -------
    Document
        Whole or faulty: `check_cells` says which.
    """
    tables = dict(document.tables)
    headers = dict(document.headers)
    for name, cells in changed.items():
        table = TABLES[name]
        columns = [table.column(one) for one in cells.header]
        rows: Rows = []
        for given in cells.rows:
            row: Row = {}
            for label, column, cell in zip(cells.header, columns, given, strict=False):
                text = " ".join(cell.split()) if column is None or column.kind != "text" else cell.strip()
                if not text or not label:
                    continue
                value = text if column is None else _typed(column, text)
                row[label] = text if isinstance(value, Message) else value
            if row:
                rows.append(row)
        if rows:
            tables[name] = rows[:1] if table.shape == "single" else rows
        else:
            tables.pop(name, None)
        # The columns of the file are then those that are filled.
        headers.pop(name, None)
    order = {name: place for place, name in enumerate(TABLES)}
    return Document(
        {name: tables[name] for name in sorted(tables, key=lambda one: order[one])}, document.alignment, document.extra, headers
    )


def check_cells(document: Document) -> tuple[Fault, ...]:
    """Return everything that is wrong with a document or looks wrong, each at its cell.

    Parameters
    ----------
    document : Document
        As `with_cells` makes it, or as it was kept. [-]

    Returns
    -------
    tuple of Fault
        Faults and warnings in the order of the dictionary.
    """
    found: list[Fault] = []
    broken: set[tuple[str, int, str]] = set()
    tables: dict[str, Rows] = {}
    for name, rows in document.tables.items():
        table = TABLES[name]
        columns = {column.name: column for column in columns_of(table)}
        sound: Rows = []
        for place, row in enumerate(rows):
            good: Row = {}
            for label, value in row.items():
                column = columns.get(label)
                read = _typed(column, value) if column is not None and isinstance(value, str) and column.kind in _TYPED else value
                if isinstance(read, Message):
                    broken.add((name, place, label))
                    found.append(Fault(name, None if table.shape == "single" else place, label, read))
                else:
                    good[label] = read
            sound.append(good)
        tables[name] = sound
    found += check_document(Document(tables, document.alignment, document.extra, document.headers), broken=broken)
    order = {name: place for place, name in enumerate(TABLES)}
    return tuple(sorted(found, key=lambda fault: (order.get(fault.table, -1), -1 if fault.row is None else fault.row)))
