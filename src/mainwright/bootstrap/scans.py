"""Wires the ring scans of a job's records to its proof."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from mainwright.job.records import Records
    from mainwright.plan.result import LinedStretch, Run
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.scan_proof import ScannedRun

__all__ = ["any_scan", "scanned_runs"]


def scanned_runs(
    folder: Path, *, runs: Sequence[Run], stretches: Sequence[LinedStretch], records: Records, progress: Progress | None = None
) -> dict[str, ScannedRun]:
    """Judge the runs of a job that were scanned before and after lining.

    Parameters
    ----------
    folder : Path
        The job folder; scans are ``records/rings_<run>_cleaned.parquet`` and ``_lined.parquet``, or ``.arrow`` or ``.feather``,
        or points as ``.las``, ``.laz`` or ``.csv``, on the chainage of the main.
    runs : sequence of Run
        Of the plan that was followed.
    stretches : sequence of LinedStretch
        The main with what the contract asks.
    records : Records
        What else is on record: gauge readings close what scans cannot see.
    progress : callable, optional
        Told how many rings of a run were read.

    Returns
    -------
    dict
        By the id of the run; a run with one scan or none is left out.

    Raises
    ------
    FaultyInput
        If a scan cannot be read.
    InputError
        If two scans do not go together.
    """
    from tempfile import TemporaryDirectory

    found = {}
    for run in runs:
        pair = [_scan(folder, f"rings_{run.id}_{which}") for which in ("cleaned", "lined")]
        if pair[0] is None or pair[1] is None:
            continue
        from pathlib import Path

        from mainwright.folder.scan_source import ring_source
        from mainwright.folder.scan_store import ScanPieces
        from mainwright.workflow.scan_proof import prove_scan

        with TemporaryDirectory(prefix="mainwright-rings-") as place:
            found[run.id] = prove_scan(
                run,
                stretches,
                cleaned=ring_source(pair[0]),
                lined=ring_source(pair[1]),
                readings=records.thickness,
                bare=records.bare_places,
                store=ScanPieces(Path(place)),
                progress=progress,
            )
    return found


def any_scan(folder: Path) -> bool:
    """Return whether any run of a job has a scan among its records."""
    from mainwright.folder.scan_source import SCAN_FILES

    return any(one.suffix in SCAN_FILES for one in (folder / "records").glob("rings_*"))


def _scan(folder: Path, name: str) -> Path | None:
    """Return the file of a scan; rings before points, of which the roll is not known."""
    from mainwright.folder.scan_source import SCAN_FILES

    return next((path for ending in SCAN_FILES if (path := folder / "records" / f"{name}{ending}").is_file()), None)
