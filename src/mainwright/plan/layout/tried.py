"""A layout that a hand has made: what it costs and which limits its runs do not keep, at once."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.plan.host import Host
from mainwright.plan.layout.again import Again
from mainwright.plan.layout.candidates import LENGTH_SLACK, find_candidates, known_places
from mainwright.plan.layout.limits import Breach, Line, breaches, equipment_sets, limit_text
from mainwright.plan.layout.money import rates_of
from mainwright.plan.layout.options import picked_of
from mainwright.plan.layout.problem import build
from mainwright.plan.layout.reaches import DIRECTIONS, Reaches
from mainwright.plan.placing import Linings
from mainwright.plan.result import Direction
from mainwright.words.message import Message

__all__ = ["Tried", "TriedOpening", "TriedRun", "tried_layout"]


@dataclass(frozen=True, slots=True)
class TriedOpening:
    """An opening of a layout made by hand.

    Attributes
    ----------
    chainage
        [m]
    price
        In the job's currency; None where nothing of it is priced.
    barred
        Whether nobody may dig here.
    surface
        What lies over it; None where the survey is silent.
    """

    chainage: float
    price: float | None
    barred: bool
    surface: str | None


@dataclass(frozen=True, slots=True)
class TriedRun:
    """A run of a layout made by hand.

    Attributes
    ----------
    start, end
        [m]
    direction
        The cheapest way of the head, together with the other runs.
    cost
        Of the run alone, openings and places of the pump apart, in the job's currency.
    broken
        Every limit that it does not keep, in words, with the equipment that breaks fewest; empty where it can be done.
    """

    start: float
    end: float
    direction: Direction
    cost: float
    broken: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Tried:
    """A layout made by hand: its price is what it would cost whether or not its limits are kept."""

    cost: float
    openings: tuple[TriedOpening, ...]
    runs: tuple[TriedRun, ...]

    @property
    def keeps(self) -> bool:
        """Whether it keeps every limit and opens nothing where nobody may dig."""
        return not any(run.broken for run in self.runs) and not any(one.barred for one in self.openings)


def tried_layout(job: Job, host: Host, openings: Sequence[float], *, linings: Linings | None = None, again: Again | None = None) -> Tried:
    """Return what a layout costs that somebody made by hand, and which limits its runs do not keep.

    Parameters
    ----------
    job : Job
        A checked job. [-]
    host : Host
        Its main, resolved. [-]
    openings : sequence of float
        Chainages; both ends of the main belong to every layout and are added. [m]
    linings : Linings, optional
        How runs of this very job are lined, from an earlier call. [-]
    again : Again, optional
        What the last question about this very job left; is filled for the next. [-]

    Returns
    -------
    Tried
        The runs between the openings, none left out and none added.

    Raises
    ------
    InputError
        If an opening lies off the main.
    """
    rates = rates_of(job)
    linings = linings or Linings(job, host)
    wanted = sorted({host.start, host.end, *openings})
    if wanted[0] < host.start - LENGTH_SLACK or wanted[-1] > host.end + LENGTH_SLACK:
        raise InputError(
            "opening", wanted[0] if wanted[0] < host.start else wanted[-1], "m", f"{host.start:g} to {host.end:g} m, on the main"
        )
    asked = frozenset(round(one / LENGTH_SLACK) for one in wanted)
    again = again or Again()
    known = again.known = again.known or known_places(job, host, rates)
    found = find_candidates(job, host, rates, locked=wanted, known=known)
    kept = [
        one
        for one in found
        if _matters(one.bends, one.branches) or one.must or one.dn_change or one.bore_step or _asked(one.chainage, asked)
    ]
    line = Line(job, linings, tuple(kept), linings.same(equipment_sets(job, [one.dn for one in host.lengths])))
    places = [index for index, one in enumerate(kept) if _asked(one.chainage, asked)]
    lasts, blocked, broken = _tried_runs(line, places)
    layout = build(line, rates, (), Reaches(lasts, blocked))
    picked = picked_of(layout, tuple(places))
    runs = []
    for start, end, way in zip(picked.openings, picked.openings[1:], picked.ways, strict=False):
        runs.append(
            TriedRun(
                kept[start].chainage,
                kept[end].chainage,
                DIRECTIONS[way],
                layout.price_of(start, end, way),
                tuple(limit_text(one) for one in broken.get((start, way), ())),
            )
        )
    barred = [one.chainage for one in job.openings if one.choice == "forbidden"]
    return Tried(
        picked.cost,
        tuple(
            TriedOpening(
                one.chainage,
                one.price,
                one.no_dig is not None or any(abs(one.chainage - place) <= LENGTH_SLACK for place in barred),
                None if one.ground is None else one.ground.surface,
            )
            for one in (kept[index] for index in places)
        ),
        tuple(runs),
    )


def _matters(bends: tuple[float, ...], branches: int) -> bool:
    return bool(bends) or branches > 0


def _asked(chainage: float, asked: frozenset[int]) -> bool:
    number = round(chainage / LENGTH_SLACK)
    return number in asked or number - 1 in asked or number + 1 in asked


def _tried_runs(
    line: Line, places: Sequence[int]
) -> tuple[tuple[list[list[int]], list[list[int]]], frozenset[tuple[int, int, int, int]], dict[tuple[int, int], tuple[Breach, ...]]]:
    """Return how far runs reach where only those between neighbouring places are asked for, and what those break that no equipment can do."""
    count = len(line.candidates)
    lasts: tuple[list[list[int]], list[list[int]]] = ([list(range(count)) for _ in line.sets], [list(range(count)) for _ in line.sets])
    blocked: set[tuple[int, int, int, int]] = set()
    broken: dict[tuple[int, int], tuple[Breach, ...]] = {}
    for start, end in itertools.pairwise(places):
        tried = {
            (way, number): breaches(line, start, end, equipment, direction)
            for way, direction in enumerate(DIRECTIONS)
            for number, equipment in enumerate(line.sets)
        }
        able = [key for key, found in tried.items() if not found]
        least = min(len(found) for found in tried.values())
        # What no equipment can do is priced with what fails least, both ways alike.
        doing = able or [key for key, found in tried.items() if len(found) == least]
        for way, number in doing:
            lasts[way][number][start] = end
            blocked |= {(way, number, start, other) for other in range(start + 1, end)}
            if not able:
                broken.setdefault((start, way), tried[way, number])
    return lasts, frozenset(blocked), broken
