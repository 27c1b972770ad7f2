"""The mapping of an inventory: which of its columns is which of ours.

A mapping invents nothing. It names columns, units, codes and constants; what an inventory does not say stays empty.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from mainwright.words.message import Message

__all__ = [
    "CellRule",
    "Dates",
    "GeometryRule",
    "InventoryMapping",
    "MappingFault",
    "RowTest",
    "TableRule",
    "Unclear",
]

Dates = Literal["iso", "month_first", "day_first"]
Unclear = Literal["empty", "smaller_neighbour"]


@dataclass(frozen=True, slots=True)
class MappingFault:
    """What is wrong at a dotted key of a mapping, and what would be right."""

    key: str
    message: Message


@dataclass(frozen=True, slots=True)
class CellRule:
    """Where the value of one of our columns comes from.

    Attributes
    ----------
    columns
        Columns of the inventory; more than one are joined by a comma.
    constant
        A value for all rows, in place of columns.
    unit
        Unit in which the inventory gives a number; empty for the unit of our column.
    values
        What each code of the inventory is with us; an empty text says that it is not known.
    others
        What any other code is; None = it is reported and left empty.
    unknown
        What the inventory writes for "not known".
    dates
        How it writes dates.
    pattern
        Regular expression whose first group is the value.
    absolute
        Whether the sign is dropped.
    prefix
        Text that is put in front.
    """

    columns: tuple[str, ...] = ()
    constant: str | None = None
    unit: str = ""
    values: Mapping[str, str] | None = None
    others: str | None = None
    unknown: tuple[str, ...] = ()
    dates: Dates = "iso"
    pattern: re.Pattern[str] | None = None
    absolute: bool = False
    prefix: str = ""


@dataclass(frozen=True, slots=True)
class RowTest:
    """Keeps the rows whose cell is one of ``allowed``, or a number from ``low`` to ``high``."""

    column: str
    allowed: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class TableRule:
    """How rows of a table of the inventory become rows of one of ours; each of our columns has rules, the first that knows wins."""

    target: str
    table: str | None
    tests: tuple[RowTest, ...]
    columns: Mapping[str, tuple[CellRule, ...]]
    keep: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GeometryRule:
    """Where the line of the main comes from: rows of points, or the lines of the main table's own rows."""

    table: str | None = None
    tests: tuple[RowTest, ...] = ()
    x: str = ""
    y: str = ""
    chainage: str = ""
    crs: str = ""
    project_to: str = ""
    wkt: str = ""
    bends_from_deg: float | None = None
    join_m: float = 1.0


@dataclass(frozen=True, slots=True)
class InventoryMapping:
    """The whole mapping; ``sections`` are tables of the job's TOML files that it brings along."""

    source: str
    main_column: str
    decimal: Literal["point", "comma"]
    encoding: str
    main: TableRule
    length: tuple[CellRule, ...]
    order: str
    merge: bool
    snap: float
    dn_where_unknown: Unclear
    others: tuple[TableRule, ...]
    geometry: GeometryRule | None
    sections: Mapping[str, Mapping[str, object]]
