"""Wires the valuation of a job."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.bootstrap.planning import read_job, word

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

    from mainwright.plan.result import LinedStretch, Run
    from mainwright.prove.scans import ScanProof
    from mainwright.prove.valuation import Valuation
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.valuing import Valued

__all__ = ["valuation_text", "value"]


def value(folder: Path, *, out: Path, until: date | None = None, final: bool = False, progress: Progress | None = None) -> Valued:
    """Value what the records of a job prove and write ``valuation.json``, ``valuation.pdf`` and ``valuation.xlsx``, all or none.

    Parameters
    ----------
    folder : Path
        The job folder, with ``records/``; the plan that was followed is its ``plan.json``, and where there is none the job is planned anew.
    out : Path
        Folder of the papers, made where it is missing; other files in it are left alone.
    until : date, optional
        Last day that counts.
    final : bool
        Whether it is the final account.
    progress : callable, optional
        Told how many runs are judged, and of how many.

    Returns
    -------
    Valued
        What was read, the valuation, the papers.

    Raises
    ------
    InputError
        If ``plan.json`` is no plan.
    """
    from mainwright.folder.issued_file import read_issued_file
    from mainwright.folder.records import read_records
    from mainwright.workflow.planning import with_records
    from mainwright.workflow.valuing import value_job

    found = read_records(folder)
    issued = folder / "plan.json"

    def write(made: Valuation) -> Sequence[str]:
        from mainwright.folder.staging import staged
        from mainwright.paper.valuation_json import valuation_json
        from mainwright.paper.valuation_pdf import render_valuation
        from mainwright.paper.valuation_xlsx import render_valuation_book

        with staged(out) as place:
            (place / "valuation.json").write_bytes(valuation_json(made, word=word(made.job)))
            (place / "valuation.pdf").write_bytes(render_valuation(made))
            (place / "valuation.xlsx").write_bytes(render_valuation_book(made))
            return sorted(entry.name for entry in place.iterdir())

    from mainwright.bootstrap.scans import any_scan, scanned_runs

    def scans(runs: Sequence[Run], stretches: Sequence[LinedStretch]) -> dict[str, ScanProof]:
        scanned = scanned_runs(folder, runs=runs, stretches=stretches, records=found.records, progress=progress)
        return {name: one.proof for name, one in scanned.items()}

    return value_job(
        with_records(read_job(folder), faults=found.faults, unknown=found.unknown),
        found.records,
        issued=read_issued_file(issued) if issued.exists() else None,
        papers=write,
        scans=scans if any_scan(folder) else None,
        until=until,
        final=final,
        progress=progress,
    )


def valuation_text(made: Valuation) -> str:
    """Return the text of ``valuation.json``.

    Parameters
    ----------
    made : Valuation
        The valuation.

    Returns
    -------
    str
        In the language and units of the job.
    """
    from mainwright.paper.valuation_json import valuation_json

    return valuation_json(made, word=word(made.job)).decode("utf-8")
