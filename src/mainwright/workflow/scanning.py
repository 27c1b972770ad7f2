"""From two ring scans to bore, thickness and thin areas: streamed, in bounded memory, and resumed where it was stopped."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from typing import TYPE_CHECKING, Final

import numpy as np

from mainwright.errors import InputError
from mainwright.science.rings.align import align_chainage, chainage_from_fixed, roll_offset
from mainwright.science.rings.eccentric import Unseen, unseen_from_gauges
from mainwright.science.rings.fit import COMPILED_FROM, reduce_rings
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
from mainwright.workflow.read_ahead import ahead
from mainwright.workflow.scan_ports import MetreRow, ScanSummary

if TYPE_CHECKING:
    from collections.abc import Callable, Generator

    from numpy.typing import NDArray

    from mainwright.science.rings.reduced import ReducedRings
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.scan_ports import PieceStore, Reducer, RingChunk, RingSource, ScanOptions, ScanWriter, WhichPass

__all__ = ["PIECE", "scan_rings"]

PIECE: Final = 2048
"""Rings of a piece."""

_BLOCK: Final = 10
"""Metres that are gathered at a time; the roll of the lined pass may differ from one to the next."""
_ROLL_REACH: Final = 0.05
_ROLL_SURE: Final = 0.02
_MOST_METRES: Final = 200_000
_READING_DEVIATION: Final = 0.00015
"""Standard deviation of the mean of a cell, without what cannot be seen: measured on simulated scans. [m]"""


@dataclass(frozen=True, slots=True)
class _Pass:
    """One pass once its rings are read: what each ring has once, and in which pieces the rings of a length are."""

    which: WhichPass
    odometer: NDArray[np.float64]
    radius: NDArray[np.float64]
    oval_up: NDArray[np.float64]
    oval_right: NDArray[np.float64]
    outward: NDArray[np.float64]
    piece: NDArray[np.int64]
    chainage: NDArray[np.float64]

    @property
    def unfit(self) -> int:
        """Rings that gave no circle."""
        return int(np.count_nonzero(~np.isfinite(self.radius)))


def scan_rings(
    *,
    cleaned: RingSource,
    lined: RingSource | None,
    options: ScanOptions,
    store: PieceStore,
    writer: ScanWriter,
    reducer: Reducer | None = None,
    progress: Progress | None = None,
) -> ScanSummary:
    """Read one or two scans, and write what they show.

    Parameters
    ----------
    cleaned : RingSource
        The pass before lining.
    lined : RingSource, optional
        The pass after it; without it only the bore is known.
    options : ScanOptions
        What a person says beside the scans.
    store : PieceStore
        Keeps reduced rings; what it has of the same files is not read again.
    writer : ScanWriter
        Writes what was found.
    reducer : Reducer, optional
        Where the rings are reduced, if not here.
    progress : callable, optional
        Told how many rings were read; to stop, it raises, and the pieces stay.

    Returns
    -------
    ScanSummary
        What the whole says of itself.

    Raises
    ------
    InputError
        If the scans have nothing in common, or too few sound rings.
    """
    total = cleaned.rings + (lined.rings if lined else 0)
    how = partial(_reduced, compiled=total >= COMPILED_FROM, wall=lined is not None)
    counts = {"cleaned": _read("cleaned", cleaned, store, how=how, reducer=reducer or _here, progress=progress, done=0, total=total)}
    if lined is not None:
        counts["lined"] = _read(
            "lined", lined, store, how=how, reducer=reducer or _here, progress=progress, done=cleaned.rings, total=total
        )
    first = _gathered("cleaned", counts["cleaned"], store, options)
    _check_length(first)
    if lined is None:
        summary = _bore_alone(first)
        writer.finish(profile=_profile(first, None, {}), areas=None, summary=summary)
        store.clear()
        return summary
    second = _gathered("lined", counts["lined"], store, options)
    aligned = align_chainage(
        chainage=first.chainage, radius=first.radius, outward=first.outward, second_odometer=second.chainage, second_radius=second.radius,
        second_outward=second.outward,
    )  # fmt: skip
    second = replace(second, chainage=aligned.chainage)
    summary = _Comparison(first, second, store, options, compiled=total >= COMPILED_FROM).write(writer)
    summary = replace(
        summary, lag_start=float(aligned.lag[0]), lag_end=float(aligned.lag[-1]), match=float(np.median(aligned.correlation)),
    )  # fmt: skip
    store.clear()
    return summary


def _reduced(chunk: RingChunk, *, compiled: bool, wall: bool) -> ReducedRings:
    return reduce_rings(radii=chunk.radii, roll=chunk.roll, compiled=compiled, wall=wall)


def _here(chunks: Generator[RingChunk], how: Callable[[RingChunk], ReducedRings]) -> Generator[tuple[RingChunk, ReducedRings]]:
    with closing(ahead(chunks)) as coming:
        for chunk in coming:
            yield chunk, how(chunk)


def _read(
    which: WhichPass,
    source: RingSource,
    store: PieceStore,
    *,
    how: Callable[[RingChunk], ReducedRings],
    reducer: Reducer,
    progress: Progress | None,
    done: int,
    total: int,
) -> int:
    """Reduce the rings of a pass that are not kept yet, and return how many pieces it has."""
    kind = "bore" if total == source.rings else "wall"
    count = store.begin(which, f"{source.identity}|{kind}")
    with closing(source.chunks(size=PIECE, skip=count)) as chunks, closing(reducer(chunks, how)) as reduced:
        for chunk, rings in reduced:
            store.save(which, count, chunk.odometer, rings)
            count += 1
            if progress is not None:
                progress(min(done + count * PIECE, done + source.rings, total), total)
    if progress is not None:
        progress(min(done + source.rings, total), total)
    if count == 0:
        raise InputError(f"rings of the {which} pass", 0, "", "at least 20")
    return count


def _gathered(which: WhichPass, count: int, store: PieceStore, options: ScanOptions) -> _Pass:
    pieces = [store.lines(which, index) for index in range(count)]
    lines = {name: np.concatenate([piece[name] for piece in pieces]) for name in pieces[0]}
    piece = np.repeat(np.arange(count), [piece["odometer"].size for piece in pieces])
    odometer = lines["odometer"]
    points = [one for one in options.fixed if one.which == which]
    chainage = odometer
    if points:
        chainage = chainage_from_fixed(
            odometer=odometer,
            fixed_odometer=np.array([one.odometer for one in points]),
            fixed_chainage=np.array([one.chainage for one in points]),
        )
    return _Pass(
        which, odometer, lines["radius"], lines["oval_up"], lines["oval_right"], lines["outward"], piece, chainage,
    )  # fmt: skip


def _check_length(first: _Pass) -> None:
    good = np.isfinite(first.chainage) & np.isfinite(first.radius)
    if np.count_nonzero(good) < 20:
        raise InputError("sound rings of the cleaned pass", int(np.count_nonzero(good)), "", "at least 20")
    length = float(np.ptp(first.chainage[good]))
    if length > _MOST_METRES:
        raise InputError("length of the cleaned pass", length, "m", f"at most {_MOST_METRES} m: is odometer_m in metres?")


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _metres(of: _Pass) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    good = np.isfinite(of.chainage) & np.isfinite(of.radius)
    return np.floor(of.chainage[good]).astype(np.int64), good


def _means(of: _Pass, values: NDArray[np.float64], first: int, count: int) -> NDArray[np.float64]:
    metre, good = _metres(of)
    inside = (metre >= first) & (metre < first + count)
    place = metre[inside] - first
    number = np.bincount(place, minlength=count)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.bincount(place, weights=values[good][inside], minlength=count) / number)


def _profile(first: _Pass, second: _Pass | None, statistics: dict[int, tuple[float, float, float]]) -> list[MetreRow]:
    """Return the metres of the cleaned pass, without those of which nothing is known."""
    metres, _ = _metres(first)
    low = int(np.min(metres))
    count = int(np.max(metres)) - low + 1
    bore = 2.0 * _means(first, first.radius, low, count)
    after = 2.0 * _means(second, second.radius, low, count) if second is not None else np.full(count, np.nan)
    up, right = _means(first, first.oval_up, low, count), _means(first, first.oval_right, low, count)
    with np.errstate(invalid="ignore"):
        ovality = 4.0 * np.hypot(up, right) / bore
    rows = []
    for index in range(count):
        if np.isnan(bore[index]) and np.isnan(after[index]):
            continue
        least = statistics.get(low + index, (np.nan, np.nan, np.nan))
        known = [_finite(one) for one in (bore[index], after[index], ovality[index], *least)]
        rows.append(MetreRow(float(low + index), *known))
    return rows


def _bore_alone(first: _Pass) -> ScanSummary:
    good = np.isfinite(first.radius) & np.isfinite(first.chainage)
    return ScanSummary(
        start=float(np.min(first.chainage[good])), end=float(np.max(first.chainage[good])), rings_cleaned=first.radius.size, rings_lined=0,
        unfit_cleaned=first.unfit, unfit_lined=0, bore_cleaned=2.0 * float(first.radius[good].mean()),
    )  # fmt: skip


class _Comparison:
    """Both passes on one chainage, gone through block by block."""

    def __init__(self, first: _Pass, second: _Pass, store: PieceStore, options: ScanOptions, *, compiled: bool) -> None:
        self._compiled = compiled
        self._first = first
        self._second = second
        self._options = options
        self._load = lru_cache(maxsize=6)(store.walls)
        # The roll of a block is smoothed over its neighbours: their walls are wanted again soon.
        self._both = lru_cache(maxsize=8)(self._walls)
        self._rolls: list[float] = []
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
    def _piece_ranges(of: _Pass) -> NDArray[np.float64]:
        """Return from where to where each piece goes."""
        starts = np.flatnonzero(np.concatenate(([True], np.diff(of.piece) > 0)))
        low = np.minimum.reduceat(np.where(np.isfinite(of.chainage), of.chainage, np.inf), starts)
        high = np.maximum.reduceat(np.where(np.isfinite(of.chainage), of.chainage, -np.inf), starts)
        return np.stack([low, high], axis=1)

    def _wall(self, of: _Pass, low: int, high: int) -> Wall:
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
        """Return what the gauge readings say, each against the cell that it stands in."""
        nothing = Unseen(np.empty(0), np.empty(0), np.empty(0), np.empty(0))
        if not self._options.gauges:
            return nothing
        rows = []
        for block, (low, high) in enumerate(self._blocks):
            here = [one for one in self._options.gauges if low <= np.floor(one.chainage * CELLS_PER_METRE) < high]
            if not here:
                continue
            grid = self._grid(block, nothing)
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
        unseen = self._unseen()
        statistics: dict[int, tuple[float, float, float]] = {}
        thin: list[tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]] = []
        least = (np.inf, 0, 0)
        unread = cells = 0
        medians = []
        for block, (low, high) in enumerate(self._blocks):
            grid = self._grid(block, unseen)
            writer.grid(low, grid)
            cells += grid.thickness.size
            missing = np.isnan(grid.thickness)
            unread += int(missing.sum())
            if not missing.all():
                place = int(np.nanargmin(grid.thickness))
                least = min(least, (float(grid.thickness.flat[place]), low + place // CLOCK_CELLS, place % CLOCK_CELLS))
            first_metre = low // CELLS_PER_METRE
            whole = np.full(((high - 1) // CELLS_PER_METRE - first_metre + 1) * CELLS_PER_METRE * CLOCK_CELLS, np.nan)
            offset = (low - first_metre * CELLS_PER_METRE) * CLOCK_CELLS
            whole[offset : offset + grid.thickness.size] = grid.thickness.ravel()
            found = metre_statistics(whole.reshape(-1, CLOCK_CELLS), quantiles=(0.05, 0.5, 0.0))
            for index, row in enumerate(found):
                statistics[first_metre + index] = (float(row[0]), float(row[1]), float(row[2]))
            medians.append(found[:, 1])
            if self._options.minimum is not None:
                rows, columns = np.nonzero(grid.thickness < self._options.minimum)
                thin.append((rows + low, columns, grid.thickness[rows, columns], grid.lined[rows, columns]))
        areas = None
        if self._options.minimum is not None:
            row, column, thickness, radius = (np.concatenate([one[part] for one in thin]) for part in range(4))
            areas = thin_areas(row=row, column=column, thickness=thickness, lined=radius)
        summary = self._summary(least, unseen, medians=np.concatenate(medians), unread=unread / cells, areas=areas)
        writer.finish(profile=_profile(self._first, self._second, statistics), areas=areas, summary=summary)
        return summary

    def _summary(
        self,
        least: tuple[float, int, int],
        unseen: Unseen,
        *,
        medians: NDArray[np.float64],
        unread: float,
        areas: tuple[object, ...] | None,
    ) -> ScanSummary:
        known = np.isfinite(medians)
        if not known.any():
            raise InputError("cells that both passes have read", 0, "", "some: do both files show the same length?")
        median = float(np.median(medians[known]))
        chainage = (least[1] + 0.5) * CELL_LENGTH
        deviation, because = self._eccentricity(chainage, unseen, median)
        lined = self._second.radius[np.isfinite(self._second.radius)]
        return replace(
            _bore_alone(self._first),
            rings_lined=self._second.radius.size, unfit_lined=self._second.unfit, bore_lined=2.0 * float(lined.mean()), thickness_p50=median,
            thickness_min=least[0], thickness_min_deviation=float(np.hypot(deviation, _READING_DEVIATION)), thickness_min_chainage=chainage,
            thickness_min_clock=(least[2] + 0.5) * 12.0 / CLOCK_CELLS, unseen=deviation, unseen_because=because,
            gauge_places=int(unseen.chainage.size), roll=float(np.median(self._rolls)), unread=unread, minimum=self._options.minimum,
            areas=None if areas is None else len(areas),
        )  # fmt: skip

    def _eccentricity(self, chainage: float, unseen: Unseen, median: float) -> tuple[float, str]:
        """Return one standard deviation of the eccentricity's component at a place, and where it comes from."""
        at = unseen.chainage
        if at.size and at[0] - 0.5 <= chainage <= at[-1] + 0.5:
            place = int(np.clip(np.searchsorted(at, chainage), 1, max(at.size - 1, 1)))
            if at.size == 1:
                return float(unseen.deviation[0]), "gauge readings there"
            apart = max(abs(unseen.up[place] - unseen.up[place - 1]), abs(unseen.right[place] - unseen.right[place - 1]))
            own = max(unseen.deviation[place], unseen.deviation[place - 1])
            return float(np.hypot(own, apart / 2.0)), "gauge readings before and after, and half of what they differ"
        if self._options.eccentricity is not None:
            return self._options.eccentricity, "entered"
        return median / 2.0, "nothing is known of it: anywhere between concentric and touching the wall"
