"""Equations of large networks: an elimination order found once, then only numbers filled in and eliminated.

The functions that the table `_KERNELS` names are written once over indexable arrays, and run through numba for large networks.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from heapq import heapify, heappop, heappush
from types import FunctionType
from typing import TYPE_CHECKING, Any, Final, cast

import numpy as np

from mainwright.science.hydraulics.link_loss import DarcyLaw, darcy_link, power_link

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from mainwright.science.hydraulics.link_loss import LinkLaw

__all__ = ["SMALL_FLOW", "Elimination", "eliminate", "kernel", "solve_darcy", "solve_power", "solve_sparse"]

SMALL_FLOW: Final = 1e-5
"""What is small against this flow [m3/s] is rest: a hundredth of a litre a second. It keeps rounding from being taken for a change."""


@dataclass(frozen=True, slots=True)
class Elimination:
    """What depends on the shape of a network alone.

    Attributes
    ----------
    place
        New number of each node: free nodes in the order of elimination, then those of known head. [-]
    free
        How many heads are not known. [-]
    link
        Links in the order in which elimination comes to them: what is used together then lies together. [-]
    start, end
        New numbers of the ends of each link, in that order. [-]
    slot
        Where the conductance of a link between two free nodes stands in the factor, -1 for other links. [-]
    first, row
        Factor by columns: entries of column j stand from ``first[j]`` to ``first[j + 1]``, each in a row under the diagonal. [-]
    target
        Where the product of each pair of entries of one column is taken off, in the order in which elimination makes them. [-]
    """

    place: NDArray[np.int64]
    free: int
    link: NDArray[np.int64]
    start: NDArray[np.int64]
    end: NDArray[np.int64]
    slot: NDArray[np.int64]
    first: NDArray[np.int64]
    row: NDArray[np.int64]
    target: NDArray[np.int64]


def _order(near: list[set[int]]) -> tuple[list[int], list[list[int]]]:
    """Return the order of least degree, and for each node in it its neighbours that come later. Changes `near`."""
    heap = [(len(these), node) for node, these in enumerate(near)]
    heapify(heap)
    order: list[int] = []
    later: list[list[int]] = []
    gone = [False] * len(near)
    while heap:
        degree, node = heappop(heap)
        if gone[node] or degree != len(near[node]):
            continue
        gone[node] = True
        these = near[node]
        order.append(node)
        later.append(sorted(these))
        for one in these:
            mine = near[one]
            mine |= these
            mine.discard(one)
            mine.discard(node)
            heappush(heap, (len(mine), one))
    return order, later


def eliminate(*, nodes: int, start: Sequence[int], end: Sequence[int], fixed: Sequence[int]) -> Elimination:
    r"""Return the elimination of the equations of a network.

    Parameters
    ----------
    nodes : int
        How many nodes it has. [-]
    start : sequence of int
        Node at which each link begins. [-]
    end : sequence of int
        Node at which it ends. [-]
    fixed : sequence of int
        Nodes of known head: they are taken out of the equations. [-]

    Returns
    -------
    Elimination
        For `solve_sparse`, as often as the shape stays.

    Notes
    -----
    The node with the fewest neighbours goes first, the lower number among equals; in a network that is nearly a tree hardly anything fills
    in, so that work and memory grow with the number of nodes.

    References
    ----------
    Tinney, W. F., Walker, J. W. (1967), Direct solutions of sparse network equations by optimally ordered triangular factorization,
    Proc. IEEE 55, 1801-1809, scheme 2.

    Examples
    --------
    >>> shape = eliminate(nodes=3, start=[0, 1], end=[1, 2], fixed=[0])
    >>> shape.free, shape.place.tolist(), shape.row.tolist()
    (2, [2, 0, 1], [1])
    """
    known = set(fixed)
    free = [node for node in range(nodes) if node not in known]
    index = {node: number for number, node in enumerate(free)}
    near: list[set[int]] = [set() for _ in free]
    for one, other in zip(start, end, strict=True):
        a, b = index.get(one), index.get(other)
        if a is not None and b is not None and a != b:
            near[a].add(b)
            near[b].add(a)
    order, later = _order(near)
    rank = [0] * len(free)
    for number, node in enumerate(order):
        rank[node] = number
    place = np.empty(nodes, dtype=np.int64)
    for number, node in enumerate(free):
        place[node] = rank[number]
    for number, node in enumerate(sorted(known)):
        place[node] = len(free) + number
    columns = [sorted(rank[one] for one in these) for these in later]
    first = np.zeros(len(free) + 1, dtype=np.int64)
    np.cumsum([len(column) for column in columns], out=first[1:])
    begin = first.tolist()
    where = {(column, row): begin[column] + at for column, rows in enumerate(columns) for at, row in enumerate(rows)}
    target = [where[rows[a], rows[b]] for rows in columns for a in range(len(rows)) for b in range(a + 1, len(rows))]
    starts, ends = place[np.asarray(start, dtype=np.int64)], place[np.asarray(end, dtype=np.int64)]
    link = np.argsort(np.minimum(starts, ends), kind="stable")
    starts, ends = starts[link], ends[link]
    slots = [where.get((a, b) if a < b else (b, a), -1) for a, b in zip(starts.tolist(), ends.tolist(), strict=True)]
    row = np.array([one for rows in columns for one in rows], dtype=np.int64)
    return Elimination(
        place, len(free), link, starts, ends, np.array(slots, dtype=np.int64), first, row, np.array(target, dtype=np.int64)
    )  # fmt: skip


def _fill(  # noqa: PLR0917 a compiled function takes its arguments by place
    free: int,
    start: Any,  # noqa: ANN401 arrays or lists
    end: Any,  # noqa: ANN401
    slot: Any,  # noqa: ANN401
    demand: Any,  # noqa: ANN401
    head: Any,  # noqa: ANN401
    offset: Any,  # noqa: ANN401
    conductance: Any,  # noqa: ANN401
    diagonal: Any,  # noqa: ANN401
    factor: Any,  # noqa: ANN401
) -> None:
    """Write the equations for links of ``flow = offset + conductance (head at start - head at end)``, right sides in place of heads."""
    for node in range(free):
        diagonal[node] = 0.0
        head[node] = -demand[node]
    for entry in range(len(factor)):
        factor[entry] = 0.0
    for link in range(len(start)):
        a, b, w, u = start[link], end[link], conductance[link], offset[link]
        if a < free:
            diagonal[a] += w
            head[a] -= u
            if b >= free:
                head[a] += w * head[b]
        if b < free:
            diagonal[b] += w
            head[b] += u
            if a >= free:
                head[b] += w * head[a]
        if slot[link] >= 0:
            factor[slot[link]] -= w


def _heads(  # noqa: PLR0917 a compiled function takes its arguments by place
    free: int,
    first: Any,  # noqa: ANN401 arrays or lists
    row: Any,  # noqa: ANN401
    target: Any,  # noqa: ANN401
    head: Any,  # noqa: ANN401
    diagonal: Any,  # noqa: ANN401
    factor: Any,  # noqa: ANN401
) -> None:
    """Write heads in place of the right sides: elimination with the first half of the solution in one pass, then back."""
    at = 0
    for column in range(free):
        inverse = 1.0 / diagonal[column]
        begin, stop = first[column], first[column + 1]
        for one in range(begin, stop):
            share = factor[one] * inverse
            diagonal[row[one]] -= share * factor[one]
            head[row[one]] -= share * head[column]
            for other in range(one + 1, stop):
                factor[target[at]] -= share * factor[other]
                at += 1
        diagonal[column] = inverse
    for column in range(free - 1, -1, -1):
        rest = head[column]
        for one in range(first[column], first[column + 1]):
            rest -= factor[one] * head[row[one]]
        head[column] = rest * diagonal[column]


def solve_power(  # noqa: PLR0917 a compiled function takes its arguments by place
    free: int,
    start: Any,  # noqa: ANN401 arrays or lists
    end: Any,  # noqa: ANN401
    slot: Any,  # noqa: ANN401
    first: Any,  # noqa: ANN401
    row: Any,  # noqa: ANN401
    target: Any,  # noqa: ANN401
    demand: Any,  # noqa: ANN401
    head: Any,  # noqa: ANN401
    flow: Any,  # noqa: ANN401
    work: Any,  # noqa: ANN401
    tolerance: float,
    most: int,
    resistance: Any,  # noqa: ANN401
    exponent: float,
    local: Any,  # noqa: ANN401
) -> tuple[int, float]:
    r"""Write heads and flows of a network of power laws.

    Parameters
    ----------
    free : int
        How many heads are not known. [-]
    start : sequence of int
        As in `Elimination`. [-]
    end : sequence of int
        As in `Elimination`. [-]
    slot : sequence of int
        As in `Elimination`. [-]
    first : sequence of int
        As in `Elimination`. [-]
    row : sequence of int
        As in `Elimination`. [-]
    target : sequence of int
        As in `Elimination`. [-]
    demand : sequence of float
        Taken out at each free node. [m3/s]
    head : sequence of float
        Of all nodes; those of the free ones are written. [m]
    flow : sequence of float
        First guess, then the answer. [m3/s]
    work : sequence of sequences of float
        Room: offsets and conductances by link, diagonal by node, factor. [-]
    tolerance : float
        Sum of changes of the flows against the sum of the flows. [-]
    most : int
        Greatest number of steps. [-]
    resistance : sequence of float
        Of each link. [m/(m3/s)^n]
    exponent : float
        Power of the flow. [-]
    local : sequence of float
        Local losses by the square of the flow. [m/(m3/s)^2]

    Returns
    -------
    tuple of int and float
        Steps, and the change in the last one against the flows.

    References
    ----------
    Todini and Pilati (1988), as in `mainwright.science.hydraulics.network.solve_network`.
    """
    offset, conductance, diagonal, factor = work
    change = 0.0
    for step in range(most):
        for link in range(len(start)):
            loss, slope = power_link(flow[link], resistance[link], exponent, local[link])
            conductance[link] = 1.0 / slope
            offset[link] = flow[link] - loss / slope
        _fill(free, start, end, slot, demand, head, offset, conductance, diagonal, factor)
        _heads(free, first, row, target, head, diagonal, factor)
        moved, total = 0.0, SMALL_FLOW * len(start)
        for link in range(len(start)):
            new = offset[link] + conductance[link] * (head[start[link]] - head[end[link]])
            moved += abs(new - flow[link])
            total += abs(new)
            flow[link] = new
        change = moved / total
        if change <= tolerance:
            return step + 1, change
    return most + 1, change


def solve_darcy(  # noqa: PLR0917 a compiled function takes its arguments by place
    free: int,
    start: Any,  # noqa: ANN401 arrays or lists
    end: Any,  # noqa: ANN401
    slot: Any,  # noqa: ANN401
    first: Any,  # noqa: ANN401
    row: Any,  # noqa: ANN401
    target: Any,  # noqa: ANN401
    demand: Any,  # noqa: ANN401
    head: Any,  # noqa: ANN401
    flow: Any,  # noqa: ANN401
    work: Any,  # noqa: ANN401
    tolerance: float,
    most: int,
    per_flow: Any,  # noqa: ANN401
    relative: Any,  # noqa: ANN401
    scale: Any,  # noqa: ANN401
    local: Any,  # noqa: ANN401
) -> tuple[int, float]:
    r"""Write heads and flows of a network by Darcy and Weisbach.

    Parameters
    ----------
    free : int
        How many heads are not known. [-]
    start : sequence of int
        As in `Elimination`. [-]
    end : sequence of int
        As in `Elimination`. [-]
    slot : sequence of int
        As in `Elimination`. [-]
    first : sequence of int
        As in `Elimination`. [-]
    row : sequence of int
        As in `Elimination`. [-]
    target : sequence of int
        As in `Elimination`. [-]
    demand : sequence of float
        Taken out at each free node. [m3/s]
    head : sequence of float
        Of all nodes; those of the free ones are written. [m]
    flow : sequence of float
        First guess, then the answer. [m3/s]
    work : sequence of sequences of float
        Room: offsets and conductances by link, diagonal by node, factor. [-]
    tolerance : float
        Sum of changes of the flows against the sum of the flows. [-]
    most : int
        Greatest number of steps. [-]
    per_flow : sequence of float
        Reynolds' number by flow, of each link. [s/m3]
    relative : sequence of float
        Roughness over bore. [-]
    scale : sequence of float
        Loss where f times the square of Reynolds' number is one. [m]
    local : sequence of float
        Local losses by the square of the flow. [m/(m3/s)^2]

    Returns
    -------
    tuple of int and float
        Steps, and the change in the last one against the flows.

    References
    ----------
    As `solve_power`.
    """
    offset, conductance, diagonal, factor = work
    change = 0.0
    for step in range(most):
        for link in range(len(start)):
            loss, slope = darcy_link(flow[link], per_flow[link], relative[link], scale[link], local[link])
            conductance[link] = 1.0 / slope
            offset[link] = flow[link] - loss / slope
        _fill(free, start, end, slot, demand, head, offset, conductance, diagonal, factor)
        _heads(free, first, row, target, head, diagonal, factor)
        moved, total = 0.0, SMALL_FLOW * len(start)
        for link in range(len(start)):
            new = offset[link] + conductance[link] * (head[start[link]] - head[end[link]])
            moved += abs(new - flow[link])
            total += abs(new)
            flow[link] = new
        change = moved / total
        if change <= tolerance:
            return step + 1, change
    return most + 1, change


_KERNELS: Final[dict[str, FunctionType]] = {"power": cast("FunctionType", solve_power), "darcy": cast("FunctionType", solve_darcy)}


@cache
def kernel(name: str) -> Callable[..., Any]:
    r"""Return a compiled solver; the compiled code is kept between processes.

    Parameters
    ----------
    name : str
        ``power`` or ``darcy``. [-]

    Returns
    -------
    callable
        `solve_power` or `solve_darcy`, compiled.

    References
    ----------
    The functions themselves.
    """
    import numba

    compile_ = numba.njit(cache=True, nogil=True, error_model="numpy")
    source = _KERNELS[name]
    # The compiled solver calls compiled helpers; the plain text of the module stays as it is.
    helpers = {one.__name__: compile_(one) for one in (power_link, darcy_link, _fill, _heads)}
    linked = FunctionType(source.__code__, {**source.__globals__, **helpers}, source.__name__)
    compiled: Callable[..., Any] = compile_(linked)
    return compiled


def solve_sparse(
    shape: Elimination,
    *,
    law: LinkLaw,
    demand: NDArray[np.float64],
    head: NDArray[np.float64],
    flow: NDArray[np.float64],
    tolerance: float,
    most: int,
    compiled: bool,
) -> tuple[NDArray[np.float64], NDArray[np.float64], int, float]:
    r"""Return heads and flows of a network by sparse elimination.

    Parameters
    ----------
    shape : Elimination
        Of the network. [-]
    law : LinkLaw
        Of its links. [-]
    demand : ndarray
        Taken out at each node. [m3/s]
    head : ndarray
        Known heads at their nodes; others count for nothing. [m]
    flow : ndarray
        First guess. [m3/s]
    tolerance : float
        Sum of changes of the flows against the sum of the flows. [-]
    most : int
        Greatest number of steps. [-]
    compiled : bool
        Whether to run through numba. [-]

    Returns
    -------
    tuple
        Heads [m], flows [m3/s], steps, last change against the flows.

    References
    ----------
    As `solve_power`.
    """
    # Heads are counted from one of the known ones: the smaller they are, the less is lost in their differences.
    zero = float(head[int(np.argmax(shape.place >= shape.free))])
    inner = np.empty(len(head))
    inner[shape.place] = head - zero
    taken = np.empty(len(demand))
    taken[shape.place] = demand
    links = len(shape.start)
    flows = np.array(flow, dtype=np.float64)[shape.link]
    work = (np.empty(links), np.empty(links), np.empty(shape.free), np.empty(len(shape.row)))
    table: list[Any] = [shape.start, shape.end, shape.slot, shape.first, shape.row, shape.target, taken]
    constants: list[Any]
    name = "darcy" if isinstance(law, DarcyLaw) else "power"
    if isinstance(law, DarcyLaw):
        constants = [one[shape.link] for one in (law.per_flow, law.relative, law.scale, law.local)]
    else:
        constants = [law.resistance[shape.link], law.exponent, law.local[shape.link]]
    if compiled:
        steps, change = kernel(name)(shape.free, *table, inner, flows, work, tolerance, most, *constants)
        return inner[shape.place] + zero, _put_back(shape, flows), int(steps), float(change)
    # Lists are read and written several times faster than arrays, element by element.
    plain = [one.tolist() if isinstance(one, np.ndarray) else one for one in (*table, inner, flows)]
    room = tuple(one.tolist() for one in work)
    numbers = [one.tolist() if isinstance(one, np.ndarray) else one for one in constants]
    steps, change = _KERNELS[name](shape.free, *plain, room, tolerance, most, *numbers)
    return np.array(plain[-2])[shape.place] + zero, _put_back(shape, np.array(plain[-1])), int(steps), float(change)


def _put_back(shape: Elimination, flows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return flows in the links' own order."""
    own = np.empty_like(flows)
    own[shape.link] = flows
    return own
