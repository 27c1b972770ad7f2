"""One pass of a scan once its rings are reduced: what each ring has once, on the chainage of the main."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from mainwright.errors import InputError
from mainwright.science.rings.align import chainage_from_fixed
from mainwright.workflow.scan_ports import MetreRow, ScanSummary

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mainwright.workflow.scan_ports import PieceStore, ScanOptions, WhichPass

__all__ = ["ScannedPass", "bore_alone", "check_length", "gathered", "metre_rows"]

_MOST_METRES: Final = 200_000


@dataclass(frozen=True, slots=True)
class ScannedPass:
    """One pass once its rings are read: what each ring has once, and in which pieces the rings of a length are."""

    which: WhichPass
    odometer: NDArray[np.float64]
    radius: NDArray[np.float64]
    oval_up: NDArray[np.float64]
    oval_right: NDArray[np.float64]
    outward: NDArray[np.float64]
    piece: NDArray[np.int64]
    chainage: NDArray[np.float64]
    roll: NDArray[np.float64]
    centre: NDArray[np.float64]
    """Of the pipe as the sensor sees it, in the sensor's own frame, up and to the right; shape (2, n)."""
    head: NDArray[np.float64]
    """Where a survey found the sensor, up and to the right, and its deviation; NaN without; shape (3, n)."""

    def centre_seen(self, turn: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """Return the centre of the pipe against the sensor in the true frame, where what the sensor says of its roll is wrong by `turn`."""
        cosine, sine = np.cos(self.roll + turn), np.sin(self.roll + turn)
        up, right = self.centre
        return np.stack([up * cosine - right * sine, right * cosine + up * sine])

    @property
    def unfit(self) -> int:
        """Rings that gave no circle."""
        return int(np.count_nonzero(~np.isfinite(self.radius)))


def gathered(which: WhichPass, count: int, store: PieceStore, options: ScanOptions) -> ScannedPass:
    """Return a pass from its pieces, put on its fixed points."""
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
    return ScannedPass(
        which, odometer, lines["radius"], lines["oval_up"], lines["oval_right"], lines["outward"], piece, chainage, lines["roll"],
        np.stack([lines["up"], lines["right"]]), np.stack([lines[f"head_{name}"] for name in ("up", "right", "deviation")]),
    )  # fmt: skip


def check_length(first: ScannedPass) -> None:
    """Raise `InputError` if the cleaned pass is too short or too long to be one."""
    good = np.isfinite(first.chainage) & np.isfinite(first.radius)
    if np.count_nonzero(good) < 20:
        raise InputError("sound rings of the cleaned pass", int(np.count_nonzero(good)), "", "at least 20")
    length = float(np.ptp(first.chainage[good]))
    if length > _MOST_METRES:
        raise InputError("length of the cleaned pass", length, "m", f"at most {_MOST_METRES} m: is odometer_m in metres?")


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _metres(of: ScannedPass) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    good = np.isfinite(of.chainage) & np.isfinite(of.radius)
    return np.floor(of.chainage[good]).astype(np.int64), good


def _means(of: ScannedPass, values: NDArray[np.float64], first: int, count: int) -> NDArray[np.float64]:
    metre, good = _metres(of)
    inside = (metre >= first) & (metre < first + count)
    place = metre[inside] - first
    number = np.bincount(place, minlength=count)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.bincount(place, weights=values[good][inside], minlength=count) / number)


def metre_rows(first: ScannedPass, second: ScannedPass | None, statistics: dict[int, tuple[float, float, float]]) -> list[MetreRow]:
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


def bore_alone(first: ScannedPass) -> ScanSummary:
    """Return what the cleaned pass alone says."""
    good = np.isfinite(first.radius) & np.isfinite(first.chainage)
    return ScanSummary(
        start=float(np.min(first.chainage[good])), end=float(np.max(first.chainage[good])), rings_cleaned=first.radius.size, rings_lined=0,
        unfit_cleaned=first.unfit, unfit_lined=0, bore_cleaned=2.0 * float(first.radius[good].mean()),
    )  # fmt: skip
