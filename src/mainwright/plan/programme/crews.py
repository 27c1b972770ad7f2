"""Who can do what, and on which days."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.job.job import Job
from mainwright.plan.programme.calendar import WorkCalendar
from mainwright.plan.timetable import Kind

__all__ = ["SKILLS", "Gang", "gang_of", "gangs_of"]

SKILLS: Final[dict[Kind, tuple[str, ...]]] = {
    "supply": ("temporary_supply",),
    "isolating": ("isolating", "temporary_supply", "opening"),
    "opening": ("opening",),
    "cleaning": ("cleaning", "lining"),
    "camera_cleaned": ("camera", "cleaning"),
    "lining": ("lining",),
    "camera_lined": ("camera", "cleaning"),
    "refitting": ("refitting", "opening"),
    "pressure_test": ("testing", "temporary_supply", "opening"),
    "disinfection": ("disinfection", "temporary_supply", "opening"),
    "reconnection": ("temporary_supply", "opening"),
    "supply_removal": ("temporary_supply",),
    "reinstatement": ("reinstatement", "opening"),
}
"""For each kind of activity the skills that can do it: the first that the job has does."""


@dataclass(frozen=True, slots=True)
class Gang:
    """Crews that can stand in for each other, because they share a skill: one resource of the programme.

    Attributes
    ----------
    crews
        Their names, in the order of the file.
    skills
        Everything that one of them can do.
    capacity
        How many of them are there in each slot.
    """

    crews: tuple[str, ...]
    skills: frozenset[str]
    capacity: tuple[int, ...]


def gangs_of(job: Job, calendar: WorkCalendar, *, keep_last_days: bool = True) -> tuple[Gang, ...]:
    """Return the crews of a job by what they can do.

    Parameters
    ----------
    job : Job
        The job. [-]
    calendar : WorkCalendar
        Its working time. [-]
    keep_last_days : bool
        Whether a crew is away after its last day; else it stays. [-]

    Returns
    -------
    tuple of Gang
        In the order of the file.
    """
    names = list(dict.fromkeys(one.crew for one in job.crews))
    skills = {name: frozenset(one.skill for one in job.crews if one.crew == name and one.skill) for name in names}
    together: list[list[str]] = []
    for name in names:
        mates = [group for group in together if any(skills[name] & skills[other] for other in group)]
        for group in mates:
            together.remove(group)
        together.append([*(other for group in mates for other in group), name])
    found = []
    for group in sorted(together, key=lambda one: names.index(one[0])):
        rows = [_presence(job, calendar, name, keep_last_days=keep_last_days) for name in group]
        capacity = tuple(there for day in zip(*rows, strict=True) for there in [sum(day)] * calendar.shift)
        found.append(Gang(tuple(group), frozenset().union(*(skills[name] for name in group)), capacity))
    return tuple(found)


def gang_of(gangs: Sequence[Gang], kind: Kind) -> int | None:
    """Return the number of the gang that does a kind of activity, None where nobody has the skill."""
    for skill in SKILLS[kind]:
        for number, gang in enumerate(gangs):
            if skill in gang.skills:
                return number
    return None


def _presence(job: Job, calendar: WorkCalendar, crew: str, *, keep_last_days: bool) -> list[int]:
    """Return for each day whether a crew is there: in its days, on no holiday of its own, and on an extra shift only where it is its own."""
    rows = [one for one in job.crews if one.crew == crew and one.count != 0]
    off = {one.day for one in job.calendar if one.kind in {"holiday", "no_work"} and one.crew == crew}
    extra = [one for one in job.calendar if one.kind == "extra_shift"]
    everybody = {one.day for one in extra if one.crew is None}
    own = {one.day for one in extra if one.crew == crew}
    closed = {one.day for one in job.calendar if one.kind in {"holiday", "no_work"} and one.crew is None}
    found = []
    for day in calendar.days:
        here = any(
            (row.first_day is None or row.first_day <= day) and (row.last_day is None or not keep_last_days or day <= row.last_day)
            for row in rows
        )
        ordinary = day.weekday() < 5 and day not in closed
        found.append(int(here and day not in off and (ordinary or day in everybody or day in own)))
    return found
