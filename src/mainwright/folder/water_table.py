"""A CSV table of water analyses, and the table of what they mean."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from mainwright.errors import InputError
from mainwright.folder.files import open_file
from mainwright.folder.limits import CSV_LIMITS
from mainwright.folder.located import LocatedFault, located
from mainwright.folder.staging import staged
from mainwright.folder.tables import Unknown, read_table
from mainwright.job.column import text
from mainwright.job.columns import TABLES
from mainwright.job.table import harmless_text, number_text
from mainwright.job.water import WaterAnalysis
from mainwright.units import to_si
from mainwright.workflow.waters import COLUMNS, NamedWater

__all__ = ["WaterTable", "read_water_table", "write_water_answers"]


@dataclass(frozen=True, slots=True)
class WaterTable:
    """What was read; no waters where there are faults."""

    waters: tuple[NamedWater, ...]
    faults: tuple[LocatedFault, ...]
    unknown: tuple[Unknown, ...]


def read_water_table(path: Path) -> WaterTable:
    """Return the analyses of a table, in SI.

    Parameters
    ----------
    path : Path
        A CSV file; commas, or semicolons with decimal commas. [-]

    Returns
    -------
    WaterTable
        Waters, faults, columns that are not used.
    """
    columns = (text("id", "name of the water", field="id"), *TABLES["water"].columns)
    table = replace(TABLES["water"], name="waters", file=path.name, shape="rows", path="", columns=columns)
    data = open_file(path.parent, path.name, CSV_LIMITS.size)
    if data is None or isinstance(data, LocatedFault):
        return WaterTable((), (located(path.name, 1, "", "the file is missing") if data is None else data,), ())
    found = read_table(table, path.name, data)
    faults = tuple(fault for fault in found.faults if fault.severity == "fault")
    if faults:
        return WaterTable((), faults, tuple(found.unknown))
    waters = []
    for row in found.rows:
        values: dict[str, float] = {}
        for column in TABLES["water"].columns:
            cell = row.get(column.name)
            if isinstance(cell, int | float):
                values[column.field] = to_si(float(cell), column.unit)
        waters.append(NamedWater(str(row.get("id") or ""), WaterAnalysis(**values)))
    return WaterTable(tuple(waters), (), tuple(found.unknown))


def write_water_answers(rows: Sequence[dict[str, str | float | None]], *, out: Path, table: Path) -> None:
    """Write the answers, whole or not at all; what is not known is an empty cell, and no text begins a formula.

    Parameters
    ----------
    rows : sequence of dict
        Answers in the units of the file, with equal keys. [-]
    out : Path
        The file. [-]
    table : Path
        The table that was read: never written over. [-]

    Raises
    ------
    InputError
        If `out` is the table itself.
    """
    if out.exists() and out.samefile(table):
        raise InputError("--out", str(out), "", "another file than the table itself")
    heads = list(rows[0]) if rows else list(COLUMNS)
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(heads)
    for row in rows:
        writer.writerow(_cell(row.get(head)) for head in heads)
    with staged(out.parent) as place:
        (place / out.name).write_bytes(stream.getvalue().encode("utf-8"))


def _cell(value: str | float | None) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return number_text(value)
    return harmless_text(value)
