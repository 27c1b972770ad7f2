"""A job folder to a document and a job, with everything that is wrong with it at once."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from pathlib import Path
from typing import Any, Final

from mainwright.folder import toml_text
from mainwright.folder.alignment import check_length, read_geojson, read_geopackage
from mainwright.folder.files import open_file
from mainwright.folder.limits import CSV_LIMITS, MOST_BYTES_MAP, MOST_BYTES_TOML, MOST_FAULTS, MOST_TOML_ROWS
from mainwright.folder.located import LocatedFault, located
from mainwright.folder.tables import Unknown, read_table
from mainwright.job.column import Plain, Table
from mainwright.job.columns import ALIGNMENT_FILES, TABLES
from mainwright.job.document import Document, check_document, job_from_document
from mainwright.job.faults import Fault, Row, Rows, nearest
from mainwright.job.job import Job
from mainwright.job.table import shown
from mainwright.words.message import message

__all__ = ["FILES", "TOML_FILES", "FolderRead", "gather", "read_files", "read_folder"]

TOML_FILES: Final = ("job.toml", "plant.toml", "water.toml")
_CSV_FILES: Final = {table.file: table for table in TABLES.values() if not table.is_toml}
FILES: Final = (*TOML_FILES, *_CSV_FILES, *ALIGNMENT_FILES)
_MOST_FILES: Final = 10_000


@dataclass(frozen=True, slots=True)
class FolderRead:
    """What was read from a job folder.

    Attributes
    ----------
    document
        The tables; where there are faults, without the cells that could not be read.
    job
        The job, or None where there are faults.
    faults, warnings
        In order of file and line.
    unknown
        Columns, keys, tables and files that are kept and not used.
    """

    document: Document
    job: Job | None
    faults: tuple[LocatedFault, ...]
    warnings: tuple[LocatedFault, ...]
    unknown: tuple[Unknown, ...]


@dataclass(slots=True)
class _Reading:
    """What is gathered while a folder is read."""

    tables: dict[str, Rows] = field(default_factory=dict)
    extra: dict[str, dict[str, Any]] = field(default_factory=dict)
    headers: dict[str, tuple[str, ...]] = field(default_factory=dict)
    broken: set[tuple[str, int, str]] = field(default_factory=set)
    absent: set[str] = field(default_factory=set)
    found: list[LocatedFault] = field(default_factory=list)
    unknown: list[Unknown] = field(default_factory=list)
    row_lines: dict[str, list[int]] = field(default_factory=dict)
    toml_lines: dict[str, toml_text.Lines] = field(default_factory=dict)


def _plain(value: object) -> Any:  # noqa: ANN401 - JSON-able data
    """Return a value of TOML as JSON-able data."""
    if isinstance(value, dict):
        return {str(name): _plain(one) for name, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, float) and not abs(value) < 1e300:
        return str(value)
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) > 10**15:
        return shown(value)
    return value


def _take_row(reading: _Reading, table: Table, file: str, given: Mapping[str, Any], path: toml_text.Path) -> Row:
    """Return one row of a TOML table; tell its unknown keys."""
    lines = reading.toml_lines[file]
    row: Row = {}
    names = [column.name for column in table.columns]
    for name, value in given.items():
        column = table.column(name)
        if column is None:
            dotted = ".".join(str(part) for part in (*path, name) if isinstance(part, str))
            line = lines.get((*path, name), 1)
            reading.unknown.append(Unknown(file, line, shown(dotted), nearest(name, [one for one in names if one not in given])))
        if column is None or column.kind not in {"date", "time", "datetime"}:
            row[name] = _cell(value) if column is not None else _plain(value)
        else:
            row[name] = _plain(value)
    return row


def _cell(value: object) -> Plain:
    return value if isinstance(value, int | float | str | bool | list) else str(value)


def _read_toml(reading: _Reading, file: str, data: bytes) -> None:
    text = toml_text.read_toml_text(file, data)
    reading.found += text.faults
    mine = {table.path: table for table in TABLES.values() if table.file == file}
    if not text.readable:
        reading.absent |= {table.name for table in mine.values()}
        return
    reading.toml_lines[file] = text.lines
    for name, given in text.values.items():
        table = mine.get(name)
        line = text.lines.get((name,), 1)
        if table is None:
            reading.unknown.append(Unknown(file, line, shown(name), nearest(name, [path for path in mine if "." not in path])))
            reading.extra.setdefault(file, {})[name] = _plain(given)
        elif table.shape == "single":
            if not isinstance(given, dict):
                reading.found.append(located(file, line, name, "it is no table: [{name}] with keys under it is right", name=name))
                reading.absent.add(table.name)
                continue
            _read_single(reading, table, given)
        else:
            _read_many(reading, table, given, (name,))


def _read_single(reading: _Reading, table: Table, given: dict[str, Any]) -> None:
    inner = {column.name for column in table.columns if column.kind == "rows"}
    for name in inner & given.keys():
        _read_many(reading, TABLES[name], given[name], (table.path, name))
    reading.tables[table.name] = [
        _take_row(reading, table, table.file, {name: value for name, value in given.items() if name not in inner}, (table.path,))
    ]


def _read_many(reading: _Reading, table: Table, given: object, path: toml_text.Path) -> None:
    line = reading.toml_lines[table.file].get(path, 1)
    if isinstance(given, list) and len(given) > MOST_TOML_ROWS:
        text = "it has {n} {n:row/rows}: at most {most} are right"
        reading.found.append(located(table.file, line, table.path, text, n=len(given), most=MOST_TOML_ROWS))
        reading.absent.add(table.name)
        return
    if not isinstance(given, list) or not all(isinstance(one, dict) for one in given):
        text = (
            "it is no list of tables: [[{name}]] is right"
            if len(path) == 1
            else "it is no list of tables: a list in brackets, each in braces, is right"
        )
        reading.found.append(located(table.file, line, table.path, text, name=table.path))
        reading.absent.add(table.name)
        return
    reading.tables[table.name] = [_take_row(reading, table, table.file, one, (*path, place)) for place, one in enumerate(given)]


def _read_csv(reading: _Reading, table: Table, data: bytes) -> None:
    read = read_table(table, table.file, data)
    reading.found += read.faults
    reading.unknown += read.unknown
    if not read.readable or (not read.complete and not read.rows):
        reading.absent.add(table.name)
        return
    reading.tables[table.name] = read.rows
    reading.row_lines[table.name] = read.lines
    reading.headers[table.name] = read.header
    reading.broken |= read.broken


def _read_line(reading: _Reading, files: Mapping[str, bytes]) -> dict[str, Any] | None:
    given = [file for file in ALIGNMENT_FILES if file in files]
    if len(given) > 1:
        reading.found.append(located(given[1], 1, "", "{other} is there too: one line of the main is right", other=given[0]))
    if not given:
        return None
    file = given[0]
    line = (read_geojson if file.endswith(".geojson") else read_geopackage)(file, files[file])
    if isinstance(line, LocatedFault):
        reading.found.append(line)
        return None
    ends = [end for row in reading.tables.get("main", []) for name in ("from_m", "to_m") if isinstance(end := row.get(name), int | float)]
    reading.found += check_length(file, line, max(ends) - min(ends) if ends else None)
    reading.headers["alignment"] = (file,)
    return line


def _locate(reading: _Reading, fault: Fault) -> LocatedFault:
    table = TABLES[fault.table]
    if not table.is_toml:
        lines = reading.row_lines.get(table.name, [])
        line = lines[fault.row] if fault.row is not None and fault.row < len(lines) else 1
        return LocatedFault(table.file, line, fault.column or "", fault.message, fault.severity)
    path: toml_text.Path = tuple(table.path.split("."))
    lines_of = reading.toml_lines.get(table.file, {})
    if fault.row is not None:
        path = (*path, fault.row)
    line = lines_of.get(path, lines_of.get(path[:1], 1))
    if fault.column:
        line = lines_of.get((*path, fault.column), line)
    dotted = f"{table.path}.{fault.column}" if fault.column else table.path
    return LocatedFault(table.file, line, dotted, fault.message, fault.severity)


def _bounded(found: list[LocatedFault]) -> list[LocatedFault]:
    """Return faults in order of file and line, no more than can be read of each file."""
    order = {name: place for place, name in enumerate(FILES)}
    found = sorted(found, key=lambda fault: (order.get(fault.file, len(order)), fault.file, fault.line))
    told: list[LocatedFault] = []
    counts: dict[tuple[str, str], int] = {}
    for fault in found:
        key = (fault.file, fault.severity)
        counts[key] = counts.get(key, 0) + 1
        if counts[key] <= MOST_FAULTS:
            told.append(fault)
        elif counts[key] == MOST_FAULTS + 1:
            told.append(LocatedFault(fault.file, fault.line, "", message("more like it from here on is not told"), fault.severity))
    return told


def read_files(files: Mapping[str, bytes], *, refused: tuple[LocatedFault, ...] = ()) -> FolderRead:
    """Return what the files of a job folder say.

    Parameters
    ----------
    files : mapping
        Content by path within the folder; unknown names are told. [-]
    refused : tuple of LocatedFault
        What is already known to be wrong: files that could not be opened. [-]

    Returns
    -------
    FolderRead
        Document, job, faults, warnings and what is not known.
    """
    reading = _Reading(found=list(refused))
    shut = {fault.file for fault in refused}
    reading.absent |= {table.name for table in TABLES.values() if table.file in shut}
    for file in TOML_FILES:
        if file in files:
            _read_toml(reading, file, files[file])
        elif file == "job.toml" and file not in shut:
            reading.found.append(located(file, 1, "", "the file is missing: it names the job and says what the lining must be"))
            reading.absent |= {"job", "lining"}
    for file, table in _CSV_FILES.items():
        if file in files:
            _read_csv(reading, table, files[file])
    line = _read_line(reading, files)
    for name in sorted(files):
        if name not in FILES:
            reading.unknown.append(Unknown(name, 1, "", nearest(name, [file for file in FILES if file not in files])))
    order = {name: place for place, name in enumerate(TABLES)}
    tables = {name: reading.tables[name] for name in sorted(reading.tables, key=lambda name: order[name])}
    document = Document(tables=tables, alignment=line, extra=reading.extra, headers=reading.headers)
    checked = check_document(document, broken=reading.broken, absent=reading.absent, read=reading.row_lines.keys())
    told = _bounded(reading.found + [_locate(reading, fault) for fault in checked])
    faults = tuple(fault for fault in told if fault.severity == "fault")
    document = document.tidy(read=reading.row_lines.keys())
    return FolderRead(
        document=document,
        job=None if faults else job_from_document(document, checked=True),
        faults=faults,
        warnings=tuple(fault for fault in told if fault.severity == "warning"),
        unknown=tuple(reading.unknown),
    )


def _limit(name: str) -> int:
    if name in TOML_FILES:
        return MOST_BYTES_TOML
    return MOST_BYTES_MAP if name in ALIGNMENT_FILES else CSV_LIMITS.size


def gather(path: Path) -> tuple[dict[str, bytes], tuple[LocatedFault, ...]]:
    """Return the files of a job folder that may be read, and why others may not.

    Parameters
    ----------
    path : Path
        The folder. [-]

    Returns
    -------
    tuple
        Content by name, with nothing for a table that the dictionary does not know; faults.
    """
    if not path.is_dir():
        return {}, (located(str(path), 1, "", "it is no folder: the folder that holds job.toml is right"),)
    files: dict[str, bytes] = {}
    refused: list[LocatedFault] = []
    for name in FILES:
        content = open_file(path, name, _limit(name))
        if isinstance(content, bytes):
            files[name] = content
        elif content is not None:
            refused.append(content)
    for place, entry in enumerate(path.iterdir()):
        if place >= _MOST_FILES:
            break
        if entry.suffix.lower() in {".csv", ".toml", ".geojson", ".gpkg"} and entry.name not in FILES:
            files[entry.name] = b""
    return files, tuple(refused)


def read_folder(path: Path) -> FolderRead:
    """Return what a job folder says, and everything that is wrong with it.

    Parameters
    ----------
    path : Path
        The folder. [-]

    Returns
    -------
    FolderRead
        Document, job, faults, warnings and what is not known. It raises nothing for what a file holds.
    """
    files, refused = gather(path)
    if not path.is_dir():
        return FolderRead(Document({}), None, refused, (), ())
    return read_files(files, refused=refused)
