"""Wires the judging of waters."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

__all__ = ["water"]


def water(
    table: Path, *, out: Path, lime: float | None, contact_hours: float, bore_mm: float
) -> tuple[Sequence[object], list[dict[str, object]], list[str]]:
    """Judge a table of waters and write the answers; nothing is written where it has faults.

    Parameters
    ----------
    table : Path
        CSV with the columns of ``water.toml`` and ``id``.
    out : Path
        The CSV file of the answers.
    lime : float or None
        Calcium hydroxide that dissolves, in mmol/l.
    contact_hours, bore_mm : float
        Stay in the lined main, and its bore.

    Returns
    -------
    tuple
        Faults, answers, and what must be said of waters that cannot be right.
    """
    from mainwright.folder.staging import staged
    from mainwright.folder.water_table import read_waters, waters_csv
    from mainwright.units import to_si
    from mainwright.workflow.waters import COLUMNS, LIME_COLUMN, judge_waters, water_remarks

    read = read_waters(table)
    faults = [fault for fault in read.faults if fault.severity == "fault"]
    if faults:
        return faults, [], []
    contact, bore = to_si(contact_hours, "hours"), to_si(bore_mm, "mm")
    answers = judge_waters(read.rows, lime=None if lime is None else to_si(lime, "mmol_l"), contact=contact, bore=bore)
    columns = COLUMNS if lime is None else (*COLUMNS, LIME_COLUMN)
    with staged(out.parent) as place:
        (place / out.name).write_bytes(waters_csv(columns, answers))
    return [], answers, water_remarks(read.rows, answers)
