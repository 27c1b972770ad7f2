"""Rows of a foreign inventory as they were read, and what is told about them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from mainwright.words.message import Message

__all__ = ["Line", "Noted", "SourceRow", "SourceTable", "TakeInReport", "Tally", "Weight"]

Weight = Literal["left_out", "decided", "seen"]

Line = tuple[tuple[float, float], ...]
"""Points of a line in the axes of its reference system."""


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One row: where it stands in its file (a line, or the number of a GIS feature), its cells, its line or point."""

    line: int
    cells: Mapping[str, str]
    geometry: Line = ()


@dataclass(frozen=True, slots=True)
class SourceTable:
    """One table of the inventory; ``crs`` is empty where it has no geometry or does not say; ``remarks`` say how it was read."""

    name: str
    columns: tuple[str, ...]
    rows: Sequence[SourceRow]
    crs: str = ""
    remarks: tuple[Message, ...] = ()


@dataclass(frozen=True, slots=True)
class Noted:
    """Something that the reader of a take-in must know.

    Attributes
    ----------
    code
        What kind of thing it is; alike things share it.
    weight
        left_out: the inventory says something that the job folder does not. decided: a rule decided, look at it.
        seen: carried as it stands, but unusual.
    table, lines, column
        Where in the inventory; ``lines`` may be empty where the whole table is meant.
    message
        What it is and what was done.
    """

    code: str
    weight: Weight
    table: str
    lines: tuple[int, ...]
    column: str
    message: Message


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of the rows and columns of one table of the inventory.

    Attributes
    ----------
    table
        Its name.
    read
        Rows of this main.
    uses
        Our table, how many rows were wanted for it, and how many were used: one for each time that the mapping reads the table.
    passed_over
        Rows that no use wanted, by what the column that is tested first holds: text and count.
    columns_not_used
        Columns that the mapping does not name.
    """

    table: str
    read: int
    uses: tuple[tuple[str, int, int], ...]
    passed_over: tuple[tuple[str, int], ...]
    columns_not_used: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakeInReport:
    """What became of an inventory."""

    source: str
    main: str
    tallies: tuple[Tally, ...]
    noted: tuple[Noted, ...]
    lengths: tuple[tuple[str, str, float], ...]
    """DN, material, and the length of main that has them, in metres."""
