"""Whether a dated programme keeps what it must: looked at in days and hours, by nothing that made it."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import Final

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.job.office import Permit, ProgrammeRules
from mainwright.plan.closed_blocks import closed_blocks
from mainwright.plan.result import Run
from mainwright.plan.result_giving_back import Block
from mainwright.plan.return_to_service.amounts import cure_time
from mainwright.plan.return_to_service.notices import owed, works
from mainwright.plan.timetable import Activity, Programme
from mainwright.standards.published import value

__all__ = ["Breach", "breaches"]

_MOMENT: Final = timedelta(milliseconds=1)
"""Two times nearer than this are the same."""

_SOME_DAY: Final = date(2001, 1, 1)

_IN_THE_ROAD: Final = ("supply", "opening", "cleaning", "lining", "refitting", "supply_removal", "reinstatement")


@dataclass(frozen=True, slots=True)
class Breach:
    """One thing that is not kept: which rule, by which activity or wait, and how, for whoever looks into it."""

    rule: str
    id: str
    text: str


def breaches(
    job: Job, runs: Sequence[Run], programme: Programme, *, today: date | None = None, last_days: bool = True
) -> tuple[Breach, ...]:
    """Return what a programme breaks.

    Parameters
    ----------
    job : Job
        The job. [-]
    runs : sequence of Run
        What the plan decided. [-]
    programme : Programme
        Its programme. [-]
    today : date or None
        First day that is still open, where work has begun. [-]
    last_days : bool
        Whether crews are held to their last day. [-]

    Returns
    -------
    tuple of Breach
        Empty where everything is kept; what is done is not judged.

    Notes
    -----
    From the job, the runs and the dates alone: no slot, clock or link of the search is used. Between two activities the client's and the
    document's times are counted by the clock on the wall.
    """
    look = _Look(job, runs, programme)
    found = [*look.all_there(), *look.order(), *look.hours(), *look.crews(last_days=last_days), *look.permits(), *look.closings()]
    found += [*look.streets(), *look.stock(), *look.frost(), *look.waits(), *look.notices()]
    if today is not None:
        found += [
            Breach("today", one.id, f"begins on {one.begin.date()}, before {today}")
            for one in programme.activities
            if not one.done and one.begin.date() < today
        ]
    return tuple(found)


class _Look:
    def __init__(self, job: Job, runs: Sequence[Run], programme: Programme) -> None:
        self.job, self.runs, self.programme = job, runs, programme
        self.blocks = closed_blocks(job, runs)
        self.by_id = {one.id: one for one in programme.activities}
        self.rules = job.programme or ProgrammeRules()
        self.asked = job.giving_back or GivingBack()

    # ---- what there has to be ----

    def supplied(self, block: Block) -> bool:
        return any(one.live is not False and block.start <= one.chainage <= block.end for one in self.job.services)

    def all_there(self) -> Iterator[Breach]:
        want = [f"{run.id}-{kind}" for run in self.runs for kind in ("cleaning", "camera_cleaned", "lining", "camera_lined")]
        for block in self.blocks:
            kinds = ["isolating", "pressure_test", "disinfection", "reconnection"]
            kinds += ["supply", "supply_removal"] if self.supplied(block) else []
            want += [f"{block.id}-{kind}" for kind in kinds]
            want += [f"O{place:g}-refitting-{block.id}" for place in self.ends(block)]
        want += [f"O{place:g}-{kind}" for block in self.blocks for place in self.ends(block) for kind in ("opening", "reinstatement")]
        yield from (Breach("all there", name, "is not in the programme") for name in dict.fromkeys(want) if name not in self.by_id)
        if len(self.by_id) != len(self.programme.activities):
            yield Breach("all there", "", "an id stands twice")

    def ends(self, block: Block) -> list[float]:
        return sorted({place for run in self.of(block) for place in (run.start, run.end)})

    def of(self, block: Block) -> list[Run]:
        return [run for run in self.runs if run.id in block.runs]

    # ---- the order of the work, with what has to pass between ----

    def cure(self) -> float:
        asked = self.job.curing
        if asked is not None and asked.fill is not None:
            return cure_time(self.job).time or asked.fill
        return value("return_to_use", "cure_to_fill").value

    def sampled(self) -> float:
        """Return how long chlorine stands and the laboratory takes, with every round of samples. [s]."""
        contact = self.asked.chlorine_time
        result: float | None = self.asked.laboratory
        rounds, between = self.asked.sample_rounds, self.asked.sample_interval
        if result is not None and rounds is not None and (rounds == 1 or between is not None):
            result += (rounds - 1) * (between or 0.0)
        else:
            result = None
        contact = value("programme", "contact").value if contact is None else contact
        return contact + (value("programme", "laboratory").value if result is None else result)

    def pairs(self) -> Iterator[tuple[str, str, float]]:
        """Return what comes before what, and what has to pass between. [s]."""
        for block in self.blocks:
            name = block.id
            if self.supplied(block):
                yield f"{name}-supply", f"{name}-isolating", self.sampled()
                yield f"{name}-reconnection", f"{name}-supply_removal", 0.0
            for run in self.of(block):
                yield f"{name}-isolating", f"{run.id}-cleaning", 0.0
                yield f"{run.id}-cleaning", f"{run.id}-camera_cleaned", 0.0
                yield f"{run.id}-camera_cleaned", f"{run.id}-lining", self.rules.hold_cleaned or 0.0
                yield f"{run.id}-lining", f"{run.id}-camera_lined", self.cure()
                for place in (run.start, run.end):
                    yield f"O{place:g}-opening", f"{run.id}-cleaning", 0.0
                    yield f"{run.id}-camera_lined", f"O{place:g}-refitting-{name}", self.rules.hold_lined or 0.0
            for place in self.ends(block):
                yield f"O{place:g}-refitting-{name}", f"{name}-pressure_test", self.asked.soak or 0.0
                yield f"{name}-pressure_test", f"O{place:g}-reinstatement", 0.0
            yield f"{name}-pressure_test", f"{name}-disinfection", self.rules.hold_tested or 0.0
            yield f"{name}-disinfection", f"{name}-reconnection", self.sampled() + (self.rules.hold_released or 0.0)

    def order(self) -> Iterator[Breach]:
        for before, after, wait in self.pairs():
            if before not in self.by_id or after not in self.by_id or self.by_id[after].done:
                continue
            least = self.by_id[before].finish + timedelta(seconds=wait)
            if self.by_id[after].begin < least - _MOMENT:
                yield Breach("order", after, f"begins {self.by_id[after].begin}, before {least} after {before}")

    # ---- when and by whom ----

    def open(self) -> list[Activity]:
        return [one for one in self.programme.activities if not one.done]

    def hours(self) -> Iterator[Breach]:
        shift = timedelta(seconds=self.job.shift.length)
        for one in self.open():
            for moment in (one.begin, one.finish):
                if not any(
                    works(self.job, day) and _within(moment, datetime.combine(day, self.job.shift.start), shift) for day in _days(moment)
                ):
                    yield Breach("hours", one.id, f"is worked at on {moment}, beside the shift or on a day off")
            if one.kind in {"camera_cleaned", "lining", "camera_lined"} and one.begin.date() != one.finish.date():
                taken = self.worked(one)
                if taken <= shift - _MOMENT and one.finish - one.begin > shift:
                    yield Breach("hours", one.id, f"fits into a shift ({taken}) and goes on over the night")
            if one.kind == "lining":
                run = next(run for run in self.runs if run.id == one.run)
                least = timedelta(seconds=self.job.runs.set_up + run.lining_time + self.job.runs.close)
                if self.worked(one) < least - _MOMENT:
                    yield Breach("hours", one.id, f"takes {self.worked(one)}, less than {least}")

    def worked(self, one: Activity) -> timedelta:
        """Return the working time between beginning and end."""
        shift = timedelta(seconds=self.job.shift.length)
        found, day = timedelta(0), one.begin.date() - timedelta(days=1)
        while day <= one.finish.date():
            if works(self.job, day):
                begin = datetime.combine(day, self.job.shift.start)
                found += max(timedelta(0), min(begin + shift, one.finish) - max(begin, one.begin))
            day += timedelta(days=1)
        return found

    def crews(self, *, last_days: bool) -> Iterator[Breach]:
        names = sorted({one.crew for one in self.open() if one.crew is not None})
        for name in names:
            own = sorted((one for one in self.open() if one.crew == name), key=lambda one: (one.begin, one.finish))
            for before, after in pairwise(own):
                if after.begin < before.finish - _MOMENT:
                    yield Breach("crews", after.id, f"{name} is still at {before.id}")
            for one in own:
                for day in self.shifts(one):
                    # Crews of one skill stand in for each other: what one has begun another may end.
                    if not any(self.there(other, day, last_days=last_days) for other in self.mates(name)):
                        yield Breach("crews", one.id, f"{name} is not there on {day}")
                if not self.there(name, self.shifts(one)[0], last_days=last_days):
                    yield Breach("crews", one.id, f"{name} is not there when it begins")

    def shifts(self, one: Activity) -> list[date]:
        """Return the days of the shifts in which something is worked at; its first day where it is worked at in none."""
        length = timedelta(seconds=self.job.shift.length)
        found, day = [], one.begin.date() - timedelta(days=1)
        while day <= one.finish.date():
            begin = datetime.combine(day, self.job.shift.start)
            if works(self.job, day) and begin + length > one.begin + _MOMENT and begin < one.finish - _MOMENT:
                found.append(day)
            day += timedelta(days=1)
        return found or [one.begin.date()]

    def mates(self, crew: str) -> list[str]:
        """Return a crew and those that share a skill with it, or with one that does."""
        skills = {
            name: {one.skill for one in self.job.crews if one.crew == name and one.skill} for name in {one.crew for one in self.job.crews}
        }
        found = [crew]
        for one in found:
            found += [name for name in sorted(skills) if name not in found and skills[name] & skills.get(one, set())]
        return found

    def there(self, crew: str, day: date, *, last_days: bool) -> bool:
        rows = [one for one in self.job.crews if one.crew == crew and one.count != 0]
        said = [one for one in self.job.calendar if one.day == day]
        if any(one.crew == crew and one.kind != "extra_shift" for one in said):
            return False
        extra = [one for one in said if one.kind == "extra_shift"]
        off = day.weekday() > 4 or any(one.crew is None and one.kind != "extra_shift" for one in said)
        # On a day off only who works the extra shift is there.
        if extra and off and not any(one.crew in (None, crew) for one in extra):
            return False
        return any(
            (one.first_day is None or one.first_day <= day) and (one.last_day is None or not last_days or day <= one.last_day)
            for one in rows
        )

    def permits(self) -> Iterator[Breach]:
        for permit in self.job.permits:
            under = [one for one in self.open() if one.kind in _IN_THE_ROAD and _covers(permit, one.start, one.end)]
            first = permit.first_day
            yield from (Breach("permits", one.id, f"begins before {permit.ref}") for one in under if first and one.begin.date() < first)

        for one in self.open():
            # What fits into a shift is done within the hours; what does not goes on day by day.
            if one.kind != "lining" or one.finish - one.begin > timedelta(seconds=self.job.shift.length):
                continue
            over = [
                (permit, inside)
                for permit in self.job.permits
                if _covers(permit, one.start, one.end) and (inside := _hours(self.job, permit))
            ]
            if _meet(self.job, [inside for _, inside in over]):
                late = [permit for permit, inside in over if not (inside(one.begin) and inside(one.finish))]
                yield from (Breach("permits", one.id, f"is not within the hours {permit.hours} of {permit.ref}") for permit in late)

    def streets(self) -> Iterator[Breach]:
        """Find streets that are open at the same time and may not be, but for two in one closed length: these cannot be kept apart."""
        spans: dict[str, tuple[Activity, Activity, set[str]]] = {}
        for permit in self.job.permits:
            alone = [
                (place, block.id)
                for block in self.blocks
                for place in self.ends(block)
                if [one.ref for one in self.job.permits if _covers(one, place, place)] == [permit.ref]
            ]
            dug = [one for place, _ in alone if (one := self.by_id.get(f"O{place:g}-opening")) is not None]
            closed = [one for place, _ in alone if (one := self.by_id.get(f"O{place:g}-reinstatement")) is not None]
            if dug and closed:
                first, last = min(dug, key=lambda one: one.begin), max(closed, key=lambda one: one.finish)
                spans[permit.ref] = first, last, {block for _, block in alone}
        for permit in self.job.permits:
            for other in (permit.not_with or "").replace(",", " ").replace(";", " ").split():
                if permit.ref not in spans or other not in spans or permit.ref == other or spans[permit.ref][2] & spans[other][2]:
                    continue
                (first, closed_first, _), (then, closed_then, _) = spans[permit.ref], spans[other]
                apart = then.begin >= closed_first.finish - _MOMENT or first.begin >= closed_then.finish - _MOMENT
                if not apart and not (first.done and then.done):
                    yield Breach("streets", then.id, f"{permit.ref} and {other} are open together")

    # ---- what is shared ----

    def closings(self) -> Iterator[Breach]:
        for one, other in pairwise(self.blocks):
            names = [f"{block.id}-{kind}" for block in (one, other) for kind in ("isolating", "reconnection")]
            if one.end != other.start or any(name not in self.by_id for name in names):
                continue
            first, back, then, last = (self.by_id[name] for name in names)
            if not (first.done and then.done) and first.begin < last.finish - _MOMENT and then.begin < back.finish - _MOMENT:
                yield Breach("closings", then.id, f"{one.id} and {other.id} are closed together")

    def stock(self) -> Iterator[Breach]:
        pipes = [pipe.stock for pipe in self.job.plant.supply_pipes if pipe.stock is not None]
        if not pipes:
            return
        there = math.floor(sum(pipes))
        sides = 2.0 if self.job.supply is not None and self.job.supply.sides == "both" else 1.0
        spans = [
            (
                self.by_id[f"{block.id}-supply"],
                self.by_id[f"{block.id}-supply_removal"],
                min(there, math.ceil((block.end - block.start) * sides)),
            )
            for block in self.blocks
            if f"{block.id}-supply" in self.by_id and f"{block.id}-supply_removal" in self.by_id
        ]
        for laid, _, _ in spans:
            used = sum(metres for begun, taken, metres in spans if begun.begin <= laid.begin < taken.finish - _MOMENT)
            if used > there and not laid.done:
                yield Breach("stock", laid.id, f"{used} m of temporary pipe are needed at once, there are {there}")

    def frost(self) -> Iterator[Breach]:
        first, last = self.rules.frost_from or self.rules.frost_to, self.rules.frost_to or self.rules.frost_from
        if first is None or last is None or last < first:
            return
        for one in self.open():
            if one.kind == "lining" and one.begin.date() <= last and (one.finish + timedelta(seconds=self.cure())).date() > first:
                yield Breach("frost", one.id, f"mortar of {one.begin.date()} is not cured before {first}")

    # ---- what is waited for ----

    def waits(self) -> Iterator[Breach]:
        lengths = {"cure": self.cure(), "soak": self.asked.soak or 0.0}
        everything = {one.id: one for one in self.programme.everything}
        for one in self.programme.waits:
            if one.done:
                continue
            if one.finish - one.begin < timedelta(seconds=lengths.get(one.kind, 0.0)) - _MOMENT:
                yield Breach("waits", one.id, f"takes {one.finish - one.begin}")
            for name in (name for name in one.after if name in everything):
                if everything[name].finish > one.begin + _MOMENT:
                    yield Breach("waits", one.id, f"begins before {name} is over")
            for name in (name for name in one.before if name in everything):
                if everything[name].begin < one.finish - _MOMENT:
                    yield Breach("waits", name, f"begins before {one.id} is over")
        cures = {one.run for one in self.programme.waits if one.kind == "cure"}
        if self.cure() > 0.0:
            yield from (Breach("waits", f"{run.id}-cure", "is not in the programme") for run in self.runs if run.id not in cures)

    def notices(self) -> Iterator[Breach]:
        for block in self.blocks:
            closing = self.by_id.get(f"{block.id}-isolating")
            if closing is None or closing.done:
                continue
            told = [one for one in self.programme.waits if one.kind == "notice" and closing.id in one.before]
            for service in self.job.services:
                days = owed(self.asked, service.use or "unknown")
                if service.live is False or not block.start <= service.chainage <= block.end or days is None:
                    continue
                latest = closing.begin.date() - timedelta(days=math.ceil(days / 86400.0))
                if not any(one.begin.date() <= latest and one.start <= service.chainage <= one.end for one in told):
                    yield Breach("notices", closing.id, f"{service.ref or service.chainage} cannot be told by {latest}")
            yield from (Breach("notices", one.id, "is due on a day off") for one in told if not works(self.job, one.begin.date()))


def _days(moment: datetime) -> tuple[date, date]:
    """Return the days whose shift a moment may belong to: a shift may end after midnight."""
    return moment.date(), moment.date() - timedelta(days=1)


def _within(moment: datetime, begin: datetime, length: timedelta) -> bool:
    return begin - _MOMENT <= moment <= begin + length + _MOMENT


def _hours(job: Job, permit: Permit) -> Callable[[datetime], bool] | None:
    """Return whether a moment lies in the hours of a permit, None where they hold no time of the shift or cannot be read."""
    try:
        first, last = (datetime.combine(_SOME_DAY, time.fromisoformat(part.strip())) for part in (permit.hours or "").split("-"))
    except ValueError:
        return None
    if first == last:
        return None
    length = (last - first) % timedelta(days=1)
    begin = datetime.combine(_SOME_DAY, job.shift.start)
    # The least that can be worked in is a slot of half an hour.
    for step in range(int(job.shift.length // 60.0) - 29):
        if (begin + timedelta(minutes=step) - first) % timedelta(days=1) + timedelta(minutes=30) <= length:
            return lambda moment: (datetime.combine(_SOME_DAY, moment.time()) - first) % timedelta(days=1) <= length + _MOMENT
    return None


def _meet(job: Job, hours: Sequence[Callable[[datetime], bool]]) -> bool:
    """Return whether half an hour of the shift lies in the hours of several permits."""
    begin = datetime.combine(_SOME_DAY, job.shift.start)
    moments = (begin + timedelta(minutes=step) for step in range(int(job.shift.length // 60.0) - 29))
    return any(all(inside(moment) and inside(moment + timedelta(minutes=30)) for inside in hours) for moment in moments)


def _covers(permit: Permit, start: float, end: float) -> bool:
    low = -math.inf if permit.start is None else permit.start
    high = math.inf if permit.end is None else permit.end
    return low <= start <= high if start == end else start < high and end > low
