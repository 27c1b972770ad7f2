"""The nouns of a programme: what happens when, by whom, and what it costs to be late."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, Literal

from mainwright.words.message import Message

__all__ = ["KINDS", "Activity", "Kind", "PermitUse", "Programme"]

Kind = Literal[
    "supply",
    "isolating",
    "opening",
    "cleaning",
    "camera_cleaned",
    "lining",
    "camera_lined",
    "refitting",
    "pressure_test",
    "disinfection",
    "reconnection",
    "supply_removal",
    "reinstatement",
]

KINDS: Final[tuple[Kind, ...]] = (
    "supply",
    "isolating",
    "opening",
    "cleaning",
    "camera_cleaned",
    "lining",
    "camera_lined",
    "refitting",
    "pressure_test",
    "disinfection",
    "reconnection",
    "supply_removal",
    "reinstatement",
)
"""Every kind of activity, in the order of the work."""


@dataclass(frozen=True, slots=True)
class Activity:
    """One activity with its time.

    Attributes
    ----------
    id, kind, block, run, start, end
        See `programme.steps.Step`; chainages. [m]
    crew
        Who does it; None where the job names no crew of that skill.
    begin, finish
        By the local clock of the job.
    slack
        How long it may slip, in shifts, without moving the end of the programme; 0 where it is critical. [shifts]
    because
        What decides when it begins.
    done
        Whether records say that it is over.
    """

    id: str
    kind: Kind
    block: int
    run: str | None
    start: float
    end: float
    crew: str | None
    begin: datetime
    finish: datetime
    slack: float
    because: Message
    done: bool = False

    @property
    def critical(self) -> bool:
        """Return whether the end of the programme moves with it."""
        return self.slack == 0.0


@dataclass(frozen=True, slots=True)
class PermitUse:
    """A permit and the work under it.

    Attributes
    ----------
    first, last
        Days of the work under it; None where there is none.
    spare
        Working days between the last of them and the permit's last day; negative where it is overrun. None where the permit has no last day.
    overrun
        Days over it, every day counted, and what they cost in the job's currency (None where no rate is given).
    """

    ref: str
    street: str | None
    start: float | None
    end: float | None
    first_day: date | None
    last_day: date | None
    first: date | None
    last: date | None
    spare: int | None
    overrun: int
    charge: float | None
    next_day_costs: float | None


@dataclass(frozen=True, slots=True)
class Programme:
    """All activities in the order in which they begin.

    Attributes
    ----------
    first_day, last_day
        Of the work.
    shifts, bound
        Length of the programme, and what no programme with these crews can be under; `because` says what bounds it: ``work`` (the longest
        chain of activities), a crew or stock, or ``exact`` (the solver). [shifts]
    gap, proven
        How far the programme may be from the best, overruns of permits first, relative to the bound [-]; whether nothing better exists.
    """

    first_day: date
    last_day: date
    shifts: float
    bound: float
    because: str
    gap: float
    proven: bool
    activities: tuple[Activity, ...]
    permits: tuple[PermitUse, ...]
