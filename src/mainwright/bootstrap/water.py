"""Wires the judging of waters."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from mainwright.words.message import Message
    from mainwright.workflow.waters import Judged

__all__ = ["water", "water_answers"]


def water(table: Path, *, out: Path, lime_mmol_l: float | None, contact_hours: float, bore_mm: float) -> Judged:
    """Assess a table of water analyses and write the answer.

    Parameters
    ----------
    table : Path
        The analyses.
    out : Path
        The answer, a CSV file; not written where the table has faults.
    lime_mmol_l : float, optional
        Lime after which the pH is told.
    contact_hours, bore_mm : float
        Stay in the lined main, and its bore.

    Returns
    -------
    Judged
        What was read, and the answers.

    Raises
    ------
    InputError
        If a number is out of range, or `out` is the table.
    """
    from mainwright.errors import require_not_negative, require_positive
    from mainwright.folder.water_table import read_water_table, write_water_answers
    from mainwright.units import to_si
    from mainwright.workflow.waters import judge_waters

    require_positive("--contact-hours", contact_hours, "h")
    require_positive("--bore-mm", bore_mm, "mm")
    if lime_mmol_l is not None:
        require_not_negative("--lime-mmol-l", lime_mmol_l, "mmol/l")

    def write(rows: list[dict[str, str | float | None]]) -> None:
        write_water_answers(rows, out=out, table=table)

    return judge_waters(
        read_water_table(table),
        stay=to_si(contact_hours, "hours"),
        bore=to_si(bore_mm, "mm"),
        lime=None if lime_mmol_l is None else to_si(lime_mmol_l, "mmol_l"),
        write=write,
    )


def water_answers(judged: Judged) -> tuple[list[dict[str, str | float | None]], dict[Message, list[str]]]:
    """Return the answers as plain rows, and every note with the rows that it is about.

    Parameters
    ----------
    judged : Judged
        The answers.

    Returns
    -------
    tuple
        Rows in the units of the files; notes.
    """
    from mainwright.workflow.waters import notes_of, plain_rows

    return plain_rows(judged), notes_of(judged)
