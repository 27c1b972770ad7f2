"""The estimator of `fit`, ring by ring, compiled: imported only where there is enough to do.

The same starts, gates and steps as there; a test holds both to the same answer. Each pass over a ring is a small function on few contiguous
arrays of single precision, which the compiler turns into vector instructions.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, TypeVar, cast

import numba
import numpy as np

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
    TIGHT_START,
    WIDE_GAIN,
    WIDE_START,
)
from mainwright.science.rings.reduced import CLOCK_BINS, ReducedRings

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["fold_compiled", "reduce_compiled"]

_F = TypeVar("_F")
_PACK: Final = 1000.0
"""Count and sum in one: a thousand for each point, and its distance."""


def _jit(function: _F) -> _F:
    # Sums may be taken in any order; what is no number must stay one. A division must not look for nought, or it is no vector instruction.
    return cast("_F", numba.njit(cache=True, nogil=True, error_model="numpy", fastmath={"reassoc", "contract", "arcp", "nsz"})(function))


_TIGHT = np.array(TIGHT_START, dtype=np.float32)
_TIGHT_PATIENT = np.array(TIGHT_START + PATIENT, dtype=np.float32)
_WIDE_PATIENT = np.array(WIDE_START + PATIENT, dtype=np.float32)
_TURN = np.float32(CLOCK_BINS / (2.0 * np.pi))
_SMALL_OFFSET = np.float32(0.45**2)
"""Square of the offset, as a share of the radius, up to which four terms of the arc sine are good to 1e-4."""


@_jit
def _filled(given: Any, r: Any) -> None:  # noqa: ANN401
    """Write the radii of a ring, far where there is no echo."""
    far, zero = np.float32(FAR), np.float32(0.0)
    for j in range(given.size):
        r[j] = given[j] if (given[j] > zero) & (given[j] < far) else far


@_jit
def _taken(r: Any, apart: int, thinned: Any) -> int:  # noqa: ANN401
    """Write some of the points, equally far apart, and return how many of these have an echo."""
    far = np.float32(FAR)
    echoes = 0
    for j in range(thinned.size):
        thinned[j] = r[j * apart]
        echoes += thinned[j] < far
    return echoes


@_jit
def _clipped(r: Any, t: Any, k: Any, gate: Any, clip: Any, sums: Any) -> int:  # noqa: ANN401, PLR0917
    """Write the sums of the clipped residual with the five harmonics, and return how many points are inside the gate."""
    k0, k1, k2, k3, k4 = k[0], k[1], k[2], k[3], k[4]
    c, s, c2, s2 = t[1], t[2], t[3], t[4]
    zero = np.float32(0.0)
    one = np.float32(1.0)
    a0, a1, a2, a3, a4, inside = zero, zero, zero, zero, zero, zero
    for j in range(r.size):
        e = r[j] - (k0 + k1 * c[j] + k2 * s[j] + k3 * c2[j] + k4 * s2[j])
        w = one if abs(e) < gate else zero
        e = w * min(max(e, -clip), clip)
        inside += w
        a0 += e
        a1 += e * c[j]
        a2 += e * s[j]
        a3 += e * c2[j]
        a4 += e * s2[j]
    sums[0], sums[1], sums[2], sums[3], sums[4] = a0, a1, a2, a3, a4
    return int(inside)


@_jit
def _start(r: Any, t: Any, level: Any, steps: Any, k: Any, sums: Any) -> int:  # noqa: ANN401, PLR0917
    k[:] = np.float32(0.0)
    k[0] = level
    inside = 0
    size = np.float32(r.size)
    two = np.float32(2.0)
    for i in range(steps.shape[0]):
        inside = _clipped(r, t, k, steps[i, 0], steps[i, 1], sums)
        k[0] += sums[0] / size
        for h in range(1, 5):
            k[h] += two * sums[h] / size
    return inside


@_jit
def _residuals(r: Any, t: Any, k: Any, e: Any, x: Any, y: Any, d: Any) -> None:  # noqa: ANN401, PLR0917
    """Write direction, distance and residual of each point about the ring."""
    radius, a, b, p, q = k[0], k[1], k[2], k[3], k[4]
    c, s = t[1], t[2]
    two = np.float32(2.0)
    one = np.float32(1.0)
    least = np.float32(1e-6)
    for j in range(r.size):
        u = r[j] * c[j] - a
        v = r[j] * s[j] - b
        distance = max(np.sqrt(u * u + v * v), least)
        inverse = one / distance
        u *= inverse
        v *= inverse
        x[j] = u
        y[j] = v
        d[j] = distance
        e[j] = distance - radius - p * (u * u - v * v) - q * (two * u * v)


@_jit
def _right(e: Any, x: Any, y: Any, gate: Any, g: Any) -> None:  # noqa: ANN401
    zero, one, two = np.float32(0.0), np.float32(1.0), np.float32(2.0)
    g0, g1, g2, g3, g4, squares, inside = zero, zero, zero, zero, zero, zero, zero
    for j in range(e.size):
        w = one if abs(e[j]) < gate else zero
        f = w * e[j]
        inside += w
        g0 += f
        g1 += f * x[j]
        g2 += f * y[j]
        g3 += f * (x[j] * x[j] - y[j] * y[j])
        g4 += f * (two * x[j] * y[j])
        squares += f * f
    g[0], g[1], g[2], g[3], g[4], g[5], g[6] = g0, g1, g2, g3, g4, squares, inside


@_jit
def _weights(e: Any, t: Any, gate: Any, h: Any) -> None:  # noqa: ANN401
    c, s, c2, s2, c3, s3, c4, s4 = t[1], t[2], t[3], t[4], t[5], t[6], t[7], t[8]
    zero, one = np.float32(0.0), np.float32(1.0)
    h0, h1, h2, h3, h4, h5, h6, h7, h8 = zero, zero, zero, zero, zero, zero, zero, zero, zero
    for j in range(e.size):
        w = one if abs(e[j]) < gate else zero
        h0 += w
        h1 += w * c[j]
        h2 += w * s[j]
        h3 += w * c2[j]
        h4 += w * s2[j]
        h5 += w * c3[j]
        h6 += w * s3[j]
        h7 += w * c4[j]
        h8 += w * s4[j]
    h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8] = h0, h1, h2, h3, h4, h5, h6, h7, h8


@_jit
def _factored(h: Any, size: int, m: Any) -> None:  # noqa: ANN401
    """Write the factor of Cholesky of the matrix that the harmonics of the weights make."""
    ridge = 1e-4 * size
    one, c1, s1, c2, s2, c3, s3, c4, s4 = h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]
    m[0, 0] = one + ridge
    m[1, 0], m[1, 1] = c1, 0.5 * (one + c2) + ridge
    m[2, 0], m[2, 1], m[2, 2] = s1, 0.5 * s2, 0.5 * (one - c2) + ridge
    m[3, 0], m[3, 1], m[3, 2], m[3, 3] = c2, 0.5 * (c1 + c3), 0.5 * (s3 - s1), 0.5 * (one + c4) + ridge
    m[4, 0], m[4, 1], m[4, 2], m[4, 3], m[4, 4] = s2, 0.5 * (s1 + s3), 0.5 * (c1 - c3), 0.5 * s4, 0.5 * (one - c4) + ridge
    for i in range(5):
        for j in range(i + 1):
            total = m[i, j]
            for k in range(j):
                total -= m[i, k] * m[j, k]
            m[i, j] = np.sqrt(max(total, 1e-12)) if i == j else total / m[j, j]


@_jit
def _solved(g: Any, m: Any, z: Any) -> None:  # noqa: ANN401
    """Write the step of Gauss-Newton."""
    for i in range(5):
        total = float(g[i])
        for k in range(i):
            total -= m[i, k] * z[k]
        z[i] = total / m[i, i]
    for i in range(4, -1, -1):
        total = z[i]
        for k in range(i + 1, 5):
            total -= m[k, i] * z[k]
        z[i] = total / m[i, i]


@_jit
def _refined(r: Any, t: Any, k: Any, gate: Any, steps: int, work: Any, g: Any, h: Any, m: Any, z: Any) -> Any:  # noqa: ANN401, PLR0917
    """Take steps of Gauss-Newton, and return points inside the gate and scatter before the last.

    The last of several steps is small, and goes with the matrix of the one before.
    """
    for step in range(steps):
        _residuals(r, t, k, work[0], work[1], work[2], work[3])
        _right(work[0], work[1], work[2], gate, g)
        if step == 0 or step < steps - 1:
            _weights(work[0], t, gate, h)
            _factored(h, r.size, m)
        _solved(g, m, z)
        for i in range(5):
            k[i] += np.float32(z[i])
    return g[6], np.sqrt(g[5] / max(g[6], np.float32(1.0)))


@_jit
def _steps(d: Any, t: Any, k: Any, begin: Any, ahead: Any, turned: Any, step: Any) -> None:  # noqa: ANN401, PLR0917
    """Write in which step of the clock each point lies: the direction turns by the angle whose sine is the cross product of old and new."""
    a, b = k[1], k[2]
    c, s = t[1], t[2]
    size = d.size
    one, bins, turns = np.float32(1.0), np.float32(CLOCK_BINS), np.float32(1.0 / CLOCK_BINS)
    last = np.float32(CLOCK_BINS - 0.5)
    third, fifth, seventh = np.float32(1.0 / 6.0), np.float32(3.0 / 40.0), np.float32(15.0 / 336.0)
    if a * a + b * b < _SMALL_OFFSET * k[0] * k[0]:
        for j in range(size):
            x = min(max((a * s[j] - b * c[j]) / d[j], -one), one)
            y = x * x
            turned[j] = begin + x * (one + y * (third + y * (fifth + y * seventh))) * _TURN + ahead[j]
    else:
        for j in range(size):
            x = min(max((a * s[j] - b * c[j]) / d[j], -one), one)
            turned[j] = begin + np.arcsin(x) * _TURN + ahead[j]
    for j in range(size):
        place = turned[j] - bins * np.floor(turned[j] * turns)
        step[j] = np.int32(min(place, last))


@_jit
def _packed(e: Any, d: Any, value: Any) -> None:  # noqa: ANN401
    """Write a pack and the distance of each point that is wall."""
    near = np.float32(MAP_GATE)
    pack, zero = np.float64(_PACK), np.float64(0.0)
    for j in range(e.size):
        value[j] = pack + np.float64(d[j]) if abs(e[j]) < near else zero


@_jit
def _outside(e: Any, place: Any) -> int:  # noqa: ANN401
    """Write which points are further out than the wall, and return how many."""
    near = np.float32(MAP_GATE)
    count = 0
    for j in range(e.size):
        place[count] = j
        count += e[j] >= near
    return count


@_jit
def _scattered(step: Any, value: Any, cells: Any) -> None:  # noqa: ANN401
    """Write sums by step of the clock; eight parts of the ring at a time: neighbours fall into one step, and would wait for one another."""
    cells[:] = 0.0
    c0, c1, c2, c3, c4, c5, c6, c7 = cells[0], cells[1], cells[2], cells[3], cells[4], cells[5], cells[6], cells[7]
    part = step.size // 8
    for j in range(part):
        c0[step[j]] += value[j]
        c1[step[part + j]] += value[part + j]
        c2[step[2 * part + j]] += value[2 * part + j]
        c3[step[3 * part + j]] += value[3 * part + j]
        c4[step[4 * part + j]] += value[4 * part + j]
        c5[step[5 * part + j]] += value[5 * part + j]
        c6[step[6 * part + j]] += value[6 * part + j]
        c7[step[7 * part + j]] += value[7 * part + j]
    for j in range(8 * part, step.size):
        c0[step[j]] += value[j]


@_jit
def _mapped(e: Any, d: Any, step: Any, value: Any, place: Any, cells: Any, more: Any, wall: Any, points: Any) -> int:  # noqa: ANN401, PLR0917
    """Write the wall in steps of the clock, and return how many points lie far outside."""
    _packed(e, d, value)
    _scattered(step, value, cells)
    pack = np.float64(_PACK)
    for cell in range(CLOCK_BINS):
        total = (cells[0, cell] + cells[1, cell] + cells[2, cell] + cells[3, cell]) + (
            cells[4, cell] + cells[5, cell] + cells[6, cell] + cells[7, cell]
        )
        number = np.floor(total / pack)
        points[cell] = np.uint8(min(number, 255.0))
        # Nought by nought is no number, which is what a step without a point shall be.
        wall[cell] = (total - pack * number) / number
    count = _outside(e, place)
    out, least = np.float32(OUTWARD_GATE), np.float32(0.5 * FAR)
    far_out = beyond = 0
    for i in range(count):
        j = place[i]
        if e[j] < out:
            place[beyond] = j
            beyond += 1
            more[0, step[j]] += 1.0
            more[1, step[j]] += d[j]
        elif d[j] < least:
            far_out += 1
    for i in range(beyond):
        cell = step[place[i]]
        if more[0, cell] > points[cell]:
            wall[cell] = more[1, cell] / more[0, cell]
            points[cell] = np.uint8(min(more[0, cell], 255.0))
    for i in range(beyond):
        more[:, step[place[i]]] = 0.0
    return far_out


@_jit
def _reduce_rows(radii: Any, roll: Any, levels: Any, t: Any, t_thin: Any, lines: Any, wall: Any, points: Any, low: int, high: int) -> None:  # noqa: ANN401, PLR0915, PLR0917
    size = radii.shape[1]
    r = np.empty(size, dtype=np.float32)
    thinned, apart = np.empty(t_thin.shape[1], dtype=np.float32), size // t_thin.shape[1]
    work, near = np.empty((4, size), dtype=np.float32), np.empty((4, t_thin.shape[1]), dtype=np.float32)
    step, packs, place = np.empty(size, dtype=np.int32), np.empty(size), np.empty(size + 1, dtype=np.int32)
    k, other = np.empty(5, dtype=np.float32), np.empty(5, dtype=np.float32)
    sums5 = np.empty(5, dtype=np.float32)
    g, h = np.empty(7, dtype=np.float32), np.empty(9, dtype=np.float32)
    m, z = np.zeros((5, 5)), np.zeros(5)
    ahead = np.arange(size).astype(np.float32) * np.float32(CLOCK_BINS / size)
    cells, more = np.zeros((8, CLOCK_BINS)), np.zeros((2, CLOCK_BINS))
    mapped = wall.shape[1] > 0
    full = np.float32(2.0 * np.pi)
    quarter_of = np.float32(0.25)
    two = np.float32(2.0)
    for row in range(low, high):
        _filled(radii[row], r)
        echoes = _taken(r, apart, thinned)
        inside = _start(thinned, t_thin, levels[row], _TIGHT, k, sums5)
        poor = echoes > 0 and inside < np.float32(SURE_SHARE) * echoes
        if poor:
            level = np.float32(np.median(r[r < np.float32(FAR)]))
            tight = _start(r, t, level, _TIGHT_PATIENT, k, sums5)
            wide = _start(r, t, level, _WIDE_PATIENT, other, sums5)
            if wide > tight + np.float32(WIDE_GAIN) * size:
                k[:] = other
        a, b = k[1], k[2]
        quarter = quarter_of / max(k[0], np.float32(1e-3))
        k[0] += (a * a + b * b) * quarter
        k[3] -= (a * a - b * b) * quarter
        k[4] -= two * a * b * quarter
        first = np.float32(FIRST_GATE)
        if poor:
            _refined(r, t, k, first, REFINEMENTS, work, g, h, m, z)
        _, scatter = _refined(thinned, t_thin, k, first, 1, near, g, h, m, z)
        gate = min(max(np.float32(3.0) * scatter, np.float32(LAST_GATE)), first)
        count, scatter = _refined(r, t, k, gate, REFINEMENTS - 1, work, g, h, m, z)
        share = count / np.float32(size)
        sound = share >= np.float32(LEAST_SHARE) and k[0] > np.float32(0.0) and np.isfinite(roll[row])
        for i in range(5):
            sound = sound and np.isfinite(k[i])
        if not sound:
            lines[:, row] = np.nan
            wall[row, :] = np.nan
            points[row, :] = 0
            continue
        cosine, sine = np.cos(two * roll[row]), np.sin(two * roll[row])
        lines[0, row], lines[1, row], lines[2, row] = k[0], k[1], k[2]
        lines[3, row] = k[3] * cosine - k[4] * sine
        lines[4, row] = k[4] * cosine + k[3] * sine
        lines[5, row], lines[6, row] = share, scatter
        if not mapped:
            lines[7, row] = np.nan
            continue
        _residuals(r, t, k, work[0], work[1], work[2], work[3])
        turn = roll[row] - full * np.floor(roll[row] / full)
        _steps(work[3], t, k, turn * _TURN, ahead, work[1], step)
        lines[7, row] = _mapped(work[0], work[3], step, packs, place, cells, more, wall[row], points[row]) / np.float32(size)


def reduce_compiled(
    radii: NDArray[np.float32],
    roll: NDArray[np.float32],
    levels: NDArray[np.float32],
    tables: tuple[NDArray[np.float32], NDArray[np.float32]],
    out: ReducedRings,
) -> None:
    """Fill a set of reduced rings; other threads of Python run meanwhile.

    Parameters
    ----------
    radii : ndarray of float, shape (n, m)
        Distances from the sensor. [m]
    roll : ndarray of float, shape (n,)
        What the true angle has over the sensor's. [rad]
    levels : ndarray of float, shape (n,)
        About where the wall is. [m]
    tables : tuple of ndarray of float, shapes (9, m) and (9, k)
        1, cos and sin to the fourth harmonic, at all angles and at the k of which the start takes the points. [-]
    out : ReducedRings
        What is filled. [-]

    References
    ----------
    As in `mainwright.science.rings.fit.reduce_rings`.
    """
    count = len(radii)
    lines = np.empty((8, count), dtype=np.float32)
    _reduce_rows(radii, roll, levels, *tables, lines, out.wall, out.points, 0, count)
    columns = (out.radius, out.up, out.right, out.oval_up, out.oval_right, out.share, out.scatter, out.outward)
    for column, line in zip(columns, lines, strict=True):
        column[:] = line


@_jit
def _fold_rows(row: Any, wall: Any, points: Any, sums: Any, counts: Any) -> None:  # noqa: ANN401
    for i in range(row.size):
        cell = row[i]
        if cell < 0 or cell >= sums.shape[0]:
            continue
        for j in range(wall.shape[1]):
            weight = np.float64(points[i, j])
            sums[cell, j] += weight * np.float64(wall[i, j]) if weight > 0.0 else 0.0
            counts[cell, j] += weight


def fold_compiled(
    row: NDArray[np.int64], wall: NDArray[np.float32], points: NDArray[np.uint8], sums: NDArray[np.float64], counts: NDArray[np.float64]
) -> None:
    """Add rings to the sums of their cells.

    Parameters
    ----------
    row : ndarray of int, shape (n,)
        Cell along the main, counted from the first; others are left out. [-]
    wall : ndarray of float, shape (n, 144)
        Mean radius in steps of the clock. [m]
    points : ndarray of int, shape (n, 144)
        Points behind each. [-]
    sums : ndarray of float, shape (k, 144)
        What radii are added to. [m]
    counts : ndarray of float, shape (k, 144)
        What points are added to. [-]

    References
    ----------
    Derived here: sums.
    """
    _fold_rows(row, wall, points, sums, counts)
