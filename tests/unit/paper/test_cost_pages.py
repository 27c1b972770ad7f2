"""The pages of the money: what they say is what the plan says, in both languages, and nothing where nothing is priced."""

from dataclasses import replace

import pytest

from mainwright.figures.cost_causes import cost_causes
from mainwright.figures.cost_curve import cost_curve
from mainwright.paper.cost_pages import cost_pages, life_pages
from mainwright.paper.pen import Pen
from mainwright.plan.result import Plan
from mainwright.words.wording import Wording
from tests.unit.prove.demo_plan import demo_plan


def pages(plan: Plan, language: str = "en") -> str:
    say = Wording(language, "metric")
    worded = replace(plan, job=replace(plan.job, info=replace(plan.job.info, language=language)))
    return str([*cost_pages(worded, Pen(say, "EUR")), *life_pages(worded, Pen(say, "EUR"))])


def test_the_sums_of_the_plan_stand_on_the_page() -> None:
    plan = demo_plan()
    assert plan.spread is not None
    text = pages(plan)
    say = Wording("en", "metric")
    for value in (plan.spread.cost.low, plan.spread.cost.high, plan.spread.tender.price, *(one.worth for one in plan.life if one.worth)):
        assert say.number(value, 0) in text
    assert "without a source" in text


def test_in_german() -> None:
    text = pages(demo_plan(), "de")
    assert "Was es kosten kann" in text
    assert "Wege über die Jahre" in text


def test_nothing_priced_nothing_said() -> None:
    plan = replace(demo_plan(), spread=None, life=(), break_even=())
    assert pages(plan) == "[]"


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_figures_keep_inside(theme: str) -> None:
    found = demo_plan().spread
    assert found is not None
    curve = cost_curve(found, rate=300_000.0, width=480.0, currency="EUR", theme="dark" if theme == "dark" else "light", language="de")
    causes = cost_causes(found.causes, middle=found.cost.middle, width=480.0, currency="EUR", theme="dark" if theme == "dark" else "light")
    for svg in (curve, causes):
        assert svg.startswith("<svg")
        assert "nan" not in svg
