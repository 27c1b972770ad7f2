"""Streets: which activities stand in one, under which permit, and which streets are not closed at the same time."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from mainwright.job.job import Job
from mainwright.job.office import Permit
from mainwright.plan.programme.problem import Link, order_of
from mainwright.plan.programme.steps import Step, Steps

__all__ = ["ROAD", "Apart", "streets_apart", "under"]

ROAD: Final = frozenset({"supply", "opening", "cleaning", "lining", "refitting", "supply_removal", "reinstatement"})
"""Kinds of activity that stand in the road."""


def under(permit: Permit, step: Step) -> bool:
    """Return whether an activity goes on under a permit: an opening at its very end counts for both neighbours."""
    low = -math.inf if permit.start is None else permit.start
    high = math.inf if permit.end is None else permit.end
    if step.start == step.end:
        return low <= step.start <= high
    return step.start < high and step.end > low


@dataclass(frozen=True, slots=True)
class Apart:
    """Streets that are closed one after the other.

    Attributes
    ----------
    links
        What waits for what because of it.
    order
        Refs of the permits of each pair: the first is closed again before the other is opened.
    free
        Numbers of the pairs that could also be taken the other way round.
    failed
        Pairs for which it cannot be, because both lie in one closed length, as ``PR-1, PR-2``.
    """

    links: tuple[Link, ...]
    order: tuple[tuple[str, str], ...]
    free: tuple[int, ...]
    failed: tuple[str, ...]


def streets_apart(
    job: Job,
    steps: Steps,
    place: Mapping[str, int],
    links: Sequence[Link],
    *,
    done: Collection[str] = (),
    issued: Mapping[str, datetime] | None = None,
    turned: Collection[int] = (),
) -> Apart:
    """Return what keeps streets apart that are not closed at the same time.

    Parameters
    ----------
    job : Job
        With its permits. [-]
    steps : Steps
        All activities. [-]
    place : mapping
        Number of each activity by its id. [-]
    links : sequence of Link
        What waits for what without it. [-]
    done : collection of str
        Ids of what is done: a street that is opened comes first. [-]
    issued : mapping or None
        When the activities of the programme that was issued begin, by their id: its order stands. [-]
    turned : collection of int
        Numbers of the pairs that are taken the other way round. [-]

    Returns
    -------
    Apart
        Every opening in the later street waits for the closing of every opening in the earlier one; where nobody turns it the earlier
        is the one that is opened already, else that which was issued to be, else that whose permit begins first, then that of the lesser
        chainage. An opening at the border of two streets belongs to neither.
    """
    by_ref = {permit.ref: permit for permit in job.permits}
    pairs = {
        frozenset((permit.ref, other)): None
        for permit in job.permits
        for other in (permit.not_with or "").replace(",", " ").replace(";", " ").split()
        if other in by_ref and other != permit.ref
    }
    diggings = {ref: [one for one in steps.steps if one.kind == "opening" and _alone(job, permit, one)] for ref, permit in by_ref.items()}
    closings = {
        ref: [one for one in steps.steps if one.kind == "reinstatement" and _alone(job, permit, one)] for ref, permit in by_ref.items()
    }
    begun = {ref for ref, rows in diggings.items() if any(one.id in done for one in rows)}
    known = issued or {}
    # Written out, days and hours sort as they follow each other; what was not issued comes last.
    opened = {ref: min((known[one.id].isoformat() for one in rows if one.id in known), default="never") for ref, rows in diggings.items()}
    made: list[Link] = []
    order: list[tuple[str, str]] = []
    free: list[int] = []
    failed: list[str] = []
    for number, pair in enumerate(pairs):
        both = sorted((by_ref[ref] for ref in pair), key=lambda one: (one.ref not in begun, opened[one.ref], *_begins(one)))
        first, then = both[0].ref, both[1].ref
        if (first in begun) is (then in begun):
            free.append(number)
            if number in turned:
                first, then = then, first
        new = [Link(place[before.id], place[after.id]) for before in closings[first] for after in diggings[then]]
        if order_of(len(steps.steps), [*links, *made, *new]) is None:
            failed.append(f"{first}, {then}")
        else:
            made += new
            order.append((first, then))
    return Apart(tuple(made), tuple(order), tuple(free), tuple(failed))


def _alone(job: Job, permit: Permit, step: Step) -> bool:
    """Return whether an activity goes on under this permit and no other."""
    return [one.ref for one in job.permits if under(one, step)] == [permit.ref]


def _begins(permit: Permit) -> tuple[int, float, str]:
    day = 0 if permit.first_day is None else permit.first_day.toordinal()
    return day, -math.inf if permit.start is None else permit.start, permit.ref
