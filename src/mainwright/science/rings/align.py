"""Two passes made to meet: the chainage of the second along the first, and how much it is turned."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache, partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from mainwright.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

__all__ = ["Alignment", "align_chainage", "chainage_from_fixed", "roll_offset"]

_STEP: Final = 0.005
"""Spacing of the feature line. [m]"""
_TREND: Final = 0.3
"""What is longer than this in the mean radius is no feature. [m]"""
_START: Final = 0.25
"""How far the second odometer may start from the first, with a margin. [m]"""
_DRIFT: Final = 0.006
"""How much it may drift along the main, with a margin. [-]"""
_COARSE: Final = (16.0, 4.0, 0.015)
_FINE: Final = (8.0, 2.0, 0.005)
"""Length of a window, distance to the next, and smear. [m]"""
_FINE_REACHES: Final = (0.10, 0.03, 0.03)
"""How far each further round looks: what a round leaves of the slope within a window, the next takes out. [m]"""
_LEAST_SLIP: Final = 0.03
_SLACK: Final = 2e-3
"""What a change of lag by one step costs, in units of correlation."""
_MANY: Final = 20_000
"""Places that are enough for the spread of a line."""
_FEW_LAGS: Final = 30
"""Up to so many either way they are correlated one by one, which is sooner done than by transforms."""
_DROPPED: Final = 4
"""Harmonics of the clock below this are ovality and the pattern of the lining, which are no marks of the wall."""
_FOLDED: Final = 4
"""Harmonics over the steps of the clock by this are left out: finer marks than a step fold into them, and would draw the turn to whole steps."""


@dataclass(frozen=True, slots=True)
class Alignment:
    """Where the second pass lies along the first.

    Attributes
    ----------
    chainage
        Chainage of each ring of the second pass. [m], shape (n,)
    correlation
        Normalised correlation of each window at its lag. [-], shape (k,)
    lag
        Odometer of the second pass less the chainage, at each window. [m], shape (k,)
    """

    chainage: NDArray[np.float64]
    correlation: NDArray[np.float64]
    lag: NDArray[np.float64]


def chainage_from_fixed(
    *, odometer: NDArray[np.float64], fixed_odometer: NDArray[np.float64], fixed_chainage: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the chainage of odometer readings between fixed points.

    Parameters
    ----------
    odometer : ndarray of float, shape (n,)
        Readings. [m]
    fixed_odometer : ndarray of float, shape (k,)
        Readings at places of known chainage. [m]
    fixed_chainage : ndarray of float, shape (k,)
        Their chainage. One point shifts; more also stretch, outside them as between the nearest two. [m]

    Returns
    -------
    ndarray of float, shape (n,)
        Chainage. [m]

    Raises
    ------
    InputError
        If there is none, two readings are alike, or the odometer would be wrong by over 2 % between two points.

    References
    ----------
    Derived here: linear between points.
    """
    if fixed_odometer.size == 0 or fixed_odometer.shape != fixed_chainage.shape:
        raise InputError(
            "fixed points", f"{fixed_odometer.size} readings and {fixed_chainage.size} chainages", "", "as many of both, at least one"
        )
    order = np.argsort(fixed_odometer, kind="stable")
    at, true = fixed_odometer[order], fixed_chainage[order]
    if at.size == 1:
        return np.asarray(odometer + (true[0] - at[0]))
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = np.diff(true) / np.diff(at)
    bad = np.flatnonzero(~(np.abs(slope - 1.0) <= 0.02))
    if bad.size:
        first = int(bad[0])
        raise InputError(
            "stretch of the odometer between fixed points",
            f"{slope[first]:.4g} from {at[first]:g} m to {at[first + 1]:g} m",
            "",
            "0.98 to 1.02",
        )
    place = np.clip(np.searchsorted(at, odometer, side="right") - 1, 0, slope.size - 1)
    return np.asarray(true[place] + (odometer - at[place]) * slope[place])


def align_chainage(
    *,
    chainage: NDArray[np.float64],
    radius: NDArray[np.floating[Any]],
    outward: NDArray[np.floating[Any]],
    second_odometer: NDArray[np.float64],
    second_radius: NDArray[np.floating[Any]],
    second_outward: NDArray[np.floating[Any]],
) -> Alignment:
    """Return the chainage of each ring of a second pass, from the joints and openings that both have seen.

    Parameters
    ----------
    chainage : ndarray of float, shape (n,)
        Chainage of the rings of the first pass. [m]
    radius : ndarray of float, shape (n,)
        Their mean radius. [m]
    outward : ndarray of float, shape (n,)
        Their share of points far outside. [-]
    second_odometer : ndarray of float, shape (k,)
        Odometer of the rings of the second pass. [m]
    second_radius : ndarray of float, shape (k,)
        Their mean radius. [m]
    second_outward : ndarray of float, shape (k,)
        Their share of points far outside. [-]

    Returns
    -------
    Alignment
        Chainage of each ring of the second pass, and how sure it is.

    Raises
    ------
    InputError
        If the two have less than a metre in common, or a pass has too few sound rings.

    Notes
    -----
    Windows of both feature lines are correlated over all lags that an odometer can have there; the best path over the windows is found by
    dynamic programming under a limit of slip from window to window, beginning where the odometers must nearly agree: pipes are of one length,
    and a window alone would as soon lock one pipe off. A second round with the drift taken out and shorter windows gives the lag to a
    fraction of a ring.

    References
    ----------
    A. J. Viterbi, Error bounds for convolutional codes, IEEE Transactions on Information Theory 13 (1967) 260-269, the recursion.
    """
    first = _sound(chainage, radius, outward)
    second = _sound(second_odometer, second_radius, second_outward)
    low = max(first[0][0], second[0][0] - _START)
    high = min(first[0][-1], second[0][-1] + _START)
    if high - low < 1.0:
        raise InputError(
            "length that both passes share", f"{first[0][0]:.3f} to {first[0][-1]:.3f} m and {second[0][0]:.3f} to {second[0][-1]:.3f} m", "",
            "at least 1 m in common; fixed points can shift a pass",
        )  # fmt: skip
    begin = float(second[0][0])
    marks = lru_cache(maxsize=2)(partial(_marks, first, low, high))
    knots, lags, _ = _path(marks, second, low=low, high=high, begin=begin, shape=_COARSE, reach=None, before=None)
    score = np.zeros(knots.size)
    for reach in _FINE_REACHES:
        knots, lags, score = _path(marks, second, low=low, high=high, begin=begin, shape=_FINE, reach=reach, before=(knots, lags))
    return Alignment(_extended(second_odometer, knots + lags, knots), score, lags)


def _sound(
    place: NDArray[np.float64], radius: NDArray[np.floating[Any]], outward: NDArray[np.floating[Any]]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    good = np.isfinite(radius) & np.isfinite(place)
    if np.count_nonzero(good) < 20:
        raise InputError("sound rings of a pass", int(np.count_nonzero(good)), "", "at least 20")
    order = np.argsort(place[good], kind="stable")
    return place[good][order], radius[good][order].astype(np.float64), outward[good][order].astype(np.float64)


def _feature(
    rings: tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]], at: NDArray[np.float64], smear: float
) -> NDArray[np.float64]:
    """Return what stands out at evenly spaced places: joints in the radius, openings in the points far outside."""
    place, radius, outward = rings
    total = np.zeros(at.size)
    width = max(3, round(_TREND / _STEP) | 1)
    for values in (radius, outward):
        line = np.interp(at, place, values)
        line -= _smooth(line, width)
        spread = max(_spread(line), 1e-3 * float(np.abs(line).max(initial=0.0)), 1e-12)
        total += np.clip(line / spread, -40.0, 40.0)
    total[(at < place[0]) | (at > place[-1])] = 0.0
    box = max(1, round(2.0 * smear / _STEP) | 1)
    return _smooth(_smooth(total, box), box)


def _smooth(line: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """Return the running mean over an odd number of places, over what there is at the ends."""
    half = min(width // 2, line.size - 1)
    if half < 1:
        return line.copy()
    total = np.empty(line.size + 2 * half + 1)
    total[: half + 1] = 0.0
    np.cumsum(line, out=total[half + 1 : half + 1 + line.size])
    total[half + 1 + line.size :] = total[half + line.size]
    found = total[2 * half + 1 :] - total[: line.size]
    short = 2 * half + 1 - np.arange(half, 0, -1)
    if line.size > 2 * half:
        found[half : line.size - half] *= 1.0 / (2 * half + 1)
        found[:half] /= short
        found[line.size - half :] /= short[::-1]
        return found
    index = np.arange(line.size)
    return np.asarray(found / (np.minimum(index + half + 1, line.size) - np.maximum(index - half, 0)))


def _spread(line: NDArray[np.float64]) -> float:
    """Return a deviation that what stands out does not draw; of a long line every so many places are enough."""
    some = line[:: max(1, line.size // _MANY)]
    return 1.4826 * float(np.median(np.abs(some - np.median(some))))


def _marks(
    first: tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]], low: float, high: float, shape: tuple[float, float, float]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return evenly spaced places and what stands out there in the first pass: the same in every round of windows of one shape."""
    window, hop, smear = shape
    at = np.arange(low - window / 2 - hop, high + window / 2 + hop, _STEP)
    return at, _feature(first, at, smear)


def _path(
    marks: Callable[[tuple[float, float, float]], tuple[NDArray[np.float64], NDArray[np.float64]]],
    second: tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]],
    *,
    low: float,
    high: float,
    begin: float,
    shape: tuple[float, float, float],
    reach: float | None,
    before: tuple[NDArray[np.float64], NDArray[np.float64]] | None,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return the middles of the windows, the lag at each, and the correlation there."""
    window, hop, smear = shape
    middles = np.arange(low + min(hop, (high - low) / 2) / 2, high, hop)
    most = _START + _DRIFT * max(high - begin, 0.0) if reach is None else reach
    lags = int(np.ceil(most / _STEP))
    half = int(window / 2 / _STEP)
    at, ours = marks(shape)
    wide = np.arange(at[0] - lags * _STEP, at[-1] + (lags + 1) * _STEP, _STEP)
    shifted = wide if before is None else wide + _lag_at(wide, *before)
    theirs = _feature(second, shifted, smear)
    rows = np.full((middles.size, 2 * lags + 1), -np.inf)
    starts = np.zeros(middles.size, dtype=np.int64)
    energy = np.concatenate(([0.0], np.cumsum(theirs**2)))
    # Lags that wrap round are not looked at, so the longer of the two is long enough.
    size = _fast(2 * half + 2 * lags)
    for row, middle in enumerate(middles):
        centre = round((middle - at[0]) / _STEP)
        start = starts[row] = max(centre - half, 0)
        piece = ours[start : centre + half]
        other = theirs[start : start + piece.size + 2 * lags]
        if lags <= _FEW_LAGS and other.size >= piece.size:
            found = np.correlate(other, piece)
        else:
            found = np.fft.irfft(np.fft.rfft(other, size) * np.conj(np.fft.rfft(piece, size)), size)[: 2 * lags + 1]
        span = energy[start + piece.size : start + piece.size + 2 * lags + 1] - energy[start : start + 2 * lags + 1]
        rows[row, : span.size] = found[: span.size] / np.sqrt(np.maximum(span * float(piece @ piece), 1e-12))
        if reach is None:
            allowed = _START + _DRIFT * max(middle - begin + window / 4, 0.0)
            rows[row, np.abs(np.arange(-lags, lags + 1)) * _STEP > allowed] = -np.inf
    slip = int(np.ceil(max(_LEAST_SLIP, 1.5 * _DRIFT * hop) / _STEP))
    best = _viterbi(rows, slip)
    index = np.arange(middles.size)
    fine = best + _vertex(rows, index, best)
    lag = (fine - lags) * _STEP
    # A lag belongs where the marks are that gave it, which need not be the middle of the window.
    places = np.array(
        [
            _centroid(at[low:high], ours[low:high], theirs[low + move : high + move], middle)
            for low, high, move, middle in zip(starts, starts + 2 * half, best, middles, strict=True)
        ]
    )
    if before is not None:
        lag += _lag_at(places, *before)
    return _merged(places, lag, rows[index, best], hop)


def _fast(least: int) -> int:
    """Return a length of at least so much whose transform is quick."""
    power = 1 << max(int(least - 1).bit_length() - 3, 0)
    return next(part * power for part in (4, 5, 6, 8, 9) if part * power >= least)


def _centroid(at: NDArray[np.float64], ours: NDArray[np.float64], theirs: NDArray[np.float64], middle: float) -> float:
    size = min(at.size, theirs.size)
    weight = np.maximum(ours[:size] * theirs[:size], 0.0)
    total = float(weight.sum())
    return float(at[:size] @ weight) / total if total > 0.0 else middle


def _merged(
    places: NDArray[np.float64], lag: NDArray[np.float64], score: NDArray[np.float64], hop: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return knots in order, those that lie closer than half a hop as one, weighed by their correlation."""
    order = np.argsort(places, kind="stable")
    places, lag, score = places[order], lag[order], score[order]
    group = np.floor((places - places[0]) / (hop / 2.0)).astype(np.int64)
    starts = np.flatnonzero(np.concatenate(([True], np.diff(group) > 0)))
    weight = np.maximum(score, 1e-3)
    total = np.add.reduceat(weight, starts)
    return (
        np.add.reduceat(weight * places, starts) / total,
        np.add.reduceat(weight * lag, starts) / total,
        np.maximum.reduceat(score, starts),
    )


def _lag_at(at: NDArray[np.float64], knots: NDArray[np.float64], lags: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the lag, linear between knots and beyond them as on the average of the main."""
    slope = (lags[-1] - lags[0]) / (knots[-1] - knots[0]) if knots.size > 1 else 0.0
    return np.asarray(np.interp(at, knots, lags) + slope * (np.minimum(at - knots[0], 0.0) + np.maximum(at - knots[-1], 0.0)))


def _viterbi(score: NDArray[np.float64], slip: int) -> NDArray[np.int64]:
    count, width = score.shape
    cost = _SLACK * np.abs(np.arange(-slip, slip + 1.0))[:, None]
    # Row k of the view is the sum so far, moved by k less the slip; beyond its ends nothing can come from.
    room = np.full(width + 2 * slip, -np.inf)
    total = room[slip : slip + width]
    moved = np.lib.stride_tricks.sliding_window_view(room, width)[::-1]
    came = np.zeros((count, width), dtype=np.int64)
    index = np.arange(width)
    total[:] = score[0]
    for row in range(1, count):
        candidates = moved - cost
        best = candidates.argmax(axis=0)
        came[row] = index - (best - slip)
        total[:] = candidates[best, index] + score[row]
    path = np.empty(count, dtype=np.int64)
    path[-1] = int(np.argmax(total))
    for row in range(count - 1, 0, -1):
        path[row - 1] = min(max(came[row, path[row]], 0), width - 1)
    return path


def _vertex(rows: NDArray[np.float64], index: NDArray[np.int64], best: NDArray[np.int64]) -> NDArray[np.float64]:
    """Return where between the steps a parabola through three has its top, where it has one."""
    inner = np.clip(best, 1, rows.shape[1] - 2)
    left, middle, right = rows[index, inner - 1], rows[index, inner], rows[index, inner + 1]
    with np.errstate(invalid="ignore", divide="ignore"):
        top = 0.5 * (left - right) / (left - 2.0 * middle + right)
    good = (inner == best) & np.isfinite(top) & (middle >= left) & (middle >= right)
    return np.where(good, np.clip(top, -0.5, 0.5), 0.0)


def _extended(odometer: NDArray[np.float64], knots: NDArray[np.float64], chainage: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return chainage by odometer, linear between knots and beyond them as on the average of the main."""
    found = np.interp(odometer, knots, chainage)
    slope = (chainage[-1] - chainage[0]) / (knots[-1] - knots[0]) if knots.size > 1 else 1.0
    found = np.where(odometer < knots[0], chainage[0] + (odometer - knots[0]) * slope, found)
    return np.where(odometer > knots[-1], chainage[-1] + (odometer - knots[-1]) * slope, found)


def roll_offset(*, wall: NDArray[np.floating[Any]], second: NDArray[np.floating[Any]], about: float, within: float) -> tuple[float, float]:
    r"""Return how much further clockwise a mark stands in truth than the second pass says.

    Parameters
    ----------
    wall : ndarray of float, shape (n, m)
        Radii in m equal steps of the clock; NaN where not known. [m]
    second : ndarray of float, shape (n, m)
        Those of the second pass at the same chainages. [m]
    about : float
        Offset about which it is looked for. [rad]
    within : float
        How far from there. [rad]

    Returns
    -------
    offset : float
        What to add to the clock positions of the second pass. [rad]
    strength : float
        Correlation there, of the harmonics that count. [-]

    Notes
    -----
    The circular cross-correlation, summed over the rings. Harmonics 0 to 3 are left out: ovality and the lining's own pattern round the
    clock are much larger than the marks of the wall and do not turn with it. Those over a quarter of the steps are left out too: marks finer
    than a step fold into them with a phase that does not turn with the wall.

    References
    ----------
    Derived here: the correlation theorem of the discrete Fourier transform.
    """
    size = wall.shape[1]
    used = slice(_DROPPED, size // _FOLDED + 1)
    ours, theirs = np.ascontiguousarray(_spectrum(wall)[:, used]), np.ascontiguousarray(_spectrum(second)[:, used])
    cross = np.zeros(used.stop, dtype=np.complex128)
    cross[used] = np.sum(np.conj(ours) * theirs, axis=0)
    power = np.sqrt(np.vdot(ours, ours).real * np.vdot(theirs, theirs).real)
    fine = 16 * size
    # What the second pass calls a is a + d in truth: its spectrum is ahead by k d, and the conjugate turns that into a peak at + d.
    lined = np.fft.irfft(np.conj(cross), fine) * fine / 2.0
    angle = np.arange(fine) * (2.0 * np.pi / fine)
    near = np.abs(np.mod(angle - about + np.pi, 2.0 * np.pi) - np.pi) <= within
    best = int(np.argmax(np.where(near, lined, -np.inf)))
    left, middle, right = lined[best - 1], lined[best], lined[(best + 1) % fine]
    bend = left - 2.0 * middle + right
    part = 0.5 * (left - right) / bend if bend < 0.0 else 0.0
    offset = (best + part) * (2.0 * np.pi / fine)
    strength = float(middle / power) if power > 0.0 else 0.0
    return float(np.angle(np.exp(1j * offset))), strength


def _spectrum(rows: NDArray[np.floating[Any]]) -> NDArray[np.complex128]:
    known = np.isfinite(rows)
    if known.all():
        centred = rows - rows.mean(axis=1, keepdims=True)
    else:
        count = np.maximum(np.count_nonzero(known, axis=1), 1)[:, None]
        filled = np.where(known, rows, 0.0)
        centred = filled - filled.sum(axis=1, keepdims=True) / count
        centred *= known
    # An opening must not outweigh a metre of wall.
    np.clip(centred, -0.004, 0.004, out=centred)
    return np.asarray(np.fft.rfft(centred, axis=1))
