"""Published values: read once from the tables beside this module, kept in SI, each with its source."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final, cast, get_args

from mainwright.errors import InputError
from mainwright.standards.source import Source, Status
from mainwright.units import UNITS, to_si

__all__ = ["TABLES", "Published", "Row", "Table", "Unseen", "read_table", "table", "value"]

TABLES: Final = (
    "bores",
    "roughness",
    "local_losses",
    "lining_practice",
    "mortar",
    "trade",
    "water",
    "cement_water",
    "leaching",
    "cleaning",
    "hose",
    "return_to_use",
    "disinfection",
    "pressure_test",
    "supply",
    "safety",
    "weak_records",
    "programme",
)
"""Names of the shipped tables, in the order in which they are shown."""

_OWN_KEYS: Final = frozenset({"value", "low", "high", "unit", "source", "note"})
_FILE_KEYS: Final = frozenset({"title", "note", "source", "row", "unseen"})


@dataclass(frozen=True, slots=True)
class Published:
    """A value that somebody published.

    Attributes
    ----------
    value
        In SI.
    unit
        Name of the display unit, a key of `mainwright.units.UNITS`.
    low, high
        Range that the source gives, in SI, None where it gives none.
    source
        Where it stands, and how it was come by.
    note
        What a reader must know before using it; may be empty.
    """

    value: float
    unit: str
    low: float | None
    high: float | None
    source: Source
    note: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: what it is for, as pairs of name and text or number, and what was published."""

    fields: tuple[tuple[str, str | int | float | bool], ...]
    published: Published

    def get(self, name: str) -> str | int | float | bool | None:
        """Return one of the fields, None where the row has none of that name."""
        return next((content for own, content in self.fields if own == name), None)

    def text(self, name: str) -> str:
        """Return one of the fields as text, empty where the row has none of that name."""
        found = self.get(name)
        return "" if found is None else str(found)

    def matches(self, wanted: Mapping[str, str | int | float | bool]) -> bool:
        """Return whether each wanted field stands in this row with that value."""
        return all(item in self.fields for item in wanted.items())


@dataclass(frozen=True, slots=True)
class Unseen:
    """A document that belongs here and whose values could not be read."""

    title: str
    edition: str
    note: str


@dataclass(frozen=True, slots=True)
class Table:
    """One table with its rows in the order of the file, and what is missing from it."""

    name: str
    title: str
    note: str
    rows: tuple[Row, ...]
    unseen: tuple[Unseen, ...] = ()

    def find(self, **wanted: str | int | float | bool) -> Row | None:
        """Return the first row with all these fields, None where there is none."""
        return next((row for row in self.rows if row.matches(wanted)), None)

    def all(self, **wanted: str | int | float | bool) -> tuple[Row, ...]:
        """Return every row with all these fields."""
        return tuple(row for row in self.rows if row.matches(wanted))


def _source(key: str, given: Mapping[str, Any]) -> Source:
    status = given.get("status")
    if status not in get_args(Status):
        raise InputError(f"status of source {key}", status, "", ", ".join(get_args(Status)))
    if not given.get("title"):
        raise InputError(f"title of source {key}", given.get("title"), "", "a text")
    return Source(
        title=str(given["title"]),
        edition=str(given.get("edition", "")),
        clause=str(given.get("clause", "")),
        status=cast("Status", status),
    )


def _row(place: str, given: Mapping[str, Any], sources: Mapping[str, Source]) -> Row:
    for name in ("value", "unit", "source"):
        if name not in given:
            raise InputError(f"{place}: {name}", None, "", "every row has a value, a unit and a source")
    unit = str(given["unit"])
    if unit not in UNITS:
        raise InputError(f"{place}: unit", unit, "", "one of " + ", ".join(sorted(UNITS)))
    if given["source"] not in sources:
        raise InputError(f"{place}: source", given["source"], "", "one of " + ", ".join(sorted(sources)))
    low, high = (None if given.get(name) is None else to_si(float(given[name]), unit) for name in ("low", "high"))
    number = to_si(float(given["value"]), unit)
    if (low is not None and low > number) or (high is not None and high < number):
        raise InputError(f"{place}: value", given["value"], unit, "not outside its own range")
    published = Published(number, unit, low, high, sources[str(given["source"])], str(given.get("note", "")))
    return Row(tuple((name, content) for name, content in given.items() if name not in _OWN_KEYS), published)


def read_table(name: str, text: str) -> Table:
    """Return a table from its TOML text.

    Parameters
    ----------
    name : str
        Name of the table, for messages. [-]
    text : str
        ``title``, ``note``, ``[source.<key>]`` (title, edition, clause, status) and ``[[row]]`` (value, unit, source; low, high
        and note where there are any; any other key says what the row is for). [-]

    Returns
    -------
    Table
        With every number in SI.

    Raises
    ------
    InputError
        If a row lacks value, unit or source, or names one that is not there; or if a source lacks title or status.
    """
    given = tomllib.loads(text)
    unknown = sorted(set(given) - _FILE_KEYS)
    if unknown:
        raise InputError(f"key of table {name}", unknown[0], "", "one of " + ", ".join(sorted(_FILE_KEYS)))
    sources = {key: _source(f"{name}.{key}", content) for key, content in given.get("source", {}).items()}
    rows = tuple(_row(f"{name} row {number}", content, sources) for number, content in enumerate(given.get("row", ()), start=1))
    unseen = tuple(
        Unseen(str(content["title"]), str(content.get("edition", "")), str(content.get("note", ""))) for content in given.get("unseen", ())
    )
    return Table(name, str(given["title"]), str(given.get("note", "")), rows, unseen)


@cache
def table(name: str) -> Table:
    """Return one of the shipped tables, read once.

    Parameters
    ----------
    name : str
        One of `TABLES`. [-]

    Returns
    -------
    Table
        With every number in SI.

    Raises
    ------
    InputError
        If there is no such table.
    """
    if name not in TABLES:
        raise InputError("table", name, "", "one of " + ", ".join(TABLES))
    return read_table(name, (files("mainwright.standards") / "data" / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def value(name: str, key: str) -> Published:
    """Return the value of the row with this ``key`` in one of the shipped tables.

    Parameters
    ----------
    name : str
        One of `TABLES`. [-]
    key : str
        The row's ``key``. [-]

    Returns
    -------
    Published
        The value with its source.

    Raises
    ------
    InputError
        If the table has no such row.
    """
    row = table(name).find(key=key)
    if row is None:
        raise InputError(f"key in table {name}", key, "", "one of " + ", ".join(row.text("key") for row in table(name).rows))
    return row.published
