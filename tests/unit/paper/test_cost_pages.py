"""The pages of the money: what they say is what the plan says, in both languages, and nothing where nothing is priced."""

from dataclasses import replace

import pytest

from mainwright.figures.cost_causes import cost_causes
from mainwright.figures.cost_curve import cost_curve
from mainwright.paper.cost_json import cost_document
from mainwright.paper.cost_pages import cost_pages, life_pages
from mainwright.paper.pen import Pen
from mainwright.paper.work_pages import bill_pages
from mainwright.plan.cost.whole_life import break_even
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


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_check_value_and_what_breaks_it_stand_beside_every_size(language: str) -> None:
    plan = demo_plan()
    text = pages(plan, language)
    usual = {"en": "Every size of the price list keeps to it with runs as they are here: DN 100 to 600.", "de": "DN 100 bis 600"}
    breaks = {"en": "What breaks it: many openings", "de": "Was es bricht: viele Gruben"}
    assert usual[language] in text
    assert breaks[language] in text
    dear = tuple(replace(one, rate=3.0 * one.rate) if one.item == "lining_dn600" and one.rate else one for one in plan.job.prices)
    job = replace(plan.job, prices=dear)
    odd = replace(plan, job=job, break_even=break_even(job, bill=plan.bill, stretches=plan.stretches))
    assert "DN 600 (" in pages(odd, language)
    assert usual["en"] not in pages(odd, language)


def test_the_rules_of_measurement_stand_beside_the_bill_and_in_the_document() -> None:
    plan = demo_plan()
    text = str(bill_pages(plan, Pen(Wording(), "EUR")))
    assert "A run that is done whole is paid as 40.0 m at least." in text
    assert "The length of each run is rounded to the nearest 0.10 m." in text
    assert "What is lined again is not paid again." in text
    told = {one["rule"]: one for one in cost_document(plan, Wording().word)["measurement"]}  # type: ignore[attr-defined]
    assert set(told) == {"fittings", "minimum_length_m", "rounding_m", "redone", "extras"}
    assert not any(one["assumed"] for one in told.values())
