"""A CSV file to the rows of one table of the dictionary."""

from dataclasses import dataclass, field

from mainwright.folder.csv_text import CsvText, read_csv_text
from mainwright.folder.limits import CSV_LIMITS, MOST_FAULTS, Limits
from mainwright.folder.located import LocatedFault, located
from mainwright.job.column import Column, Table
from mainwright.job.faults import Row, Rows, nearest
from mainwright.job.table import read_cell, shown
from mainwright.words.message import Message

__all__ = ["ReadTable", "Unknown", "read_table"]


@dataclass(frozen=True, slots=True)
class Unknown:
    """A column, key, table or file that the dictionary does not know: kept, not used.

    Attributes
    ----------
    file, line
        Where it stands.
    name
        Column or dotted key; empty for a file.
    near
        What may have been meant, or None.
    """

    file: str
    line: int
    name: str
    near: str | None

    def __str__(self) -> str:
        what = f"{self.name}: not known" if self.name else "not known"
        meant = f"; {self.near} is meant, perhaps" if self.near else ""
        return f"{self.file}:{self.line}: {what}, kept and not used{meant}"


@dataclass(slots=True)
class ReadTable:
    """One CSV table.

    Attributes
    ----------
    rows
        Canonical values of the known columns and the text of the unknown ones.
    lines
        Line of each row.
    header
        Columns in the order of the file.
    broken
        Cells (table, row, column) that could not be read.
    faults, unknown
        What is wrong, and what is not known.
    readable, complete
        Whether there is a header that can be used, and whether every row could be.
    """

    rows: Rows = field(default_factory=list)
    lines: list[int] = field(default_factory=list)
    header: tuple[str, ...] = ()
    broken: set[tuple[str, int, str]] = field(default_factory=set)
    faults: list[LocatedFault] = field(default_factory=list)
    unknown: list[Unknown] = field(default_factory=list)
    readable: bool = False
    complete: bool = True


class _Cells:
    """Reads the cells of a table, and watches that one decimal mark is kept throughout."""

    def __init__(self, file: str, table: Table, text: CsvText, found: ReadTable) -> None:
        self.file = file
        self.table = table
        self.found = found
        self.decimal_comma = text.decimal_comma
        self.columns = [(name, table.column(name)) for name in text.header]
        self.points: list[tuple[int, str, str]] = []
        self.commas: list[tuple[int, str, str]] = []

    def cell(self, line: int, column: Column, plain: str, row: Row) -> None:
        value = read_cell(column, plain, decimal_comma=self.decimal_comma)
        if isinstance(value, Message):
            self.found.broken.add((self.table.name, len(self.found.rows), column.name))
            if len(self.found.faults) <= MOST_FAULTS:
                self.found.faults.append(LocatedFault(self.file, line, column.name, value))
            return
        if self.decimal_comma and column.kind == "number":
            if "," in plain:
                self.commas.append((line, column.name, plain))
            elif "." in plain:
                self.points.append((line, column.name, plain))
        row[column.name] = value

    def row(self, line: int, cells: list[str]) -> Row:
        row: Row = {}
        for (name, column), cell in zip(self.columns, cells, strict=True):
            plain = cell.strip()
            if not plain or not name or name in row:
                continue
            if column is None:
                row[name] = plain
            else:
                self.cell(line, column, plain, row)
        return row

    def check_marks(self) -> None:
        if self.points and self.commas:
            line, name, plain = min(self.points, self.commas, key=len)[0]
            text = "{found} has another decimal mark than {n} {n:cell/cells} of this file: one mark throughout is right"
            self.found.faults.append(located(self.file, line, name, text, found=shown(plain), n=max(len(self.points), len(self.commas))))


def _check_columns(file: str, table: Table, text: CsvText, found: ReadTable) -> None:
    names = [column.name for column in table.columns]
    spare = [name for name in names if name not in text.header]
    for name in text.header:
        if name and name not in names:
            found.unknown.append(Unknown(file, text.header_line, shown(name), nearest(name, spare)))
    for column in table.columns:
        if column.required and column.name in spare:
            found.faults.append(located(file, text.header_line, column.name, "the column is missing: {meaning}", meaning=column.meaning))


def read_table(table: Table, file: str, data: bytes, limits: Limits = CSV_LIMITS) -> ReadTable:
    """Return the rows of a CSV table with their lines, and what is wrong with its text and cells.

    Parameters
    ----------
    table : Table
        What the dictionary says of it. [-]
    file : str
        Path within the job folder. [-]
    data : bytes
        Its content. [-]
    limits : Limits
        How much of it is read. [-]

    Returns
    -------
    ReadTable
        What was read.
    """
    text = read_csv_text(file, data, tuple(column.name for column in table.columns), limits)
    found = ReadTable(header=text.header, faults=text.faults, readable=text.readable, complete=text.complete)
    if not text.readable:
        return found
    _check_columns(file, table, text, found)
    required = [column.name for column in table.columns if column.required]
    missing = [name for name in required if name not in text.header]
    reader = _Cells(file, table, text, found)
    for line, cells in text.rows:
        place = len(found.rows)
        found.broken.update((table.name, place, name) for name in (missing if cells is not None else required))
        found.rows.append(reader.row(line, cells) if cells is not None else {})
        found.lines.append(line)
    reader.check_marks()
    return found
