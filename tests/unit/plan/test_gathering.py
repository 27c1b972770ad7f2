"""What stands beside the numbers: assumed values, warnings in order, sources once."""

from dataclasses import replace

from mainwright.plan.gathering import (
    assumed_defaults,
    assumed_prices,
    distinct_assumed,
    distinct_sources,
    in_order,
    run_warnings,
    suitability_warnings,
)
from mainwright.plan.result import Cost, PlanWarning, Suitability
from mainwright.standards.source import Assumed, Reason, Source
from mainwright.words.message import message
from mainwright.words.wording import word
from tests.unit.paper.test_plan_json import sample_run
from tests.unit.plan.small_job import small_job

PRACTICE = Source("Practice", "", "", "practice")


def test_each_default_is_listed_with_value_unit_and_origin() -> None:
    confidence, usable = assumed_defaults(small_job())
    assert (confidence.what, confidence.value, confidence.unit) == ("lining.confidence", 0.95, "")
    assert (usable.what, usable.value, usable.unit) == ("mortar.usable_minutes", 90.0, "minutes")
    assert dict(usable.because.values)["origin"]


def test_items_without_a_price_are_listed() -> None:
    assert [one.what for one in assumed_prices(Cost(1.0, 1.0, 1.0, ("camera", "sand")))] == ["prices.camera", "prices.sand"]


def test_an_assumption_is_listed_once() -> None:
    first, second = Assumed("a", 1.0, "", message("one")), Assumed("a", 1.0, "", message("two"))
    assert distinct_assumed([first, second, replace(second, what="b")]) == (first, replace(second, what="b"))


def test_sources_are_listed_once_in_order() -> None:
    other = Source("A document", "2020", "", "read")
    assert distinct_sources([PRACTICE, other, PRACTICE]) == (other, PRACTICE)


def test_warnings_stand_in_order_of_chainage_the_gravest_first() -> None:
    def warning(start: float | None, severity: str, code: str = "x") -> PlanWarning:
        return PlanWarning(code, start, start, message("text"), severity)  # type: ignore[arg-type]

    found = in_order([warning(None, "stop"), warning(50.0, "note"), warning(50.0, "stop"), warning(0.0, "act"), warning(0.0, "act")])
    assert [(one.start, one.severity) for one in found] == [(0.0, "act"), (50.0, "stop"), (50.0, "note"), (None, "stop")]


def test_a_stretch_that_is_not_suitable_stops_and_says_why() -> None:
    why = Reason(message("no larger than DN {most}", most=600), message("DN 800"), message("DN 600"), PRACTICE, "unsuitable")
    fine = replace(why, rule=message("host"), verdict="suitable")
    found = suitability_warnings(
        (
            Suitability(0.0, 10.0, "unsuitable", (fine, why), ()),
            Suitability(10.0, 20.0, "unknown", (replace(why, verdict="unknown"),), ()),
            Suitability(20.0, 30.0, "with_measures", (replace(why, verdict="with_measures"),), ()),
            Suitability(30.0, 40.0, "suitable", (fine,), ()),
        )
    )
    assert [(one.code, one.severity) for one in found] == [
        ("unsuitable", "stop"),
        ("suitability_unknown", "act"),
        ("needs_measures", "note"),
    ]
    assert word(found[0].text, language="en", units="metric") == "This stretch is not suitable for lining. no larger than DN 600: DN 800"


def test_sheets_say_what_they_lack() -> None:
    run = replace(sample_run(), mixer=None, coats=2, length=3.0)
    codes = [one.code for one in run_warnings(small_job(), (run,))]
    assert codes == ["minutes_not_tested", "no_mixer", "short_run", "several_coats"]
    assert run_warnings(small_job(defaulted=()), (sample_run(),)) == ()
