"""``records/`` as rows of plain cells in the units of the files, for keeping; and such rows as files again."""

import csv
import io
import re
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

__all__ = ["PHOTOS", "READINGS", "RecordRows", "file_name", "record_files", "record_rows", "rows_of_files"]

PHOTOS: Final = "photos"
"""The one folder within ``records/`` whose files are kept."""

_FILE_NAME: Final = re.compile(rf"(?:{PHOTOS}/)?[\w(][\w ().,+-]{{0,199}}")

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


def record_rows(folder: Path) -> tuple[RecordRows, Mapping[str, Path], tuple[str, ...]]:
    """Return the rows of ``records/``, and what else lies there.

    Parameters
    ----------
    folder : Path
        The job folder; its records were read without faults. [-]

    Returns
    -------
    tuple
        Rows; files that are no such table (photographs, ring scans), by their names within ``records/``; names of what is neither.
    """
    place = folder / "records"
    there = sorted(place.iterdir()) if place.is_dir() else []
    tables = [entry for entry in there if _table_of(entry.name) is not None]
    photos = sorted((place / PHOTOS).iterdir()) if (place / PHOTOS).is_dir() else []
    others = [entry for entry in (*there, *photos) if entry not in tables]
    files = {entry.relative_to(place).as_posix(): entry for entry in others if _is_file(entry)}
    left = tuple(entry.relative_to(place).as_posix() for entry in others if not _is_file(entry) and entry != place / PHOTOS)
    return rows_of_files({entry.name: entry.read_bytes() for entry in tables}), files, left


def file_name(name: object) -> str | None:
    """Return the name of a file of ``records/`` where it is one; None for what would lead elsewhere."""
    return name if isinstance(name, str) and _FILE_NAME.fullmatch(name) else None


def _is_file(entry: Path) -> bool:
    name = f"{PHOTOS}/{entry.name}" if entry.parent.name == PHOTOS else entry.name
    return file_name(name) is not None and entry.is_file() and not entry.is_symlink()


def rows_of_files(files: Mapping[str, bytes]) -> RecordRows:
    """Return the rows of tables of ``records/``.

    Parameters
    ----------
    files : mapping
        Content by name within ``records/``; what is no such table is left out. [-]

    Returns
    -------
    RecordRows
        Their rows.
    """
    tables: dict[str, Rows] = {}
    readings: dict[str, Rows] = {}
    for file, content in files.items():
        name = _table_of(file)
        run = RUN_FILE.fullmatch(file)
        if run:
            readings[run[1]] = read_table(RECORDS[READINGS], f"records/{file}", content, READINGS_LIMITS).rows
        elif name is not None:
            tables[name] = read_table(RECORDS[name], f"records/{file}", content, CSV_LIMITS).rows
    return RecordRows(tables, readings)


def _table_of(file: str) -> str | None:
    """Return the name of the table that a file of ``records/`` holds; None where it holds none."""
    name = file.removesuffix(".csv")
    if RUN_FILE.fullmatch(file):
        return READINGS
    return name if name != file and name in RECORDS and name != READINGS else None


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
