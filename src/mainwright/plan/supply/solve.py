"""Least-cost sizes from the stock: exact on branched and on small looped networks, a search by steps on large looped ones."""

import itertools
import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from mainwright.plan.supply.problem import SizeProblem, is_tree
from mainwright.science.hydraulics.link_loss import darcy_law
from mainwright.science.hydraulics.network import DENSE_TO, Network, NetworkState, cut_off, link_losses, network, solve_network
from mainwright.science.hydraulics.network_sparse import Elimination, eliminate

__all__ = ["MOST_COMBINATIONS", "Sizes", "Supplied", "choose_sizes", "supplied"]

MOST_COMBINATIONS: Final = 250
"""Looped networks with no more combinations of sizes are tried through."""

_COMPILE_FROM: Final = 20_000
"""Links times choices of a size from which a search is worth compiled code: one pass takes 3 s without it, loading it 1 s."""

_MOST_LABELS: Final = 20000
_SLACK: Final = 1e-7


@dataclass(frozen=True, slots=True)
class Supplied:
    """What a choice of sizes gives: heads [m], flows [m3/s], inflow of each feed [m3/s], 0 where its check valve is shut.

    Attributes
    ----------
    short
        How far heads, flows of feeds and stock are missed, in all; 0 where everything is kept. [-]
    """

    head: tuple[float, ...]
    flow: tuple[float, ...]
    inflow: tuple[float, ...]
    short: float


@dataclass(frozen=True, slots=True)
class Sizes:
    """Number of the stock of each group, what they weigh, what they give, and whether nothing is cheaper for certain."""

    size: tuple[int, ...]
    weight: float
    supplied: Supplied
    exact: bool


def supplied(problem: SizeProblem, size: tuple[int, ...], *, near: Supplied | None = None) -> Supplied:
    """Return heads and flows with these sizes.

    Parameters
    ----------
    problem : SizeProblem
        What is asked. [-]
    size : tuple of int
        Number of the stock of each group. [-]
    near : Supplied or None
        What other sizes give, to look from: the same is found, sooner. [-]

    Returns
    -------
    Supplied
        Feeds let no water back: one whose head is lower than that of the network beside it is shut, and opened again where it is higher.
    """
    chosen = [problem.stock[size[group]] for group in problem.group]
    law = darcy_law(
        length=problem.length,
        bore=[one.bore for one in chosen],
        roughness=[one.roughness for one in chosen],
        viscosity=problem.viscosity,
    )
    demand = np.array(problem.demand)
    count = len(problem.demand)
    every = range(len(problem.feeds))
    open_ = set(every) if near is None else {one for one in every if near.inflow[one] > 0.0} or set(every)
    flow = None if near is None else np.array(near.flow)
    seen: set[frozenset[int]] = set()
    inflow: dict[int, float] = {}
    while True:
        seen.add(frozenset(open_))
        fixed = [problem.feeds[one][0] for one in sorted(open_)]
        head = np.zeros(count)
        for one in open_:
            head[problem.feeds[one][0]] = problem.feeds[one][1]
        shape, order = _shape(count, problem.start, problem.end, tuple(fixed), once=near is None)
        state: NetworkState = solve_network(
            shape, law=law, demand=demand, head=head, flow=flow, order=order, compiled=True if near is not None and _many(problem) else None
        )
        flow = state.flow
        out = np.bincount(problem.start, state.flow, count) - np.bincount(problem.end, state.flow, count) + demand
        inflow = {one: float(out[problem.feeds[one][0]]) for one in open_}
        back = min(inflow, key=lambda one: (inflow[one], one))
        if inflow[back] < -_SLACK:
            then = open_ - {back}
        else:
            low = [
                one
                for one in range(len(problem.feeds))
                if one not in open_ and state.head[problem.feeds[one][0]] < problem.feeds[one][1] - 1e-6
            ]
            then = open_ | set(low[:1])
        if then == open_ or frozenset(then) in seen:
            break
        open_ = then
    flows = tuple(max(0.0, inflow.get(one, 0.0)) for one in range(len(problem.feeds)))
    short = math.fsum(max(0.0, least - has - _SLACK) for least, has in zip(problem.least, state.head.tolist(), strict=True))
    short += math.fsum(1e3 * max(0.0, flow - most - 1e-9) for flow, (_, _, most) in zip(flows, problem.feeds, strict=True))
    short += _stock_short(problem, size)
    return Supplied(tuple(state.head.tolist()), tuple(state.flow.tolist()), flows, short)


def _many(problem: SizeProblem) -> bool:
    """Return whether a search by steps solves so much that compiled code is worth its import."""
    return len(problem.start) * problem.groups * len(problem.stock) >= _COMPILE_FROM


@lru_cache(maxsize=32)
def _shape(
    nodes: int, start: tuple[int, ...], end: tuple[int, ...], fixed: tuple[int, ...], *, once: bool
) -> tuple[Network, Elimination | None]:
    """Return a network and the order of its equations, which many choices of sizes share; a small one that is solved once needs none."""
    shape = network(nodes=nodes, start=start, end=end, fixed=fixed)
    # What is cut off is left to the solver, which says so.
    if (once and nodes - len(fixed) <= DENSE_TO) or bool(np.any(cut_off(shape))):
        return shape, None
    return shape, eliminate(nodes=nodes, start=start, end=end, fixed=fixed)


def _stock_short(problem: SizeProblem, size: tuple[int, ...]) -> float:
    used = [0.0] * len(problem.stock)
    for one, length in zip(size, problem.group_lengths(), strict=True):
        used[one] += length
    return math.fsum(max(0.0, one - stock.length - 1e-9) for one, stock in zip(used, problem.stock, strict=True))


def _weight(problem: SizeProblem, size: tuple[int, ...]) -> float:
    return math.fsum(problem.stock[one].weight * length for one, length in zip(size, problem.group_lengths(), strict=True))


def choose_sizes(problem: SizeProblem) -> Sizes:
    """Return the cheapest sizes that keep every head, every feed's flow and the stock; where none do, those that miss least.

    Parameters
    ----------
    problem : SizeProblem
        What is asked. [-]

    Returns
    -------
    Sizes
        `exact` where nothing cheaper keeps all.

    Notes
    -----
    On a tree all flows are known. From its ends to its feed, each group carries the list of choices below it that no other choice beats in
    cost, in head needed at its beginning, and in every size's use of the stock (only where the stock can run out): no choice that could be
    part of the best is lost. Small looped networks are tried through in order of cost. Large ones start from the best single size and
    change one group at a time, longest first, as long as something is gained; that may miss a cheaper choice.
    """
    if is_tree(problem):
        found = _tree(problem)
        if found is not None:
            return found
    combinations = len(problem.stock) ** problem.groups
    if combinations <= MOST_COMBINATIONS:
        return _all(problem)
    return _steps(problem)


def _all(problem: SizeProblem) -> Sizes:
    every = itertools.product(range(len(problem.stock)), repeat=problem.groups)
    ordered = sorted(every, key=lambda size: (_weight(problem, size), size))
    tried: list[Sizes] = []
    for size in ordered:
        tried.append(Sizes(size, _weight(problem, size), supplied(problem, size), exact=True))
        if tried[-1].supplied.short == 0.0:
            return tried[-1]
    return min(tried, key=lambda one: one.supplied.short)


def _steps(problem: SizeProblem) -> Sizes:
    def judged(size: tuple[int, ...], near: Supplied | None) -> tuple[tuple[float, float], Sizes]:
        got, weight = supplied(problem, size, near=near), _weight(problem, size)
        return (got.short, weight), Sizes(size, weight, got, exact=False)

    kinds, lengths = range(len(problem.stock)), problem.group_lengths()
    key, best = min((judged((one,) * problem.groups, None) for one in kinds), key=lambda pair: pair[0])
    gained = True
    while gained:
        gained = False
        for group in sorted(range(problem.groups), key=lambda one: (-lengths[one], one)):
            for one in kinds:
                size = (*best.size[:group], one, *best.size[group + 1 :])
                if one == best.size[group] or (key[0] == 0.0 and (_weight(problem, size) >= key[1] or _stock_short(problem, size) > 0.0)):
                    continue
                other, tried = judged(size, best.supplied)
                if other < key:
                    key, best, gained = other, tried, True
    # What is told does not hang on the way to it.
    return replace(best, supplied=supplied(problem, best.size))


_Label = tuple[float, float, tuple[float, ...], tuple[tuple[int, int], ...]]
"""Weight, head needed at the beginning, use of each size, and the choices."""


def _tree(problem: SizeProblem) -> Sizes | None:
    """Return the best sizes of a tree, None where the lists grow too long or groups are not chains."""
    free = _tree_labels(problem, limited=False)
    if free is None:
        return None
    if _stock_short(problem, free) > 0.0:
        free = _tree_labels(problem, limited=True)
        if free is None:
            return None
    return Sizes(free, _weight(problem, free), supplied(problem, free), exact=True)


def _down(problem: SizeProblem) -> tuple[list[int], dict[int, list[tuple[int, int]]], dict[int, float]]:
    """Return points in order from the feed, links and points below each, and the flow into each."""
    near: dict[int, list[tuple[int, int]]] = {node: [] for node in range(len(problem.demand))}
    for link, (one, other) in enumerate(zip(problem.start, problem.end, strict=True)):
        near[one].append((link, other))
        near[other].append((link, one))
    root = problem.feeds[0][0]
    order, below, above = [root], {root: near[root]}, {root: -1}
    for node in order:
        below[node] = [(link, other) for link, other in near[node] if other != above[node]]
        for _, other in below[node]:
            above[other] = node
            order.append(other)
    flow = {node: problem.demand[node] for node in order}
    for node in reversed(order[1:]):
        flow[above[node]] += flow[node]
    return order, below, flow


def _tree_labels(problem: SizeProblem, *, limited: bool) -> tuple[int, ...] | None:
    order, below, flow = _down(problem)
    if flow[order[0]] > problem.feeds[0][2] + 1e-9 or problem.feeds[0][1] < problem.least[order[0]]:
        return None
    losses = _link_losses(problem, below, flow)
    labels: dict[int, list[_Label]] = {}
    for node in reversed(order):
        here: list[_Label] = [(0.0, problem.least[node], (0.0,) * len(problem.stock), ())]
        for link, other in below[node]:
            through = _through(problem, labels.pop(other), link, losses[link], limited=limited)
            # Sizes of a group that goes on above are not yet to be compared with each other.
            here = [
                (a[0] + b[0], max(a[1], b[1]), tuple(x + y for x, y in zip(a[2], b[2], strict=True)), (*a[3], *b[3]))
                for a in here
                for b in through
            ]
            if limited:
                # Each branch keeps the stock; both together must too.
                here = [label for label in here if _in_stock(problem, label[2])]
            if len(here) > _MOST_LABELS:
                return None
        labels[node] = _pruned(here, _open_group(problem, node, order, below), limited=limited)
        if not labels[node]:
            return None
    found = min((label for label in labels[order[0]] if label[1] <= problem.feeds[0][1] + _SLACK), default=None)
    return None if found is None else tuple(one for _, one in sorted(found[3]))


def _through(problem: SizeProblem, beyond: list[_Label], link: int, losses: list[float], *, limited: bool) -> list[_Label]:
    """Return the labels of a point carried to the upper end of the link above it."""
    group, length, most = problem.group[link], problem.length[link], problem.feeds[0][1]
    found: list[_Label] = []
    for weight, need, uses, choices in beyond:
        given = dict(choices).get(group)
        for one in range(len(problem.stock)) if given is None else (given,):
            used = tuple(use + (length if kind == one else 0.0) for kind, use in enumerate(uses))
            if need + losses[one] > most + _SLACK or (limited and not _in_stock(problem, used)):
                continue
            choice = choices if given is not None else (*choices, (group, one))
            found.append((weight + problem.stock[one].weight * length, need + losses[one], used, choice))
    return found


def _in_stock(problem: SizeProblem, used: tuple[float, ...]) -> bool:
    return all(use <= stock.length + 1e-9 for use, stock in zip(used, problem.stock, strict=True))


def _open_group(problem: SizeProblem, node: int, order: list[int], below: dict[int, list[tuple[int, int]]]) -> int | None:
    """Return the group of the link above a point."""
    for upper in order:
        for link, other in below[upper]:
            if other == node:
                return problem.group[link]
    return None


def _link_losses(problem: SizeProblem, below: dict[int, list[tuple[int, int]]], flow: dict[int, float]) -> dict[int, list[float]]:
    into = np.zeros(len(problem.start))
    for links in below.values():
        for link, other in links:
            into[link] = flow[other]
    columns = []
    for stock in problem.stock:
        law = darcy_law(length=problem.length, bore=stock.bore, roughness=stock.roughness, viscosity=problem.viscosity)
        columns.append(link_losses(law, into)[0].tolist())
    return {link: [column[link] for column in columns] for link in range(len(problem.start))}


def _pruned(labels: list[_Label], above: int | None, *, limited: bool) -> list[_Label]:
    """Return the labels that no other one beats, compared only where the group that goes on has the same size."""
    kept: dict[int | None, list[_Label]] = {}
    for label in sorted(labels):
        mine = kept.setdefault(None if above is None else dict(label[3]).get(above), [])
        beaten = any(
            other[1] <= label[1] and (not limited or all(x <= y for x, y in zip(other[2], label[2], strict=True))) for other in mine
        )
        if not beaten:
            mine.append(label)
    return [label for mine in kept.values() for label in mine]
