"""The nouns of a programme: what happens when, by whom, and what it costs to be late."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, Literal

from mainwright.words.message import Message

__all__ = ["KINDS", "WAIT_KINDS", "Activity", "Kind", "PermitUse", "Programme", "WaitKind", "Waiting"]

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

WaitKind = Literal["notice", "hold_point", "cure", "soak", "contact", "laboratory"]

WAIT_KINDS: Final[tuple[WaitKind, ...]] = ("notice", "hold_point", "cure", "soak", "contact", "laboratory")
"""Every kind of wait: nobody works at it, but what follows may not begin before it is over."""


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
class Waiting:
    """A time that has to pass by the clock, at night and on days off too.

    Attributes
    ----------
    id, kind, block, run, start, end
        As of an activity; chainages. [m]
    begin, finish
        By the local clock of the job: of a notice the last day on which customers can be told, and the closing that it is of.
    after, before
        Ids of the activities that must be over before it begins, and of those that may begin when it is over.
    crew
        Who goes on then; None where nobody is named.
    slack
        How long it may begin later without moving the end of the programme. [shifts]
    because
        What decides when it begins.
    done
        Whether it is over, by records or by the day.
    """

    id: str
    kind: WaitKind
    block: int
    run: str | None
    start: float
    end: float
    begin: datetime
    finish: datetime
    after: tuple[str, ...]
    before: tuple[str, ...]
    crew: str | None
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
    waits
        What has to pass between activities, in the order in which it begins; a notice may begin before the first day.
    days_off
        Days on which nobody works, from the first notice to some weeks beyond the last day.
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
    waits: tuple[Waiting, ...] = ()
    days_off: tuple[date, ...] = ()

    @property
    def everything(self) -> tuple[Activity | Waiting, ...]:
        """Return activities and waits in the order in which they begin."""
        return tuple(sorted((*self.activities, *self.waits), key=lambda one: (one.begin, one.finish, one.id)))
