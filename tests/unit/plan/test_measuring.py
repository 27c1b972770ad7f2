"""From metres of main to metres that are paid."""

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.job.columns import defaults
from mainwright.job.measurement import DnClass, Measurement, Payment
from mainwright.plan.bill import bill_of_plan
from mainwright.plan.measuring import joined_spans, measured_length, measuring_rules, priced_dn, rounded
from mainwright.words.wording import Wording
from tests.unit.paper.test_plan_json import sample_run
from tests.unit.plan.small_job import small_job


def test_what_nobody_gives_is_what_the_dictionary_documents() -> None:
    rules, documented = Measurement(), defaults("measurement")
    assert (rules.fittings, rules.rounding, rules.round_to) == (documented["fittings"], documented["rounding_m"], documented["round_to"])
    assert (rules.minimum_length, rules.redone, rules.extras) == (
        documented["minimum_length_m"],
        documented["redone"],
        documented["extras"],
    )
    assert (Payment().retention, Payment().lining) == (defaults("payment")["retention_pct"], defaults("payment")["lining"])


def test_without_rules_a_length_is_paid_as_it_is() -> None:
    assert measured_length(small_job(), [(0.0, 117.34)], whole=True) == pytest.approx(117.34)


@pytest.mark.parametrize(
    ("way", "length", "paid"), [("nearest", 117.34, 117.3), ("nearest", 117.35, 117.4), ("down", 117.39, 117.3), ("up", 117.31, 117.4), ("up", 117.3, 117.3)]
)  # fmt: skip
def test_rounding(way: str, length: float, paid: float) -> None:
    assert rounded(Measurement(rounding=0.1, round_to=way), length) == pytest.approx(paid, abs=1e-12)  # type: ignore[arg-type]


@given(length=st.floats(0.0, 5000.0), step=st.sampled_from([0.1, 0.3048, 0.5, 1.0]))
def test_rounding_stays_within_its_step(length: float, step: float) -> None:
    low, near, high = (rounded(Measurement(rounding=step, round_to=way), length) for way in ("down", "nearest", "up"))
    assert low <= near <= high
    assert low - 1e-5 <= length <= high + 1e-5
    assert high - low <= step * (1 + 1e-6)
    assert rounded(Measurement(rounding=step), near) == pytest.approx(near, abs=1e-6)


def test_fittings_inside_count_whole_and_those_at_an_end_half() -> None:
    # The small job has a gate valve at 120 m and a reducer at 240 m.
    job = small_job(measurement=Measurement(fittings="deducted", fitting_length=0.6))
    assert measured_length(job, [(0.0, 240.0)], whole=True) == pytest.approx(240.0 - 0.6 - 0.3)
    parts = [measured_length(job, [span], whole=True) for span in ((0.0, 120.0), (120.0, 240.0), (240.0, 300.0))]
    assert math.fsum(parts) == pytest.approx(measured_length(job, [(0.0, 300.0)], whole=True))


def test_the_least_length_is_for_a_run_done_whole() -> None:
    job = small_job(measurement=Measurement(minimum_length=50.0))
    assert measured_length(job, [(0.0, 20.0)], whole=True) == 50.0
    assert measured_length(job, [(0.0, 20.0)], whole=False) == 20.0
    assert measured_length(job, [], whole=True) == 0.0


def test_both_edges_of_a_class_belong_to_it() -> None:
    rules = Measurement(classes=(DnClass(100, 150, 150), DnClass(151, 250, 250)))
    assert [priced_dn(rules, dn) for dn in (80, 100, 150, 151, 200, 250, 300)] == [80, 150, 150, 250, 250, 250, 300]


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)).map(lambda pair: (min(pair), max(pair))), max_size=8))
def test_joined_spans_cover_the_same_places_once(spans: list[tuple[float, float]]) -> None:
    joined = joined_spans(spans)
    for before, after in itertools.pairwise(joined):
        assert before[1] < after[0]
    for low, high in spans:
        assert any(first <= low and high <= last for first, last in joined)
    assert math.fsum(high - low for low, high in joined) <= math.fsum(high - low for low, high in spans) + 1e-6


def test_the_bill_follows_the_rules() -> None:
    first = sample_run()
    runs = (
        first,
        replace(first, id="R02", start=120.0, end=138.0, length=18.0),
        replace(first, id="R03", start=240.0, end=300.0, length=60.0, dn=200),
    )
    rules = Measurement(minimum_length=25.0, classes=(DnClass(100, 200, 200),))
    lines = {one.item: one.quantity for one in bill_of_plan(small_job(measurement=rules), openings=(), runs=runs, cleaning=())}
    assert lines["lining_dn200"] == lines["cleaning_dn200"] == 120.0 + 25.0 + 60.0
    assert lines["camera"] == 2 * (120.0 + 18.0 + 60.0)
    assert "lining_dn150" not in lines


def test_the_rules_are_told_in_words_and_whether_somebody_gave_them() -> None:
    job = small_job()
    rules = Measurement("deducted", 0.35, 0.5, "down", 20.0, "paid", "any_day", (DnClass(80, 150, 150),))
    told = measuring_rules(replace(job, measurement=rules, defaulted=("measurement.redone",)))
    say = Wording()
    assert [say.word(one.text) for one in told] == [
        "For each fitting in the line of the main 0.35 m is deducted, at the end of a run half of it.",
        "A run that is done whole is paid as 20.0 m at least.",
        "The length of each run is rounded down to the next 0.50 m.",
        "What is lined again is paid again.",
        "Daywork and standing time count with a signature, of whatever day.",
        "DN 80 to 150 are priced as DN 150.",
    ]
    assert [one.key for one in told if one.assumed] == ["redone"]
