"""Runs proved by their ring scans: from two files and the gauge readings to a verdict and a wall that can be drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from mainwright.prove.scans import ScannedMetre, judge_scan, least_asked
from mainwright.science.rings.thickness import CELL_LENGTH, CLOCK_CELLS
from mainwright.workflow.scan_ports import BareLength, Gauge, ScanOptions
from mainwright.workflow.scanning import scan_rings

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mainwright.job.records import BarePlace, ThicknessReading
    from mainwright.plan.result import LinedStretch, Run
    from mainwright.prove.scans import ScanProof
    from mainwright.science.rings.thickness import Grid
    from mainwright.science.rings.thin import ThinArea
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.scan_ports import MetreRow, PieceStore, RingSource, ScanSummary

__all__ = ["GAUGE_DEVIATION", "DrawnWall", "ScannedRun", "prove_scan"]

GAUGE_DEVIATION: Final = 0.0003
"""Of one gauge reading against the mean of the cell in which it stands; an assumption of this program. [m]"""

_ROWS: Final = 200
_COLUMNS: Final = 24


@dataclass(frozen=True, slots=True)
class DrawnWall:
    """The least thickness in some hundred steps of the run by 24 of the clock, from 12 o'clock clockwise; None where nothing was read. [m]."""

    start: float
    end: float
    rows: tuple[tuple[float | None, ...], ...]


@dataclass(frozen=True, slots=True)
class ScannedRun:
    """A run's verdict by its scans, and its wall."""

    proof: ScanProof
    wall: DrawnWall


class _Collected:
    """Keeps what a proof needs; of the grid only the least of coarse steps."""

    def __init__(self, run: Run) -> None:
        self._start, self._end = run.start, run.end
        self._least: NDArray[np.float64] = np.full((_ROWS, _COLUMNS), np.inf)
        self.profile: Sequence[MetreRow] = ()
        self.areas: Sequence[ThinArea] = ()

    def grid(self, first_cell: int, grid: Grid) -> None:
        """Add cells, in order of chainage."""
        middle = (np.arange(first_cell, first_cell + len(grid.thickness)) + 0.5) * CELL_LENGTH
        row = np.floor((middle - self._start) / (self._end - self._start) * _ROWS).astype(np.int64)
        inside = (row >= 0) & (row < _ROWS)
        known = np.where(np.isfinite(grid.thickness), grid.thickness, np.inf)
        coarse = known.reshape(len(known), _COLUMNS, CLOCK_CELLS // _COLUMNS).min(axis=2)
        np.minimum.at(self._least, row[inside], coarse[inside])

    def finish(self, *, profile: Sequence[MetreRow], areas: Sequence[ThinArea] | None, summary: ScanSummary) -> None:
        """Keep the rest."""
        self.profile, self.areas = profile, areas or ()

    def wall(self) -> DrawnWall:
        """Return the wall."""
        rows = tuple(tuple(float(value) if np.isfinite(value) else None for value in row) for row in self._least)
        return DrawnWall(self._start, self._end, rows)


def prove_scan(
    run: Run,
    stretches: Sequence[LinedStretch],
    *,
    cleaned: RingSource,
    lined: RingSource,
    readings: Sequence[ThicknessReading],
    bare: Sequence[BarePlace] = (),
    store: PieceStore,
    progress: Progress | None = None,
) -> ScannedRun:
    """Judge a run by the scans before and after lining.

    Parameters
    ----------
    run : Run
        The run as it was lined.
    stretches : sequence of LinedStretch
        The main with what the contract asks.
    cleaned, lined : RingSource
        Both passes, on the chainage of the main.
    readings : sequence of ThicknessReading
        Gauge readings of the job; those of the run over sound metal close the eccentricity where three stand round the clock.
    bare : sequence of BarePlace, optional
        Bare places of the job; the edges of those of the run close the eccentricity too.
    store : PieceStore
        Keeps reduced rings meanwhile.
    progress : callable, optional
        Told how many rings were read.

    Returns
    -------
    ScannedRun
        Its verdict and its wall.

    Raises
    ------
    InputError
        If the scans do not go together.
    """
    gauges = tuple(
        Gauge(one.chainage, one.clock, one.thickness)
        for one in readings
        if one.run == run.id and one.clock is not None and one.over != "pit" and one.state != "wet"
    )
    kept = _Collected(run)
    options = ScanOptions(
        minimum=least_asked(run, stretches),
        gauges=gauges,
        gauge_deviation=GAUGE_DEVIATION,
        bare=tuple(BareLength(one.start, one.end, one.kind == "pit") for one in bare if one.run == run.id),
        span=(run.start, run.end),
    )
    summary = scan_rings(cleaned=cleaned, lined=lined, options=options, store=store, writer=kept, progress=progress)
    proof = judge_scan(
        run,
        stretches,
        metres=[ScannedMetre(one.chainage, one.thickness_p05, one.thickness_p50, one.thickness_min) for one in kept.profile],
        areas=kept.areas,
        minimum=summary.thickness_min,
        minimum_deviation=summary.thickness_min_deviation,
        unseen=summary.unseen,
        unseen_because=summary.unseen_because,
    )
    return ScannedRun(proof, kept.wall())
