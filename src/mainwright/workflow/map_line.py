"""Lines of a map: the way of the main through them, chainages along it, and the angles at its vertices."""

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.workflow.source import Line

__all__ = ["Deflection", "Way", "chainages", "deflections", "way_through"]

_TOUCH: Final = 0.05
"""Ends of lines no further apart than this [m] are one point: drawing accuracy of a map."""

_MOST: Final = 2000
"""More lines than this are no one main; pairing their ends would take long."""


@dataclass(frozen=True, slots=True)
class Deflection:
    """The change of direction at one vertex: chainage [m], angle [rad], positive to the right going up-chainage."""

    chainage: float
    angle: float


@dataclass(frozen=True, slots=True)
class Way:
    """One way through all lines of a main.

    Attributes
    ----------
    points
        The whole line. [m]
    places
        Start and end of each line along it, by its key. [m]
    problem
        Why there is no such way, empty if there is one; ``where`` says at which point [m].
    """

    points: Line
    places: Mapping[int, tuple[float, float]]
    problem: str = ""
    where: tuple[float, float] | None = None


def chainages(points: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """Return the distance of each point along the line from its first.

    Parameters
    ----------
    points : sequence of tuple
        Points of the line. [m]

    Returns
    -------
    tuple of float
        Chainages. [m]

    Examples
    --------
    >>> chainages([(0.0, 0.0), (3.0, 4.0), (3.0, 10.0)])
    (0.0, 5.0, 11.0)
    """
    found = [0.0]
    for before, after in itertools.pairwise(points):
        found.append(found[-1] + math.dist(before, after))
    return tuple(found[: len(points)])


def deflections(points: Sequence[tuple[float, float]], along: Sequence[float], *, least: float) -> tuple[Deflection, ...]:
    """Return where the line changes direction.

    Parameters
    ----------
    points : sequence of tuple
        Points of the line. [m]
    along : sequence of float
        Their chainages. [m]
    least : float
        Smaller angles are left out. [rad]

    Returns
    -------
    tuple of Deflection
        In order of chainage; points that fall together count once.

    Examples
    --------
    >>> [round(math.degrees(one.angle)) for one in deflections([(0, 0), (1, 0), (1, 1)], [0, 1, 2], least=0.1)]
    [-90]
    """
    kept = [0] if points else []
    kept.extend(number for number in range(1, len(points)) if points[number] != points[kept[-1]])
    found = []
    for before, here, after in zip(kept, kept[1:], kept[2:], strict=False):
        one = math.atan2(points[here][1] - points[before][1], points[here][0] - points[before][0])
        two = math.atan2(points[after][1] - points[here][1], points[after][0] - points[here][0])
        angle = -math.remainder(two - one, math.tau)
        if abs(angle) >= least:
            found.append(Deflection(along[here], angle))
    return tuple(found)


def way_through(lines: Mapping[int, Line], *, join: float) -> Way:
    """Return the one way that uses each line once, bridging gaps between ends.

    Parameters
    ----------
    lines : mapping
        Points of each line by its key. [m]
    join : float
        Longest gap between two ends that is bridged. [m]

    Returns
    -------
    Way
        The way; it begins at the end that is nearest to the line with the smallest key.

    Notes
    -----
    Lines that touch make pieces; the nearest free ends of two pieces are joined first, until one piece is left. A point where
    three lines meet is a branch, and no main.
    """
    used = {key: line for key, line in sorted(lines.items()) if chainages(line)[-1] > _TOUCH}
    if len(used) > _MOST:
        return Way((), {}, f"{len(used)} lines are too many for one main: pick its rows")
    problem = _branch(used)
    if problem is not None:
        return Way((), {}, "more than two lines meet: pick the rows of one main", problem)
    pieces = [[(key, False)] for key in used]
    pieces = _joined(pieces, used, min(_TOUCH, join))
    pieces = _joined(pieces, used, join)
    if len(pieces) > 1:
        return Way(
            (),
            {},
            "the lines make more than one piece: bridge longer gaps with join_m, or pick the rows of one main",
            _end(pieces[1], used, 0),
        )
    if not pieces:
        return Way((), {}, "there is no line")
    piece = pieces[0]
    first = min(used)
    place = next(number for number, (key, _) in enumerate(piece) if key == first)
    if place > (len(piece) - 1) / 2:
        piece = _turned(piece)
    return _way(piece, used)


def _branch(lines: Mapping[int, Line]) -> tuple[float, float] | None:
    """Return a point where the ends of three lines meet, or None."""
    cells: dict[tuple[int, int], list[tuple[float, float]]] = {}
    ends = [end for line in lines.values() for end in (line[0], line[-1])]
    for end in ends:
        cells.setdefault(_cell(end), []).append(end)
    for end in ends:
        x, y = _cell(end)
        near = [one for dx in (-1, 0, 1) for dy in (-1, 0, 1) for one in cells.get((x + dx, y + dy), []) if math.dist(one, end) <= _TOUCH]
        if len(near) > 2:
            return end
    return None


def _cell(point: tuple[float, float]) -> tuple[int, int]:
    return (math.floor(point[0] / _TOUCH), math.floor(point[1] / _TOUCH))


def _end(piece: Sequence[tuple[int, bool]], lines: Mapping[int, Line], side: int) -> tuple[float, float]:
    key, turned = piece[0] if side == 0 else piece[-1]
    line = lines[key]
    return line[-1] if turned == (side == 0) else line[0]


def _turned(piece: Sequence[tuple[int, bool]]) -> list[tuple[int, bool]]:
    return [(key, not turned) for key, turned in reversed(piece)]


def _joined(pieces: list[list[tuple[int, bool]]], lines: Mapping[int, Line], within: float) -> list[list[tuple[int, bool]]]:
    """Return the pieces after joining nearest ends, while there are two no further apart than `within`."""
    ends = [(number, side, _end(piece, lines, side)) for number, piece in enumerate(pieces) for side in (0, 1)]
    near = sorted(
        (math.dist(one[2], other[2]), one[0], one[1], other[0], other[1])
        for place, one in enumerate(ends)
        for other in ends[place + 1 :]
        if one[0] != other[0] and math.dist(one[2], other[2]) <= within
    )
    # Each piece hangs together with those that were joined to it; a used end is not used again.
    home = list(range(len(pieces)))
    free = {(number, side) for number, side, _ in ends}
    links: dict[tuple[int, int], tuple[int, int]] = {}
    for _, one, one_side, other, other_side in near:
        if (one, one_side) in free and (other, other_side) in free and home[one] != home[other]:
            free -= {(one, one_side), (other, other_side)}
            links[one, one_side] = (other, other_side)
            links[other, other_side] = (one, one_side)
            old, new = home[other], home[one]
            home = [new if number == old else number for number in home]
    result = []
    done: set[int] = set()
    for number in range(len(pieces)):
        for side in (0, 1):
            if number in done or (number, side) not in free:
                continue
            chain: list[tuple[int, bool]] = []
            here: tuple[int, int] | None = (number, side)
            while here is not None:
                piece, entry = here
                done.add(piece)
                chain.extend(pieces[piece] if entry == 0 else _turned(pieces[piece]))
                here = links.get((piece, 1 - entry))
            result.append(chain)
    return result


def _way(piece: Sequence[tuple[int, bool]], lines: Mapping[int, Line]) -> Way:
    points: list[tuple[float, float]] = []
    places: dict[int, tuple[float, float]] = {}
    at = 0.0
    for key, turned in piece:
        line = lines[key][::-1] if turned else lines[key]
        if points:
            step = math.dist(points[-1], line[0])
            # What touches is one point of the map, and no gap of the main.
            if step > _TOUCH:
                at += step
                points.append(line[0])
        else:
            points.append(line[0])
        start = at
        for before, after in itertools.pairwise(line):
            at += math.dist(before, after)
            points.append(after)
        places[key] = (start, at)
    return Way(tuple(points), places)
