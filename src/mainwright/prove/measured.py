"""The bill as done: each quantity with the records behind it. What has no record is not claimed."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from mainwright.job.records import Records
from mainwright.plan.result import BillLine, Run
from mainwright.words.message import Message

__all__ = ["Measured", "Unproven", "measure", "unproven"]


@dataclass(frozen=True, slots=True)
class Measured:
    """One item of the bill as done: quantity in `unit`, and the rows of ``records/`` that prove it."""

    item: str
    unit: str
    quantity: float
    records: tuple[str, ...]


def measure(runs: Sequence[Run], records: Records) -> tuple[Measured, ...]:
    """Return what was done, by its records.

    Parameters
    ----------
    runs : sequence of Run
        Of the plan that was followed. [-]
    records : Records
        What happened. [-]

    Returns
    -------
    tuple of Measured
        Lined metres by size (a second coat is not measured again), cleaned and filmed metres between the rows of the camera, runs set up, connections
        cleared, cement and sand weighed, obstructions that no drawing showed.
    """
    size = {run.id: run.dn for run in runs}
    lined: dict[int, tuple[float, list[str]]] = {}
    seen: set[tuple[str, float, float]] = set()
    for row, one in enumerate(records.runs_done, start=1):
        key = (one.run, one.start, one.end)
        if one.run not in size or key in seen or (one.coat or 1) > 1:
            continue
        seen.add(key)
        length, rows = lined.get(size[one.run], (0.0, []))
        lined[size[one.run]] = (length + one.end - one.start, [*rows, f"runs_done.csv:{row}"])
    found = [Measured(f"lining_dn{dn}", "m", length, tuple(rows)) for dn, (length, rows) in sorted(lined.items())]
    done = {one.run: f"runs_done.csv:{row}" for row, one in enumerate(records.runs_done, start=1) if one.run in size}
    if done:
        found.append(Measured("set_up_run", "each", float(len(done)), tuple(done.values())))
    clear = {one.ref: f"connections.csv:{row}" for row, one in enumerate(records.connections, start=1) if one.time_cleared is not None}
    if clear:
        found.append(Measured("connection_clearing", "each", float(len(clear)), tuple(clear.values())))
    unknown = [f"obstructions.csv:{row}" for row, one in enumerate(records.obstructions, start=1) if one.on_drawing is False]
    if unknown:
        found.append(Measured("obstruction", "each", float(len(unknown)), tuple(unknown)))
    return (*found, *_filmed(runs, records), *_weighed(size, records))


def _filmed(runs: Sequence[Run], records: Records) -> list[Measured]:
    """Return cleaned metres by size, by the pass of the cleaned bore, and metres of both passes of the camera."""
    cleaned: dict[int, tuple[float, list[str]]] = {}
    camera, behind = 0.0, []
    for run in runs:
        for name in ("cleaned", "lined"):
            rows = [(row, one) for row, one in enumerate(records.observations, start=1) if one.run == run.id and one.camera_pass == name]
            places = [min(max(one.chainage, run.start), run.end) for _, one in rows]
            if not places or max(places) <= min(places):
                continue
            length, names = max(places) - min(places), [f"observations.csv:{row}" for row, _ in rows]
            camera += length
            behind += names
            if name == "cleaned":
                before, others = cleaned.get(run.dn, (0.0, []))
                cleaned[run.dn] = (before + length, [*others, *names])
    found = [Measured(f"cleaning_dn{dn}", "m", length, tuple(rows)) for dn, (length, rows) in sorted(cleaned.items())]
    return [*found, Measured("camera", "m", camera, tuple(behind))] if camera > 0.0 else found


def _weighed(known: Collection[str], records: Records) -> list[Measured]:
    found = []
    for item in ("cement", "sand"):
        rows = [(row, getattr(one, item)) for row, one in enumerate(records.batches, start=1) if one.run in known and getattr(one, item)]
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
