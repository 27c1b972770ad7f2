"""The bill as done: each quantity with the records behind it. What has no record is not claimed."""

from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.job.records import Records
from mainwright.plan.result import Run

__all__ = ["Measured", "measure"]


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
        Lined metres by size (a second coat is not measured again), runs set up, connections cleared, obstructions that no drawing showed.
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
    return tuple(found)
