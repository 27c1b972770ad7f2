"""What a use case of ring scans needs of the world outside, and what it gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from mainwright.science.rings.reduced import ReducedRings
    from mainwright.science.rings.thickness import Grid
    from mainwright.science.rings.thin import ThinArea
    from mainwright.words.message import Message

__all__ = [
    "BareLength",
    "FixedPoint",
    "Gauge",
    "MetreRow",
    "PieceStore",
    "Reducer",
    "RingChunk",
    "RingSource",
    "ScanOptions",
    "ScanSummary",
    "ScanWriter",
    "WhichPass",
]

WhichPass = Literal["cleaned", "lined"]


@dataclass(frozen=True, slots=True)
class RingChunk:
    """Rings as they were scanned: odometer [m] and roll [rad], shape (n,); radii [m], shape (n, m), NaN without echo.

    `head` is where a survey found the head, up and to the right in one frame for both passes, and one standard deviation of either [m], shape
    (3, n); None without a survey.
    """

    odometer: NDArray[np.float64]
    roll: NDArray[np.float64]
    radii: NDArray[np.float32]
    head: NDArray[np.float64] | None = None


class RingSource(Protocol):
    """The rings of one pass, in a file."""

    @property
    def rings(self) -> int:
        """How many rings there are, about."""
        ...

    @property
    def identity(self) -> str:
        """What tells this file, as it is, from any other."""
        ...

    def chunks(self, *, size: int, skip: int) -> Generator[RingChunk]:
        """Give rings by `size` (the last may be less), after `skip` such chunks."""
        ...


class Reducer(Protocol):
    """Reduces the rings of many chunks, here or elsewhere."""

    def __call__(self, chunks: Generator[RingChunk], how: Callable[[RingChunk], ReducedRings]) -> Generator[tuple[RingChunk, ReducedRings]]:
        """Give each chunk with what `how` makes of it, in the order of `chunks`."""
        ...


class PieceStore(Protocol):
    """Keeps reduced rings between the steps, and between a run that was stopped and the next."""

    def begin(self, which: WhichPass, identity: str) -> int:
        """Return how many pieces of this pass are there already; those of another file are thrown away."""
        ...

    def save(self, which: WhichPass, index: int, chunk: RingChunk, rings: ReducedRings) -> None:
        """Keep a piece: what its rings have once, and their walls."""
        ...

    def lines(self, which: WhichPass, index: int) -> dict[str, NDArray[np.float64]]:
        """Return what a piece has once for each ring, by name, without its wall."""
        ...

    def walls(self, which: WhichPass, index: int) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
        """Return the wall of the rings of a piece, and the points behind it."""
        ...

    def clear(self) -> None:
        """Throw all pieces away: the work is done."""
        ...


@dataclass(frozen=True, slots=True)
class MetreRow:
    """One metre of the profile, in SI; None where it is not known."""

    chainage: float
    bore_cleaned: float | None
    bore_lined: float | None
    ovality: float | None
    thickness_p05: float | None
    thickness_p50: float | None
    thickness_min: float | None


@dataclass(frozen=True, slots=True)
class ScanSummary:
    """What the whole says of itself, in SI; None where a single pass has nothing to say.

    Attributes
    ----------
    start, end
        Chainage of the first and the last ring. [m]
    rings_cleaned, rings_lined, unfit_cleaned, unfit_lined
        Rings, and those of them that gave no circle.
    bore_cleaned, bore_lined, thickness_p50, thickness_min
        Of the whole. [m]
    thickness_min_deviation, thickness_min_chainage, thickness_min_clock
        One standard deviation of the smallest thickness with what cannot be seen in it [m]; where it is [m, hours].
    unseen, unseen_because
        Standard deviation of the lining's eccentricity, of one component [m], and where that comes from.
    gauge_places
        Places at which gauge readings, bare places or surveys of the head fix the eccentricity.
    lag_start, lag_end, match
        Odometer of the lined pass less the chainage, at both ends [m]; median correlation of the windows.
    roll
        By how much the lined pass was turned. [rad]
    unread
        Share of the cells where a pass has too few points: openings, and what no echo came from.
    minimum
        What is thin. [m]
    areas
        Thin areas, None where nobody said what is thin.
    """

    start: float
    end: float
    rings_cleaned: int
    rings_lined: int
    unfit_cleaned: int
    unfit_lined: int
    bore_cleaned: float
    bore_lined: float | None = None
    thickness_p50: float | None = None
    thickness_min: float | None = None
    thickness_min_deviation: float | None = None
    thickness_min_chainage: float | None = None
    thickness_min_clock: float | None = None
    unseen: float | None = None
    unseen_because: Message | None = None
    gauge_places: int = 0
    lag_start: float | None = None
    lag_end: float | None = None
    match: float | None = None
    roll: float | None = None
    unread: float | None = None
    minimum: float | None = None
    areas: int | None = None


class ScanWriter(Protocol):
    """Writes what was found."""

    def grid(self, first_cell: int, grid: Grid) -> None:
        """Add cells, in order of chainage."""
        ...

    def finish(self, *, profile: Sequence[MetreRow], areas: Sequence[ThinArea] | None, summary: ScanSummary) -> None:
        """Write the rest."""
        ...


@dataclass(frozen=True, slots=True)
class FixedPoint:
    """A reading of a pass's odometer where the chainage is known, in metres."""

    which: WhichPass
    odometer: float
    chainage: float


@dataclass(frozen=True, slots=True)
class Gauge:
    """A spot reading: chainage [m], clock [hours], thickness [m]."""

    chainage: float
    clock: float
    thickness: float


@dataclass(frozen=True, slots=True)
class BareLength:
    """A length of bare metal in both scans, in metres: an open end (`pit`), where no lining is meant to be, or a fitting within the lining."""

    start: float
    end: float
    pit: bool


@dataclass(frozen=True, slots=True)
class ScanOptions:
    """What a person says beside the scans, in SI.

    Attributes
    ----------
    minimum
        What is thin. [m]
    fixed
        Fixed points of either pass.
    gauges
        Spot readings of the thickness.
    eccentricity
        Standard deviation of one component of the lining's eccentricity, where somebody knows it. [m]
    gauge_deviation
        Standard deviation of a spot reading against the scans. [m]
    bare
        Lengths of bare metal: their edges are a reference that both passes have in common.
    span
        Where the lining is: what lies outside is not asked for the smallest thickness. [m]
    """

    minimum: float | None = None
    fixed: tuple[FixedPoint, ...] = ()
    gauges: tuple[Gauge, ...] = ()
    eccentricity: float | None = None
    gauge_deviation: float | None = None
    bare: tuple[BareLength, ...] = ()
    span: tuple[float, float] | None = None
