"""Figures of the proof: the main as built, and the operating characteristic."""

import re

import pytest

from mainwright.figures.as_built import as_built
from mainwright.figures.operating_curve import operating_curve
from mainwright.figures.unrolled import unrolled
from mainwright.prove.proof import prove
from mainwright.science.measurement.tolerance import one_sided_factor
from tests.unit.figures.boxes import overlapping, text_boxes
from tests.unit.prove.demo_plan import a_run, demo_plan, read


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("language", "units"), [("en", "metric"), ("de", "metric"), ("en", "us")])
def test_the_main_as_built_names_every_run(theme: str, language: str, units: str) -> None:
    plan = demo_plan()
    made = prove(plan.job, runs=plan.runs, stretches=plan.stretches, records=read({}, a_run()), issued=None)
    svg = as_built(made, plan.stretches, width=494.0, theme=theme, language=language, units=units)  # type: ignore[arg-type]
    assert svg.startswith("<svg")
    assert all(f">{run.id}<" in svg for run in plan.runs)
    assert svg == as_built(made, plan.stretches, width=494.0, theme=theme, language=language, units=units)  # type: ignore[arg-type]
    # Only the one run that has readings has a line of thickness.
    assert svg.count("<path d=") >= 1


def test_the_curve_falls_and_is_marked_where_the_rule_says() -> None:
    k = one_sided_factor(count=8, share=0.95, confidence=0.95)
    svg = operating_curve(count=8, k=k, share=0.95, width=300.0)
    assert svg.startswith("<svg")
    assert "5.0%" in svg
    (points,) = [found for found in re.findall(r'<path d="M([^"]+)"', svg) if found.count("L") > 30]
    heights = [float(point.split(" ")[1]) for point in points.split("L")]
    assert heights == sorted(heights)  # downwards on the page


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("width", [360.0, 480.0, 494.0, 520.0])
def test_the_legend_of_the_wall_stays_within_the_drawing(language: str, width: float) -> None:
    svg = unrolled(
        [[0.005] * 12] * 30, [], start=0.0, end=3.0, minimum=0.004, nominal=0.005, maximum=0.008, name="R01", width=width, language=language
    )
    boxes = text_boxes(svg)
    assert {"en": "thin area", "de": "dünne Stelle"}[language] in {text for text, *_ in boxes}
    assert max(right for _, _, _, right, _ in boxes) <= width
    assert overlapping(svg) == []
