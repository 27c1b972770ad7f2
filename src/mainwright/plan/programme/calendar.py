"""Working time: slots of the shifts of the days on which somebody works, one after the other, and the clock that goes on at night."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.job.office import CalendarDay

__all__ = ["SLOT", "WorkCalendar", "work_calendar"]

SLOT: Final = 1800.0
"""Length of a slot, as near as a shift can be cut into whole ones. [s]"""

_WEEKEND: Final = 5


@dataclass(frozen=True, slots=True)
class WorkCalendar:
    """The axis of working time.

    Attributes
    ----------
    days
        The days on which somebody works, in order.
    shift
        Slots of a shift.
    slot
        Length of a slot. [s]
    start
        When a shift begins, by the clock of the job's time zone.
    """

    days: tuple[date, ...]
    shift: int
    slot: float
    start: time

    @property
    def horizon(self) -> int:
        """Return the slots in all."""
        return len(self.days) * self.shift

    def begin(self, slot: int) -> datetime:
        """Return when a slot begins, by the local clock."""
        number, rest = divmod(min(slot, self.horizon - 1), self.shift)
        return datetime.combine(self.days[number], self.start) + timedelta(seconds=rest * self.slot)

    def end(self, slot: int) -> datetime:
        """Return when the slot before this one ends, by the local clock: what ends with a shift ends that evening."""
        if slot <= 0:
            return self.begin(0)
        return self.begin(slot - 1) + timedelta(seconds=self.slot)

    def slot_at(self, moment: datetime) -> int:
        """Return the first slot that begins at a moment or after it; the horizon where there is none."""
        low, high = 0, self.horizon
        while low < high:
            middle = (low + high) // 2
            if self.begin(middle) < moment:
                low = middle + 1
            else:
                high = middle
        return low

    def slot_of_day(self, day: date) -> int:
        """Return the first slot of a day, or of the next day on which somebody works."""
        return self.slot_at(datetime.combine(day, time.min))

    def waiting(self, duration: float) -> tuple[int, ...]:
        """Return for each slot at which something may end the first slot that begins a duration [s] later by the clock on the wall."""
        wait = timedelta(seconds=duration)
        steps = [timedelta(seconds=number * self.slot) for number in range(self.shift + 1)]
        mornings = [datetime.combine(day, self.start) for day in self.days]
        begins = [morning + step for morning in mornings for step in steps[:-1]]
        ends = [mornings[0], *(morning + step for morning in mornings for step in steps[1:])]
        found, slot = [], 0
        for end in ends:
            while slot < self.horizon and begins[slot] < end + wait:
                slot += 1
            found.append(slot)
        return tuple(found)

    def slots(self, shifts: float) -> int:
        """Return how many whole slots a share of a shift takes; at least one."""
        return max(1, -int(-(shifts * self.shift - 1e-9) // 1))


def work_calendar(job: Job, *, days: int) -> WorkCalendar:
    """Return the working time of a job from its first day.

    Parameters
    ----------
    job : Job
        With its first day, shift and calendar. [-]
    days : int
        How many working days it shall have. [-]

    Returns
    -------
    WorkCalendar
        Monday to Friday but for the holidays, and every day with an extra shift of anybody.

    Raises
    ------
    InputError
        If the job has no first day, or its shift is not longer than nothing.
    """
    if job.info.first_day is None:
        raise InputError("first_day", None, "", "a day: without it nothing can be dated")
    if not job.shift.length > 0.0:
        raise InputError("shift.hours", job.shift.length, "s", "more than nothing")
    shift = max(1, round(job.shift.length / SLOT))
    off = _named(job.calendar, ("holiday", "no_work"), crew=None)
    extra = {one.day for one in job.calendar if one.kind == "extra_shift"}
    found: list[date] = []
    day = job.info.first_day
    # Nobody has a calendar without a working day in half a year: it would not end.
    idle = 0
    while len(found) < days and idle < 183:
        if (day.weekday() < _WEEKEND and day not in off) or day in extra:
            found.append(day)
            idle = 0
        else:
            idle += 1
        day += timedelta(days=1)
    if not found:
        raise InputError("calendar", 0, "", "a working day within half a year of the first day")
    return WorkCalendar(tuple(found), shift, job.shift.length / shift, job.shift.start)


def _named(calendar: Sequence[CalendarDay], kinds: Sequence[str], *, crew: str | None) -> set[date]:
    return {one.day for one in calendar if one.kind in kinds and one.crew == crew}
