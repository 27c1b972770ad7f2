"""What happened on site, as far as a new plan for the rest depends on it: ``records/`` of the job's folder, in SI."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

__all__ = ["Obstruction", "Outcome", "Records", "RunDone"]

Outcome = Literal["complete", "aborted", "split"]


@dataclass(frozen=True, slots=True)
class RunDone:
    """A row of ``runs_done.csv``: one length that was really lined, between two chainages [m].

    ``run`` is the id in the plan that was followed, ``coat`` its coat from 1, ``revision`` that plan's revision.
    """

    run: str
    start: float
    end: float
    coat: int | None = None
    revision: str | None = None
    direction: Literal["increasing", "decreasing"] | None = None
    pump: str | None = None
    hose: str | None = None
    lining_head: str | None = None
    time_from: datetime | None = None
    time_to: datetime | None = None
    outcome: Outcome | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Obstruction:
    """A row of ``obstructions.csv``: something in the bore that was found at a chainage [m]; ``duration`` is the time that it cost [s]."""

    chainage: float
    kind: str | None = None
    on_drawing: bool | None = None
    duration: float | None = None
    time: datetime | None = None
    photo: str | None = None
    note: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Records:
    """The records that a new plan reads, in the order in which they were written down."""

    runs_done: tuple[RunDone, ...] = ()
    obstructions: tuple[Obstruction, ...] = ()
