"""Opening one file of a job folder: a plain file within it, of a bounded size, or a fault."""

import stat
from pathlib import Path

from mainwright.folder.located import LocatedFault, located
from mainwright.job.table import shown

__all__ = ["open_file"]


def open_file(root: Path, name: str, most: int) -> bytes | LocatedFault | None:
    """Return the content of a file, None where there is none, or why it is not opened.

    Parameters
    ----------
    root : Path
        The job folder. [-]
    name : str
        Path within it. [-]
    most : int
        Most bytes. [-]

    Returns
    -------
    bytes, LocatedFault or None
        The content or the fault.
    """
    path = root / name
    try:
        real = path.resolve(strict=True)
        if not real.is_relative_to(root.resolve()):
            return located(name, 1, "", "it leads out of the folder: a plain file within it is right")
        info = real.stat()
        if not stat.S_ISREG(info.st_mode):
            return located(name, 1, "", "it is no plain file")
        if info.st_size > most:
            return located(name, 1, "", "the file has {n} {n:byte/bytes}: at most {most} are right", n=info.st_size, most=most)
        with real.open("rb") as opened:
            return opened.read(most + 1)
    except FileNotFoundError:
        return located(name, 1, "", "it leads to nothing: a plain file is right") if path.is_symlink() else None
    except (OSError, RuntimeError) as error:
        return located(name, 1, "", "it cannot be opened: {why}", why=shown(getattr(error, "strerror", None) or error))
