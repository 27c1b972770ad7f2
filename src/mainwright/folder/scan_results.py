"""What ring scans show, as files: profile, grid of thickness, thin areas, and what the whole says of itself."""

from __future__ import annotations

import csv
import json
from dataclasses import fields
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from mainwright.science.rings.thickness import CELL_LENGTH, CLOCK_CELLS
from mainwright.units import from_si, significant
from mainwright.words.message import Message
from mainwright.words.wording import word

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from mainwright.science.rings.thickness import Grid
    from mainwright.science.rings.thin import ThinArea
    from mainwright.workflow.scan_ports import MetreRow, ScanSummary

__all__ = ["ScanResults", "summary_document"]

_PROFILE: Final = ("chainage_m", "bore_cleaned_mm", "bore_lined_mm", "ovality", "thickness_p05_mm", "thickness_p50_mm", "thickness_min_mm")
_BORES: Final = ("chainage_m", "bore_mm", "clock", "method", "time", "who")
_AREAS: Final = ("from_m", "to_m", "clock_from", "clock_to", "area_cm2", "minimum_mm")
_GROUP: Final = 100_000
"""Cells that are written together at least, some 70 m."""
_UNITS: Final = {
    "start": "m", "end": "m", "bore_cleaned": "mm", "bore_lined": "mm", "thickness_p50": "mm", "thickness_min": "mm",
    "thickness_min_deviation": "mm", "thickness_min_chainage": "m", "unseen": "mm", "lag_start": "m", "lag_end": "m", "roll": "deg",
    "minimum": "mm",
}  # fmt: skip


class ScanResults:
    """Writes into one folder.

    Parameters
    ----------
    place : Path
        The folder.
    """

    def __init__(self, place: Path) -> None:
        self._place = place
        self._grid: Any = None
        self._waiting: list[tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]] = []

    def grid(self, first_cell: int, grid: Grid) -> None:
        """Add cells, in order of chainage."""
        rows = len(grid.thickness)
        middle = np.repeat((np.arange(first_cell, first_cell + rows) * 2 + 1) / round(2 / CELL_LENGTH), CLOCK_CELLS)
        self._waiting.append((middle, from_si(1.0, "mm") * grid.thickness.ravel(), grid.points.ravel()))
        if sum(one.size for one, _, _ in self._waiting) >= _GROUP:
            self._write_grid()

    def _write_grid(self) -> None:
        """Write what waits as one row group."""
        import pyarrow as pa
        import pyarrow.parquet as pq

        if not self._waiting:
            return
        middle, thickness, points = (np.concatenate([one[part] for one in self._waiting]) for part in range(3))
        self._waiting = []
        clock = np.tile((np.arange(CLOCK_CELLS) * 2 + 1) * 12.0 / (2 * CLOCK_CELLS), middle.size // CLOCK_CELLS)
        table = pa.table(
            {
                "chainage_m": pa.array(middle),
                "clock": pa.array(clock),
                "thickness_mm": pa.array(thickness.astype(np.float32), mask=np.isnan(thickness)),
                "points": pa.array(points.astype(np.int32)),
            }
        )
        if self._grid is None:
            # Hardly a thickness comes twice: a dictionary of them would be longer than they are.
            often = ["chainage_m", "clock", "points"]
            self._grid = pq.ParquetWriter(self._place / "thickness_grid.parquet", table.schema, compression="zstd", use_dictionary=often)
        self._grid.write_table(table)

    def finish(self, *, profile: Sequence[MetreRow], areas: Sequence[ThinArea] | None, summary: ScanSummary) -> None:
        """Write the rest."""
        self._write_grid()
        self.close()
        rows = (
            [
                row.chainage, _mm(row.bore_cleaned), _mm(row.bore_lined), _told(row.ovality), _mm(row.thickness_p05), _mm(row.thickness_p50),
                _mm(row.thickness_min),
            ]
            for row in profile
        )  # fmt: skip
        self._table("profile.csv", _PROFILE, rows)
        if not summary.rings_lined:
            # As the job folder wants it: a reading in the middle of each metre, twice the mean radius, so without a clock position.
            bores = (
                [_told(min(max(row.chainage + 0.5, summary.start), summary.end)), _mm(row.bore_cleaned), "", "scan", "", ""]
                for row in profile
                if row.bore_cleaned is not None
            )
            self._table("bore.csv", _BORES, bores)
        if areas is not None:
            told = (
                [
                    _told(one.start), _told(one.end), _told(one.clock_start), _told(one.clock_end), _told(from_si(one.area, "cm2")),
                    _mm(one.minimum),
                ]
                for one in areas
            )  # fmt: skip
            self._table("thin_areas.csv", _AREAS, told)
        (self._place / "rings.json").write_text(json.dumps(summary_document(summary), indent=1, allow_nan=False) + "\n", encoding="utf-8")

    def close(self) -> None:
        """Close the grid."""
        if self._grid is not None:
            self._grid.close()
            self._grid = None

    def _table(self, name: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
        with (self._place / name).open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(head)
            writer.writerows(rows)


def summary_document(summary: ScanSummary) -> dict[str, object]:
    """Return a summary as plain values, in the units of the files."""
    found: dict[str, object] = {}
    for one in fields(summary):
        name, value = one.name, getattr(summary, one.name)
        unit = _UNITS.get(name)
        if unit is not None:
            found[f"{name}_{unit}"] = None if value is None else significant(from_si(value, unit))
        elif isinstance(value, Message):
            found[name] = word(value, language="en", units="metric")
        else:
            found[name] = value
    return found


def _mm(value: float | None) -> float | str:
    return "" if value is None else significant(from_si(value, "mm"))


def _told(value: float | None) -> float | str:
    return "" if value is None else significant(value)
