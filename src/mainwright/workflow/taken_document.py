"""What was taken in as the document of a job, ready to be written as a folder."""

from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any, Final

from mainwright.job.column import Plain, Table
from mainwright.job.document import Document
from mainwright.workflow.taking_in import TakenIn

__all__ = ["document_of", "section_names"]

_ALIGNMENT: Final = "alignment.geojson"


def section_names(tables: Mapping[str, Table]) -> tuple[str, ...]:
    """Return the names of the TOML tables of a job, each once.

    Parameters
    ----------
    tables : mapping
        All our tables by their names. [-]

    Returns
    -------
    tuple of str
        First parts of their paths, in canonical order.
    """
    return tuple(dict.fromkeys(table.path.split(".")[0] for table in tables.values() if table.is_toml))


def document_of(taken: TakenIn, *, tables: Mapping[str, Table]) -> Document:
    """Return the document of a job that was taken in; what it still lacks is left to be told by a check.

    Parameters
    ----------
    taken : TakenIn
        Rows, sections and line. [-]
    tables : mapping
        All our tables by their names. [-]

    Returns
    -------
    Document
        Its tables in canonical order.
    """
    found: dict[str, list[dict[str, Plain]]] = {}
    headers: dict[str, tuple[str, ...]] = {}
    for name, table in tables.items():
        rows = _section(table, taken) if table.is_toml else [dict(row) for row in taken.rows.get(name, ())]
        if not rows:
            continue
        found[name] = rows
        known = [column.name for column in table.columns]
        more = sorted({key for row in rows for key in row} - set(known))
        if more and not table.is_toml:
            headers[name] = (*(key for key in known if any(key in row for row in rows)), *more)
    line = [[x, y] for x, y in taken.line]
    if line:
        headers["alignment"] = (_ALIGNMENT,)
    return Document(tables=found, alignment={"crs": taken.crs or None, "points": line} if line else None, headers=headers)


def _section(table: Table, taken: TakenIn) -> list[dict[str, Plain]]:
    """Return the rows of a TOML table that the mapping brings along; a name and a reference come from the main."""
    first, *inner = table.path.split(".")
    value: Any = taken.sections.get(first, {})
    for key in inner:
        value = value.get(key, {}) if isinstance(value, Mapping) else {}
    entries = value if isinstance(value, list) else [value] if value else []

    rows = [{key: _plain(cell) for key, cell in entry.items() if not _is_table(cell)} for entry in entries if isinstance(entry, Mapping)]
    if table.name == "job":
        row = rows[0] if rows else {}
        row.setdefault("name", f"Main {taken.report.main}".strip())
        if taken.report.main:
            row.setdefault("reference", taken.report.main)
        rows = [row]
    return rows


def _is_table(value: object) -> bool:
    return isinstance(value, Mapping) or (isinstance(value, list) and bool(value) and isinstance(value[0], Mapping))


def _plain(value: object) -> Plain:
    if isinstance(value, date | datetime | time):
        return value.isoformat()
    if isinstance(value, list):
        return [_plain(one) for one in value]
    if isinstance(value, str | int | float | bool):
        return value
    return str(value)
