"""Calendars of the programme: who has what to do, what is waited for, and what the office looks after."""

from datetime import date, datetime

from icalendar import Calendar

from mainwright.paper.programme_ics import crew_names, render_calendar
from mainwright.plan.timetable import Programme
from tests.unit.prove.demo_plan import demo_plan


def demo() -> Programme:
    made = demo_plan().programme
    assert made is not None
    return made


def events(crew: str | None = None, *, office: bool = False) -> dict[str, dict[str, object]]:
    """Return the events by the id of their activity or wait."""
    text = render_calendar(demo_plan().job, demo(), crew=crew, office=office)
    assert text is not None
    read = Calendar.from_ical(text)
    return {
        str(one["uid"]).partition(".")[0]: {
            "summary": str(one["summary"]),
            "begin": one.decoded("dtstart"),
            "end": one.decoded("dtend"),
            "busy": str(one.get("transp", "OPAQUE")) == "OPAQUE",
            "told": str(one.get("description", "")),
        }
        for one in read.walk("VEVENT")
    }


def test_the_calendar_of_all_holds_every_activity_and_every_wait() -> None:
    found = events()
    assert set(found) == {one.id for one in demo().everything}
    assert {name for name, one in found.items() if not one["busy"]} == {one.id for one in demo().waits}


def test_a_notice_is_the_whole_of_its_last_day_and_in_the_calendar_of_who_closes_the_block() -> None:
    notices = [one for one in demo().waits if one.kind == "notice"]
    assert notices
    for one in notices:
        assert one.crew is not None
        event = events(one.crew)[one.id]
        assert event["begin"] == one.begin.date()
        assert type(event["begin"]) is date
        assert "closed on" in str(event["told"])


def test_a_crew_is_told_what_it_waits_for_and_nothing_of_others() -> None:
    made = demo()
    for crew in crew_names(made):
        found = events(crew)
        assert {name for name, one in found.items() if one["busy"]} == {one.id for one in made.activities if one.crew == crew}
        assert {name for name, one in found.items() if not one["busy"]} == {one.id for one in made.waits if one.crew == crew}
    cures = {one.id for one in made.waits if one.kind == "cure"}
    camera = next(one.crew for one in made.activities if one.kind == "camera_lined")
    assert cures <= set(events(camera))


def test_the_office_has_notices_and_results_with_the_hour_of_the_result() -> None:
    made, found = demo(), events(office=True)
    assert set(found) == {one.id for one in made.waits if one.kind in {"notice", "laboratory", "hold_point"}}
    result = next(one for one in made.waits if one.kind == "laboratory")
    event = found[result.id]
    assert isinstance(event["end"], datetime)
    assert event["end"].strftime("%M") == result.finish.strftime("%M")
    assert f"{result.finish:%H:%M}" in str(event["told"])
