"""Circle and ellipse of each ring of a scan, whatever drops, debris and gaps are in it, and its wall in steps of the clock."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from mainwright.errors import InputError
from mainwright.science.rings.gates import (
    FAR,
    FIRST_GATE,
    LAST_GATE,
    LEAST_SHARE,
    MAP_GATE,
    OUTWARD_GATE,
    PATIENT,
    REFINEMENTS,
    SURE_SHARE,
    THINNED,
    THINNEST,
    TIGHT_START,
    WIDE_GAIN,
    WIDE_START,
)
from mainwright.science.rings.reduced import CLOCK_BINS, ReducedRings

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["COMPILED_FROM", "reduce_rings"]

COMPILED_FROM: Final = 20_000
"""Rings from which compiled code is sooner done in a fresh process, its import and loading included; measured."""

_LEVEL_BLOCK: Final = 128
"""Rings that share a first guess of where the wall is."""
_PRODUCT: Final = 250_000
"""Multiplications of a matrix product under which the library for them starts no threads, which here cost more than they bring."""
_FEWEST: Final = 24
_MOST: Final = 30_000
_PACK: Final = 1000.0

_Float = np.float32


def reduce_rings(
    *, radii: NDArray[np.floating[Any]], roll: NDArray[np.floating[Any]], compiled: bool = False, wall: bool = True
) -> ReducedRings:
    r"""Return the fit and the wall of each ring.

    Parameters
    ----------
    radii : ndarray of float, shape (n, m)
        Distance from the sensor at m equal steps of the angle, from the sensor's own 12 o'clock clockwise looking up-chainage; NaN, zero
        and negative: no echo. [m]
    roll : ndarray of float, shape (n,)
        What the true angle has over the sensor's. [rad]
    compiled : bool
        Whether compiled code does it, worth while from `COMPILED_FROM` rings on; the estimator is the same. [-]
    wall : bool
        Whether the wall in steps of the clock is wanted too; the bore does not need it. [-]

    Returns
    -------
    ReducedRings
        Fits and walls; NaN where fewer than a quarter of the points lie on a ring.

    Raises
    ------
    InputError
        If a ring has under 24 points or over 30,000, or the shapes do not agree.

    Notes
    -----
    The wall seen from the pipe's centre is :math:`\rho(\varphi) = R + p\cos 2\varphi + q\sin 2\varphi`, an ellipse to first order in its
    ovality. The start takes clipped sums of the residuals on the equal angles of the sensor, where the harmonics are orthogonal; an offset
    :math:`e` of the sensor puts :math:`e^2/4R` into the second harmonic, which is taken out in closed form. Gauss-Newton steps in the
    re-centred frame follow, with points outside a gate left out.

    References
    ----------
    Derived here. The start is the one-step estimator of P. J. Huber, Robust Statistics (1981), chapter 7, on an orthogonal design.
    """
    if radii.ndim != 2 or roll.shape != radii.shape[:1]:
        raise InputError("shapes of radii and roll", f"{radii.shape} and {roll.shape}", "", "(n, m) and (n,)")
    count, size = radii.shape
    if not _FEWEST <= size <= _MOST:
        raise InputError("points of a ring", size, "", f"{_FEWEST} to {_MOST}")
    given = np.ascontiguousarray(radii, dtype=_Float)
    out = _empty(count, CLOCK_BINS if wall else 0)
    turn = np.ascontiguousarray(roll, dtype=_Float)
    levels = _levels(given)
    if compiled:
        from mainwright.science.rings.compiled import reduce_compiled

        reduce_compiled(given, turn, levels, (_tables(size), _tables(size // _thinned(size))), out)
        return out
    # Room for the arrays of a block: asked of the system again and again it would cost more than what is computed in it.
    block = max(1, min(count, _PRODUCT // (5 * size)))
    room = np.empty((7, block * size), dtype=_Float)
    many = block * _thinned(size)
    for start in range(0, count, many):
        _reduce_block(given[start : start + many], turn[start : start + many], levels[start : start + many], out, start, room)
    return out


def _empty(count: int, bins: int) -> ReducedRings:
    def column() -> NDArray[np.float32]:
        return np.empty(count, dtype=_Float)

    return ReducedRings(
        radius=column(), up=column(), right=column(), oval_up=column(), oval_right=column(), share=column(), scatter=column(),
        outward=column(), wall=np.empty((count, bins), dtype=_Float), points=np.empty((count, bins), dtype=np.uint8),
    )  # fmt: skip


@lru_cache(maxsize=8)
def _tables(size: int) -> NDArray[np.float32]:
    """Return 1, cos, sin to the fourth harmonic at the sensor's angles, shape (9, m)."""
    angle = np.arange(size) * (2.0 * np.pi / size)
    rows = [np.ones(size)]
    for harmonic in range(1, 5):
        rows += [np.cos(harmonic * angle), np.sin(harmonic * angle)]
    table = np.ascontiguousarray(rows, dtype=_Float)
    table.setflags(write=False)
    return table


def _thinned(size: int) -> int:
    """Return which of a ring's points its start takes: every first, or second ...; on equal angles too, so that harmonics stay orthogonal."""
    return next((one for one in THINNED if size % one == 0 and size // one >= THINNEST), 1)


def _levels(radii: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return about where the wall is, the same for all rings of a block: the median of some points of some of its rings."""
    step = max(1, radii.shape[1] // 16)
    blocks = -(-len(radii) // _LEVEL_BLOCK)
    row = np.arange(0, blocks * _LEVEL_BLOCK, _LEVEL_BLOCK // 16).reshape(blocks, 16, 1)
    column = (np.arange(blocks) % step)[:, None, None] + np.arange(0, radii.shape[1] - step + 1, step)
    there = row < len(radii)
    sample = np.where(there, radii[np.where(there, row, 0), column], np.nan).reshape(blocks, -1)
    with np.errstate(invalid="ignore"):
        sample[~((sample > 0.0) & np.isfinite(sample))] = np.nan
    # What is no number comes last.
    sample.sort(axis=1)
    sound = np.count_nonzero(np.isfinite(sample), axis=1)
    index = np.arange(blocks)
    middle = _Float(0.5) * (sample[index, np.maximum(sound - 1, 0) // 2] + sample[index, sound // 2])
    # A block without an echo is taken to lie where the one before does.
    known = np.maximum.accumulate(np.where(sound > 0, index, -1))
    levels = np.where(known >= 0, middle[known], _Float(0.1)).astype(_Float)
    return np.asarray(np.repeat(levels, _LEVEL_BLOCK)[: len(radii)])


def _start(
    radii: NDArray[np.float32], levels: NDArray[np.float32], steps: tuple[tuple[float, float], ...]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return five harmonics a ring, and the share of points inside the last gate."""
    basis = _tables(radii.shape[1])[:5]
    size = _Float(radii.shape[1])
    back = np.ascontiguousarray((basis * np.array([[1], [2], [2], [2], [2]], dtype=_Float) / size).T)
    found = np.zeros((len(radii), 5), dtype=_Float)
    found[:, 0] = levels
    share = np.zeros(len(radii), dtype=_Float)
    for gate, clip in steps:
        residual = radii - found @ basis
        inside = np.abs(residual) < _Float(gate)
        np.clip(residual, -_Float(clip), _Float(clip), out=residual)
        residual *= inside
        found += residual @ back
        if (gate, clip) == steps[-1]:
            share = np.count_nonzero(inside, axis=1).astype(_Float) / size
    return found, share


def _normal(sums: NDArray[np.float32], size: int) -> NDArray[np.float64]:
    """Return the matrix of Gauss-Newton that the harmonics of the weights make; a little weight on the diagonal changes the way, not the goal."""
    one, c1, s1, c2, s2, c3, s3, c4, s4 = sums.T.astype(np.float64)
    half = 0.5
    matrix = np.empty((len(sums), 5, 5))
    ridge = 1e-4 * size
    rows = (
        (one + ridge, c1, s1, c2, s2),
        (c1, half * (one + c2) + ridge, half * s2, half * (c1 + c3), half * (s1 + s3)),
        (s1, half * s2, half * (one - c2) + ridge, half * (s3 - s1), half * (c1 - c3)),
        (c2, half * (c1 + c3), half * (s3 - s1), half * (one + c4) + ridge, half * s4),
        (s2, half * (s1 + s3), half * (c1 - c3), half * s4, half * (one - c4) + ridge),
    )
    for i, row in enumerate(rows):
        for j, cell in enumerate(row):
            matrix[:, i, j] = cell
    return matrix


def _fit(
    radii: NDArray[np.float32], levels: NDArray[np.float32], room: NDArray[np.float32]
) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.float32]]:
    """Return radius, up, right and the second harmonic of each ring; the share of points on it; their scatter."""
    thin = np.ascontiguousarray(radii[:, :: _thinned(radii.shape[1])])
    found, share = _start(thin, levels, TIGHT_START)
    echoes = np.count_nonzero(thin < FAR, axis=1)
    poor = np.flatnonzero((share * _Float(thin.shape[1]) < SURE_SHARE * echoes) & (echoes > 0))
    if poor.size:
        hard = radii[poor]
        own = np.nanmedian(np.where(hard < FAR, hard, np.nan), axis=1).astype(_Float)
        tight, tight_share = _start(hard, own, TIGHT_START + PATIENT)
        wide, wide_share = _start(hard, own, WIDE_START + PATIENT)
        found[poor] = np.where((wide_share > tight_share + _Float(WIDE_GAIN))[:, None], wide, tight)
    a, b = found[:, 1].copy(), found[:, 2].copy()
    quarter = _Float(0.25) / np.maximum(found[:, 0], _Float(1e-3))
    found[:, 0] += (a * a + b * b) * quarter
    found[:, 3] -= (a * a - b * b) * quarter
    found[:, 4] -= _Float(2.0) * a * b * quarter
    first = np.full((len(radii), 1), FIRST_GATE, dtype=_Float)
    block = room.shape[1] // radii.shape[1]
    for low in range(0, poor.size, block):
        part = poor[low : low + block]
        found[part], _, _ = _refined(radii[part], found[part], first[part], REFINEMENTS, room)
    found, share, scatter = _refined(thin, found, first, 1, room)
    gate = np.clip(_Float(3.0) * scatter, _Float(LAST_GATE), _Float(FIRST_GATE))[:, None]
    for low in range(0, len(radii), block):
        these = slice(low, low + block)
        found[these], share[these], scatter[these] = _refined(radii[these], found[these], gate[these], REFINEMENTS - 1, room)
    return found, share, scatter


def _refined(
    radii: NDArray[np.float32], given: NDArray[np.float32], gate: NDArray[np.float32], steps: int, room: NDArray[np.float32]
) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.float32]]:
    """Return the fit after some steps of Gauss-Newton; the share of points inside the gate and their scatter before the last.

    The last of several steps is small, and goes with the matrix of the one before.
    """
    found = given.copy()
    size = radii.shape[1]
    tables = _tables(size)
    halves = (np.ascontiguousarray(tables[:5].T), np.ascontiguousarray(tables[5:].T))
    count: NDArray[np.float32] = np.zeros(len(radii), dtype=_Float)
    scatter = count
    room = _parted(room, radii.shape)
    weights = room[6]
    right: NDArray[np.float64] = np.empty((len(radii), 5))
    matrix = np.empty((len(radii), 5, 5))
    for step in range(steps):
        x, y, squared, product, residual = _directions(radii, found, room)
        np.abs(residual, out=weights)
        np.copyto(weights, weights < gate)
        residual *= weights
        if step == 0 or step < steps - 1:
            sums: NDArray[np.float32] = np.concatenate([weights @ half for half in halves], axis=1)
            count, matrix = sums[:, 0], _normal(sums, size)
        else:
            count = np.vecdot(weights, tables[0])
        scatter = np.sqrt(np.vecdot(residual, residual) / np.maximum(count, _Float(1.0))).astype(_Float, copy=False)
        for column, wave in enumerate((tables[0], x, y, squared, product)):
            right[:, column] = np.vecdot(residual, wave)
        # The cosine of the double angle is one less twice the square of the sine, its sine twice the product.
        right[:, 3] = right[:, 0] - 2.0 * right[:, 3]
        right[:, 4] *= 2.0
        found += np.linalg.solve(matrix, right[:, :, None])[:, :, 0].astype(_Float)
    return found, count / _Float(size), scatter


def _parted(room: NDArray[np.float32], shape: tuple[int, ...]) -> NDArray[np.float32]:
    """Return as much of the room as so many rings of so many points need, each of its arrays contiguous."""
    return room[:, : math.prod(shape)].reshape(len(room), *shape)


def _directions(
    radii: NDArray[np.float32], found: NDArray[np.float32], room: NDArray[np.float32]
) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.float32], NDArray[np.float32], NDArray[np.float32]]:
    """Return cosine and sine of the direction from the pipe's centre, the sine's square, their product, and the residual.

    `room` comes from `_parted`; the sixth of it is the distance.
    """
    x, y, squared, product, residual, distance, spare = room
    tables = _tables(radii.shape[1])
    np.multiply(radii, tables[1], out=x)
    x -= found[:, 1:2]
    np.multiply(radii, tables[2], out=y)
    y -= found[:, 2:3]
    np.multiply(x, x, out=distance)
    np.multiply(y, y, out=residual)
    distance += residual
    # Nobody divides by nought, and the distance of a wall stays what it is.
    distance += _Float(1e-12)
    np.sqrt(distance, out=distance)
    x /= distance
    y /= distance
    np.multiply(y, y, out=squared)
    np.multiply(x, y, out=product)
    np.subtract(distance, found[:, :1] + found[:, 3:4], out=residual)
    np.multiply(squared, _Float(2.0) * found[:, 3:4], out=spare)
    residual += spare
    np.multiply(product, _Float(2.0) * found[:, 4:5], out=spare)
    residual -= spare
    return x, y, squared, product, residual


def _reduce_block(  # noqa: PLR0917 - one block's state
    radii: NDArray[np.float32],
    roll: NDArray[np.float32],
    levels: NDArray[np.float32],
    out: ReducedRings,
    start: int,
    room: NDArray[np.float32],
) -> None:
    with np.errstate(invalid="ignore"):
        clean = np.where(radii > 0.0, radii, _Float(FAR))
    np.minimum(clean, _Float(FAR), out=clean)
    found, share, scatter = _fit(clean, levels, room)
    sound = (share >= LEAST_SHARE) & (found[:, 0] > 0.0) & np.isfinite(found).all(axis=1) & np.isfinite(roll)
    place = slice(start, start + len(radii))
    found[~sound] = np.nan
    turn = _Float(2.0) * roll
    p, q = found[:, 3], found[:, 4]
    out.radius[place], out.up[place], out.right[place] = found[:, 0], found[:, 1], found[:, 2]
    out.oval_up[place] = p * np.cos(turn) - q * np.sin(turn)
    out.oval_right[place] = q * np.cos(turn) + p * np.sin(turn)
    out.share[place] = np.where(sound, share, _Float(np.nan))
    out.scatter[place] = np.where(sound, scatter, _Float(np.nan))
    out.outward[place] = np.nan
    if out.wall.shape[1]:
        known, turned = np.where(sound[:, None], found, _Float(0.0)), np.where(sound, roll, _Float(0.0))
        block = room.shape[1] // radii.shape[1]
        for low in range(0, len(radii), block):
            part = slice(low, low + block)
            these = slice(start + low, min(start + low + block, start + len(radii)))
            _map(clean[part], known[part], turned[part], sound[part], out, these, room)


def _map(  # noqa: PLR0917 - one block's state
    radii: NDArray[np.float32],
    found: NDArray[np.float32],
    roll: NDArray[np.float32],
    sound: NDArray[np.bool_],
    out: ReducedRings,
    place: slice,
    room: NDArray[np.float32],
) -> None:
    """Write the wall in steps of the clock; in each the mean of the points near the ring, or of those beyond where they are more."""
    count, size = radii.shape
    tables = _tables(size)
    room = _parted(room, radii.shape)
    x, y, _, _, residual = _directions(radii, found, room)
    distance = room[5]
    # The direction turns by the angle whose sine is the cross product of the old and the new.
    turn, other = x, y
    np.multiply(found[:, 1:2], tables[2], out=turn)
    np.multiply(found[:, 2:3], tables[1], out=other)
    turn -= other
    turn /= distance
    np.clip(turn, _Float(-1.0), _Float(1.0), out=turn)
    np.arcsin(turn, out=turn)
    turn += np.arange(size, dtype=_Float) * _Float(2.0 * np.pi / size)
    turn += (roll - _Float(2.0 * np.pi) * np.floor(roll / _Float(2.0 * np.pi)))[:, None]
    turn *= _Float(CLOCK_BINS / (2.0 * np.pi))
    np.floor(np.multiply(turn, _Float(1.0 / CLOCK_BINS), out=other), out=other)
    other *= _Float(CLOCK_BINS)
    turn -= other
    step = np.minimum(turn, _Float(CLOCK_BINS - 0.5), out=turn).astype(np.int64)
    step += (np.arange(count) * CLOCK_BINS)[:, None]
    near = np.abs(residual) < MAP_GATE
    near &= sound[:, None]
    beyond = residual >= MAP_GATE
    beyond &= residual < OUTWARD_GATE
    beyond &= sound[:, None]
    # Count and sum in one: a thousand for each point, and its distance.
    weights = distance.astype(np.float64)
    weights += _PACK
    weights *= near
    total = np.bincount(step.ravel(), weights=weights.ravel(), minlength=count * CLOCK_BINS)
    points = np.floor(total / _PACK)
    sums = total - _PACK * points
    if beyond.any():
        cell = step[beyond]
        more = np.bincount(cell, minlength=count * CLOCK_BINS)
        take = more > points
        far_sum = np.bincount(cell, weights=distance[beyond], minlength=count * CLOCK_BINS)
        sums = np.where(take, far_sum, sums)
        points = np.where(take, more, points)
    with np.errstate(invalid="ignore", divide="ignore"):
        wall = np.where(points > 0, sums / points, np.nan)
    out.wall[place] = wall.reshape(count, CLOCK_BINS)
    out.points[place] = np.minimum(points, 255).astype(np.uint8).reshape(count, CLOCK_BINS)
    far_out = (residual >= OUTWARD_GATE) & (radii < FAR)
    out.outward[place] = np.where(sound, np.count_nonzero(far_out, axis=1) / _Float(size), np.nan)
