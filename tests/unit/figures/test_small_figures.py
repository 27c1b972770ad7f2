"""Cross-section and cost bars."""

import math
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from mainwright.figures.cost_bars import CostBar, cost_bars
from mainwright.figures.programme_bars import programme_bars
from mainwright.figures.section import bore_section
from tests.unit.figures.boxes import SVG, overlapping, text_boxes
from tests.unit.paper.sample import sample_plan
from tests.unit.prove.demo_plan import demo_plan


def _ring_area(path: str) -> float:
    """Return the area of a half ring by its two arcs."""
    radii = [float(part.split(" ")[0]) for part in path.split("A")[1:]]
    return math.pi / 2 * (radii[0] ** 2 - (radii[1] ** 2 if len(radii) > 1 else 0.0))


def test_the_lining_is_to_scale_with_the_bore() -> None:
    plan = sample_plan()
    stretch, lined = plan.job.main[1], plan.stretches[1]
    root = ET.fromstring(bore_section(stretch, lined, width=100.0))  # noqa: S314
    halves = [one.get("d", "") for one in root.iter(f"{SVG}path") if "A" in one.get("d", "")]
    deposit, mortar, today, after = (_ring_area(path) for path in halves)
    bore, aim = lined.bore_clean, lined.aim or 0.0
    assert mortar / after == pytest.approx((bore**2 - (bore - 2 * aim) ** 2) / (bore - 2 * aim) ** 2, rel=0.01)
    thick = stretch.deposit or 0.0
    assert deposit / today == pytest.approx((bore**2 - (bore - 2 * thick) ** 2) / (bore - 2 * thick) ** 2, rel=0.01)


def test_a_section_says_what_is_not_known() -> None:
    plan = sample_plan()
    svg = bore_section(
        replace(plan.job.main[0], deposit=None, wall=None), replace(plan.stretches[0], aim=None, bore_lined=None), width=100.0
    )
    assert [text for text, *_ in text_boxes(svg)] == ["today", "–", "lined", "–"]


BARS = (CostBar("This plan", 80.0, 100.0, 130.0), CostBar("A new pipe whose name is far too long to stand beside its bar in this picture", None, 200.0, None), CostBar("Other", None, None, None))  # fmt: skip


def test_bars_begin_at_nothing_and_keep_their_ratio() -> None:
    svg = cost_bars(BARS, width=400.0, currency="EUR")
    bars = [float(one.get("width", "0")) for one in ET.fromstring(svg).iter(f"{SVG}rect")]  # noqa: S314
    assert bars[1] == pytest.approx(2 * bars[0], abs=0.02)
    assert overlapping(svg) == []
    assert "a price is missing" in svg
    assert all(x2 <= 400.0 for _, _, _, x2, _ in text_boxes(svg))


def test_nothing_priced_is_a_picture_too() -> None:
    assert "a price is missing" in cost_bars((CostBar("x", None, None, None),), width=400.0, currency="")


def test_what_is_done_has_a_bar_of_its_own_and_is_not_nobody_s() -> None:
    made = demo_plan().programme
    assert made is not None
    over = [replace(one, crew=None, done=True) if one.kind == "opening" else one for one in made.activities]
    texts = {text for text, *_ in text_boxes(programme_bars(replace(made, activities=tuple(over)), width=500.0))}
    assert "done, by the records" in texts
    assert "nobody named" not in texts
    open_ = [replace(one, crew=None) if one.kind == "opening" else one for one in made.activities]
    texts = {text for text, *_ in text_boxes(programme_bars(replace(made, activities=tuple(open_)), width=500.0))}
    assert "nobody named" in texts
