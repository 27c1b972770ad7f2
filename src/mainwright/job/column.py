"""What the dictionary says of one column and of one table: plain data, and short ways to write it down."""

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "Column",
    "Kind",
    "Plain",
    "Table",
    "choice",
    "date_",
    "integer",
    "number",
    "text",
    "time_",
    "when",
    "yes_no",
]

Kind = Literal["number", "integer", "text", "choice", "choices", "date", "time", "datetime", "yes_no", "points", "rows"]
"""choices: a list of choices; points: a list of lists of numbers, a unit for each place; rows: a table of its own."""

Plain = float | int | str | bool | list["Plain"] | None
"""What a cell holds in a document: a JSON value. Dates, times and moments are ISO 8601 text."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a CSV table, or one key of a TOML table.

    Attributes
    ----------
    name
        As in the files, with its unit at the end.
    kind
        What may stand in it.
    meaning
        What it says, in one line.
    field
        Name of the attribute of the job's object that holds it, in SI.
    unit
        Display unit of the value, a key of `mainwright.units.UNITS`; empty for none.
    choices
        Allowed words of a choice.
    low, high
        Range in the unit of the file; inclusive unless ``low_open`` or ``high_open``.
    required
        Whether a row or table without it is faulty.
    default, origin
        The documented value where nobody gives one, and where it comes from.
    point_units
        For points: the display unit of each place.
    """

    name: str
    kind: Kind
    meaning: str
    field: str
    unit: str = ""
    choices: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    low_open: bool = False
    high_open: bool = False
    required: bool = False
    default: float | int | str | None = None
    origin: str = ""
    point_units: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """One table: a CSV file, or one table of a TOML file.

    Attributes
    ----------
    name
        Short name by which a document and a fault know it.
    file
        File that holds it, within the job folder.
    shape
        rows: any number of rows; single: one set of keys.
    path
        Where it stands in a TOML file, dotted; empty for a CSV file.
    columns
        In canonical order.
    meaning
        What one row says, in one line.
    required
        Whether a job without it is faulty.
    order
        Columns by which the rows of the job are sorted; none keeps the order of the file.
    """

    name: str
    file: str
    shape: Literal["rows", "single"]
    columns: tuple[Column, ...]
    meaning: str
    path: str = ""
    required: bool = False
    order: tuple[str, ...] = ()

    @property
    def is_toml(self) -> bool:
        """Whether the table stands in a TOML file."""
        return bool(self.path)

    def column(self, name: str) -> Column | None:
        """Return the column of that name, or None.

        Parameters
        ----------
        name : str
            Name as in the files. [-]

        Returns
        -------
        Column or None
            The description.
        """
        return next((column for column in self.columns if column.name == name), None)


def number(
    name: str,
    meaning: str,
    *,
    field: str,
    unit: str = "",
    low: float | None = None,
    above: float | None = None,
    high: float | None = None,
    below: float | None = None,
    required: bool = False,
    default: float | None = None,
    origin: str = "",
) -> Column:
    """Return a column of numbers; ``above`` and ``below`` are limits that the value may not reach."""
    return Column(
        name=name,
        kind="number",
        meaning=meaning,
        field=field,
        unit=unit,
        low=low if above is None else above,
        high=high if below is None else below,
        low_open=above is not None,
        high_open=below is not None,
        required=required,
        default=default,
        origin=origin,
    )


def integer(name: str, meaning: str, *, field: str, low: int | None = None, high: int | None = None, required: bool = False) -> Column:
    """Return a column of whole numbers."""
    return Column(name=name, kind="integer", meaning=meaning, field=field, low=low, high=high, required=required)


def text(name: str, meaning: str, *, field: str = "", required: bool = False, default: str | None = None, origin: str = "") -> Column:
    """Return a column of free text."""
    return Column(name=name, kind="text", meaning=meaning, field=field or name, required=required, default=default, origin=origin)


def choice(
    name: str,
    meaning: str,
    choices: tuple[str, ...],
    *,
    field: str = "",
    required: bool = False,
    default: str | None = None,
    origin: str = "",
) -> Column:
    """Return a column that holds one of a few words."""
    return Column(
        name=name,
        kind="choice",
        meaning=meaning,
        field=field or name,
        choices=choices,
        required=required,
        default=default,
        origin=origin,
    )


def date_(name: str, meaning: str, *, field: str = "", required: bool = False) -> Column:
    """Return a column of calendar days."""
    return Column(name=name, kind="date", meaning=meaning, field=field or name, required=required)


def time_(name: str, meaning: str, *, field: str = "", default: str | None = None, origin: str = "") -> Column:
    """Return a column of times of day."""
    return Column(name=name, kind="time", meaning=meaning, field=field or name, default=default, origin=origin)


def when(name: str, meaning: str, *, field: str = "", required: bool = False) -> Column:
    """Return a column of moments: ISO 8601 with offset."""
    return Column(name=name, kind="datetime", meaning=meaning, field=field or name, required=required)


def yes_no(name: str, meaning: str, *, field: str = "", required: bool = False) -> Column:
    """Return a column that holds yes or no."""
    return Column(name=name, kind="yes_no", meaning=meaning, field=field or name, required=required)
