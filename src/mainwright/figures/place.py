"""Where labels stand: as near to their point as the neighbours allow, never on each other. And where an axis has its ticks."""

import math
from collections.abc import Sequence

from mainwright.errors import InputError

__all__ = ["spread", "ticks"]


def spread(wanted: Sequence[float], widths: Sequence[float], low: float, high: float) -> list[float]:
    """Return the middles of labels on one line, moved apart by the least sum of squares.

    Parameters
    ----------
    wanted : sequence of float
        Where each middle would like to be, ascending. [point]
    widths : sequence of float
        Width of each label with the gap that it wants. [point]
    low, high : float
        The line's ends, which no label passes. [point]

    Returns
    -------
    list of float
        Middles in the same order.

    Raises
    ------
    InputError
        If the labels are wider together than the line.

    Notes
    -----
    Less the widths before it, each middle must not be smaller than the one before: an isotonic regression, solved by
    pooling neighbours that break the order.
    """
    room = high - low
    if sum(widths) > room + 1e-9:
        raise InputError("labels", round(sum(widths), 1), "point", f"at most {room:.1f} point together")
    shift: list[float] = []
    used = low
    for width in widths:
        shift.append(used + width / 2)
        used += width
    blocks: list[tuple[float, int]] = []
    for place, offset in zip(wanted, shift, strict=True):
        total, count = place - offset, 1
        while blocks and blocks[-1][0] / blocks[-1][1] > total / count:
            before = blocks.pop()
            total, count = total + before[0], count + before[1]
        blocks.append((total, count))
    free = high - used
    level = [min(max(total / count, 0.0), max(free, 0.0)) for total, count in blocks for _ in range(count)]
    return [base + offset for base, offset in zip(level, shift, strict=True)]


def ticks(low: float, high: float, wanted: int) -> list[float]:
    """Return round values between two ends.

    Parameters
    ----------
    low, high : float
        The ends. [any]
    wanted : int
        About how many steps. [-]

    Returns
    -------
    list of float
        Multiples of 1, 2 or 5 times a power of ten.
    """
    if not high > low:
        return [low]
    raw = (high - low) / max(wanted, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= raw * 0.999)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [index * step for index in range(first, last + 1)]
