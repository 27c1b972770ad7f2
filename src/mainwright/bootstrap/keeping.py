"""Wires the store."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from mainwright.store.store import DatabaseStore
    from mainwright.workflow.keeping import Kept
    from mainwright.workflow.live_ports import RunKey
    from mainwright.workflow.ports import JobRead, Progress
    from mainwright.workflow.store_ports import Report

__all__ = ["export_job", "export_run", "import_job", "import_run", "open_store", "store_place", "verify"]


def store_place() -> str:
    """Return where the store is: what ``MAINWRIGHT_STORE`` says, a path or a URL ``postgresql://...``, else a file in the user's folder for data.

    Returns
    -------
    str
        Path or URL.
    """
    import os
    from pathlib import Path

    given = os.environ.get("MAINWRIGHT_STORE", "").strip()
    if given:
        return given
    base = os.environ.get("XDG_DATA_HOME") or os.environ.get("LOCALAPPDATA") or str(Path.home() / ".local" / "share")
    return str(Path(base) / "mainwright" / "mainwright.sqlite")


def open_store(place: str | None = None) -> DatabaseStore:
    """Return the store, made or brought to the present schema where need be; close it when it is no longer needed, or use it in ``with``.

    Parameters
    ----------
    place : str, optional
        Path or URL; else that of `store_place`.

    Returns
    -------
    DatabaseStore
        Jobs, records and the logs of runs.

    Raises
    ------
    StoreError
        If it cannot be opened.
    """
    from datetime import UTC, datetime

    from mainwright.store.store import DatabaseStore

    return DatabaseStore(place or store_place(), clock=lambda: datetime.now(UTC))


def import_job(folder: Path, *, store: str | None = None, author: str = "") -> tuple[JobRead, Kept | None]:
    """Take a job folder into the store as a revision, with what its records have that is not kept yet.

    Parameters
    ----------
    folder : Path
        The job folder.
    store : str, optional
        Path or URL.
    author : str
        Who brings it.

    Returns
    -------
    tuple
        What was read, and what became of it; None where the folder has faults: then nothing is kept.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    from mainwright.bootstrap.planning import read_job
    from mainwright.folder.record_rows import record_rows
    from mainwright.folder.records import read_records
    from mainwright.job.document import document_from_job
    from mainwright.workflow.keeping import keep_job
    from mainwright.workflow.planning import with_records

    found = read_records(folder)
    read = with_records(read_job(folder), faults=found.faults, unknown=found.unknown)
    if read.job is None:
        return read, None
    with open_store(store) as opened:
        return read, keep_job(opened, document_from_job(read.job), record_rows(folder), author=author)


def export_job(job: str, *, out: Path, revision: str | None = None, store: str | None = None) -> str:
    """Write a job out of the store as a folder, and return its revision.

    Parameters
    ----------
    job : str
        Its reference.
    out : Path
        The folder; files of the job in it are replaced, all or none.
    revision : str, optional
        First digits of a revision; else the latest.
    store : str, optional
        Path or URL.

    Returns
    -------
    str
        The revision.

    Raises
    ------
    NotFound
        If there is none.
    """
    from mainwright.folder.record_rows import rows_bytes
    from mainwright.folder.staging import staged
    from mainwright.folder.writing import write_folder
    from mainwright.workflow.keeping import records_in_force

    with open_store(store) as opened, opened.looking() as shelf:
        document = shelf.document(job, revision)
        kept = records_in_force(shelf.records(job))
    files = rows_bytes([(one.kind, one.row or {}) for one in kept])
    with staged(out) as place:
        write_folder(document, place)
        if files:
            (place / "records").mkdir(exist_ok=True)
            for name, content in files.items():
                (place / "records" / name).write_bytes(content)
    return document.revision()


def export_run(job: str, run: str, *, out: Path, coat: int = 1, part: int = 1, store: str | None = None) -> int:
    """Write a run out of the store as one file, whole or not at all, and return how many lines it has.

    Parameters
    ----------
    job, run : str
        Reference of the job, id of the run.
    out : Path
        The file.
    coat, part : int
        Of the run.
    store : str, optional
        Path or URL.

    Returns
    -------
    int
        Lines.

    Raises
    ------
    NotFound
        If there is none.
    """
    import os

    from mainwright.workflow.carrying import carried_out
    from mainwright.workflow.live_ports import RunKey

    out.parent.mkdir(parents=True, exist_ok=True)
    beside = out.with_name(f".{out.name}.new")
    count = 0
    try:
        with open_store(store) as opened, beside.open("w", encoding="utf-8", newline="\n") as file:
            for line in carried_out(opened.log, RunKey(job, run, coat, part)):
                file.write(line)
                count += 1
            file.flush()
            os.fsync(file.fileno())
        beside.replace(out)
    finally:
        beside.unlink(missing_ok=True)
    return count


def import_run(path: Path, *, store: str | None = None, author: str = "") -> tuple[RunKey, int, int]:
    """Take the file of a run into the store; what is kept already is not kept again.

    Parameters
    ----------
    path : Path
        The file.
    store : str, optional
        Path or URL.
    author : str
        Who brings it.

    Returns
    -------
    tuple
        The run, how many entries were added, and how many there are.

    Raises
    ------
    InputError
        If the file was changed, or is none of a run.
    Conflict
        If another record of this run is kept.
    """
    from mainwright.workflow.carrying import carried_in

    with open_store(store) as opened, path.open(encoding="utf-8", errors="replace", newline="\n") as file:
        return carried_in(opened.log, file, author=author)


def verify(place: str | None = None, *, progress: Progress | None = None) -> Report:
    """Return whether anything in a store or in the file of a run was changed since it was kept.

    Parameters
    ----------
    place : str, optional
        Path or URL of a store, or a file of a run; else the store of this user.
    progress : callable, optional
        Told how many chains are verified, and of how many.

    Returns
    -------
    Report
        Each chain, and what is wrong.

    Raises
    ------
    NotFound
        If there is nothing of that name.
    """
    from pathlib import Path

    from mainwright.store.store import verify_store
    from mainwright.workflow.carrying import verify_carried

    wanted = place or store_place()
    path = Path(wanted)
    if "://" not in wanted and path.is_file():
        with path.open("rb") as begun:
            database = begun.read(16) == b"SQLite format 3\0"
        if not database and path.suffix not in {".sqlite", ".db"}:
            with path.open(encoding="utf-8", errors="replace", newline="\n") as file:
                return verify_carried(file, place=wanted)
    return verify_store(wanted, progress=progress)
