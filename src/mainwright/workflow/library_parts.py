"""What an entry of the library may hold: tables of its kind, without the columns that are of one job; and the same as files."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal, Protocol, get_args

from mainwright.job.columns import TABLES
from mainwright.job.document import Document
from mainwright.workflow.editing import check_cells

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.job.faults import Fault, Row, Rows
    from mainwright.words.message import Message

__all__ = ["KINDS", "Kind", "LibraryFiles", "ReadEntry", "Tables", "check_part", "keys_of", "part_of"]

Kind = Literal["specification", "plant", "prices"]
Tables = dict[str, "Rows"]

KINDS: Final[Mapping[Kind, tuple[str, ...]]] = MappingProxyType(
    {
        "specification": ("lining", "by_dn", "acceptance", "curing", "test", "giving_back", "measurement", "classes", "payment"),
        "plant": ("pump", "hose", "lining_head", "rope", "mixer", "supply_pipe", "crew", "mortar_flow", "crews", "outputs"),
        "prices": ("prices",),
    }
)
"""Tables that an entry of each kind may hold."""

_ONLY: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "lining": frozenset(
            {
                "governing_document", "nominal_mm", "minimum_mm", "mean_minimum_mm", "maximum_mm", "single_coat_max_mm", "crack_limit_mm", "finish",
            }
        ),
        "test": frozenset({"rule"}),
    }
)  # fmt: skip
"""Keys that belong to a client's document: the others of the table are of one pipe, or of how this contractor works."""

_NOT: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "giving_back": frozenset(
            {
                "test_loss_l", "fill_flow_l_s", "flush_flow_max_l_s", "discharge_to", "product_pct", "product_age_days", "product_halving_days",
                "night_flow_pct", "quick_return_hours", "quick_return_signed", "cement",
            }
        ),
        "crews": frozenset({"first_day", "last_day"}),
    }
)  # fmt: skip
"""Columns that are of one job."""


@dataclass(frozen=True, slots=True)
class ReadEntry:
    """What the files of an entry say.

    Attributes
    ----------
    tables
        The values.
    faults
        What is wrong: file, line, column and what would be right.
    told
        What was left aside.
    """

    tables: Tables
    faults: tuple[tuple[str, int, str, Message], ...] = ()
    told: tuple[Message, ...] = ()


class LibraryFiles(Protocol):
    """The values of an entry as files, in the formats of a job folder."""

    def read(self, kind: Kind, files: Mapping[str, bytes]) -> ReadEntry:
        """Return what files say, with everything that is wrong at once."""
        ...

    def write(self, kind: Kind, tables: Tables) -> Mapping[str, bytes]:
        """Return the files that say it, by name: reading them gives the same tables, and writing those the same bytes."""
        ...


def keys_of(table: str) -> tuple[str, ...]:
    """Return the columns of a table that an entry of the library may hold.

    Examples
    --------
    >>> keys_of("crews")
    ('crew', 'skill', 'count')
    """
    only, never = _ONLY.get(table), _NOT.get(table, frozenset())
    return tuple(
        column.name
        for column in TABLES[table].columns
        if column.kind != "rows" and column.name not in never and (only is None or column.name in only)
    )


def part_of(kind: Kind, tables: Mapping[str, Rows]) -> tuple[Tables, tuple[str, ...]]:
    """Return what of some tables an entry may hold, and the names of what it may not.

    Parameters
    ----------
    kind : str
        A key of `KINDS`. [-]
    tables : mapping
        Rows by short name of the table, as of a job. [-]

    Returns
    -------
    tuple
        Tables of that kind; dotted names of filled keys that are of one job, or not known.
    """
    found: Tables = {}
    aside: list[str] = []
    for name in KINDS[kind]:
        allowed = set(keys_of(name))
        rows: Rows = []
        for row in tables.get(name, []):
            kept: Row = {key: value for key, value in row.items() if key in allowed and value not in (None, "")}
            aside += [f"{name}.{key}" for key, value in row.items() if key not in allowed and value not in (None, "")]
            if kept:
                rows.append(kept)
        if rows:
            found[name] = rows
    return found, tuple(dict.fromkeys(aside))


def check_part(kind: Kind, tables: Tables) -> tuple[Fault, ...]:
    """Return everything that is wrong with the values of an entry, each at its cell.

    Parameters
    ----------
    kind : str
        A key of `KINDS`. [-]
    tables : dict
        Its values. [-]

    Returns
    -------
    tuple of Fault
        As of a job, of these tables only.
    """
    found = check_cells(Document(dict(tables)))
    return tuple(one for one in found if one.severity == "fault" and one.table in KINDS[kind])


assert get_args(Kind) == tuple(KINDS)  # noqa: S101 - the two lists are one
