"""The programme as a calendar that every calendar program reads: ``programme.ics`` (RFC 5545)."""

from __future__ import annotations

import re
import unicodedata
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING, Final
from zoneinfo import ZoneInfo

from mainwright.figures.programme_parts import kind_text
from mainwright.plan.timetable import Activity, Programme, Waiting
from mainwright.words.message import Quantity, message
from mainwright.words.wording import Wording

if TYPE_CHECKING:
    from collections.abc import Sequence

    from icalendar import Event

    from mainwright.job.job import Job

__all__ = ["OFFICE", "calendar_name", "crew_names", "render_calendar"]

OFFICE: Final = "office.ics"
"""Calendar of what the office looks after."""

_OFFICE: Final = frozenset({"notice", "hold_point", "laboratory"})


def crew_names(programme: Programme) -> tuple[str, ...]:
    """Return the crews of a programme, in the order in which they begin."""
    return tuple(dict.fromkeys(one.crew for one in programme.activities if one.crew is not None))


def calendar_name(crew: str, number: int) -> str:
    """Return the name of the calendar file of one crew, in plain letters; of the ``number`` of the crew where its name has none."""
    plain = unicodedata.normalize("NFKD", crew).encode("ascii", "ignore").decode("ascii")
    return f"programme_{re.sub(r'[^A-Za-z0-9_.-]+', '-', plain).strip('-') or number}.ics"


def render_calendar(job: Job, programme: Programme | None, *, crew: str | None = None, office: bool = False) -> bytes | None:
    """Return activities and waits as events of a calendar.

    Parameters
    ----------
    job : Job
        The job. [-]
    programme : Programme or None
        Its programme. [-]
    crew : str or None
        Only what this crew does, and what it has to wait for; None for everything. [-]
    office : bool
        Only what the office looks after: notices, hold points of the client, laboratory results. [-]

    Returns
    -------
    bytes or None
        None where there is no programme. Stamped with the job's first day: the same job gives the same bytes. A wait keeps nobody
        busy; a notice is the whole of the last day on which customers can be told.
    """
    if programme is None or job.info.first_day is None:
        return None
    from icalendar import Calendar

    say = Wording(job.info.language, job.info.units)
    calendar = Calendar()
    calendar.add("prodid", "-//Mainwright//programme//EN")
    calendar.add("version", "2.0")
    whose = say.text("office") if office else crew or ""
    calendar.add("x-wr-calname", " ".join(part for part in (job.info.reference, job.info.name, whose) if part))
    for one in _chosen(programme, crew, office=office):
        calendar.add_component(_event(job, say, one))
    return bytes(calendar.to_ical())


def _event(job: Job, say: Wording, one: Activity | Waiting) -> Event:
    import icalendar

    zone = ZoneInfo(job.info.time_zone)
    name = re.sub(r"[^A-Za-z0-9.-]+", "-", job.info.reference or job.info.name)
    event = icalendar.Event()
    event.add("uid", f"{one.id}.{name}@mainwright.invalid")
    if job.info.first_day is not None:
        event.add("dtstamp", datetime.combine(job.info.first_day, time.min, ZoneInfo("UTC")))
    if one.kind == "notice":
        event.add("dtstart", one.begin.date())
        event.add("dtend", one.begin.date() + timedelta(days=1))
    else:
        # In universal time: a calendar then needs no rules of our time zone.
        event.add("dtstart", one.begin.replace(tzinfo=zone).astimezone(ZoneInfo("UTC")))
        event.add("dtend", one.finish.replace(tzinfo=zone).astimezone(ZoneInfo("UTC")))
    start = say.value(Quantity(one.start, "m", 1))
    place = one.run or (start if isinstance(one, Activity) else one.id.partition("-")[0])
    event.add("summary", f"{kind_text(one.kind, say)}: {place}")
    event.add("location", f"{start} – {say.value(Quantity(one.end, 'm', 1))}")
    if isinstance(one, Waiting):
        event.add("transp", "TRANSPARENT")
        event.add("description", _told(say, one))
    if one.crew is not None:
        event.add("categories", [one.crew])
    return event


def _told(say: Wording, one: Waiting) -> str:
    """Return what a wait asks of those who look at the calendar."""
    until = {"day": say.day(one.finish.date()), "hour": f"{one.finish:%H:%M}"}
    if one.kind == "notice":
        return say.word(message("Last day to tell them: the main is closed on {day}.", day=until["day"]))
    if one.kind == "laboratory":
        return say.word(message("The result is expected on {day}, {hour}.", **until))
    if one.kind == "hold_point":
        return say.word(message("The client's acceptance is needed by {day}, {hour}.", **until))
    return say.word(message("Not before {day}, {hour}: {before}.", before=", ".join(one.before), **until))


def _chosen(programme: Programme, crew: str | None, *, office: bool) -> Sequence[Activity | Waiting]:
    if office:
        return [one for one in programme.waits if one.kind in _OFFICE and not one.done]
    return [one for one in programme.everything if crew is None or one.crew == crew]
