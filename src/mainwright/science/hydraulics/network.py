"""Heads and flows of a network of pipes: loops, branches, several sources."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from mainwright.errors import InputError, SolveError
from mainwright.science.hydraulics.link_loss import DarcyLaw, darcy_link, power_link
from mainwright.science.hydraulics.network_sparse import SMALL_FLOW, eliminate, solve_sparse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from mainwright.science.hydraulics.link_loss import LinkLaw
    from mainwright.science.hydraulics.network_sparse import Elimination

__all__ = ["COMPILE_FROM", "DENSE_TO", "Network", "NetworkState", "cut_off", "link_losses", "network", "solve_network"]

DENSE_TO: Final = 300
"""Free nodes up to which a full matrix is as good: then the equations need no order and no compiled code."""

COMPILE_FROM: Final = 300
"""Free nodes from which compiled code is loaded."""

_TOLERANCE: Final = 1e-8
_MOST: Final = 60


@dataclass(frozen=True, slots=True)
class Network:
    """The shape of a network: nodes are numbered from 0.

    Attributes
    ----------
    nodes
        How many nodes. [-]
    start, end
        Nodes that each link joins; flow counts positive from start to end. [-]
    fixed
        Nodes of known head, in order. [-]
    """

    nodes: int
    start: NDArray[np.int64]
    end: NDArray[np.int64]
    fixed: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class NetworkState:
    """Heads of the nodes [m] and flows of the links [m3/s]; `steps` that it took, and the last change of the flows, as a share of them."""

    head: NDArray[np.float64]
    flow: NDArray[np.float64]
    steps: int
    change: float


def network(*, nodes: int, start: Sequence[int], end: Sequence[int], fixed: Sequence[int]) -> Network:
    r"""Return a checked network.

    Parameters
    ----------
    nodes : int
        How many nodes it has. [-]
    start : sequence of int
        Node at which each link begins. [-]
    end : sequence of int
        Node at which it ends. [-]
    fixed : sequence of int
        Nodes of known head. [-]

    Returns
    -------
    Network
        Its shape.

    Raises
    ------
    InputError
        If a number of a node is out of range, or a link joins a node to itself.

    References
    ----------
    Elementary.

    Examples
    --------
    >>> network(nodes=2, start=[0], end=[1], fixed=[0]).fixed
    (0,)
    """
    starts, ends = np.asarray(start, dtype=np.int64), np.asarray(end, dtype=np.int64)
    if starts.shape != ends.shape:
        raise InputError("end", len(ends), "links", f"as many as start has, {len(starts)}")
    for name, these in (("start", starts), ("end", ends), ("fixed", np.asarray(fixed, dtype=np.int64))):
        if these.size and not (int(np.min(these)) >= 0 and int(np.max(these)) < nodes):
            raise InputError(name, f"{int(np.min(these))} to {int(np.max(these))}", "", f"numbers of nodes, 0 to {nodes - 1}")
    if bool(np.any(starts == ends)):
        raise InputError("link", int(np.argmax(starts == ends)), "", "a link between two different nodes")
    return Network(nodes, starts, ends, tuple(sorted(set(map(int, fixed)))))


def cut_off(shape: Network) -> NDArray[np.bool_]:
    r"""Return which nodes no node of known head can reach.

    Parameters
    ----------
    shape : Network
        The network. [-]

    Returns
    -------
    ndarray of bool
        One entry a node. [-]

    Notes
    -----
    A search over the links from all nodes of known head at once.

    References
    ----------
    Elementary.

    Examples
    --------
    >>> cut_off(network(nodes=4, start=[0, 2], end=[1, 3], fixed=[0])).tolist()
    [False, False, True, True]
    """
    near: list[list[int]] = [[] for _ in range(shape.nodes)]
    for one, other in zip(shape.start.tolist(), shape.end.tolist(), strict=True):
        near[one].append(other)
        near[other].append(one)
    lost = [True] * shape.nodes
    open_ = list(shape.fixed)
    for node in open_:
        lost[node] = False
    while open_:
        for one in near[open_.pop()]:
            if lost[one]:
                lost[one] = False
                open_.append(one)
    return np.array(lost, dtype=np.bool_)


def link_losses(law: LinkLaw, flow: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""Return the losses of all links, and their slopes.

    Parameters
    ----------
    law : LinkLaw
        Of the links. [-]
    flow : ndarray
        Through each. [m3/s]

    Returns
    -------
    tuple of ndarray
        Loss with the sign of the flow [m], slope by flow [m/(m3/s)].

    References
    ----------
    As in `mainwright.science.hydraulics.link_loss`.

    Examples
    --------
    >>> from mainwright.science.hydraulics.link_loss import PowerLaw
    >>> loss, _ = link_losses(PowerLaw(np.array([0.5]), 2.0, np.zeros(1)), np.array([-2.0]))
    >>> round(float(loss[0]), 9)
    -2.0
    """
    if isinstance(law, DarcyLaw):
        loss, slope = darcy_link(flow, law.per_flow, law.relative, law.scale, law.local)
    else:
        loss, slope = power_link(flow, law.resistance, law.exponent, law.local)
    return loss, slope


def _first_flow(law: LinkLaw) -> NDArray[np.float64]:
    """Return a first guess: a Reynolds' number of some turbulent flow where bores are known, else the flow that loses a centimetre.

    Too great a guess costs steps: the flow of a link that will carry nearly none only halves in each.
    """
    if isinstance(law, DarcyLaw):
        return np.asarray(2e4 / law.per_flow, dtype=np.float64)
    return np.asarray((0.01 / np.maximum(law.resistance + law.local, 1e-12)) ** (1.0 / law.exponent), dtype=np.float64)


def solve_network(
    shape: Network,
    *,
    law: LinkLaw,
    demand: ArrayLike,
    head: ArrayLike,
    flow: ArrayLike | None = None,
    tolerance: float = _TOLERANCE,
    order: Elimination | None = None,
    compiled: bool | None = None,
) -> NetworkState:
    r"""Return heads and flows with which every node is in balance and every link loses what its ends differ by.

    Parameters
    ----------
    shape : Network
        The network. [-]
    law : LinkLaw
        Of its links. [-]
    demand : array_like
        Taken out at each node, negative where it is put in; at nodes of known head it counts for nothing. [m3/s]
    head : array_like
        Known heads at their nodes; those of other nodes count for nothing. [m]
    flow : array_like or None
        First guess, as from an earlier answer. [m3/s]
    tolerance : float
        Sum of the changes of the flows in the last step, as a share of their sum. [-]
    order : Elimination or None
        Of this network, where it is solved many times; only used where the full matrix is not. [-]
    compiled : bool or None
        Whether to run through numba; None decides by the size. [-]

    Returns
    -------
    NetworkState
        Heads and flows.

    Raises
    ------
    InputError
        If a node is cut off from every known head, or a number is not finite.
    SolveError
        If the steps do not settle.

    Notes
    -----
    The global gradient: Newton's method on both sets of equations at once, of which only heads are left to be solved for,

    .. math:: \sum_j \frac{H_i - H_j}{h'_{ij}} = -q_i - \sum_j \left( Q_{ij} - \frac{h(Q_{ij})}{h'_{ij}} \right)

    Nodes are in balance after every step. Up to `DENSE_TO` unknown heads the matrix is kept full; larger ones by `solve_sparse`.

    References
    ----------
    Todini, E., Pilati, S. (1988), A gradient algorithm for the analysis of pipe networks, in Computer Applications in Water Supply, vol. 1,
    Research Studies Press, 1-20.

    Examples
    --------
    Two equal pipes side by side share the flow.

    >>> from mainwright.science.hydraulics.link_loss import PowerLaw
    >>> two = network(nodes=2, start=[0, 0], end=[1, 1], fixed=[0])
    >>> found = solve_network(two, law=PowerLaw(np.array([3.0, 3.0]), 2.0, np.zeros(2)), demand=[0.0, 2.0], head=[10.0, 0.0])
    >>> [round(float(one), 9) for one in (*found.flow, found.head[1])]
    [1.0, 1.0, 7.0]
    """
    taken, known = np.array(demand, dtype=np.float64), np.array(head, dtype=np.float64)
    lost = cut_off(shape) if order is None else np.zeros(0, dtype=np.bool_)
    if bool(np.any(lost)):
        which = np.flatnonzero(lost)
        more = " ..." if len(which) > 10 else ""
        raise InputError("network", ", ".join(map(str, which[:10].tolist())) + more, "nodes", "nodes that a node of known head can reach")
    if not (bool(np.all(np.isfinite(taken))) and bool(np.all(np.isfinite(known[list(shape.fixed)])))):
        raise InputError("demand or head", "not finite", "", "finite numbers")
    guess = _first_flow(law) if flow is None else np.array(flow, dtype=np.float64)
    free = shape.nodes - len(shape.fixed)
    if free == 0:
        guess = _between_known(shape, law, known, guess)
        return NetworkState(known, guess, 0, 0.0)
    if order is None and free <= DENSE_TO and not compiled:
        heads, flows, steps, change = _solve_dense(shape, law, taken, known, guess, tolerance)
    else:
        found = order or eliminate(nodes=shape.nodes, start=shape.start.tolist(), end=shape.end.tolist(), fixed=shape.fixed)
        fast = free >= COMPILE_FROM if compiled is None else compiled
        heads, flows, steps, change = solve_sparse(
            found, law=law, demand=taken, head=known, flow=guess, tolerance=tolerance, most=_MOST, compiled=fast
        )
    if steps > _MOST or not np.isfinite(change):
        raise SolveError("flows of the network", change, min(steps, _MOST))
    return NetworkState(heads, flows, steps, change)


def _between_known(shape: Network, law: LinkLaw, known: NDArray[np.float64], flow: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the flows between nodes whose heads are all known."""
    flows = flow
    for _ in range(_MOST):
        loss, slope = link_losses(law, flows)
        step = (known[shape.start] - known[shape.end] - loss) / slope
        flows = flows + step
        if float(np.sum(np.abs(step))) <= _TOLERANCE * float(np.sum(np.abs(flows))) + 1e-15:
            return flows
    raise SolveError("flows between known heads", float(np.max(np.abs(step))), _MOST)


def _solve_dense(  # noqa: PLR0917 the same arguments, in the order of the solver's
    shape: Network,
    law: LinkLaw,
    demand: NDArray[np.float64],
    known: NDArray[np.float64],
    flow: NDArray[np.float64],
    tolerance: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64], int, float]:
    count = shape.nodes
    mask = np.ones(count, dtype=np.bool_)
    mask[list(shape.fixed)] = False
    free = np.flatnonzero(mask)
    a, b = shape.start, shape.end
    entries = np.concatenate([a * count + a, b * count + b, a * count + b, b * count + a])
    fixed = np.array(shape.fixed, dtype=np.int64)
    zero = float(known[fixed[0]])
    heads, flows = known - zero, flow
    heads[free] = 0.0
    change = np.inf
    for step in range(_MOST):
        loss, slope = link_losses(law, flows)
        conductance = 1.0 / slope
        offset = flows - loss * conductance
        weights = np.concatenate([conductance, conductance, -conductance, -conductance])
        matrix = np.bincount(entries, weights, count * count).reshape(count, count)
        right = np.bincount(b, offset, count) - np.bincount(a, offset, count) - demand
        right = right[free] - matrix[np.ix_(free, fixed)] @ heads[fixed]
        heads[free] = np.linalg.solve(matrix[np.ix_(free, free)], right)
        new = offset + conductance * (heads[a] - heads[b])
        change = float(np.sum(np.abs(new - flows))) / (float(np.sum(np.abs(new))) + SMALL_FLOW * len(new))
        flows = new
        if change <= tolerance:
            return heads + zero, flows, step + 1, change
    return heads + zero, flows, _MOST + 1, change
