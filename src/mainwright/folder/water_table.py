"""A table of water analyses: columns as in ``water.toml``, and an id."""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from mainwright.folder.files import open_file
from mainwright.folder.limits import CSV_LIMITS
from mainwright.folder.located import LocatedFault, located
from mainwright.folder.tables import ReadTable, read_table
from mainwright.job.column import text
from mainwright.job.columns import TABLES

__all__ = ["read_waters", "waters_csv"]


def read_waters(path: Path) -> ReadTable:
    """Return the waters of a table with what is wrong in it.

    Parameters
    ----------
    path : Path
        A CSV file. [-]

    Returns
    -------
    ReadTable
        Rows by the names of the columns.
    """
    table = replace(
        TABLES["water"],
        name="waters",
        file=path.name,
        shape="rows",
        path="",
        columns=(text("id", "name of the water"), *TABLES["water"].columns),
    )
    data = open_file(path.parent, path.name, CSV_LIMITS.size)
    if data is None or isinstance(data, LocatedFault):
        fault = data if data is not None else located(path.name, 1, "", "the file is missing")
        return ReadTable(faults=[fault])
    return read_table(table, path.name, data)


def waters_csv(columns: Sequence[str], rows: Sequence[Mapping[str, object]]) -> bytes:
    """Return answers as CSV; what is not known is an empty cell, and no text begins a formula.

    Parameters
    ----------
    columns : sequence of str
        In order. [-]
    rows : sequence of mapping
        By the names of the columns. [-]

    Returns
    -------
    bytes
        The file.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow(["" if (value := row.get(name)) is None else _cell(value) for name in columns])
    return stream.getvalue().encode("utf-8")


def _cell(value: object) -> str:
    if isinstance(value, float):
        return repr(value)
    shown = str(value)
    return "'" + shown if shown[:1] in ("=", "+", "-", "@", "\t", "\r") else shown
