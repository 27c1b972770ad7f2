"""What to find out first."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.job.job import Job
from mainwright.job.office import Price
from mainwright.job.survey import Feature, Ground, Service
from mainwright.plan.ask_first import ask_first, chance_names, chances_assumed
from mainwright.plan.result import AskFirst
from mainwright.standards.published import value
from tests.unit.plan.hosts import host_of, with_row
from tests.unit.plan.small_job import small_job


def asked(job: Job, **more: object) -> tuple[AskFirst, ...]:
    return ask_first(job, host_of(job), **more)  # type: ignore[arg-type]


def one(found: tuple[AskFirst, ...], words: str) -> AskFirst:
    return next(item for item in found if words in item.subject.text)


def test_the_dearest_uncertainty_comes_first_and_what_has_no_price_last() -> None:
    found = asked(small_job())
    expected = [item.expected for item in found]
    priced = [item for item in expected if item is not None]
    assert priced == sorted(priced, reverse=True)
    assert expected == [*priced, *([None] * (len(expected) - len(priced)))]
    assert None in expected
    assert priced
    chances = [item.probability for item in asked(replace(small_job(), prices=()))]
    assert chances == sorted(chances, reverse=True)


def test_a_recorded_bend_is_weighed_against_a_hole() -> None:
    """Rule A12: dig where the chance times the cost of the stop is more than the hole."""
    job = replace(small_job(), features=(Feature(66.0, "bend", math.radians(11.25), confidence="recorded"),))
    bend = one(asked(job), "{kind} at {chainage}, known")
    # Verge at 66 m: opening 2200, set-up 1200.
    assert bend.consequence == pytest.approx(3400.0)
    assert bend.probability == value("weak_records", "recorded_fitting").value
    assert bend.expected == pytest.approx(bend.probability * 3400.0)
    assert bend.cost_of_asking == pytest.approx(2200.0)
    assert bend.worth is False
    surely = one(asked(job, chances={"recorded_fitting": 0.9}), "{kind} at {chainage}, known")
    assert surely.expected == pytest.approx(3060.0)
    assert surely.worth is True


def test_own_prices_of_hole_and_obstruction_win() -> None:
    job = replace(small_job(), features=(Feature(66.0, "bend", 0.2, confidence="recorded"),))
    priced = replace(
        job, prices=(*job.prices, Price("trial_hole", "each", None, 300.0, None), Price("obstruction", "each", None, 2900.0, None))
    )
    bend = one(asked(priced), "{kind} at {chainage}, known")
    assert (bend.consequence, bend.cost_of_asking) == (2900.0, 300.0)
    assert bend.worth is True


def test_cover_makes_the_hole_dearer() -> None:
    job = replace(small_job(), features=(Feature(200.0, "bend", 0.2, confidence="recorded"),))
    # Carriageway under 1.8 m of cover: 3800 and 0.3 m at 300.
    assert one(asked(job), "{kind} at {chainage}, known").cost_of_asking == pytest.approx(3890.0)


def test_what_is_seen_or_opened_anyway_needs_no_hole() -> None:
    seen = replace(small_job(), features=(Feature(66.0, "bend", 0.2, confidence="seen"),))
    assert not [item for item in asked(seen) if "known from the record" in item.subject.text]
    recorded = replace(small_job(), features=(Feature(66.0, "bend", 0.2, confidence="recorded"),))
    assert not [item for item in asked(recorded, openings=(66.2,)) if "known from the record" in item.subject.text]
    assert one(asked(recorded, openings=(70.0,)), "known from the record")


def test_where_nobody_may_dig_there_is_no_hole() -> None:
    job = replace(
        small_job(), features=(Feature(66.0, "bend", 0.2, confidence="recorded"),), ground=(Ground(0.0, 300.0, "railway", 2.0, False),)
    )
    bend = one(asked(job), "known from the record")
    assert bend.cost_of_asking is None
    assert bend.worth is None


def test_a_valve_is_tried_for_nothing() -> None:
    job = replace(small_job(), features=(Feature(120.0, "gate_valve", confidence="seen"),))
    valve = one(asked(job), "{kind} at {chainage}, not tried")
    assert valve.cost_of_asking == 0.0
    assert valve.consequence == pytest.approx(1200.0)
    assert valve.worth is True
    tried = replace(job, features=(replace(job.features[0], state="holds"),))
    assert not [item for item in asked(tried) if "not tried" in item.subject.text and "{kind}" in item.subject.text]


def test_connections_alike_are_one_question() -> None:
    job = replace(
        small_job(), services=(Service(31.0, stop_tap=None, material="pe", size=0.025), Service(84.0, stop_tap=None, material=None))
    )
    taps = one(asked(job), "stop tap not tried")
    assert dict(taps.subject.values)["n"] == 2
    assert taps.consequence == pytest.approx(4400.0)
    assert one(asked(job), "size or material").chainage == 84.0


def test_unknown_wall_deposits_and_bore() -> None:
    job = with_row(small_job(), wall=None, deposit=None, bore=None)
    priced = replace(job, prices=(*job.prices, Price("cleaning_dn150", "m", None, 18.0, None)))
    deposits = one(asked(priced), "Deposits")
    assert deposits.consequence == pytest.approx(18.0 * 300.0)
    assert one(asked(job), "Deposits").consequence is None
    # In the middle, under the carriageway: opening 3890, set-up 1200, one pipe of 3.66 m at 300.
    assert one(asked(job), "Strength").consequence == pytest.approx(3890.0 + 1200.0 + 3.66 * 300.0)
    assert one(asked(job), "Bore").probability == value("weak_records", "table_bore").value
    caliper = with_row(small_job(), bore=0.152, bore_source="caliper", wall=0.01)
    assert not [item for item in asked(caliper) if "Bore" in item.subject.text]


def test_unknown_fittings_grow_with_length() -> None:
    found = one(asked(small_job()), "no record shows")
    assert found.probability == pytest.approx(1.0 - math.exp(-0.3))
    assert found.expected == pytest.approx(0.3 * (found.consequence or 0.0))
    assert found.cost_of_asking is None
    camera = replace(small_job(), prices=(*small_job().prices, Price("camera", "m", None, 6.0, None)))
    assert one(asked(camera), "no record shows").cost_of_asking == pytest.approx(1800.0)


def test_every_chance_that_is_used_is_listed_as_assumed() -> None:
    job = with_row(small_job(), wall=None, deposit=None, bore=None)
    names = {item.what.removeprefix("chance.") for item in chances_assumed(job, host_of(job))}
    assert {"untried_tap", "unknown_structure", "unknown_deposits", "table_bore", "unrecorded_fitting", "no_level"} <= names
    assert names <= set(chance_names())
    fewer = {item.what.removeprefix("chance.") for item in chances_assumed(job, host_of(job), chances={"no_level": 0.0})}
    assert names - fewer == {"no_level"}
    assert all(value("weak_records", name).source.status == "practice" for name in chance_names())


@given(st.dictionaries(st.sampled_from(chance_names()), st.floats(0.0, 1.0)))
def test_expected_is_never_more_than_chance_allows(chances: dict[str, float]) -> None:
    for item in asked(small_job(), chances=chances):
        assert 0.0 <= item.probability <= 1.0
        if item.expected is not None and item.consequence is not None:
            assert 0.0 <= item.expected <= item.consequence + 1e-9
        if item.expected is not None and item.cost_of_asking is not None:
            assert item.worth == (item.expected > item.cost_of_asking)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_likelier_error_is_asked_no_later(one_chance: float, other: float) -> None:
    low, high = sorted((one_chance, other))
    places = [
        [item.subject.text for item in asked(small_job(), chances={"unknown_lining": 0.0, "untried_tap": chance})].index(
            "{n} {n:connection/connections}, stop tap not tried"
        )
        for chance in (low, high)
    ]
    assert places[1] <= places[0]
