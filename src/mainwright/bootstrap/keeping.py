"""Wires the store."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from mainwright.line.hose_lag import HoseLags
    from mainwright.store.store import DatabaseStore
    from mainwright.workflow.keeping import FolderRecords, Kept
    from mainwright.workflow.ports import JobRead, Progress
    from mainwright.workflow.store_ports import Carried, Report, Store

__all__ = [
    "export_job",
    "export_run",
    "fit_hose",
    "formulas_in",
    "import_job",
    "import_run",
    "keep_file",
    "open_store",
    "store_place",
    "verify",
    "write_files",
]


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


def import_job(
    folder: Path,
    *,
    store: str | None = None,
    author: str = "",
    replace: bool = False,
    progress: Progress | None = None,
    command: str = "import",
) -> tuple[JobRead, Kept | None, Sequence[str]]:
    """Take a job folder into the store as a revision, with what its records have that is not kept yet.

    Parameters
    ----------
    folder : Path
        The job folder.
    store : str, optional
        Path or URL.
    author : str
        Who brings it.
    replace : bool
        Whether records that the folder has not are taken away, each by a further record.
    progress : callable, optional
        Told how many bytes of a scan or photograph are kept, and of how many.
    command : str
        Under which it stands in the list of who did what, where it changes anything.

    Returns
    -------
    tuple
        What was read; what became of it, None where the folder has faults: then nothing is kept; files of ``records/`` that are not taken in.

    Raises
    ------
    InputError
        If ``plan.json`` is no plan.
    StoreError
        If the store cannot be used.
    """
    from mainwright.bootstrap.noting import latest_revision, note
    from mainwright.folder.issued_file import read_issued_file
    from mainwright.folder.reading import read_folder
    from mainwright.folder.record_rows import record_rows
    from mainwright.folder.records import read_records
    from mainwright.workflow.keeping import FILE, FolderRecords, keep_job, reference_of
    from mainwright.workflow.planning import with_records

    job = read_folder(folder)
    found = read_records(folder)
    read = with_records(job, faults=found.faults, unknown=found.unknown)
    if read.job is None:
        return read, None, ()
    rows, files, left = record_rows(folder)
    issued = folder / "plan.json"
    plan = None
    if issued.exists():
        read_issued_file(issued)
        plan = issued.read_bytes().decode("utf-8")
    with open_store(store) as opened:
        reference = reference_of(job.document)
        before = latest_revision(opened, reference)
        kept = [keep_file(opened, name, path, progress=progress) for name, path in files.items()]
        held = FolderRecords({**rows.tables, FILE: kept}, rows.readings, plan)
        done = keep_job(opened, job.document, held, author=author, replace=replace)
        if done.new or done.records:
            what = f"mainwright {command} {folder.name or folder.resolve().name}"
            detail = f"{what}: {done.added} records added, {done.corrected} corrected, {done.taken_away} taken away"
            note(opened.deeds, "files taken in", who=author, detail=detail, job=reference, before=before, after=done.revision.revision)
        return read, done, left


def keep_file(store: Store, name: str, path: Path, *, progress: Progress | None = None) -> dict[str, object]:
    """Keep a file of ``records/``, and return the cells of its record.

    Parameters
    ----------
    store : Store
        Where it is kept.
    name : str
        Within ``records/``.
    path : Path
        The file.
    progress : callable, optional
        Told how many bytes are kept, and of how many.

    Returns
    -------
    dict
        Its name, hash and size.

    Raises
    ------
    InputError
        If it is too large, or is changed meanwhile.
    """
    size, rounds = path.stat().st_size, 0

    def read() -> Iterator[bytes]:
        nonlocal rounds
        rounds += 1
        done = 0
        with path.open("rb") as file:
            while part := file.read(1 << 20):
                done += len(part)
                if progress is not None and rounds > 1:
                    progress(done, size)
                yield part

    found = store.files.put(read, name=f"records/{name}")
    return {"name": name, "sha256": found.digest, "bytes": found.size}


def write_files(store: Store, held: FolderRecords, folder: Path) -> tuple[str, ...]:
    """Write the files of a job's records into ``records/`` of a folder, and return their names there.

    Parameters
    ----------
    store : Store
        Where they are kept.
    held : FolderRecords
        The records that are in force.
    folder : Path
        The job folder.

    Returns
    -------
    tuple of str
        Within ``records/``.

    Raises
    ------
    NotFound
        If one is not there.
    StoreError
        If one is not what was kept.
    """
    from mainwright.folder.record_rows import file_name
    from mainwright.workflow.keeping import FILE

    names = []
    for row in held.tables.get(FILE, ()):
        name = file_name(row.get("name"))
        if name is None:
            continue
        path = folder / "records" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("wb") as file:
            for part in store.files.read(str(row["sha256"])):
                file.write(part)
        names.append(name)
    return tuple(names)


def export_job(job: str, *, out: Path, revision: str | None = None, store: str | None = None) -> str:
    """Write a job out of the store as a folder, and return its revision.

    Parameters
    ----------
    job : str
        Its reference.
    out : Path
        The folder, not there yet or empty; all of it is written or nothing.
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
    InputError
        If something is there already.
    NotFound
        If there is none.
    """
    from mainwright.errors import InputError
    from mainwright.folder.record_rows import RecordRows, record_files
    from mainwright.folder.staging import staged
    from mainwright.folder.writing import write_folder
    from mainwright.workflow.keeping import records_of_folder

    if out.exists() and (not out.is_dir() or any(out.iterdir())):
        raise InputError("folder", str(out), "", "a folder that does not exist yet or is empty, so that nothing of another job is mixed in")
    with open_store(store) as opened:
        with opened.looking() as shelf:
            document = shelf.document(job, revision)
            held = records_of_folder(shelf.records(job))
        files = record_files(RecordRows(held.tables, held.readings))
        with staged(out) as place:
            write_folder(document, place)
            if held.plan is not None:
                (place / "plan.json").write_text(held.plan, encoding="utf-8", newline="\n")
            if files:
                (place / "records").mkdir()
            for name, content in files.items():
                (place / "records" / name).write_bytes(content)
            write_files(opened, held, place)
    return document.revision()


def formulas_in(folder: Path) -> tuple[str, ...]:
    """Return the cells of a job folder that a spreadsheet would take for a formula.

    Parameters
    ----------
    folder : Path
        The job folder.

    Returns
    -------
    tuple of str
        File, line and column of each.
    """
    from mainwright.folder.formulas import formula_cells

    return formula_cells(folder)


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

    from mainwright.workflow.live_ports import RunKey

    out.parent.mkdir(parents=True, exist_ok=True)
    beside = out.with_name(f".{out.name}.new")
    count = 0
    try:
        with open_store(store) as opened, beside.open("w", encoding="utf-8", newline="\n") as file:
            for line in opened.log.export(RunKey(job, run, coat, part)):
                file.write(f"{line}\n")
                count += 1
            file.flush()
            os.fsync(file.fileno())
        beside.replace(out)
    finally:
        beside.unlink(missing_ok=True)
    return count


def fit_hose(job: str, run: str, *, coat: int = 1, part: int = 1, store: str | None = None) -> HoseLags:
    """Fit the time constant of the hose from a run that was followed.

    Parameters
    ----------
    job, run : str
        Reference of the job and name of the run.
    coat, part : int
        Of the run.
    store : str, optional
        Path or URL.

    Returns
    -------
    HoseLags
        Each stop and start of the pump, and the constant.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    from mainwright.workflow.live_ports import RunKey
    from mainwright.workflow.run_records import follow_again, hose_lags_of

    with open_store(store) as opened:
        return hose_lags_of(follow_again(opened.log, RunKey(job, run, coat, part)))


def import_run(path: Path, *, store: str | None = None, author: str = "") -> Carried:
    """Take the file of a run into the store, all of it or nothing; what is kept already is not kept again.

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
    Carried
        Which run it is, how many entries were added, and where it ends.

    Raises
    ------
    InputError
        If the file was changed, or is none of a run.
    Conflict
        If the store has another record of this run.
    """
    from mainwright.bootstrap.noting import latest_revision, note

    with open_store(store) as opened, path.open(encoding="utf-8", errors="replace", newline="\n") as file:
        carried = opened.log.take_in((line.removesuffix("\n") for line in file), name=str(path))
        if carried.new or carried.added:
            key = carried.key
            revision = latest_revision(opened, key.job)
            detail = f"mainwright import {path.name}: {carried.added} entries of {key.run} added"
            note(opened.deeds, "files taken in", who=author, detail=detail, job=key.job, before=revision, after=revision)
        return carried


def verify(place: str | None = None, *, anchors: Sequence[str] = (), progress: Progress | None = None) -> Report:
    """Return whether anything in a store or in the file of a run was changed since it was kept.

    Parameters
    ----------
    place : str, optional
        Path or URL of a store, or a file of a run; else the store of this user.
    anchors : sequence of str
        Where chains ended once, as it was printed: ``count:digits``.
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

    from mainwright.store.carry import verify_run_file
    from mainwright.store.store import verify_store
    from mainwright.workflow.store_ports import Anchor

    asked = [Anchor.read(one) for one in anchors]
    wanted = place or store_place()
    path = Path(wanted)
    if "://" not in wanted and path.is_file():
        with path.open("rb") as begun:
            database = begun.read(16) == b"SQLite format 3\0"
        if not database and path.suffix not in {".sqlite", ".db"}:
            with path.open(encoding="utf-8", errors="replace", newline="\n") as file:
                return verify_run_file((line.removesuffix("\n") for line in file), name=wanted, anchors=asked)
    return verify_store(wanted, anchors=asked, progress=progress)
