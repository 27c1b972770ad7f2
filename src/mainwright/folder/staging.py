"""A folder that is filled beside its place and moved there when it is whole: whoever interrupts leaves nothing half-written."""

import errno
import json
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from mainwright.errors import InputError

__all__ = ["PAPERS", "staged", "staged_papers"]

PAPERS: Final = ("plan.json", "plan.pdf", "bill.xlsx", "programme.ics", "openings.geojson")
"""What a plan may leave in a folder."""

_LONGEST: Final = 1 << 28
_STAGE: Final = ".mainwright-"


@contextmanager
def staged(out: Path) -> Iterator[Path]:
    """Give a new empty folder; when the block ends without an error, move its files into `out`.

    Files of `out` that the block did not make are left alone; files of the same name are replaced, each at once.

    Parameters
    ----------
    out : Path
        Folder of the result, made where it is missing.

    Yields
    ------
    Path
        The folder to fill.
    """
    made = _missing(out)
    out.mkdir(parents=True, exist_ok=True)
    try:
        place = Path(tempfile.mkdtemp(prefix=_STAGE, dir=out))
        try:
            yield place
            moves = [(entry, out / entry.relative_to(place)) for entry in sorted(place.rglob("*")) if entry.is_file()]
            for _, target in moves:
                if target.is_dir():
                    raise IsADirectoryError(errno.EISDIR, "a folder stands where a file is to be written", str(target))
                target.parent.mkdir(parents=True, exist_ok=True)
            for entry, target in moves:
                entry.replace(target)
        finally:
            shutil.rmtree(place, ignore_errors=True)
    except BaseException as error:
        if isinstance(error, OSError) and (error.filename is None or _STAGE in str(error.filename)):
            # A full disk names no file, and the folder beside is nothing that a reader knows.
            error.filename = str(out)
        # Folders that were made for nothing go again; one that holds something stays.
        for folder in made:
            try:
                folder.rmdir()
            except OSError:
                break
        raise


@contextmanager
def staged_papers(out: Path) -> Iterator[Path]:
    """Give a new empty folder for the papers of a plan; they take the place of an earlier plan's, whole.

    A paper of the earlier plan that the new one has not goes, so that no two plans lie in one folder.

    Parameters
    ----------
    out : Path
        Folder of the papers, made where it is missing.

    Yields
    ------
    Path
        The folder to fill.

    Raises
    ------
    InputError
        If a file of a paper's name is there, and no plan of this program beside it: then it is somebody else's.
    """
    there = [name for name in PAPERS if (out / name).exists()]
    if there and not _is_plan(out / "plan.json"):
        allowed = f"a folder without other files named {', '.join(there)}; move them away, or name another folder"
        raise InputError("folder of the papers", str(out), "", allowed)
    with staged(out) as place:
        yield place
        new = {entry.name for entry in place.iterdir()}
    for name in there:
        if name not in new:
            (out / name).unlink(missing_ok=True)


def _is_plan(path: Path) -> bool:
    try:
        if path.stat().st_size > _LONGEST:
            return False
        content = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return False
    return isinstance(content, dict) and "mainwright" in content and "runs" in content


def _missing(path: Path) -> list[Path]:
    """Return the folders that have to be made for `path`, the innermost first."""
    found = []
    for folder in (path, *path.parents):
        if folder.exists():
            break
        found.append(folder)
    return found
