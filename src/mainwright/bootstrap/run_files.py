"""What is on record of one run beside its log, for whoever gets the run: rows, scans, photographs, and their hashes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from mainwright.workflow.keeping import FolderRecords
    from mainwright.workflow.ports import Progress

__all__ = ["SUMS", "export_run_records"]

_BY_CHAINAGE: Final = ("obstructions", "connections_found")
"""Tables whose rows have a chainage and no run."""
SUMS: Final = "SHA256SUMS"
"""One line a file: its hash, two blanks, its name, as the usual programs check them."""


def export_run_records(job: str, run: str, *, out: Path, store: str | None = None, progress: Progress | None = None) -> tuple[str, ...]:
    """Write what is on record of a run into a folder, all of it or nothing.

    Parameters
    ----------
    job, run : str
        Reference of the job, id of the run.
    out : Path
        The folder, not there yet or empty.
    store : str, optional
        Path or URL.
    progress : callable, optional
        Told how many files are written, and of how many.

    Returns
    -------
    tuple of str
        Names of what was written.

    Raises
    ------
    InputError
        If something is there already.
    NotFound
        If there is no such job, or nothing is on record of this run.
    StoreError
        If a file is not what was kept.
    """
    import hashlib

    from mainwright.bootstrap.keeping import open_store, write_files
    from mainwright.errors import InputError, NotFound
    from mainwright.folder.record_rows import RecordRows, record_files
    from mainwright.folder.staging import staged
    from mainwright.workflow.keeping import records_of_folder

    if out.exists() and (not out.is_dir() or any(out.iterdir())):
        raise InputError("folder", str(out), "", "a folder that does not exist yet or is empty, so that nothing of another run is mixed in")
    with open_store(store) as opened:
        with opened.looking() as shelf:
            held = _of_run(records_of_folder(shelf.records(job)), run)
        files = record_files(RecordRows(held.tables, held.readings))
        if not files and not held.tables:
            raise NotFound(f"Nothing is on record of run {run} of job {job}.")
        with staged(out) as place:
            (place / "records").mkdir()
            for name, content in files.items():
                (place / "records" / name).write_bytes(content)
            write_files(opened, held, place)
            names = sorted(path.relative_to(place).as_posix() for path in (place / "records").rglob("*") if path.is_file())
            lines = []
            for done, name in enumerate(names, start=1):
                with (place / name).open("rb") as file:
                    lines.append(f"{hashlib.file_digest(file, 'sha256').hexdigest()}  {name}\n")
                if progress is not None:
                    progress(done, len(names))
            (place / SUMS).write_text("".join(lines), encoding="utf-8", newline="\n")
    return (*names, SUMS)


def _of_run(held: FolderRecords, run: str) -> FolderRecords:
    """Return the records of one run: its rows, its scans, and the photographs that its rows name.

    What was found in the main names no run: it is the run's by its chainage, and at an opening that of both runs.
    """
    from mainwright.workflow.keeping import FILE, FolderRecords

    spans = _spans(held, run)

    def ours(name: str, row: Mapping[str, object]) -> bool:
        if name not in _BY_CHAINAGE:
            return row.get("run") == run
        at = _number(row.get("chainage_m"))
        return at is not None and any(start <= at <= end for start, end in spans)

    tables = {name: [row for row in rows if ours(name, row)] for name, rows in held.tables.items() if name != FILE}
    photos = {str(row["photo"]) for rows in tables.values() for row in rows if row.get("photo")}

    def wanted(name: str) -> bool:
        return name.startswith(f"rings_{run}_") or name in photos or name.removeprefix("photos/") in photos

    found = {name: rows for name, rows in tables.items() if rows}
    kept = [row for row in held.tables.get(FILE, ()) if wanted(str(row.get("name")))]
    if kept:
        found[FILE] = kept
    return FolderRecords(found, {one: rows for one, rows in held.readings.items() if one == run})


def _spans(held: FolderRecords, run: str) -> list[tuple[float, float]]:
    """Return from where to where a run was lined; where nobody wrote that down, where the issued plan has it. [m]."""
    import json

    rows = [row for row in held.tables.get("runs_done", ()) if row.get("run") == run]
    if not rows and held.plan is not None:
        rows = [one for one in json.loads(held.plan).get("runs", ()) if one.get("id") == run]
    ends = [(_number(row.get("from_m")), _number(row.get("to_m"))) for row in rows]
    return [(min(start, end), max(start, end)) for start, end in ends if start is not None and end is not None]


def _number(cell: object) -> float | None:
    try:
        return None if cell is None else float(str(cell))
    except ValueError:
        return None
