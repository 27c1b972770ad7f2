"""The invented job of Marrowby: its folder in the package, and a copy of it to work in."""

from collections.abc import Mapping
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from mainwright.errors import InputError

__all__ = ["demo_files", "demo_folder", "write_demo", "write_files"]


def demo_folder() -> Traversable:
    """Return the folder of the invented job inside the package."""
    return files("mainwright.demo") / "marrowby"


def demo_files() -> dict[str, bytes]:
    """Return the files of the invented job by name, in order of their names."""
    found = {entry.name: entry.read_bytes() for entry in demo_folder().iterdir() if entry.is_file()}
    return dict(sorted(found.items()))


def write_demo(path: Path) -> tuple[Path, ...]:
    """Write the invented job into the folder `path`, made where it is missing, and return the files.

    Parameters
    ----------
    path : Path
        Folder of the copy.

    Returns
    -------
    tuple of Path
        The files of the job, in order of their names.

    Raises
    ------
    InputError
        If a file of the same name is there and says something else: nobody's work is written over.
    """
    return write_files(demo_files(), path)


def write_files(content: Mapping[str, bytes], path: Path) -> tuple[Path, ...]:
    """Write files into a folder, and return them.

    Parameters
    ----------
    content : mapping
        Name within the folder to bytes.
    path : Path
        The folder, made where it is missing.

    Returns
    -------
    tuple of Path
        The files, in the order of `content`.

    Raises
    ------
    InputError
        If a file of the same name is there and says something else: nobody's work is written over.
    """
    edited = [name for name, data in content.items() if (path / name).exists() and (path / name).read_bytes() != data]
    if edited:
        allowed = f"a folder without other files named {', '.join(edited)}"
        raise InputError("folder of the demo job", str(path), "-", allowed)
    for name, data in content.items():
        (path / name).parent.mkdir(parents=True, exist_ok=True)
        (path / name).write_bytes(data)
    return tuple(path / name for name in content)
