"""The published values that come with the program, as a face shows them: each table with its rows, their source and status, and what could not be read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.standards.tables import all_tables

if TYPE_CHECKING:
    from mainwright.standards.published import Table

__all__ = ["published_table", "published_tables"]


def published_tables() -> tuple[Table, ...]:
    """Return every table, in the order in which they are shown."""
    return all_tables()


def published_table(name: str) -> Table | None:
    """Return a table; None where there is none of that name.

    Parameters
    ----------
    name : str
        Of the table. [-]

    Returns
    -------
    Table or None
        With its rows in the order of its file.

    Examples
    --------
    >>> published_table("none") is None
    True
    """
    return next((one for one in all_tables() if one.name == name), None)
