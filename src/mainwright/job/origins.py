"""Where values of a job come from: a row of ``origins.csv`` for each, and whether the value still is what was taken then."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from types import MappingProxyType
from typing import Final, Literal

from mainwright.job.column import Plain
from mainwright.job.columns import TABLES
from mainwright.job.faults import Row, Rows

__all__ = ["ROW_KEYS", "Origin", "marks_of", "name_of_row", "with_standing"]

ROW_KEYS: Final = MappingProxyType(
    {
        "by_dn": ("dn_from", "dn_to", "material"),
        "classes": ("dn_from", "dn_to"),
        **dict.fromkeys(("pump", "hose", "lining_head", "rope", "mixer", "supply_pipe"), ("name",)),
        "prices": ("item",),
        "crews": ("crew", "skill"),
        "outputs": ("activity",),
    }
)
"""Columns that name a row, of each table of rows whose origin can be told."""


@dataclass(frozen=True, slots=True)
class Origin:
    """A row of ``origins.csv``.

    Attributes
    ----------
    table, name
        Of the value: its table, and the key or the name of the row in it.
    entry, revision
        Name of the entry of a library, or of a document, and which of its revisions.
    day
        Of the entry: when its values were so.
    status
        How they were come by.
    author
        Who kept them.
    origin
        Where the entry has them from.
    mark
        Of the value when it was taken; empty where nobody compares.
    stands
        Whether the value is still the one that was taken; None where the job has no such value.
    """

    table: str
    name: str
    entry: str
    revision: int | None = None
    day: date | None = None
    status: Literal["read", "secondary", "memory", "practice", "derived"] | None = None
    author: str | None = None
    origin: str | None = None
    mark: str | None = None
    stands: bool | None = None

    @property
    def dotted(self) -> str:
        """The value as a dotted key: ``prices.camera``."""
        return f"{self.table}.{self.name}"


def name_of_row(table: str, row: Mapping[str, Plain]) -> str:
    """Return what tells a row from the others of its table.

    Parameters
    ----------
    table : str
        A key of `ROW_KEYS`. [-]
    row : mapping
        Its cells. [-]

    Returns
    -------
    str
        Its name.

    Examples
    --------
    >>> name_of_row("prices", {"item": "camera", "rate": 4.5})
    'camera'
    >>> name_of_row("by_dn", {"dn_from": 80, "dn_to": 150.0})
    '80 150'
    """
    return " ".join(text for column in ROW_KEYS[table] if (text := _plain(row.get(column))))


def marks_of(tables: Mapping[str, Rows]) -> dict[str, str]:
    """Return a mark for each value whose origin can be told, by its dotted key: another value has another mark.

    Parameters
    ----------
    tables : mapping
        Canonical rows by short name of the table. [-]

    Returns
    -------
    dict of str to str
        Only known columns count.

    Examples
    --------
    >>> sorted(marks_of({"lining": [{"nominal_mm": 6.0}], "prices": [{"item": "camera", "rate": 4.5}]}))
    ['lining.nominal_mm', 'prices.camera']
    """
    found: dict[str, str] = {}
    for name, rows in tables.items():
        table = TABLES.get(name)
        if table is None:
            continue
        known = [column.name for column in table.columns if column.kind != "rows"]
        if name in ROW_KEYS:
            for row in rows:
                found.setdefault(f"{name}.{name_of_row(name, row)}", _mark(name, row, known))
        elif table.shape == "single" and rows:
            found |= {f"{name}.{key}": _mark(name, rows[0], [key]) for key in known if rows[0].get(key) not in (None, "")}
    return found


def with_standing(origins: Sequence[Origin], tables: Mapping[str, Rows]) -> tuple[Origin, ...]:
    """Return origins that know whether their values are still what was taken.

    Parameters
    ----------
    origins : sequence of Origin
        As they are written. [-]
    tables : mapping
        Canonical rows by short name of the table. [-]

    Returns
    -------
    tuple of Origin
        The same with `Origin.stands`.
    """
    if not origins:
        return ()
    marks = marks_of(tables)
    return tuple(replace(one, stands=None if one.dotted not in marks else one.mark in (None, "", marks[one.dotted])) for one in origins)


def _mark(table: str, row: Row, known: Sequence[str]) -> str:
    said = [table, *([name, _plain(row[name])] for name in sorted(known) if row.get(name) not in (None, ""))]
    return hashlib.sha256(json.dumps(said, ensure_ascii=False).encode()).hexdigest()[:12]


def _plain(value: Plain) -> str:
    """Return a value as one text, whether it was read as a whole number or not."""
    if isinstance(value, bool) or value is None:
        return "" if value is None else str(value).lower()
    if isinstance(value, int | float):
        return f"{value:.10g}"
    return "[" + ",".join(_plain(one) for one in value) + "]" if isinstance(value, list) else value
