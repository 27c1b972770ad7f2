"""How a programme moves when its activities take longer or shorter: along what binds each, and the order of each crew."""

from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.plan.timetable import Kind, Programme

__all__ = ["Moved", "moving_steps", "new_end"]

_DAY = 86400.0


@dataclass(frozen=True, slots=True)
class Moved:
    """One activity as it is laid out, in calendar days from the beginning of the programme.

    Attributes
    ----------
    kind, run
        What it is, and of which run.
    begin, days
        When it begins and how long it takes.
    before, gap
        Place of the one that decides when it begins, and the days between; None where a day of the calendar decides.
    crew_before
        Place of the one that its crew does before; None where there is none.
    """

    kind: Kind
    run: str | None
    begin: float
    days: float
    before: int | None
    gap: float
    crew_before: int | None


def moving_steps(programme: Programme) -> tuple[Moved, ...]:
    """Return the activities of a programme that are not done, in the order in which they begin.

    Parameters
    ----------
    programme : Programme
        As it was laid out. [-]

    Returns
    -------
    tuple of Moved
        Each after those on which it hangs.
    """
    ahead = sorted((one for one in programme.activities if not one.done), key=lambda one: (one.begin, one.finish, one.id))
    if not ahead:
        return ()
    zero = ahead[0].begin
    places = {one.id: place for place, one in enumerate(ahead)}
    latest: dict[str, int] = {}
    found: list[Moved] = []
    for place, one in enumerate(ahead):
        before = places.get(str(dict(one.because.values).get("before", "")))
        # One that begins at the same moment stands after this one: it binds nothing.
        before = None if before is None or before >= place else before
        begin = (one.begin - zero).total_seconds() / _DAY
        days = (one.finish - one.begin).total_seconds() / _DAY
        gap = 0.0 if before is None else begin - found[before].begin - found[before].days
        found.append(Moved(one.kind, one.run, begin, days, before, gap, None if one.crew is None else latest.get(one.crew)))
        if one.crew is not None:
            latest[one.crew] = place
    return tuple(found)


def new_end(steps: Sequence[Moved], factors: Sequence[float]) -> float:
    """Return when all is over if each activity takes so many times as long.

    Parameters
    ----------
    steps : sequence of Moved
        The activities. [-]
    factors : sequence of float
        One for each. [-]

    Returns
    -------
    float
        Days from the beginning. [d]

    Notes
    -----
    The order stays, and so does what binds each activity; a crew does one after the other. A day of the calendar that decides is never gone
    before. Nights and free days that an activity passes grow with it.
    """
    ends: list[float] = []
    for one, factor in zip(steps, factors, strict=True):
        begin = one.begin if one.before is None else ends[one.before] + one.gap
        if one.crew_before is not None:
            begin = max(begin, ends[one.crew_before])
        ends.append(begin + one.days * factor)
    return max(ends, default=0.0)
