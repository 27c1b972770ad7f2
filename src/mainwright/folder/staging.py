"""A folder that is filled beside its place and moved there when it is whole: whoever interrupts leaves nothing half-written."""

import errno
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["staged"]


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
        place = Path(tempfile.mkdtemp(prefix=".mainwright-", dir=out))
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
    except BaseException:
        # Folders that were made for nothing go again; one that holds something stays.
        for folder in made:
            try:
                folder.rmdir()
            except OSError:
                break
        raise


def _missing(path: Path) -> list[Path]:
    """Return the folders that have to be made for `path`, the innermost first."""
    found = []
    for folder in (path, *path.parents):
        if folder.exists():
            break
        found.append(folder)
    return found
