"""A job as plain data: the tables of a job folder in the units of the files, and the way to the job in SI and back."""

import hashlib
import json
from collections.abc import Mapping, Set
from dataclasses import MISSING, dataclass, field, fields
from datetime import date, datetime, time
from functools import cache
from typing import Any, Final

from mainwright.errors import FaultyInput
from mainwright.job.check_job import check_job
from mainwright.job.check_plant import check_plant
from mainwright.job.check_survey import check_survey
from mainwright.job.column import Column, Plain, Table
from mainwright.job.columns import TABLES
from mainwright.job.faults import Fault, Faults, Row, Rows
from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.job.lining import (
    Acceptance,
    Curing,
    Hydraulics,
    JobInfo,
    Lining,
    LiningValues,
    Mortar,
    PressureTest,
    RunLimits,
    Shift,
    SupplySpec,
)
from mainwright.job.measurement import DnClass, Measurement, Payment
from mainwright.job.office import CalendarDay, CrewMember, Money, Output, Permit, Price, ProgrammeRules
from mainwright.job.origins import Origin, with_standing
from mainwright.job.plant import Hose, LiningHead, Mixer, MortarFlow, Plant, Pump, Rope, SupplyPipe
from mainwright.job.survey import Alignment, BoreReading, Feature, Feed, Ground, Level, OpeningChoice, Service, Stretch
from mainwright.job.table import check_value
from mainwright.job.water import WaterAnalysis
from mainwright.units import from_si, significant, to_si
from mainwright.words.message import Message

__all__ = ["Document", "check_document", "document_from_job", "from_plain", "job_from_document", "si_value"]

_ROWS: Final[dict[str, tuple[str, type]]] = {
    "main": ("main", Stretch),
    "bore": ("bores", BoreReading),
    "features": ("features", Feature),
    "ground": ("ground", Ground),
    "levels": ("levels", Level),
    "services": ("services", Service),
    "feeds": ("feeds", Feed),
    "openings": ("openings", OpeningChoice),
    "prices": ("prices", Price),
    "crews": ("crews", CrewMember),
    "outputs": ("outputs", Output),
    "permits": ("permits", Permit),
    "calendar": ("calendar", CalendarDay),
    "origins": ("origins", Origin),
}
_ALWAYS: Final[dict[str, tuple[str, type]]] = {
    "runs": ("runs", RunLimits),
    "mortar": ("mortar", Mortar),
    "hydraulics": ("hydraulics", Hydraulics),
    "shift": ("shift", Shift),
    "money": ("money", Money),
    "payment": ("payment", Payment),
}
_WHERE_GIVEN: Final[dict[str, tuple[str, type]]] = {
    "acceptance": ("acceptance", Acceptance),
    "curing": ("curing", Curing),
    "test": ("test", PressureTest),
    "supply": ("supply", SupplySpec),
    "giving_back": ("giving_back", GivingBack),
    "programme": ("programme", ProgrammeRules),
    "water": ("water", WaterAnalysis),
}
_PLANT: Final[dict[str, tuple[str, type]]] = {
    "pump": ("pumps", Pump),
    "hose": ("hoses", Hose),
    "lining_head": ("heads", LiningHead),
    "rope": ("ropes", Rope),
    "mixer": ("mixers", Mixer),
    "supply_pipe": ("supply_pipes", SupplyPipe),
}


@dataclass(frozen=True, slots=True)
class Document:
    """The tables of a job folder as plain data; nothing in it is changed once it is made.

    Attributes
    ----------
    tables
        Rows by short name of the table, in the order of the file; a table that is one set of keys has one row. A cell
        that is empty is absent. Unknown columns are kept under their own names.
    alignment
        ``crs`` and ``points`` of the line on the map, or None.
    extra
        Unknown tables of the TOML files, by file.
    headers
        Columns of each CSV file in their order, and the name of the file of the alignment: how the folder looked, not
        what it says, hence not part of the revision.
    """

    tables: Mapping[str, Rows]
    alignment: Mapping[str, Any] | None = None
    extra: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    headers: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def rows(self, table: str) -> Rows:
        """Return the rows of a table, none where it is absent."""
        return self.tables.get(table, [])

    def canonical(self) -> str:
        """Return the one canonical JSON text of what the job says."""
        said: dict[str, Any] = {}
        for name, rows in self.tables.items():
            table = TABLES[name]
            if not any(rows):
                continue
            if table.shape == "single":
                said[name] = rows[0] if rows else {}
            else:
                said[name] = _sorted(table, rows)
        whole = {"tables": said, "alignment": self.alignment, "extra": self.extra}
        return json.dumps(whole, sort_keys=True, ensure_ascii=False, allow_nan=False, separators=(",", ":"))

    def revision(self) -> str:
        """Return the SHA-256 of the canonical JSON, as hexadecimal text."""
        return hashlib.sha256(self.canonical().encode()).hexdigest()

    def tidy(self, *, read: Set[str] = frozenset()) -> "Document":
        """Return the same with every known cell in its canonical form, as far as it is sound; tables in ``read`` are so already."""
        tables = {name: rows if name in read else [_tidy(TABLES[name], row) for row in rows] for name, rows in self.tables.items()}
        return Document(tables, self.alignment, self.extra, self.headers)

    def to_plain(self) -> dict[str, Any]:
        """Return all of it as JSON-able data, for keeping; `from_plain` is the way back."""
        return {
            "tables": dict(self.tables),
            "alignment": self.alignment,
            "extra": dict(self.extra),
            "headers": {name: list(names) for name, names in self.headers.items()},
        }


def from_plain(data: Mapping[str, Any]) -> Document:
    """Return the document that `Document.to_plain` gave.

    Parameters
    ----------
    data : mapping
        JSON-able data. [-]

    Returns
    -------
    Document
        The document.
    """
    return Document(
        tables=data["tables"],
        alignment=data["alignment"],
        extra=data["extra"],
        headers={name: tuple(names) for name, names in data["headers"].items()},
    )


def _tidy(table: Table, row: Row) -> Row:
    kept: Row = {}
    for name, value in row.items():
        column = table.column(name)
        checked = value if column is None or value is None else check_value(column, value)
        if not isinstance(checked, Message) and checked not in (None, ""):
            kept[name] = checked
    return kept


def _sort_key(table: Table, row: Mapping[str, Plain]) -> tuple[float, ...]:
    return tuple(value if isinstance(value := row.get(name), int | float) else 0.0 for name in table.order)


def _sorted(table: Table, rows: Rows) -> Rows:
    return sorted(rows, key=lambda row: _sort_key(table, row)) if table.order else rows


def _check_cells(table: Table, rows: Rows, faults: Faults) -> Rows:
    """Return the rows with their sound cells only."""
    columns = {column.name: column for column in table.columns}
    single = table.shape == "single"
    sound: Rows = []
    for place, row in enumerate(rows):
        good: dict[str, Plain] = {}
        for name, value in row.items():
            column = columns.get(name)
            if value is None or column is None or column.kind == "rows":
                continue
            checked = check_value(column, value)
            if isinstance(checked, Message):
                faults.found.append(Fault(table.name, None if single else place, name, checked))
            elif checked != "":
                good[name] = checked
        sound.append(good)
    return sound


def _check_required(table: Table, rows: Rows, broken: Set[tuple[str, int, str]], faults: Faults) -> None:
    required = [column for column in table.columns if column.required]
    for place, row in enumerate(rows):
        for column in required:
            if row.get(column.name) in (None, "") and (table.name, place, column.name) not in broken:
                row_place = None if table.shape == "single" else place
                faults.fault(table.name, row_place, column.name, "it is missing: {meaning}", meaning=Message(column.meaning))


def check_document(
    document: Document,
    *,
    broken: Set[tuple[str, int, str]] = frozenset(),
    absent: Set[str] = frozenset(),
    read: Set[str] = frozenset(),
) -> tuple[Fault, ...]:
    """Return everything that is wrong with a document, and everything that looks wrong.

    Parameters
    ----------
    document : Document
        The tables. [-]
    broken : set of tuples
        Cells (table, row, column) that could not be read and were told already. [-]
    absent : set of str
        Tables that could not be read at all and were told already. [-]
    read : set of str
        Tables whose cells `mainwright.job.table.read_cell` has made: they need no second look. [-]

    Returns
    -------
    tuple of Fault
        Faults and warnings, in the order of the dictionary.
    """
    faults = Faults()
    sound: dict[str, Rows] = {}
    for name, table in TABLES.items():
        if name in document.tables:
            rows = document.tables[name]
            _check_required(table, rows, broken, faults)
            sound[name] = rows if name in read else _check_cells(table, rows, faults)
        elif table.required and name not in absent:
            if table.is_toml:
                for column in table.columns:
                    if column.required:
                        faults.fault(name, None, column.name, "it is missing: {meaning}", meaning=Message(column.meaning))
            else:
                faults.fault(name, None, None, "the file is missing: a row of it is {meaning}", meaning=table.meaning)
        if table.required and table.shape == "rows" and name in document.tables and not document.tables[name] and name not in absent:
            faults.fault(name, None, None, "it has no row: at least one is right")
    check_job(sound, faults)
    check_survey(sound, faults)
    check_plant(sound, faults)
    order = {name: place for place, name in enumerate(TABLES)}
    return tuple(sorted(faults.found, key=lambda fault: (order.get(fault.table, -1), -1 if fault.row is None else fault.row)))


def si_value(column: Column, value: Plain) -> Any:  # noqa: ANN401, PLR0911 - the type is the column's, one return a kind
    """Return a canonical value as the job holds it: in SI, or as day, time or moment.

    Parameters
    ----------
    column : Column
        Where it stands. [-]
    value : Plain
        In the unit of the file. [unit]

    Returns
    -------
    object
        The value in SI.
    """
    match column.kind:
        case "number":
            return to_si(value, column.unit)  # type: ignore[arg-type]
        case "date":
            return date.fromisoformat(value)  # type: ignore[arg-type]
        case "time":
            return time.fromisoformat(value)  # type: ignore[arg-type]
        case "datetime":
            return datetime.fromisoformat(value)  # type: ignore[arg-type]
        case "choices":
            return tuple(value)  # type: ignore[arg-type]
        case "points":
            return tuple(tuple(to_si(one, unit) for one, unit in zip(point, column.point_units, strict=True)) for point in value)  # type: ignore[union-attr, arg-type]
        case _:
            return value


def _file_value(column: Column, value: Any) -> Plain:  # noqa: ANN401 - the type is the column's
    match column.kind:
        case "number":
            return significant(from_si(value, column.unit))
        case "date" | "datetime":
            return str(value.isoformat())
        case "time":
            return str(value.isoformat(timespec="seconds" if value.second else "minutes"))
        case "choices":
            return list(value)
        case "points":
            return [[significant(from_si(one, unit)) for one, unit in zip(point, column.point_units, strict=True)] for point in value]
        case _:
            return value  # type: ignore[no-any-return]


def _values(table: Table, row: Mapping[str, Plain], defaulted: list[str] | None, prefix: str) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for column in table.columns:
        value = row.get(column.name)
        if column.kind == "rows":
            continue
        if value in (None, "") and column.default is not None:
            value = column.default
            if defaulted is not None:
                defaulted.append(f"{prefix}.{column.name}")
        if value not in (None, ""):
            values[column.field] = si_value(column, value)
    return values


def _build(kind: type, values: dict[str, Any]) -> Any:  # noqa: ANN401 - an object of `kind`
    for name in _without_default(kind):
        values.setdefault(name, None)
    return kind(**values)


@cache
def _without_default(kind: type) -> tuple[str, ...]:
    return tuple(item.name for item in fields(kind) if item.default is MISSING)


def job_from_document(document: Document, *, checked: bool = False) -> Job:
    """Return the job that a document describes.

    Parameters
    ----------
    document : Document
        Canonical tables, as `mainwright.folder.reading` or `document_from_job` make them. [-]
    checked : bool
        Whether `check_document` has already found no fault in it. [-]

    Returns
    -------
    Job
        The job in SI, with the documented defaults where nothing was given.

    Raises
    ------
    FaultyInput
        If anything is wrong; it keeps every fault.
    """
    wrong = [] if checked else [fault for fault in check_document(document) if fault.severity == "fault"]
    if wrong:
        raise FaultyInput(wrong)
    defaulted: list[str] = []

    def one(name: str, kind: type, **more: object) -> Any:  # noqa: ANN401 - an object of `kind`
        row = document.rows(name)[0] if document.rows(name) else {}
        return _build(kind, _values(TABLES[name], row, defaulted, name) | more)

    def many(name: str, kind: type) -> tuple[Any, ...]:
        found = []
        for row in _sorted(TABLES[name], document.rows(name)):
            prefix = f"{name}.{row['name']}" if name in _PLANT else name
            found.append(_build(kind, _values(TABLES[name], row, defaulted, prefix)))
        return tuple(found)

    parts: dict[str, Any] = {
        "info": one("job", JobInfo),
        "lining": one("lining", Lining, by_dn=many("by_dn", LiningValues)),
        "measurement": one("measurement", Measurement, classes=many("classes", DnClass)),
    }
    parts |= {attribute: one(name, kind) for name, (attribute, kind) in _ALWAYS.items()}
    parts |= {attribute: one(name, kind) if any(document.rows(name)) else None for name, (attribute, kind) in _WHERE_GIVEN.items()}
    parts |= {attribute: many(name, kind) for name, (attribute, kind) in _ROWS.items()}
    parts["origins"] = with_standing(parts["origins"], document.tables)
    crew = document.rows("crew")
    parts["plant"] = Plant(
        **{attribute: many(name, kind) for name, (attribute, kind) in _PLANT.items()},
        clearing_rate=_values(TABLES["crew"], crew[0], None, "crew").get("clearing_rate") if crew else None,
        mortar_flow=one("mortar_flow", MortarFlow) if any(document.rows("mortar_flow")) else None,
    )
    line = document.alignment
    parts["alignment"] = (
        Alignment(line["crs"], tuple((point[0], point[1]) for point in line["points"]), document.headers.get("alignment", ("",))[0])
        if line
        else None
    )
    return Job(**parts, defaulted=tuple(defaulted), revision=document.revision())


def _row(table: Table, thing: object, defaulted: Set[str], prefix: str) -> dict[str, Plain]:
    row: dict[str, Plain] = {}
    for column in table.columns:
        if column.kind == "rows" or f"{prefix}.{column.name}" in defaulted:
            continue
        value = getattr(thing, column.field)
        if value not in (None, "", ()):
            row[column.name] = _file_value(column, value)
    return row


def document_from_job(job: Job) -> Document:
    """Return the document of a job: what was given, without the defaults that nobody gave.

    Parameters
    ----------
    job : Job
        The job in SI. [-]

    Returns
    -------
    Document
        Its tables in the units of the files, in order of chainage. Columns that the dictionary does not know are not in a job.
    """
    defaulted = frozenset(job.defaulted)
    tables: dict[str, Rows] = {}

    def put(name: str, things: tuple[Any, ...]) -> None:
        rows = [_row(TABLES[name], thing, defaulted, f"{name}.{thing.name}" if name in _PLANT else name) for thing in things]
        if TABLES[name].shape == "single":
            rows = [row for row in rows if row]
        if rows:
            tables[name] = rows

    put("job", (job.info,))
    put("lining", (job.lining,))
    put("by_dn", job.lining.by_dn)
    put("measurement", (job.measurement,))
    put("classes", job.measurement.classes)
    for name, (attribute, _) in (_ALWAYS | _WHERE_GIVEN).items():
        thing = getattr(job, attribute)
        put(name, () if thing is None else (thing,))
    for name, (attribute, _) in _ROWS.items():
        put(name, getattr(job, attribute))
    for name, (attribute, _) in _PLANT.items():
        put(name, getattr(job.plant, attribute))
    put("crew", (job.plant,))
    put("mortar_flow", () if job.plant.mortar_flow is None else (job.plant.mortar_flow,))
    order = {name: place for place, name in enumerate(TABLES)}
    line = job.alignment
    return Document(
        tables={name: tables[name] for name in sorted(tables, key=lambda name: order[name])},
        alignment={"crs": line.crs, "points": [[significant(x), significant(y)] for x, y in line.points]} if line else None,
        headers={"alignment": (line.source,)} if line else {},
    )
