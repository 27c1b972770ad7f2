"""Cells of a job folder that a spreadsheet would take for a formula."""

import csv
from pathlib import Path

from mainwright.job.table import harmless_text

__all__ = ["formula_cells"]


def formula_cells(folder: Path) -> tuple[str, ...]:
    """Return the cells of a folder's CSV files that a spreadsheet would take for a formula.

    The files are written as they were typed, so that they are read back the same: whoever gives them away is told.

    Parameters
    ----------
    folder : Path
        The job folder.

    Returns
    -------
    tuple of str
        File, line and column of each; numbers are none.
    """
    found = []
    for path in sorted(folder.rglob("*.csv")):
        with path.open(encoding="utf-8", errors="replace", newline="") as file:
            reader = csv.reader(file)
            header: list[str] = []
            for cells in reader:
                header = header or cells
                for place, text in enumerate(cells):
                    if harmless_text(text) != text and not _is_number(text):
                        name = header[place] if place < len(header) else str(place + 1)
                        found.append(f"{path.relative_to(folder).as_posix()}, line {reader.line_num}, {name}")
    return tuple(found)


def _is_number(text: str) -> bool:
    try:
        float(text.replace(",", "."))
    except ValueError:
        return False
    return True
