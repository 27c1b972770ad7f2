"""``records/`` of a job folder: what happened, with everything that is wrong with it at once."""

import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from mainwright.folder.files import open_file
from mainwright.folder.limits import CSV_LIMITS, MOST_FAULTS, READINGS_LIMITS, Limits
from mainwright.folder.located import LocatedFault, located
from mainwright.folder.tables import Unknown, read_table
from mainwright.job.column import Table
from mainwright.job.columns import RECORDS
from mainwright.job.document import si_value
from mainwright.job.faults import nearest
from mainwright.job.records import (
    BarePlace,
    Batch,
    ConnectionCleared,
    ConnectionFound,
    CuringReading,
    Event,
    Extra,
    Observation,
    Obstruction,
    PaymentMade,
    PressureReading,
    PumpTest,
    Reading,
    Records,
    RunDone,
    RunReadings,
    Signature,
    SiteQuantity,
    Specimen,
    ThicknessReading,
    WaterTest,
)
from mainwright.words.message import Message, Quantity

__all__ = ["RUN_FILE", "RecordsRead", "read_record_files", "read_records"]

_KINDS: Final[dict[str, type]] = {
    "runs_done": RunDone,
    "events": Event,
    "pump_test": PumpTest,
    "batches": Batch,
    "thickness": ThicknessReading,
    "observations": Observation,
    "curing": CuringReading,
    "strength": Specimen,
    "connections": ConnectionCleared,
    "bare_places": BarePlace,
    "obstructions": Obstruction,
    "connections_found": ConnectionFound,
    "water_tests": WaterTest,
    "pressure_test": PressureReading,
    "signatures": Signature,
    "quantities": SiteQuantity,
    "extras": Extra,
    "payments": PaymentMade,
}
RUN_FILE: Final = re.compile(r"run_([A-Za-z0-9-]{1,64})\.csv")
"""The name of a file with the readings of a run, whose id is its one group."""

_RINGS_FILE: Final = re.compile(r"rings_.+\.(?:arrow|feather|parquet|las|laz|csv)")
_MOST_FILES: Final = 10_000


@dataclass(frozen=True, slots=True)
class RecordsRead:
    """What was read from ``records/``.

    Attributes
    ----------
    records
        All tables; where a row has a fault it is not among them.
    faults
        In order of file and line.
    unknown
        Columns and files that are not used.
    """

    records: Records
    faults: tuple[LocatedFault, ...]
    unknown: tuple[Unknown, ...]


@dataclass(slots=True)
class _Reader:
    faults: list[LocatedFault]
    unknown: list[Unknown]

    def things(self, table: Table, kind: type, file: str, data: bytes, limits: Limits) -> tuple[Any, ...]:
        read = read_table(table, file, data, limits)
        faults = read.faults
        self.unknown += read.unknown
        columns = table.columns
        required = {column.name: column for column in columns if column.required}
        spoiled = {place for _, place, _ in read.broken}
        made = []
        for place, (line, row) in enumerate(zip(read.lines, read.rows, strict=True)):
            missing = [column for name, column in required.items() if name not in row and (table.name, place, name) not in read.broken]
            faults += [located(file, line, column.name, "it is missing: {meaning}", meaning=Message(column.meaning)) for column in missing]
            faults += _check_span(file, line, row)
            if missing or place in spoiled:
                continue
            made.append(kind(**{column.field: si_value(column, row[column.name]) if column.name in row else None for column in columns}))
        faults.sort(key=lambda fault: fault.line)
        self.faults += faults[:MOST_FAULTS]
        if len(faults) > MOST_FAULTS:
            self.faults.append(located(file, faults[MOST_FAULTS].line, "", "more is wrong from here on; it is not told"))
        return tuple(made)


def _check_span(file: str, line: int, row: Mapping[str, Any]) -> list[LocatedFault]:
    found = []
    start, end = row.get("from_m"), row.get("to_m")
    if start is not None and end is not None and start >= end:
        text = "it ends at {to} and begins at {start}: from_m under to_m is right, whatever the direction"
        found.append(located(file, line, "to_m", text, to=Quantity(end, "m"), start=Quantity(start, "m")))
    return found


def _check_rising(file: str, readings: tuple[Reading, ...]) -> list[LocatedFault]:
    for before, after in itertools.pairwise(readings):
        if after.time < before.time:
            text = "the reading of {after} stands after that of {before}: readings in order of time are right"
            return [located(file, 1, "time", text, after=after.time.isoformat(), before=before.time.isoformat())]
    return []


def read_record_files(files: Mapping[str, bytes]) -> RecordsRead:
    """Return what the files of ``records/`` say.

    Parameters
    ----------
    files : mapping
        Content by name within ``records/``. [-]

    Returns
    -------
    RecordsRead
        Records, faults and what is not known.
    """
    reader = _Reader([], [])
    parts: dict[str, Any] = {}
    runs: list[RunReadings] = []
    known = [f"{name}.csv" for name in _KINDS]
    for name in [*(one for one in known if one in files), *sorted(one for one in files if one not in known)]:
        file = f"records/{name}"
        run = RUN_FILE.fullmatch(name)
        if name in known:
            table = RECORDS[name.removesuffix(".csv")]
            parts[table.name] = reader.things(table, _KINDS[table.name], file, files[name], CSV_LIMITS)
        elif run:
            readings = reader.things(RECORDS["readings"], Reading, file, files[name], READINGS_LIMITS)
            reader.faults += _check_rising(file, readings)
            runs.append(RunReadings(run[1], readings))
        elif not _RINGS_FILE.fullmatch(name):
            reader.unknown.append(Unknown(file, 1, "", nearest(name, [one for one in known if one not in files])))
    return RecordsRead(Records(**parts, readings=tuple(runs)), tuple(reader.faults), tuple(reader.unknown))


def read_records(path: Path) -> RecordsRead:
    """Return what ``records/`` of a job folder says, and everything that is wrong with it.

    Parameters
    ----------
    path : Path
        The job folder; it may have no records. [-]

    Returns
    -------
    RecordsRead
        Records, faults and what is not known.
    """
    folder = path / "records"
    if not folder.is_dir():
        return RecordsRead(Records(), (), ())
    files: dict[str, bytes] = {}
    refused: list[LocatedFault] = []
    known = {f"{name}.csv" for name in _KINDS}
    for place, entry in enumerate(folder.iterdir()):
        if place >= _MOST_FILES:
            break
        if entry.name not in known and not RUN_FILE.fullmatch(entry.name):
            if entry.suffix.lower() == ".csv":
                files[entry.name] = b""
            continue
        content = open_file(path, f"records/{entry.name}", READINGS_LIMITS.size if entry.name not in known else CSV_LIMITS.size)
        if isinstance(content, bytes):
            files[entry.name] = content
        elif content is not None:
            refused.append(content)
    read = read_record_files(files)
    return RecordsRead(read.records, (*sorted(refused, key=lambda fault: fault.file), *read.faults), read.unknown)
