"""The ribbon: complete, never two texts on each other, the same each time."""

import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.figures.frame import PIXEL, gathered
from mainwright.figures.ribbon import RibbonData, ribbon, ribbon_data, ribbon_rows, sheets
from mainwright.figures.ribbon_supply import pipe_lengths
from mainwright.job.job import Job
from mainwright.job.survey import Feature
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.plan.result_supply import TemporarySupply
from mainwright.words.wording import UnitSystem
from tests.unit.figures.boxes import SVG, overlapping, text_boxes
from tests.unit.paper.sample import crowded_plan, sample_plan, stopped_plan
from tests.unit.plan.supply.test_solution import supply_job


def _parts(svg: str) -> set[str]:
    return {group.get("data-part", "") for group in ET.fromstring(svg).iter(f"{SVG}g")}  # noqa: S314


def _stretched(plan: Plan, times: float) -> RibbonData:
    """Return the same main, so many times as long."""
    job = plan.job
    longer = replace(
        job,
        main=tuple(replace(one, start=one.start * times, end=one.end * times) for one in job.main),
        features=tuple(replace(one, chainage=one.chainage * times) for one in job.features),
        ground=tuple(replace(one, start=one.start * times, end=one.end * times) for one in job.ground),
        levels=tuple(replace(one, chainage=one.chainage * times) for one in job.levels),
        services=tuple(replace(one, chainage=one.chainage * times) for one in job.services),
    )
    runs = tuple(
        replace(
            run,
            start=run.start * times,
            end=run.end * times,
            settings=tuple(replace(one, start=one.start * times, end=one.end * times) for one in run.settings),
        )
        for run in plan.runs
    )
    return RibbonData(
        longer,
        tuple(replace(one, start=one.start * times, end=one.end * times) for one in plan.stretches),
        tuple(replace(one, start=one.start * times, end=one.end * times) for one in plan.suitability),
        tuple(replace(one, chainage=one.chainage * times) for one in plan.openings),
        runs,
        planned=True,
    )


def _supply_job(**changes: object) -> Job:
    """Return a small main with a feed on each kerb, shut by a valve in its middle."""
    job = supply_job(**changes)
    return replace(job, features=(*job.features, Feature(300.0, "gate_valve", state="holds", ref="V9")))


def _supplied() -> RibbonData:
    """Return a main with a temporary supply: two kerbs, a crossing, a loop, a customer without."""
    return ribbon_data(make_plan(_supply_job()))


def _supply() -> TemporarySupply:
    found = CASES["supplied"].supply
    assert found is not None
    return found


CASES = {
    "plain": ribbon_data(sample_plan()),
    "crowded": ribbon_data(crowded_plan()),
    "stopped": ribbon_data(stopped_plan()),
    "300 m": _stretched(sample_plan(), 0.25),
    "10 km": _stretched(sample_plan(), 8.1),
    "supplied": _supplied(),
    "supply not sized": ribbon_data(make_plan(replace(_supply_job(), feeds=()))),
    "survey": RibbonData(sample_plan().job),
    "bare": RibbonData(replace(sample_plan().job, ground=(), levels=(), features=(), services=())),
}


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("name", CASES)
def test_no_text_lies_on_another(name: str, language: str, units: UnitSystem) -> None:
    data = CASES[name]
    for sheet in sheets(data):
        svg = ribbon(data, start=sheet.start, end=sheet.end, width=770.0, span=sheet.span, language=language, units=units)
        assert overlapping(svg) == []
        assert all(x1 >= -12.0 and x2 <= 782.0 for _, x1, _, x2, _ in text_boxes(svg))


@pytest.mark.parametrize("name", CASES)
def test_sheets_cover_the_main_without_gap(name: str) -> None:
    data = CASES[name]
    cut = sheets(data)
    assert cut[0].start == data.job.main[0].start
    assert cut[-1].end == data.job.main[-1].end
    assert all(first.end == second.start for first, second in pairwise(cut))
    assert {one.count for one in cut} == {len(cut)}
    assert len({one.span for one in cut}) == 1


def test_ten_kilometres_take_about_a_dozen_sheets() -> None:
    assert 10 <= len(sheets(CASES["10 km"])) <= 26


def test_everything_is_on_it() -> None:
    plan = sample_plan()
    data = ribbon_data(plan)
    svg = "".join(ribbon(data, start=one.start, end=one.end, width=770.0, span=one.span) for one in sheets(data))
    said = {text.replace("\u00a0", " ") for text, *_ in text_boxes(svg.replace("</svg>\n<svg", "</svg><svg").join(("<all>", "</all>")))}
    for run in plan.runs:
        assert any(text.startswith(run.id) for text in said)
    for number, opening in enumerate(plan.openings, start=1):
        assert f"{number} · {opening.chainage:.1f}" in said
    for feature in plan.job.features:
        assert any(text.endswith(f"{feature.chainage:.1f}") for text in said)
    for service in plan.job.services:
        if service.use == "dialysis":
            assert f"dialysis patient {service.ref}" in said


def test_lanes_stay_away_where_nothing_is_known() -> None:
    assert _parts(ribbon(CASES["bare"], start=0.0, end=1236.0, width=770.0)) == {"axis", "host", "legend"}
    assert "work" not in _parts(ribbon(CASES["survey"], start=0.0, end=400.0, width=770.0))


def test_depth_stands_for_missing_levels() -> None:
    data = RibbonData(replace(sample_plan().job, levels=()))
    assert "depth; levels not known" in ribbon(data, start=0.0, end=400.0, width=770.0)


def test_the_same_plan_gives_the_same_text() -> None:
    first = ribbon(ribbon_data(sample_plan()), start=0.0, end=420.0, width=770.0, theme="dark")
    assert first == ribbon(ribbon_data(sample_plan()), start=0.0, end=420.0, width=770.0, theme="dark")


def test_no_layout_is_said() -> None:
    assert "No layout keeps the limits." in ribbon(CASES["stopped"], start=0.0, end=420.0, width=770.0)


def test_a_length_outside_the_main_is_refused() -> None:
    with pytest.raises(InputError, match="0 to 1236 m"):
        ribbon(CASES["plain"], start=0.0, end=2000.0, width=770.0)


def test_the_table_says_what_the_picture_shows() -> None:
    plan = sample_plan()
    rows = ribbon_rows(ribbon_data(plan))
    assert sum(what == "Run" for _, what, _ in rows) == len(plan.runs)
    assert sum(what == "Connection" for _, what, _ in rows) == len(plan.job.services)
    assert ("106.0 m", "Opening", "2, with the pump") in rows
    assert any("no digging" in how for _, _, how in rows)


def test_the_temporary_supply_is_drawn_and_said() -> None:
    found = _supply()
    assert found.lines is not None
    svg = ribbon(CASES["supplied"], start=0.0, end=300.0, width=770.0)
    said = {text.replace("\u00a0", " ") for text, *_ in text_boxes(svg)}
    worst = min((one for one in found.points or () if one.feeds), key=lambda one: one.pressure)
    assert f"least: {worst.pressure / 1e5:.2f} bar" in said
    for one in found.points or ():
        if one.source:
            assert f"{one.id} · {1e3 * (one.given or 0.0):.1f} l/s" in said
    assert {"feed with check valve", "crossing with ramp", "line valve shut"} <= said
    assert "supply" in _parts(svg)


def test_lengths_of_pipe_add_up_to_those_along_the_kerbs() -> None:
    found = _supply()
    at = {one.id: one for one in found.points or ()}
    along = [line.length for line in found.lines or () if at[line.start].side == at[line.end].side and not line.crossing]
    parts = pipe_lengths(found)
    assert sum(part.end - part.start for part in parts) == pytest.approx(sum(along), abs=1e-6)
    assert all(part.end > part.start for part in parts)


def test_without_feeds_the_lane_says_that_nothing_is_sized() -> None:
    svg = ribbon(CASES["supply not sized"], start=0.0, end=300.0, width=770.0)
    assert "not sized" in {text for text, *_ in text_boxes(svg)}


def test_the_table_says_the_temporary_supply() -> None:
    rows = ribbon_rows(CASES["supplied"])
    assert {"Shut", "Temporary pipe", "Feed", "Least pressure at a tap"} <= {what for _, what, _ in rows}


def test_the_legend_explains_the_lanes_that_are_drawn_and_no_others() -> None:
    svg = ribbon(CASES["supplied"], start=0.0, end=300.0, width=770.0, lanes=("axis", "supply", "legend"))
    said = {text for text, *_ in text_boxes(svg)}
    assert "feed with check valve" in said
    assert not said & {"gate valve", "minimum", "opening", "branch"}


@given(points=st.lists(st.floats(0.0, 900.0), max_size=400), gap=st.floats(0.1, 20.0))
def test_points_that_are_gathered_are_all_counted(points: list[float], gap: float) -> None:
    marks = gathered(points, gap)
    assert sum(one.count for one in marks) == len(points)
    assert all(other.x - one.x >= gap for one, other in pairwise(marks))
    assert all(any(one.x <= x < one.x + gap for one in marks) for x in points)


def _many(number: int) -> RibbonData:
    """Return the sample with so many fittings more."""
    job = sample_plan().job
    more = tuple(Feature(chainage=1236.0 * (k + 0.5) / number, kind="repair_clamp") for k in range(number))
    return RibbonData(replace(job, features=tuple(sorted((*job.features, *more), key=lambda one: one.chainage))))


def test_so_many_fittings_are_counted_where_they_cannot_be_drawn() -> None:
    data = _many(5_000)
    svg = ribbon(data, start=0.0, end=1236.0, width=900.0, window=True)
    said = [text.replace("\u00a0", " ") for text, *_ in text_boxes(svg)]
    assert f"{len(data.job.features)} along the main" in said
    marks = gathered([1.0 * 792.0 / 1236.0 * one.chainage for one in data.job.features], PIXEL)
    assert f"a tick stands for up to {max(one.count for one in marks)}" in said
    assert overlapping(svg) == []
    assert len(svg) < 150_000
    assert f"{sum(one.chainage <= 600.0 for one in data.job.features)} on this length" in [
        text.replace("\u00a0", " ") for text, *_ in text_boxes(ribbon(data, start=0.0, end=600.0, width=770.0))
    ]


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("width", [300.0, 900.0, 2400.0])
@pytest.mark.parametrize("name", CASES)
def test_what_stands_at_the_ends_is_inside(name: str, width: float, units: UnitSystem) -> None:
    data = CASES[name]
    svg = ribbon(data, start=data.job.main[0].start, end=data.job.main[-1].end, width=width, units=units)
    for text, left, _, right, _ in text_boxes(svg):
        named_in_the_margin = left < 60.0 and right <= 88.2
        assert named_in_the_margin or (left >= 92.0 - 4.6 and right <= width) or right <= 88.2, text


def test_the_first_opening_stands_beside_the_margin() -> None:
    data = CASES["supplied"]
    svg = ribbon(data, start=0.0, end=data.job.main[-1].end, width=900.0, lanes=("axis", "work", "supply"))
    first = next(box for box in text_boxes(svg) if box[0].startswith("1 · "))
    assert first[1] >= 92.0 - 4.6
