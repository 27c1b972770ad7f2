"""Where the temporary pipe lies: points at connections and feeds along one kerb or both, crossings at the feeds."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from mainwright.job.job import Job
from mainwright.job.survey import Feed, Service, Side
from mainwright.standards.published import value

__all__ = ["Laid", "Place", "lay"]

_STUB: Final = 1.0
"""From a feed to the pipe of its own kerb, where another feed stands there too. [m]"""


@dataclass(slots=True)
class Place:
    """A point: its chainage and kerb, the connections that hang on it, the feed that is there."""

    id: str
    chainage: float
    side: Side
    services: list[Service] = field(default_factory=list)
    feed: Feed | None = None


@dataclass(frozen=True, slots=True)
class Laid:
    """Points and the lengths between them: pairs of points, length [m], whether it crosses the street."""

    places: tuple[Place, ...]
    links: tuple[tuple[int, int, float, bool], ...]


def _sides(job: Job) -> tuple[Side, ...]:
    wanted = None if job.supply is None else job.supply.sides
    if wanted == "left":
        return ("left",)
    if wanted == "right":
        return ("right",)
    return ("left", "right")


class _Drawing:
    """Points and lengths as they are drawn, each point with a name of its own."""

    def __init__(self) -> None:
        self.places: list[Place] = []
        self.chains: list[tuple[int, int, float, bool]] = []
        self.ties: list[tuple[int, int, float, bool]] = []
        self.names: set[str] = set()

    def add(self, name: str, chainage: float, side: Side) -> int:
        unique, count = name, 1
        while unique in self.names:
            count += 1
            unique = f"{name}-{count}"
        self.names.add(unique)
        self.places.append(Place(unique, chainage, side))
        return len(self.places) - 1

    def add_at(self, chainage: float, side: Side) -> int:
        return self.add(f"{side[0].upper()}{chainage:.10g}", chainage, side)

    def draw(self, kerb: Side, sources: Sequence[int], services: Sequence[Service]) -> None:
        """Draw the pipe along one kerb, with a tie to each feed that does not stand on it."""
        spots: dict[float, int] = {}
        for source in sources:
            place = self.places[source]
            if place.side == kerb and place.chainage not in spots:
                spots[place.chainage] = source
                continue
            if place.chainage not in spots:
                spots[place.chainage] = self.add_at(place.chainage, kerb)
            crosses = place.side != kerb
            across = value("supply", "crossing").value if crosses else _STUB
            self.ties.append((source, spots[place.chainage], across, crosses))
        for one in services:
            if one.chainage not in spots:
                spots[one.chainage] = self.add_at(one.chainage, kerb)
            self.places[spots[one.chainage]].services.append(one)
        line = [spots[chainage] for chainage in sorted(spots)]
        self.chains += [(a, b, self.places[b].chainage - self.places[a].chainage, False) for a, b in pairwise(line)]


def lay(job: Job, services: Sequence[Service], feeds: Sequence[Feed]) -> Laid:
    """Return the temporary pipe of these connections, fed here.

    Parameters
    ----------
    job : Job
        Says which kerbs. [-]
    services : sequence of Service
        Connections to supply. [-]
    feeds : sequence of Feed
        Where water comes in; at least one. [-]

    Returns
    -------
    Laid
        A pipe along each kerb that has customers, from the first to the last of its customers and feeds. A feed reaches the other kerb by a crossing. Where one
        kerb alone has pipe, customers of the other one are reached by their own hose across the street.
    """
    kerbs = _sides(job)
    used: list[Side] = [kerb for kerb in kerbs if len(kerbs) == 1 or any(_kerb(one.side, kerbs) == kerb for one in services)]
    drawing, sources = _Drawing(), []
    for number, feed in enumerate(feeds):
        sources.append(drawing.add(feed.ref or f"F{number + 1}", feed.chainage, feed.side or used[0]))
        drawing.places[-1].feed = feed
    for kerb in used:
        drawing.draw(kerb, sources, [one for one in services if _kerb(one.side, tuple(used)) == kerb])
    return Laid(tuple(drawing.places), (*drawing.chains, *drawing.ties))


def _kerb(side: Side | None, kerbs: tuple[Side, ...]) -> Side:
    return side if side in kerbs and side is not None else kerbs[0]
