"""The programme as a calendar that every calendar program reads: ``programme.ics`` (RFC 5545)."""

import re
import unicodedata
from collections.abc import Sequence
from datetime import datetime, time
from zoneinfo import ZoneInfo

from mainwright.figures.programme_parts import kind_text
from mainwright.job.job import Job
from mainwright.plan.timetable import Activity, Programme
from mainwright.words.message import Quantity
from mainwright.words.wording import Wording

__all__ = ["calendar_name", "crew_names", "render_calendar"]


def crew_names(programme: Programme) -> tuple[str, ...]:
    """Return the crews of a programme, in the order in which they begin."""
    return tuple(dict.fromkeys(one.crew for one in programme.activities if one.crew is not None))


def calendar_name(crew: str, number: int) -> str:
    """Return the name of the calendar file of one crew, in plain letters; of the ``number`` of the crew where its name has none."""
    plain = unicodedata.normalize("NFKD", crew).encode("ascii", "ignore").decode("ascii")
    return f"programme_{re.sub(r'[^A-Za-z0-9_.-]+', '-', plain).strip('-') or number}.ics"


def render_calendar(job: Job, programme: Programme | None, *, crew: str | None = None) -> bytes | None:
    """Return the activities as events of a calendar.

    Parameters
    ----------
    job : Job
        The job. [-]
    programme : Programme or None
        Its programme. [-]
    crew : str or None
        Only what this crew does; None for everything. [-]

    Returns
    -------
    bytes or None
        None where there is no programme. Stamped with the job's first day: the same job gives the same bytes.
    """
    if programme is None or job.info.first_day is None:
        return None
    from icalendar import Calendar, Event

    say = Wording(job.info.language, job.info.units)
    zone = ZoneInfo(job.info.time_zone)
    stamp = datetime.combine(job.info.first_day, time.min, ZoneInfo("UTC"))
    calendar = Calendar()
    calendar.add("prodid", "-//Mainwright//programme//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", " ".join(part for part in (job.info.reference, job.info.name, crew or "") if part))
    name = re.sub(r"[^A-Za-z0-9.-]+", "-", job.info.reference or job.info.name)
    for one in _chosen(programme, crew):
        event = Event()
        event.add("uid", f"{one.id}.{name}@mainwright.invalid")
        event.add("dtstamp", stamp)
        # In universal time: a calendar then needs no rules of our time zone.
        event.add("dtstart", one.begin.replace(tzinfo=zone).astimezone(ZoneInfo("UTC")))
        event.add("dtend", one.finish.replace(tzinfo=zone).astimezone(ZoneInfo("UTC")))
        place = one.run or say.value(Quantity(one.start, "m", 1))
        event.add("summary", f"{kind_text(one.kind, say)}: {place}")
        event.add("location", f"{say.value(Quantity(one.start, 'm', 1))} – {say.value(Quantity(one.end, 'm', 1))}")
        if one.crew is not None:
            event.add("categories", [one.crew])
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _chosen(programme: Programme, crew: str | None) -> Sequence[Activity]:
    return [one for one in programme.activities if crew is None or one.crew == crew]
