"""What is asked of a temporary supply, in plain numbers: points, lengths between them, feeds, sizes on stock."""

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["SizeProblem", "Stock", "groups_of", "is_tree"]


@dataclass(frozen=True, slots=True)
class Stock:
    """One size: bore, roughness [m], weight by length (the price, or a stand-in), and how much there is [m], infinite where nobody says."""

    name: str
    bore: float
    roughness: float
    weight: float
    length: float


@dataclass(frozen=True, slots=True)
class SizeProblem:
    """Points and links are numbered from 0.

    Attributes
    ----------
    start, end, length
        Of each link: its two points, and its length. [m]
    group
        Number of the group of each link: links of a group get one size.
    demand
        Drawn at each point. [m3/s]
    least
        Least head wanted at each point. [m]
    feeds
        Points where water comes in, each behind a check valve: head at rest [m], greatest flow [m3/s], infinite where nobody says.
    stock
        Sizes, in order of bore.
    viscosity
        Kinematic. [m2/s]
    """

    start: tuple[int, ...]
    end: tuple[int, ...]
    length: tuple[float, ...]
    group: tuple[int, ...]
    demand: tuple[float, ...]
    least: tuple[float, ...]
    feeds: tuple[tuple[int, float, float], ...]
    stock: tuple[Stock, ...]
    viscosity: float

    @property
    def groups(self) -> int:
        """How many groups there are."""
        return max(self.group, default=-1) + 1

    def group_lengths(self) -> tuple[float, ...]:
        """Return the length of each group. [m]."""
        found = [0.0] * self.groups
        for group, length in zip(self.group, self.length, strict=True):
            found[group] += length
        return tuple(found)


def is_tree(problem: SizeProblem) -> bool:
    """Return whether one feed supplies all points on one way each: then all flows are known before any size is.

    Parameters
    ----------
    problem : SizeProblem
        All of its points hang together. [-]

    Returns
    -------
    bool
        False where a loop or a second feed shares the flow.
    """
    return len(problem.feeds) == 1 and len(problem.start) == len(problem.demand) - 1


def groups_of(start: Sequence[int], end: Sequence[int], *, nodes: int, kept: Sequence[int], most: int) -> tuple[int, ...]:
    """Return which links share a size: chains without a junction, cut into pieces of about as many links.

    Parameters
    ----------
    start, end : sequence of int
        Points of each link; links of a chain follow each other. [-]
    nodes : int
        How many points. [-]
    kept : sequence of int
        Points at which a chain ends in any case. [-]
    most : int
        Pieces of a chain at most. [-]

    Returns
    -------
    tuple of int
        Number of the group of each link.
    """
    degree = [0] * nodes
    for one in (*start, *end):
        degree[one] += 1
    ends = {node for node in range(nodes) if degree[node] != 2} | set(kept)
    chains: list[list[int]] = []
    for link, first in enumerate(start):
        if chains and first not in ends and end[chains[-1][-1]] == first:
            chains[-1].append(link)
        else:
            chains.append([link])
    group = [0] * len(start)
    number = 0
    for chain in chains:
        pieces = min(most, len(chain))
        for place, link in enumerate(chain):
            group[link] = number + place * pieces // len(chain)
        number += pieces
    return tuple(group)
