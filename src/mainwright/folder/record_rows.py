"""Rows of ``records/`` as they are written, table by table, and back: for a store that keeps each row as a record."""

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from mainwright.folder.csv_text import read_csv_text
from mainwright.folder.limits import CSV_LIMITS
from mainwright.job.columns_records import RECORD_TABLES

__all__ = ["record_rows", "rows_bytes"]


def record_rows(folder: Path) -> dict[str, list[dict[str, str]]]:
    """Return the rows of every table of ``records/``, without the readings of runs, which have a log of their own.

    Parameters
    ----------
    folder : Path
        The job folder; its records were read without faults. [-]

    Returns
    -------
    dict
        Cells by column, by table; empty cells left out.
    """
    found: dict[str, list[dict[str, str]]] = {}
    for table in RECORD_TABLES:
        path = folder / "records" / f"{table.name}.csv"
        if not path.is_file():
            continue
        read = read_csv_text(f"records/{table.name}.csv", path.read_bytes(), tuple(column.name for column in table.columns), CSV_LIMITS)
        rows = [dict(zip(read.header, cells, strict=True)) for _, cells in read.rows if cells is not None]
        kept = [{name: cell.strip() for name, cell in row.items() if cell.strip()} for row in rows]
        found[table.name] = [row for row in kept if row]
    return found


def rows_bytes(rows: Sequence[tuple[str, Mapping[str, object]]]) -> dict[str, bytes]:
    """Return the files of ``records/`` that hold these rows.

    Parameters
    ----------
    rows : sequence of tuple
        Table and cells by column, in the order in which they stand. [-]

    Returns
    -------
    dict
        Content by file name; columns in the order of the dictionary, unknown ones after them.
    """
    files: dict[str, bytes] = {}
    for table in RECORD_TABLES:
        own = [row for name, row in rows if name == table.name]
        if not own:
            continue
        known = [column.name for column in table.columns]
        names = [name for name in known if any(name in row for row in own)]
        names += sorted({name for row in own for name in row} - set(known))
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(names)
        writer.writerows([[row.get(name, "") for name in names] for row in own])
        files[f"{table.name}.csv"] = text.getvalue().encode("utf-8")
    return files
