"""Streets: which activities stand in one, under which permit, and which streets are not closed at the same time."""

import math
from collections.abc import Mapping, Sequence
from typing import Final

from mainwright.job.job import Job
from mainwright.job.office import Permit
from mainwright.plan.programme.problem import Link, order_of
from mainwright.plan.programme.steps import Step, Steps

__all__ = ["ROAD", "streets_apart", "under"]

ROAD: Final = frozenset({"supply", "opening", "cleaning", "lining", "refitting", "supply_removal", "reinstatement"})
"""Kinds of activity that stand in the road."""


def under(permit: Permit, step: Step) -> bool:
    """Return whether an activity goes on under a permit: an opening at its very end counts for both neighbours."""
    low = -math.inf if permit.start is None else permit.start
    high = math.inf if permit.end is None else permit.end
    if step.start == step.end:
        return low <= step.start <= high
    return step.start < high and step.end > low


def streets_apart(job: Job, steps: Steps, place: Mapping[str, int], links: Sequence[Link]) -> tuple[tuple[Link, ...], tuple[str, ...]]:
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

    Returns
    -------
    tuple
        Every opening in the later street waits for the closing of every opening in the earlier one, the earlier being that whose permit begins
        first, then that of the lesser chainage; and the pairs for which that cannot be, because both lie in one closed length, as
        ``PR-1, PR-2``. An opening at the border of two streets belongs to neither.
    """
    by_ref = {permit.ref: permit for permit in job.permits}
    pairs = {
        frozenset((permit.ref, other)): None
        for permit in job.permits
        for other in (permit.not_with or "").replace(",", " ").replace(";", " ").split()
        if other in by_ref and other != permit.ref
    }
    made: list[Link] = []
    failed: list[str] = []
    for pair in pairs:
        first, then = sorted((by_ref[ref] for ref in pair), key=_begins)
        closing = [place[one.id] for one in steps.steps if one.kind == "reinstatement" and _alone(job, first, one)]
        opening = [place[one.id] for one in steps.steps if one.kind == "opening" and _alone(job, then, one)]
        new = [Link(before, after) for before in closing for after in opening]
        if order_of(len(steps.steps), [*links, *made, *new]) is None:
            failed.append(f"{first.ref}, {then.ref}")
        else:
            made += new
    return tuple(made), tuple(failed)


def _alone(job: Job, permit: Permit, step: Step) -> bool:
    """Return whether an activity goes on under this permit and no other."""
    return [one.ref for one in job.permits if under(one, step)] == [permit.ref]


def _begins(permit: Permit) -> tuple[int, float, str]:
    day = 0 if permit.first_day is None else permit.first_day.toordinal()
    return day, -math.inf if permit.start is None else permit.start, permit.ref
