"""Pictures of a programme: every activity and wait of every place has its bar, nothing is lost between two pages."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import timedelta

import pytest

from mainwright.figures.programme_bars import programme_bars
from mainwright.figures.programme_parts import FILLS, WAITS, kind_text
from mainwright.figures.programme_places import programme_places
from mainwright.plan.timetable import KINDS, WAIT_KINDS, Programme
from mainwright.words.wording import Wording
from tests.unit.figures.boxes import SVG, overlapping, text_boxes
from tests.unit.prove.demo_plan import demo_plan


def demo() -> Programme:
    made = demo_plan().programme
    assert made is not None
    return made


def drawn(*pages: str) -> set[str]:
    """Return the ids of the activities and waits that have a bar."""
    return {title.split(" ")[0] for page in pages for title in re.findall(r'data-part="(?:activity|wait)"><title>([^<]+)</title>', page)}


def everything(programme: Programme) -> set[str]:
    return {one.id for one in programme.everything}


def test_by_crew_and_by_place_show_every_activity_and_every_wait() -> None:
    made = demo()
    assert made.waits
    assert drawn(programme_bars(made, width=510.0)) == everything(made)
    assert drawn(*programme_places(made, width=760.0, height=455.0)) == everything(made)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_by_place_no_text_lies_on_another_or_outside(language: str, units: str) -> None:
    for page in programme_places(demo(), width=760.0, height=200.0, language=language, units=units):
        width, height = (float(one) for one in re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', page)[0])
        assert not overlapping(page)
        assert not [text for text, x1, y1, x2, y2 in text_boxes(page) if x1 < -0.5 or x2 > width + 0.5 or y1 < 0.0 or y2 > height]


def test_many_places_go_on_over_pages_which_name_the_block_again() -> None:
    made = demo()
    whole = programme_places(made, width=760.0, height=455.0)
    cut = programme_places(made, width=760.0, height=200.0)
    assert len(cut) > len(whole)
    heights = [float(re.findall(r'viewBox="0 0 [\d.]+ ([\d.]+)"', page)[0]) for page in cut]
    assert all(one <= 200.0 for one in heights)
    assert drawn(*cut) == everything(made)
    runs = {one.run for one in made.activities if one.run}
    texts = [{text for text, *_ in text_boxes(page)} for page in cut]
    # A run stands on one page only; a page begins with a block.
    assert all(sum(run in page for page in texts) == 1 for run in runs)
    assert any(any("goes on" in text for text in page) for page in texts[1:])


def test_days_off_are_shaded_holidays_too() -> None:
    made = demo()
    plain = programme_places(replace(made, days_off=()), width=760.0, height=455.0)[0]
    shaded = programme_places(made, width=760.0, height=455.0)[0]
    assert shaded.count("<rect") > plain.count("<rect")
    holiday = next(day for day in made.days_off if day.weekday() < 5)
    other = programme_places(replace(made, days_off=tuple(day for day in made.days_off if day != holiday)), width=760.0, height=455.0)[0]
    assert other != shaded


def test_each_kind_looks_different_without_colour_beside_its_likes() -> None:
    assert set(FILLS) == set(KINDS)
    assert set(WAITS) == set(WAIT_KINDS)
    assert len(set(FILLS.values())) == len(FILLS)
    reader = Wording("en")
    names = [kind_text(kind, reader) for kind in (*KINDS, *WAIT_KINDS)]
    assert len(set(names)) == len(names)


def test_work_beyond_its_permit_is_hatched() -> None:
    made = demo()
    first = made.permits[0]
    assert first.last is not None
    late = replace(first, last_day=first.last - timedelta(days=9), overrun=9)
    assert "#late" not in "".join(programme_places(made, width=760.0, height=455.0))
    pages = "".join(programme_places(replace(made, permits=(late, *made.permits[1:])), width=760.0, height=455.0))
    assert "#late" in pages
    # It lies under the bars, and the legend says what it is.
    assert pages.index("#late") < pages.index('data-part="activity"')
    assert "work beyond a permit" in pages


def test_a_long_name_of_a_crew_is_cut_not_lost() -> None:
    made = demo()
    name = "the gang for pits, traffic signs, shoring and everything else that nobody else does"
    long = [replace(one, crew=name) if one.kind == "opening" else one for one in made.activities]
    texts = {text for text, *_ in text_boxes(programme_bars(replace(made, activities=tuple(long)), width=510.0))}
    assert any(text.startswith("the gang") and text.endswith("…") for text in texts)


def test_the_same_programme_gives_the_same_drawing() -> None:
    made = demo()
    page = programme_places(made, width=760.0, height=455.0)
    assert page == programme_places(made, width=760.0, height=455.0)
    assert ET.fromstring(page[0]).tag == f"{SVG}svg"  # noqa: S314
