"""``records/`` as rows of plain cells in the units of the files, for keeping; and such rows as files again."""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from mainwright.folder.limits import CSV_LIMITS, READINGS_LIMITS
from mainwright.folder.records import RUN_FILE
from mainwright.folder.tables import read_table
from mainwright.job.column import Table
from mainwright.job.columns import RECORDS
from mainwright.job.table import cell_text

if TYPE_CHECKING:
    from mainwright.job.faults import Rows

__all__ = ["READINGS", "RecordRows", "record_files", "record_rows"]

READINGS: Final = "readings"
"""The kind of the rows of ``run_<id>.csv``."""


@dataclass(frozen=True, slots=True)
class RecordRows:
    """Rows of ``records/``.

    Attributes
    ----------
    tables
        By name of the table, in the order of the file; unknown columns are kept.
    readings
        By id of the run.
    """

    tables: Mapping[str, Sequence[Mapping[str, Any]]]
    readings: Mapping[str, Sequence[Mapping[str, Any]]]


def record_rows(folder: Path) -> tuple[RecordRows, tuple[str, ...]]:
    """Return the rows of ``records/``, and the files that are no such table: photographs, ring scans.

    Parameters
    ----------
    folder : Path
        The job folder; its records were read without faults. [-]

    Returns
    -------
    tuple
        Rows, and names within ``records/``.
    """
    place = folder / "records"
    tables: dict[str, Rows] = {}
    readings: dict[str, Rows] = {}
    left = []
    for entry in sorted(place.iterdir()) if place.is_dir() else ():
        name = entry.name.removesuffix(".csv")
        run = RUN_FILE.fullmatch(entry.name)
        if run:
            readings[run[1]] = read_table(RECORDS[READINGS], f"records/{entry.name}", entry.read_bytes(), READINGS_LIMITS).rows
        elif entry.suffix == ".csv" and name in RECORDS and name != READINGS:
            tables[name] = read_table(RECORDS[name], f"records/{entry.name}", entry.read_bytes(), CSV_LIMITS).rows
        else:
            left.append(entry.name)
    return RecordRows(tables, readings), tuple(left)


def record_files(rows: RecordRows) -> dict[str, bytes]:
    """Return rows as the files of ``records/``.

    Parameters
    ----------
    rows : RecordRows
        The rows. [-]

    Returns
    -------
    dict
        Content by name within ``records/``; a table without rows has no file.
    """
    files = {f"{name}.csv": _csv(RECORDS[name], some) for name, some in sorted(rows.tables.items()) if some and name in RECORDS}
    return files | {f"run_{run}.csv": _csv(RECORDS[READINGS], some) for run, some in rows.readings.items() if some}


def _csv(table: Table, rows: Sequence[Mapping[str, Any]]) -> bytes:
    filled = {name for row in rows for name, value in row.items() if value not in (None, "")}
    header = [column.name for column in table.columns if column.name in filled or column.required]
    header += sorted(filled - set(header))
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([cell_text(row.get(name)) for name in header] for row in rows)
    return out.getvalue().encode()
