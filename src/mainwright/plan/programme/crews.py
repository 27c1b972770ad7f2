"""Who can do what, and on which days."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.job.job import Job
from mainwright.plan.programme.calendar import WorkCalendar
from mainwright.plan.timetable import Kind

__all__ = ["SKILLS", "Gang", "gang_of", "gangs_of", "who_does"]

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
    days
        For each crew whether it is there on each working day.
    """

    crews: tuple[str, ...]
    skills: frozenset[str]
    capacity: tuple[int, ...]
    days: tuple[tuple[int, ...], ...]


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
        found.append(Gang(tuple(group), frozenset().union(*(skills[name] for name in group)), capacity, tuple(map(tuple, rows))))
    return tuple(found)


def gang_of(gangs: Sequence[Gang], kind: Kind) -> int | None:
    """Return the number of the gang that does a kind of activity, None where nobody has the skill."""
    for skill in SKILLS[kind]:
        for number, gang in enumerate(gangs):
            if skill in gang.skills:
                return number
    return None


def who_does(gang: Gang, spans: Sequence[tuple[int, int, int]], *, shift: int) -> dict[int, str]:
    """Return which crew of a gang does what.

    Parameters
    ----------
    gang : Gang
        Crews that can stand in for each other. [-]
    spans : sequence of tuple of int
        Start and end of each activity [slots], and its number.
    shift : int
        Length of a shift. [slots]

    Returns
    -------
    dict
        Crew by number of the activity: one that is free and there on all of its days, of these the one that was free last, so that few stand
        idle in between; where none is there throughout, one that begins and hands it on.
    """
    free_from = [-1] * len(gang.crews)
    found: dict[int, str] = {}
    for start, end, number in sorted(spans):
        days = range(start // shift, max(start, end - 1) // shift + 1)

        def rank(crew: int, start: int = start, days: range = days) -> tuple[bool, bool, bool, int, int]:
            there = gang.days[crew]
            return free_from[crew] > start, not all(there[day] for day in days), not there[days[0]], -free_from[crew], crew

        best = min(range(len(gang.crews)), key=rank)
        free_from[best] = end
        found[number] = gang.crews[best]
    return found


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
