"""A long invented job: the demo main laid end to end as often as is wanted, with as many fittings as are wanted."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import mainwright
from mainwright.folder.reading import read_files
from mainwright.folder.writing import folder_bytes

if TYPE_CHECKING:
    from mainwright.job.document import Document

__all__ = ["long_job"]

_ALONG = {
    "main": ("from_m", "to_m"),
    "ground": ("from_m", "to_m"),
    "permits": ("from_m", "to_m"),
    "features": ("chainage_m",),
    "services": ("chainage_m",),
    "levels": ("chainage_m",),
    "bore": ("chainage_m",),
    "feeds": ("chainage_m",),
}
_LENGTH = 1236
_MARROWBY = Path(mainwright.__file__).parent / "demo" / "marrowby"


def long_job(*, length: float = 10_000.0, features: int = 0, reference: str = "LONG-1") -> Document:
    """Return the document of a job whose main is as long as this, or a little longer.

    Parameters
    ----------
    length : float
        The demo main is repeated until it is reached. [m]
    features : int
        How many fittings there are at least: repair clamps, which change no layout, fill up what is missing. [-]
    reference : str
        Of the job. [-]

    Returns
    -------
    Document
        Without a line on the map.
    """
    files = {one.name: one.read_bytes() for one in sorted(_MARROWBY.iterdir()) if one.is_file() and one.suffix != ".geojson"}
    once = read_files(files).document
    copies = max(1, -(-int(length) // _LENGTH))
    tables: dict[str, Any] = dict(once.tables)
    for name, columns in _ALONG.items():
        tables[name] = [
            _moved(row, columns, number * _LENGTH, number)
            for number in range(copies)
            for row in once.rows(name)
            if _stays(name, row, number, copies)
        ]
    there = {row["chainage_m"] for row in tables["features"]}
    missing = features - len(tables["features"])
    if missing > 0:
        step = copies * _LENGTH / (missing + 1)
        places = [round((number + 0.5) * step, 2) for number in range(missing)]
        tables["features"] += [{"chainage_m": place, "kind": "repair_clamp"} for place in places if place not in there]
        tables["features"].sort(key=lambda row: row["chainage_m"])
    tables["job"] = [dict(once.rows("job")[0]) | {"reference": reference, "name": f"Long main {reference}"}]
    tables["crews"] = [dict(row) | {"last_day": "2029-12-31"} for row in once.rows("crews")]
    made = replace(once, tables=tables)
    read = read_files(folder_bytes(made))
    assert read.job is not None, [one.text for one in read.faults][:5]
    return read.document


def _stays(name: str, row: Any, number: int, copies: int) -> bool:  # noqa: ANN401 - cells of a table
    """Return whether a row is there in a copy: the main has one beginning and one end."""
    if name == "levels" and number > 0 and row["chainage_m"] == 0:
        return False
    return not (name == "features" and row["kind"] == "end" and number + 1 < copies)


def _moved(row: Any, columns: tuple[str, ...], by: int, number: int) -> dict[str, Any]:  # noqa: ANN401 - cells of a table
    moved = dict(row) | {name: round(row[name] + by, 3) for name in columns}
    if moved.get("ref") and number:
        moved["ref"] = f"{moved['ref']}-{number + 1}"
    return moved
