"""What is on record of one run beside its log, for whoever gets the run: rows, scans, photographs, and their hashes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pathlib import Path

    from mainwright.workflow.keeping import FolderRecords
    from mainwright.workflow.ports import Progress

__all__ = ["SUMS", "export_run_records"]

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
    """Return the records of one run: its rows, its scans, and the photographs that its rows name."""
    from mainwright.workflow.keeping import FILE, FolderRecords

    tables = {name: [row for row in rows if row.get("run") == run] for name, rows in held.tables.items() if name != FILE}
    photos = {str(row["photo"]) for rows in tables.values() for row in rows if row.get("photo")}

    def wanted(name: str) -> bool:
        return name.startswith(f"rings_{run}_") or name in photos or name.removeprefix("photos/") in photos

    found = {name: rows for name, rows in tables.items() if rows}
    kept = [row for row in held.tables.get(FILE, ()) if wanted(str(row.get("name")))]
    if kept:
        found[FILE] = kept
    return FolderRecords(found, {one: rows for one, rows in held.readings.items() if one == run})
