"""Small tables beside a scan: fixed points, spot readings of the thickness, and lengths of bare metal."""

from __future__ import annotations

import csv
import io
import math
from typing import TYPE_CHECKING, Final

from mainwright.errors import FaultyInput
from mainwright.folder.located import LocatedFault, located
from mainwright.units import to_si
from mainwright.workflow.scan_ports import BareLength, FixedPoint, Gauge

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["read_bare", "read_fixed", "read_gauges"]

_MOST: Final = 16 * 1024 * 1024


def read_fixed(path: Path) -> tuple[FixedPoint, ...]:
    """Return the fixed points of a file with the columns pass, odometer_m, chainage_m.

    Raises
    ------
    FaultyInput
        With every fault.
    """
    faults: list[LocatedFault] = []
    found = []
    for line, row in _rows(path, ("pass", "odometer_m", "chainage_m"), faults):
        which = row["pass"].strip()
        numbers = [_number(path, line, name, row[name], faults) for name in ("odometer_m", "chainage_m")]
        if which not in ("cleaned", "lined"):
            faults.append(located(path.name, line, "pass", "it is {found}: cleaned or lined is right", found=which or "empty"))
        elif None not in numbers:
            found.append(FixedPoint("cleaned" if which == "cleaned" else "lined", float(numbers[0] or 0.0), float(numbers[1] or 0.0)))
    if faults:
        raise FaultyInput(faults)
    return tuple(found)


def read_gauges(path: Path) -> tuple[Gauge, ...]:
    """Return the spot readings of a file with the columns chainage_m, clock, thickness_mm; others are left alone.

    Raises
    ------
    FaultyInput
        With every fault.
    """
    faults: list[LocatedFault] = []
    found = []
    for line, row in _rows(path, ("chainage_m", "clock", "thickness_mm"), faults):
        chainage, clock, thickness = (_number(path, line, name, row[name], faults) for name in ("chainage_m", "clock", "thickness_mm"))
        if clock is not None and not 0.0 <= clock <= 12.0:
            faults.append(located(path.name, line, "clock", "it is {found}: 0 to 12 is right", found=row["clock"]))
        if thickness is not None and thickness < 0.0:
            faults.append(located(path.name, line, "thickness_mm", "it is {found}: 0 or more is right", found=row["thickness_mm"]))
        if chainage is not None and clock is not None and thickness is not None:
            found.append(Gauge(chainage, clock, to_si(thickness, "mm")))
    if faults:
        raise FaultyInput(faults)
    return tuple(found)


def read_bare(path: Path) -> tuple[BareLength, ...]:
    """Return the lengths of bare metal of a file with the columns from_m, to_m, kind; others are left alone.

    Raises
    ------
    FaultyInput
        With every fault.
    """
    faults: list[LocatedFault] = []
    found = []
    for line, row in _rows(path, ("from_m", "to_m", "kind"), faults):
        start, end = (_number(path, line, name, row[name], faults) for name in ("from_m", "to_m"))
        kind = row["kind"].strip()
        if kind not in ("pit", "fitting"):
            faults.append(located(path.name, line, "kind", "it is {found}: pit or fitting is right", found=kind or "empty"))
        if start is None or end is None:
            continue
        if start >= end:
            faults.append(located(path.name, line, "to_m", "it is {found}: over from_m is right", found=row["to_m"]))
        else:
            found.append(BareLength(start, end, kind == "pit"))
    if faults:
        raise FaultyInput(faults)
    return tuple(found)


def _rows(path: Path, needed: tuple[str, ...], faults: list[LocatedFault]) -> list[tuple[int, dict[str, str]]]:
    data = path.read_bytes()
    if len(data) > _MOST:
        raise FaultyInput([located(path.name, 1, "", "the file has {n} {n:byte/bytes}: at most {most} are right", n=len(data), most=_MOST)])
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise FaultyInput([located(path.name, line, "", "it is no UTF-8: save the table as CSV in UTF-8")]) from None
    reader = csv.reader(io.StringIO(text), delimiter=";" if ";" in text.split("\n", 1)[0] else ",")
    found: list[tuple[int, dict[str, str]]] = []
    names: list[str] | None = None
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if names is None:
                names = [cell.strip() for cell in cells]
                faults += [
                    located(path.name, reader.line_num, name, "the column is missing: {all} are right", all=", ".join(needed))
                    for name in needed
                    if name not in names
                ]
                if faults:
                    return []
            else:
                padded = cells + [""] * (len(names) - len(cells))
                found.append((reader.line_num, dict(zip(names, padded, strict=False))))
    except csv.Error as error:
        faults.append(located(path.name, reader.line_num, "", "it cannot be read as CSV ({why})", why=str(error)))
    if names is None:
        faults.append(located(path.name, 1, "", "it is empty: the columns {all} are right", all=", ".join(needed)))
    return found


def _number(path: Path, line: int, column: str, cell: str, faults: list[LocatedFault]) -> float | None:
    try:
        value = float(cell.strip().replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        faults.append(located(path.name, line, column, "it is {found}: a number is right", found=cell.strip() or "empty"))
        return None
    return value
