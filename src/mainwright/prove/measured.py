"""The bill as done: each quantity with the records behind it. What has no record is not claimed."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, TypeVar
from zoneinfo import ZoneInfo

from mainwright.job.job import Job
from mainwright.job.records import Batch, Observation, Records, RunDone, SiteQuantity
from mainwright.plan.measuring import joined_spans, measured_length, priced_dn, rounded
from mainwright.plan.result import BillLine, Run
from mainwright.words.message import Message

__all__ = ["WHOLE", "Measured", "Unproven", "is_proven_quantity", "local_day", "measure", "measured_elsewhere", "on_or_before", "unproven"]

WHOLE: Final = 1.0
"""A run of which less than this is missing was done whole; an assumption. [m]"""

_Row = TypeVar("_Row")


@dataclass(frozen=True, slots=True)
class Measured:
    """One item of the bill as done: quantity in `unit`, the rows of ``records/`` that prove it, and what it is by the plan's bill, if it is there."""

    item: str
    unit: str
    quantity: float
    records: tuple[str, ...]
    text: Message | None = None


def measure(job: Job, runs: Sequence[Run], records: Records, *, until: date | None = None) -> tuple[Measured, ...]:
    """Return what was done, by its records and by the contract's rules of measurement.

    Parameters
    ----------
    job : Job
        The job with its rules. [-]
    runs : sequence of Run
        Of the plan that was followed. [-]
    records : Records
        What happened. [-]
    until : date or None
        Last day that counts, by the calendar of the job; a record without a time then counts for nothing. None counts all. [-]

    Returns
    -------
    tuple of Measured
        Lined metres by size (a second coat is not measured again, nor is a place that was lined again, unless the contract says so), cleaned and
        filmed metres between the rows of the camera, runs set up, connections cleared, cement and sand weighed, obstructions that no drawing
        showed, and what was measured and signed on site.
    """
    zone = job.info.time_zone

    def rows(table: Sequence[_Row], *moments: str) -> list[tuple[int, _Row]]:
        return [(place, one) for place, one in enumerate(table, start=1) if on_or_before(one, moments, until, zone)]

    done = rows(records.runs_done, "time_to", "time_from")
    found = _lined(job, runs, done)
    clear: dict[str, str] = {}
    for row, one in rows(records.connections, "time_cleared"):
        if one.time_cleared is not None:
            clear[one.ref] = f"connections.csv:{row}"
    if clear:
        found.append(Measured("connection_clearing", "each", float(len(clear)), tuple(clear.values())))
    unknown = [f"obstructions.csv:{row}" for row, one in rows(records.obstructions, "time") if one.on_drawing is False]
    if unknown:
        found.append(Measured("obstruction", "each", float(len(unknown)), tuple(unknown)))
    found += _filmed(job, runs, rows(records.observations, "time"))
    found += _weighed({run.id for run in runs}, rows(records.batches, "time"))
    return (*found, *_on_site(measured_elsewhere({one.item for one in found}), rows(records.quantities, "time")))


def on_or_before(row: object, moments: Sequence[str], until: date | None, zone: str) -> bool:
    """Return whether a row of records counts until a day.

    Parameters
    ----------
    row : object
        The row. [-]
    moments : sequence of str
        Names of its moments; the first that is known decides. [-]
    until : date or None
        The last day that counts; None counts every row. [-]
    zone : str
        Time zone whose calendar is meant. [-]

    Returns
    -------
    bool
        False for a row that has no moment, where a day is given.
    """
    if until is None:
        return True
    when = next((moment for name in moments if (moment := getattr(row, name)) is not None), None)
    return when is not None and local_day(when, zone) <= until


def local_day(when: datetime, zone: str) -> date:
    """Return the day of a moment by the calendar of a time zone.

    Parameters
    ----------
    when : datetime
        Aware moment. [-]
    zone : str
        Name of the time zone. [-]

    Returns
    -------
    date
        The day there.
    """
    return when.astimezone(ZoneInfo(zone)).date()


def measured_elsewhere(items: Collection[str]) -> frozenset[str]:
    """Return the items that a sheet of quantities does not measure: those that tables of their own do, and obstructions, each with its own proof.

    Parameters
    ----------
    items : collection of str
        Items that were measured. [-]

    Returns
    -------
    frozenset of str
        Their names.
    """
    own = ("set_up_run", "connection_clearing", "camera", "cement", "sand")
    return frozenset({"obstruction", *(one for one in items if one in own or one.startswith(("lining_dn", "cleaning_dn")))})


def is_proven_quantity(one: SiteQuantity) -> bool:
    """Return whether a quantity that was measured on site is proven: somebody of the client has signed it."""
    return bool(one.signed_by) and one.time_signed is not None


def _lined(job: Job, runs: Sequence[Run], done: Sequence[tuple[int, RunDone]]) -> list[Measured]:
    """Return lined metres by size and runs set up: each place once, unless what was lined again is paid again."""
    again = job.measurement.redone == "paid"
    metres: dict[int, tuple[float, list[str]]] = {}
    set_up: list[str] = []
    for run in runs:
        mine = [(row, one) for row, one in done if one.run == run.id]
        coats: dict[int, tuple[int, RunDone]] = {}
        seen: set[tuple[float, float]] = set()
        for row, one in mine:
            if (one.coat or 1) == 1 and (again or (one.start, one.end) not in seen):
                coats[row] = (row, one)
                seen.add((one.start, one.end))
        if mine:
            set_up += [f"runs_done.csv:{row}" for row in (coats if again else [mine[-1][0]])]
        if not coats:
            continue
        spans = [(one.start, one.end) for _, one in coats.values()]
        joined = joined_spans(spans)
        whole = math.fsum(high - low for low, high in joined) >= run.end - run.start - WHOLE
        length = measured_length(job, joined, whole=whole)
        if again:
            # What lies in more than one row was lined so many times.
            twice = math.fsum(high - low for low, high in spans) - math.fsum(high - low for low, high in joined)
            length += rounded(job.measurement, max(0.0, twice))
        dn = priced_dn(job.measurement, run.dn)
        before, behind = metres.get(dn, (0.0, []))
        metres[dn] = (before + length, [*behind, *(f"runs_done.csv:{row}" for row in coats)])
    found = [Measured(f"lining_dn{dn}", "m", length, tuple(behind)) for dn, (length, behind) in sorted(metres.items())]
    return [*found, Measured("set_up_run", "each", float(len(set_up)), tuple(set_up))] if set_up else found


def _filmed(job: Job, runs: Sequence[Run], observations: Sequence[tuple[int, Observation]]) -> list[Measured]:
    """Return cleaned metres by size, by the pass of the cleaned bore, and metres of both passes of the camera."""
    cleaned: dict[int, tuple[float, list[str]]] = {}
    camera, behind = 0.0, []
    for run in runs:
        for name in ("cleaned", "lined"):
            rows = [(row, one) for row, one in observations if one.run == run.id and one.camera_pass == name]
            places = [min(max(one.chainage, run.start), run.end) for _, one in rows]
            if not places or max(places) <= min(places):
                continue
            span, names = (min(places), max(places)), [f"observations.csv:{row}" for row, _ in rows]
            camera += measured_length(job, [span], whole=False)
            behind += names
            if name == "cleaned":
                dn = priced_dn(job.measurement, run.dn)
                before, others = cleaned.get(dn, (0.0, []))
                length = measured_length(job, [span], whole=span[1] - span[0] >= run.end - run.start - WHOLE)
                cleaned[dn] = (before + length, [*others, *names])
    found = [Measured(f"cleaning_dn{dn}", "m", length, tuple(rows)) for dn, (length, rows) in sorted(cleaned.items())]
    return [*found, Measured("camera", "m", camera, tuple(behind))] if camera > 0.0 else found


def _on_site(others: Collection[str], quantities: Sequence[tuple[int, SiteQuantity]]) -> list[Measured]:
    """Return what was measured on site and signed; an item that other records measure is not measured twice."""
    sums: dict[tuple[str, str], tuple[float, list[str]]] = {}
    for row, one in quantities:
        if one.item in others or not is_proven_quantity(one):
            continue
        key = (one.item, one.unit or "each")
        before, behind = sums.get(key, (0.0, []))
        sums[key] = (before + one.quantity, [*behind, f"quantities.csv:{row}"])
    return [Measured(item, unit, quantity, tuple(behind)) for (item, unit), (quantity, behind) in sums.items()]


def _weighed(known: Collection[str], batches: Sequence[tuple[int, Batch]]) -> list[Measured]:
    found = []
    for item in ("cement", "sand"):
        rows = [(row, getattr(one, item)) for row, one in batches if one.run in known and getattr(one, item)]
        if rows:
            found.append(Measured(item, "t", math.fsum(mass for _, mass in rows) / 1000.0, tuple(f"batches.csv:{row}" for row, _ in rows)))
    return found


@dataclass(frozen=True, slots=True)
class Unproven:
    """One item of the plan's bill of which the records prove less than was planned: quantities in ``unit``."""

    item: str
    text: Message
    unit: str
    planned: float
    proven: float


def unproven(bill: Sequence[BillLine], found: Sequence[Measured]) -> tuple[Unproven, ...]:
    """Return what a claim by the plan's bill could not show a record for.

    Parameters
    ----------
    bill : sequence of BillLine
        Of the plan. [-]
    found : sequence of Measured
        What the records prove. [-]

    Returns
    -------
    tuple of Unproven
        In the order of the bill; what is proven to a thousandth of the planned quantity is not among them.
    """
    proven = {one.item: one.quantity for one in found}
    return tuple(
        Unproven(line.item, line.text, line.unit, line.quantity, proven.get(line.item, 0.0))
        for line in bill
        if proven.get(line.item, 0.0) < line.quantity * 0.999
    )
