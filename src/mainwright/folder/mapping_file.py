"""The file of a mapping: TOML, and the lines at which its faults stand."""

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from mainwright.errors import FaultyInput
from mainwright.folder.limits import MOST_BYTES_TOML
from mainwright.folder.located import LocatedFault
from mainwright.folder.toml_text import Lines, read_toml_text
from mainwright.workflow.mapping import MappingFault

__all__ = ["mapping_faults", "read_mapping_file"]


def read_mapping_file(path: Path) -> tuple[Mapping[str, object], Lines]:
    """Return the TOML document of a mapping, and the lines of its keys.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    tuple
        Its tables, and where each key stands.

    Raises
    ------
    FaultyInput
        If it is no TOML; it keeps the faults with their lines.
    """
    with path.open("rb") as stream:
        read = read_toml_text(path.name, stream.read(MOST_BYTES_TOML + 1))
    if read.faults:
        raise FaultyInput(read.faults)
    return read.values, read.lines


def mapping_faults(faults: Iterable[object], *, file: str, lines: Lines) -> FaultyInput:
    """Return the faults of a mapping with the lines at which they stand.

    Parameters
    ----------
    faults : iterable of MappingFault
        What is wrong, by dotted key. [-]
    file : str
        Name of the mapping's file. [-]
    lines : mapping
        Where each key stands. [-]

    Returns
    -------
    FaultyInput
        To be raised; in order of the lines.
    """
    found: list[LocatedFault] = []
    for fault in faults:
        if isinstance(fault, MappingFault):
            path: tuple[str | int, ...] = tuple(int(part) if part.isdigit() else part for part in re.split(r"[.\[\]]+", fault.key) if part)
            line = 1
            for length in range(len(path), 0, -1):
                if path[:length] in lines:
                    line = lines[path[:length]]
                    break
            found.append(LocatedFault(file, line, fault.key, fault.message))
    found.sort(key=lambda fault: fault.line)
    return FaultyInput(found)
