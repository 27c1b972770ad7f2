"""The temporary supply on the map: no text on another, all of it there, beside the main on the right hand."""

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from mainwright.figures.supply_map import supply_map
from mainwright.job.job import Job
from mainwright.job.survey import Alignment, Feature
from mainwright.plan.plan import make_plan
from mainwright.plan.result_supply import TemporarySupply
from mainwright.words.wording import UnitSystem
from tests.unit.figures.boxes import SVG, overlapping, text_boxes
from tests.unit.plan.supply.test_solution import supply_job

EAST = Alignment("EPSG:25832", ((500000.0, 5800000.0), (500150.0, 5800030.0), (500300.0, 5800000.0)), "alignment.geojson")
NORTH = Alignment("EPSG:25832", ((500000.0, 5800000.0), (500030.0, 5800150.0), (500000.0, 5800300.0)), "alignment.geojson")


def _supplied(alignment: Alignment | None) -> tuple[Job, TemporarySupply]:
    plain = supply_job()
    job = replace(plain, alignment=alignment, features=(*plain.features, Feature(300.0, "gate_valve", state="holds", ref="V9")))
    found = make_plan(job).supply
    assert found is not None
    return job, found


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("alignment", [EAST, NORTH, None], ids=["east", "north", "sketch"])
def test_no_text_lies_on_another_or_outside(alignment: Alignment | None, language: str, units: UnitSystem) -> None:
    job, found = _supplied(alignment)
    svg = supply_map(job, found, width=500.0, language=language, units=units)
    assert overlapping(svg) == []
    high = float(ET.fromstring(svg).get("height", "0"))  # noqa: S314
    assert all(x1 >= 0.0 and x2 <= 500.0 and y1 >= 0.0 and y2 <= high for _, x1, y1, x2, y2 in text_boxes(svg))


def test_feeds_and_the_worst_tap_are_named() -> None:
    job, found = _supplied(EAST)
    said = {text.replace("\u00a0", " ") for text, *_ in text_boxes(supply_map(job, found, width=500.0))}
    for one in found.points or ():
        if one.source:
            assert f"{one.id} · {1e3 * (one.given or 0.0):.1f} l/s" in said
    worst = min((one for one in found.points or () if one.feeds), key=lambda one: one.pressure)
    assert f"least: {worst.pressure / 1e5:.2f} bar" in said


def test_left_of_a_main_to_the_east_is_above_it() -> None:
    job, found = _supplied(None)
    svg = supply_map(job, found, width=500.0)
    root = ET.fromstring(svg)  # noqa: S314
    customers = [float(one.get("cy", "0")) for one in root.iter(f"{SVG}circle") if one.get("r") == "0.9"]
    main = next(one.get("d", "") for one in root.iter(f"{SVG}path") if one.get("stroke-dasharray") == "3 2")
    level = float(main[1:].split("L")[0].split(" ")[1])
    sides = [one.side for one in job.services if one.live is not False]
    assert [y < level for y in customers] == [side == "left" for side in sides]


def test_without_a_line_it_says_that_it_is_a_sketch() -> None:
    job, found = _supplied(None)
    assert "a sketch, not to be measured" in {text for text, *_ in text_boxes(supply_map(job, found, width=500.0))}
