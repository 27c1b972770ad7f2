"""Obstructions with the state of the drawings: what stood in the way, and what the job's own survey shows there."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import Obstruction, Records
from mainwright.job.survey import Feature
from mainwright.plan.result import Run
from mainwright.words.message import Message, Quantity, message

__all__ = ["DRAWN_NEAR", "ObstructionProof", "judge_obstructions"]

DRAWN_NEAR: Final = 2.0
"""A drawn feature within this of an obstruction may be the same thing; an assumption. [m]"""


@dataclass(frozen=True, slots=True)
class ObstructionProof:
    """One obstruction: its row in ``obstructions.csv`` from 1, the run it lies in, the nearest drawn feature, and what that means."""

    row: int
    record: Obstruction
    run: str | None
    feature: Feature | None
    drawings: Message
    contradicted: bool


def judge_obstructions(job: Job, runs: Sequence[Run], records: Records) -> tuple[ObstructionProof, ...]:
    """Return the obstructions in order of chainage, each against the survey that the job was planned from.

    Parameters
    ----------
    job : Job
        The job; its features are what the drawings showed. [-]
    runs : sequence of Run
        Of the plan. [-]
    records : Records
        What happened. [-]

    Returns
    -------
    tuple of ObstructionProof
        One that is claimed as not drawn while the survey shows a feature of its kind there is marked: the client will ask.
    """
    found = []
    for row, one in enumerate(records.obstructions, start=1):
        near = min(job.features, key=lambda feature: (abs(feature.chainage - one.chainage), feature.chainage), default=None)
        close = near is not None and abs(near.chainage - one.chainage) <= DRAWN_NEAR
        contradicted = False
        if near is None:
            drawings = message("the survey shows no feature at all")
        elif close:
            drawings = message("the survey shows: {kind} at {place}", kind=near.kind, place=Quantity(near.chainage, "m", 1))
            contradicted = one.on_drawing is False and (one.kind is None or one.kind == near.kind)
        else:
            drawings = message(
                "the survey shows nothing within {near}; the nearest is: {kind} at {place}",
                near=Quantity(DRAWN_NEAR, "m", 0),
                kind=near.kind,
                place=Quantity(near.chainage, "m", 1),
            )
        run = next((part.id for part in runs if part.start <= one.chainage <= part.end), None)
        found.append(ObstructionProof(row, one, run, near if close else None, drawings, contradicted))
    return tuple(sorted(found, key=lambda one: (one.record.chainage, one.row)))
