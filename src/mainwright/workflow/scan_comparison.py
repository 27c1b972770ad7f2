"""Two passes on one chainage, gone through block by block: thickness, roll, and what they cannot see."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np

from mainwright.errors import InputError
from mainwright.science.rings.align import roll_offset
from mainwright.science.rings.eccentric import EDGE, Unseen, centre_jump, joined, unseen_from_gauges, unseen_from_paths
from mainwright.science.rings.reduced import CLOCK_BINS
from mainwright.science.rings.thickness import (
    CELL_LENGTH,
    CELLS_PER_METRE,
    CLOCK_CELLS,
    Grid,
    Wall,
    fold,
    metre_statistics,
    thickness_grid,
    turned,
)
from mainwright.science.rings.thin import thin_areas
from mainwright.words.message import message
from mainwright.workflow.read_ahead import ahead
from mainwright.workflow.scan_passes import bore_alone, metre_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Generator
    from concurrent.futures import Future

    from numpy.typing import NDArray

    from mainwright.science.rings.thin import ThinArea
    from mainwright.words.message import Message
    from mainwright.workflow.scan_passes import ScannedPass
    from mainwright.workflow.scan_ports import PieceStore, ScanOptions, ScanSummary, ScanWriter

__all__ = ["Comparison"]

_BLOCK: Final = 10
"""Metres that are gathered at a time; the roll of the lined pass may differ from one to the next."""
_ROLL_REACH: Final = 0.05
_ROLL_SURE: Final = 0.02
_READING_DEVIATION: Final = 0.00015
"""Standard deviation of the mean of a cell, without what cannot be seen: measured on simulated scans. [m]"""

_GAUGES: Final = message("gauge readings")
_BARE: Final = message("bare places")
_SURVEY: Final = message("the surveyed way of the head")

_NOTHING: Final = Unseen(np.empty(0), np.empty(0), np.empty(0), np.empty(0))


class _Kept:
    """What is kept of the grid while it goes by."""

    def __init__(self, options: ScanOptions) -> None:
        self._minimum = options.minimum
        self._pits = tuple(one for one in options.bare if one.pit)
        self._span = options.span
        self._thin: list[tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]] = []
        self.metres: dict[int, tuple[float, float, float]] = {}
        self.medians: list[NDArray[np.float64]] = []
        self.least = (np.inf, 0, 0)
        self.unread = self.cells = 0

    def add(self, low: int, grid: Grid) -> None:
        """Take the cells from one on."""
        self.cells += grid.thickness.size
        self.unread += int(np.isnan(grid.thickness).sum())
        thickness = self._asked(low, grid.thickness)
        inside = thickness
        if self._span is not None:
            middle = (np.arange(low, low + len(thickness)) + 0.5) * CELL_LENGTH
            inside = np.where(((middle > self._span[0]) & (middle < self._span[1]))[:, None], thickness, np.nan)
        if not np.isnan(inside).all():
            place = int(np.nanargmin(inside))
            self.least = min(self.least, (float(inside.flat[place]), low + place // CLOCK_CELLS, place % CLOCK_CELLS))
        first = low // CELLS_PER_METRE
        whole = np.full(((low + len(thickness) - 1) // CELLS_PER_METRE - first + 1) * CELLS_PER_METRE * CLOCK_CELLS, np.nan)
        offset = (low - first * CELLS_PER_METRE) * CLOCK_CELLS
        whole[offset : offset + thickness.size] = thickness.ravel()
        found = metre_statistics(whole.reshape(-1, CLOCK_CELLS), quantiles=(0.05, 0.5, 0.0))
        for index, row in enumerate(found):
            self.metres[first + index] = (float(row[0]), float(row[1]), float(row[2]))
        self.medians.append(found[:, 1])
        if self._minimum is not None:
            rows, columns = np.nonzero(thickness < self._minimum)
            self._thin.append((rows + low, columns, thickness[rows, columns], grid.lined[rows, columns]))

    def _asked(self, low: int, thickness: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the cells without those of open ends, which nobody lined."""
        start, end = np.arange(low, low + len(thickness)) * CELL_LENGTH, np.arange(low + 1, low + len(thickness) + 1) * CELL_LENGTH
        bare = np.zeros(len(thickness), dtype=np.bool_)
        for one in self._pits:
            # The edge is not sharp: what lies next to it belongs to neither.
            bare |= (end > one.start - EDGE) & (start < one.end + EDGE)
        return np.where(bare[:, None], np.nan, thickness) if bare.any() else thickness

    def areas(self) -> tuple[ThinArea, ...] | None:
        """Return the thin areas, None where nobody said what is thin."""
        if self._minimum is None:
            return None
        row, column, thickness, radius = (np.concatenate([one[part] for one in self._thin]) for part in range(4))
        return thin_areas(row=row, column=column, thickness=thickness, lined=radius)


class Comparison:
    """Both passes on one chainage, gone through block by block."""

    def __init__(self, first: ScannedPass, second: ScannedPass, store: PieceStore, options: ScanOptions, *, compiled: bool) -> None:
        self._compiled = compiled
        self._first = first
        self._second = second
        self._options = options
        self._load = lru_cache(maxsize=6)(store.walls)
        # The roll of a block is smoothed over its neighbours: their walls are wanted again soon.
        self._coming: Callable[[int], Future[tuple[Wall, Wall]]]
        self._rolls: list[float] = []
        self._kinds: list[Message] = []
        self._near = 0.0
        ends = [
            (np.min(one.chainage[good]), np.max(one.chainage[good])) for one in (first, second) for good in (np.isfinite(one.chainage),)
        ]
        low, high = max(one for one, _ in ends), min(one for _, one in ends)
        self._start = int(np.floor(low * CELLS_PER_METRE))
        self._stop = int(np.floor(high * CELLS_PER_METRE)) + 1
        size = _BLOCK * CELLS_PER_METRE
        numbers = range(self._start // size, (self._stop - 1) // size + 1)
        self._blocks = [(max(block * size, self._start), min((block + 1) * size, self._stop)) for block in numbers]
        self._ranges = {one.which: self._piece_ranges(one) for one in (first, second)}
        self._starts = {one.which: np.searchsorted(one.piece, np.arange(int(one.piece[-1]) + 2)) for one in (first, second)}

    @staticmethod
    def _piece_ranges(of: ScannedPass) -> NDArray[np.float64]:
        """Return from where to where each piece goes."""
        starts = np.flatnonzero(np.concatenate(([True], np.diff(of.piece) > 0)))
        low = np.minimum.reduceat(np.where(np.isfinite(of.chainage), of.chainage, np.inf), starts)
        high = np.maximum.reduceat(np.where(np.isfinite(of.chainage), of.chainage, -np.inf), starts)
        return np.stack([low, high], axis=1)

    def _wall(self, of: ScannedPass, low: int, high: int) -> Wall:
        sums = np.zeros((high - low, CLOCK_BINS))
        points = np.zeros((high - low, CLOCK_BINS))
        ranges = self._ranges[of.which]
        touching = np.flatnonzero((ranges[:, 0] < high * CELL_LENGTH) & (ranges[:, 1] >= low * CELL_LENGTH))
        for index in touching:
            wall, behind = self._load(of.which, int(index))
            chainage = of.chainage[self._starts[of.which][index] : self._starts[of.which][index + 1]]
            chainage = np.where(np.isfinite(chainage), chainage, -1e9)
            part = fold(chainage=chainage, wall=wall, points=behind, first_cell=low, cells=high - low, compiled=self._compiled)
            sums += part.sums
            points += part.points
        return Wall(sums, points)

    def _walls(self, block: int) -> tuple[Wall, Wall]:
        low, high = self._blocks[block]
        return self._wall(self._first, low, high), self._wall(self._second, low, high)

    def _both(self, block: int) -> tuple[Wall, Wall]:
        """Return both walls of a block; those of the next are gathered meanwhile."""
        found = self._coming(block)
        if block + 1 < len(self._blocks):
            self._coming(block + 1)
        return found.result()

    def _about(self) -> float:
        """Return about by how much the lined pass is turned: as the strongest of the first blocks says."""
        pairs = [self._both(block) for block in range(min(5, len(self._blocks)))]
        found = [roll_offset(wall=one.radius(), second=two.radius(), about=0.0, within=np.pi) for one, two in pairs]
        return max(found, key=lambda one: one[1])[0]

    def _roll(self, block: int) -> float:
        """Return by how much the lined pass is turned in a block: near where it was before, and the middle of what its neighbours say."""
        rolls = self._rolls
        if not rolls:
            self._near = self._about()
        while len(rolls) < min(block + 3, len(self._blocks)):
            one, two = self._both(len(rolls))
            offset, strength = roll_offset(wall=one.radius(), second=two.radius(), about=self._near, within=_ROLL_REACH)
            rolls.append(offset if strength >= _ROLL_SURE else self._near)
            self._near = float(np.median(rolls[-5:]))
        return float(np.median(rolls[max(0, block - 2) : block + 3]))

    def _grids(self, unseen: Unseen) -> Generator[tuple[int, Grid]]:
        for block, (low, _) in enumerate(self._blocks):
            yield low, self._grid(block, unseen)

    def _grid(self, block: int, unseen: Unseen) -> Grid:
        low, high = self._blocks[block]
        roll = self._roll(block)
        middle = (np.arange(low, high) + 0.5) * CELL_LENGTH
        up = right = np.zeros(high - low)
        if unseen.chainage.size:
            up, right = np.interp(middle, unseen.chainage, unseen.up), np.interp(middle, unseen.chainage, unseen.right)
        cleaned, lined = self._both(block)
        return thickness_grid(cleaned=cleaned, lined=turned(lined, offset=roll), up=up, right=right)

    def _unseen(self) -> Unseen:
        """Return what all references of both passes say together."""
        parts = {_GAUGES: self._from_gauges(), _BARE: self._from_bare(), _SURVEY: self._from_paths()}
        self._kinds = [kind for kind, one in parts.items() if one.chainage.size]
        return joined([one for one in parts.values() if one.chainage.size] or [_NOTHING])

    def _from_bare(self) -> Unseen:
        """Return what the centre of the lined pipe does at the edges of bare places, less what that of the cleaned one does there."""
        rows = []
        low, high = self._start * CELL_LENGTH, self._stop * CELL_LENGTH
        for bare in self._options.bare:
            for edge, towards in ((bare.start, -1.0), (bare.end, 1.0)):
                if not low < edge < high:
                    continue
                block = next(place for place, (_, end) in enumerate(self._blocks) if edge < end * CELL_LENGTH)
                jumps = []
                for one, turn in ((self._first, 0.0), (self._second, self._roll(block))):
                    near = np.abs(one.chainage - edge) <= 1.0
                    up, right = one.centre_seen(turn)[:, near]
                    jumps.append(centre_jump(chainage=one.chainage[near], up=up, right=right, edge=edge, reach=bare.end - bare.start))
                before, after = jumps
                if before is not None and after is not None:
                    # The lined bore's centre lies on the thin side; the jump is from bare to lined on one edge, from lined to bare on the other.
                    up, right = towards * (before.up - after.up), towards * (before.right - after.right)
                    rows.append((edge, up, right, float(np.hypot(before.deviation, after.deviation))))
        table = np.array(sorted(rows), dtype=np.float64).reshape(-1, 4)
        return Unseen(table[:, 0], table[:, 1], table[:, 2], table[:, 3])

    def _from_paths(self) -> Unseen:
        """Return what the centres say where a survey knows where both heads were: each in the one frame, against the other."""
        first, second = self._first, self._second
        if not (np.isfinite(first.head).any() and np.isfinite(second.head).any()):
            return _NOTHING
        turns = np.array([self._roll(block) for block in range(len(self._blocks))])
        ends = np.array([end * CELL_LENGTH for _, end in self._blocks])
        cells = np.arange(self._start, self._stop)
        lines = []
        for one in (first, second):
            known = np.isfinite(one.chainage)
            place = np.minimum(np.searchsorted(ends, np.where(known, one.chainage, 0.0), side="right"), turns.size - 1)
            seen = one.centre_seen(turns[place] if one is second else 0.0)
            lines.append(self._cell_means(one, np.concatenate([seen + one.head[:2], one.head[2:]]), cells))
        return unseen_from_paths(
            chainage=np.asarray((cells + 0.5) * CELL_LENGTH, dtype=np.float64),
            up=lines[0][0] - lines[1][0],
            right=lines[0][1] - lines[1][1],
            deviation=np.hypot(lines[0][2], lines[1][2]),
        )

    @staticmethod
    def _cell_means(of: ScannedPass, values: NDArray[np.float64], cells: NDArray[np.int64]) -> NDArray[np.float64]:
        good = np.isfinite(values).all(axis=0) & np.isfinite(of.chainage)
        place = np.floor(of.chainage[good] * CELLS_PER_METRE).astype(np.int64) - cells[0]
        inside = (place >= 0) & (place < cells.size)
        number = np.bincount(place[inside], minlength=cells.size)
        with np.errstate(invalid="ignore", divide="ignore"):
            rows = [np.bincount(place[inside], weights=row[good][inside], minlength=cells.size) / number for row in values]
        return np.stack(rows)

    def _from_gauges(self) -> Unseen:
        """Return what the gauge readings say, each against the cell that it stands in."""
        if not self._options.gauges:
            return _NOTHING
        rows = []
        for block, (low, high) in enumerate(self._blocks):
            here = [one for one in self._options.gauges if low <= np.floor(one.chainage * CELLS_PER_METRE) < high]
            if not here:
                continue
            grid = self._grid(block, _NOTHING)
            for one in here:
                cell = int(np.floor(one.chainage * CELLS_PER_METRE)) - low
                column = int(np.floor(one.clock * CLOCK_CELLS / 12.0)) % CLOCK_CELLS
                shown = grid.thickness[cell, column]
                if np.isfinite(shown):
                    rows.append((one.chainage, one.clock * np.pi / 6.0, one.thickness - shown))
        table = np.array(rows, dtype=np.float64).reshape(-1, 3)
        deviation = self._options.gauge_deviation
        if deviation is None:
            raise InputError("deviation of a gauge reading", "not given", "", "a thickness in mm, with the readings of the gauge")
        return unseen_from_gauges(
            chainage=table[:, 0], angle=table[:, 1], excess=table[:, 2], gauge_deviation=float(np.hypot(deviation, _READING_DEVIATION))
        )

    def write(self, writer: ScanWriter) -> ScanSummary:
        """Write the grid, the profile and the thin areas, and return what the whole says."""
        with ThreadPoolExecutor(1) as pool:
            self._coming = lru_cache(maxsize=10)(lambda block: pool.submit(self._walls, block))
            unseen = self._unseen()
            kept = _Kept(self._options)
            with closing(ahead(self._grids(unseen))) as grids:
                for low, grid in grids:
                    writer.grid(low, grid)
                    kept.add(low, grid)
        areas = kept.areas()
        summary = self._summary(kept, unseen, areas=None if areas is None else len(areas))
        writer.finish(profile=metre_rows(self._first, self._second, kept.metres), areas=areas, summary=summary)
        return summary

    def _summary(self, kept: _Kept, unseen: Unseen, *, areas: int | None) -> ScanSummary:
        medians = np.concatenate(kept.medians)
        least = kept.least
        known = np.isfinite(medians)
        if not known.any():
            raise InputError("cells that both passes have read", 0, "", "some: do both files show the same length?")
        median = float(np.median(medians[known]))
        chainage = (least[1] + 0.5) * CELL_LENGTH
        deviation, because = self._eccentricity(chainage, unseen, median)
        lined = self._second.radius[np.isfinite(self._second.radius)]
        return replace(
            bore_alone(self._first),
            rings_lined=self._second.radius.size, unfit_lined=self._second.unfit, bore_lined=2.0 * float(lined.mean()), thickness_p50=median,
            thickness_min=least[0], thickness_min_deviation=float(np.hypot(deviation, _READING_DEVIATION)), thickness_min_chainage=chainage,
            thickness_min_clock=(least[2] + 0.5) * 12.0 / CLOCK_CELLS, unseen=deviation, unseen_because=because,
            gauge_places=int(unseen.chainage.size), roll=float(np.median(self._rolls)), unread=kept.unread / kept.cells, minimum=self._options.minimum,
            areas=areas,
        )  # fmt: skip

    def _eccentricity(self, chainage: float, unseen: Unseen, median: float) -> tuple[float, Message]:
        """Return one standard deviation of the eccentricity's component at a place, and where it comes from."""
        at = unseen.chainage
        if at.size and at[0] - 0.5 <= chainage <= at[-1] + 0.5:
            place = int(np.clip(np.searchsorted(at, chainage), 1, max(at.size - 1, 1)))
            by = self._kinds[0]
            for one in self._kinds[1:]:
                by = message("{one} and {other}", one=by, other=one)
            if at.size == 1:
                return float(unseen.deviation[0]), message("{by} there", by=by)
            apart = max(abs(unseen.up[place] - unseen.up[place - 1]), abs(unseen.right[place] - unseen.right[place - 1]))
            own = max(unseen.deviation[place], unseen.deviation[place - 1])
            return float(np.hypot(own, apart / 2.0)), message("{by} before and after, and half of what they differ", by=by)
        if self._options.eccentricity is not None:
            return self._options.eccentricity, message("entered")
        return median / 2.0, message("nothing is known of it: anywhere between concentric and touching the wall")
