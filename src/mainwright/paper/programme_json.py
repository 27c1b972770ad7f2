"""The programme as plain values: moments with the offset of the job's time zone, floats in shifts."""

import json
from collections.abc import Callable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from mainwright import __version__
from mainwright.plan.result import Plan
from mainwright.plan.timetable import Activity, PermitUse, Programme, Waiting
from mainwright.units import significant
from mainwright.words.message import Message

__all__ = ["programme_document", "programme_json"]

_KEYS = (
    "first_day",
    "last_day",
    "shifts",
    "bound_shifts",
    "bounded_by",
    "gap",
    "proven",
    "float_days",
    "critical_path",
    "activities",
    "permits",
)


def programme_document(programme: Programme | None, *, zone: str, word: Callable[[Message], str]) -> dict[str, object]:
    """Return the section ``programme`` of ``plan.json``.

    Parameters
    ----------
    programme : Programme or None
        The programme; None gives nulls. [-]
    zone : str
        Time zone of the job. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    dict
        ``float_days`` is the least number of working days between the work under a permit and its last day; activities and what has to be
        waited for between them, which has no crew, in the order in which they begin.
    """
    if programme is None:
        return dict.fromkeys(_KEYS)
    spare = [permit.spare for permit in programme.permits if permit.spare is not None]
    return {
        "first_day": programme.first_day.isoformat(),
        "last_day": programme.last_day.isoformat(),
        "shifts": significant(programme.shifts),
        "bound_shifts": significant(programme.bound),
        "bounded_by": programme.because,
        "gap": significant(programme.gap),
        "proven": programme.proven,
        "float_days": min(spare, default=None),
        "critical_path": [one.id for one in programme.everything if one.critical],
        "activities": [_activity(one, ZoneInfo(zone), word) for one in programme.everything],
        "permits": [_permit(one) for one in programme.permits],
    }


def programme_json(plan: Plan, *, word: Callable[[Message], str]) -> bytes:
    """Return the bytes of ``programme.json``: the section ``programme`` with the job, the revision that it is of, and what moved.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    bytes
        UTF-8, indented, with a newline at the end.
    """
    info = plan.job.info
    document = {"mainwright": __version__, "job": info.name, "reference": info.reference, "revision": plan.job.revision}
    changes = [{"text": word(one.text)} for one in plan.changes if one.subject == "programme"]
    section = programme_document(plan.programme, zone=info.time_zone, word=word)
    return (json.dumps(document | section | {"changes": changes}, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8")


def _activity(one: Activity | Waiting, zone: ZoneInfo, word: Callable[[Message], str]) -> dict[str, object]:
    return {
        "id": one.id,
        "kind": one.kind,
        "block": one.block,
        "run": one.run,
        "from_m": significant(one.start),
        "to_m": significant(one.end),
        # Nobody works while something is waited for.
        "crew": one.crew if isinstance(one, Activity) else None,
        "begin": _moment(one.begin, zone),
        "end": _moment(one.finish, zone),
        "float_shifts": significant(one.slack),
        "critical": one.critical,
        "because": word(one.because),
        "done": one.done,
    }


def _permit(one: PermitUse) -> dict[str, object]:
    return {
        "ref": one.ref,
        "street": one.street,
        "from_m": None if one.start is None else significant(one.start),
        "to_m": None if one.end is None else significant(one.end),
        "first_day": _day(one.first_day),
        "last_day": _day(one.last_day),
        "work_from": _day(one.first),
        "work_to": _day(one.last),
        "float_days": one.spare,
        "overrun_days": one.overrun,
        "overrun_charge": None if one.charge is None else significant(one.charge),
        "next_day_charge": None if one.next_day_costs is None else significant(one.next_day_costs),
    }


def _moment(moment: datetime, zone: ZoneInfo) -> str:
    return moment.replace(tzinfo=zone).isoformat()


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
