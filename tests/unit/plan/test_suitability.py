"""Can it be lined: verdicts, reasons, and the law of not knowing."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.job.job import Job
from mainwright.job.plant import LiningHead
from mainwright.job.survey import Feature, Feed, Service
from mainwright.job.water import WaterAnalysis
from mainwright.plan.finding import VERDICTS, worst
from mainwright.plan.result import Suitability
from mainwright.plan.suitability import assess
from mainwright.standards.source import Reason, Verdict
from tests.unit.plan.hosts import host_of, with_row
from tests.unit.plan.small_job import small_job, small_plant

HARD = WaterAnalysis(temperature=283.15, ph=7.8, alkalinity=3.0, calcium=0.06, magnesium=0.01, sulfate=0.04, ammonium=0.0001)


def best_job() -> Job:
    """Return a job in which nothing is unknown and nothing is wrong."""
    job = small_job(
        water=HARD,
        feeds=(Feed(300.0, "left", "hydrant", 4e5, None, 0.01, "F1"),),
        features=(Feature(0.0, "gate_valve"), Feature(66.0, "bend", math.radians(11.25), 1.5), Feature(300.0, "gate_valve")),
        services=(Service(31.0, "left", 3.0, 0.025, "pe", 1, "dwelling", "holds", True, "S1"),),
    )
    return with_row(job, existing_lining="none", joint_type="push-in", deposit_kind="hard tubercles")


def verdict_of(job: Job) -> Suitability:
    return assess(job, host_of(job))[0]


def reason(found: Suitability, words: str) -> Reason:
    return next(one for one in found.reasons if words in one.rule.text)


def test_a_known_sound_iron_main_in_hard_water_is_suitable() -> None:
    found = verdict_of(best_job())
    assert found.verdict == "suitable", [one.rule.text for one in found.reasons if one.verdict != "suitable"]
    assert all(one.source.title for one in found.reasons)
    # Even then the client is asked for bursts, and for dialysis patients.
    assert any("bursts" in one.text for one in found.measures)
    assert any("home patients" in one.text for one in found.measures)


@pytest.mark.parametrize(
    ("changes", "words", "verdict"),
    [
        ({"material": "asbestos_cement"}, "Material", "unsuitable"),
        ({"material": "pvc"}, "Material", "unsuitable"),
        ({"material": "pe"}, "Material", "unsuitable"),
        ({"material": "concrete"}, "Material", "unknown"),
        ({"material": "other"}, "Material", "unknown"),
        ({"material": "steel"}, "Material", "suitable"),
        ({"dn": 60}, "Size", "unsuitable"),
        ({"dn": 75}, "Size", "unsuitable"),
        ({"dn": 80}, "Size", "suitable"),
        ({"dn": 500}, "Size", "unsuitable"),
        ({"wall": None}, "Structure", "unknown"),
        ({"deposit": None}, "Deposits", "unknown"),
        ({"deposit": 0.08}, "Deposits", "unknown"),
        ({"deposit": 0.045}, "Deposits", "with_measures"),
        ({"deposit_kind": None}, "Deposits", "with_measures"),
        ({"existing_lining": None}, "already", "with_measures"),
        ({"existing_lining": "coal tar"}, "already", "with_measures"),
        ({"existing_lining": "cement_mortar"}, "already", "with_measures"),
        ({"existing_lining": "epoxy"}, "already", "with_measures"),
        ({"joint_type": "lead"}, "Joints", "with_measures"),
        ({"joint_type": None}, "Joints", "with_measures"),
        ({"flow": None}, "Stay", "suitable"),
    ],
)
def test_one_cell_decides_one_rule(changes: dict[str, object], words: str, verdict: Verdict) -> None:
    job = best_job()
    row = replace(job.main[0], **changes)  # type: ignore[arg-type]
    found = verdict_of(replace(job, main=(row,)))
    assert reason(found, words).verdict == verdict
    assert found.verdict == worst([one.verdict for one in found.reasons])


@pytest.mark.outside("Report DWI0785 (October 1988): over 55 mg/l nothing; 35 up to a month; 10 several years; DWI0284: 22, 10 to 11 weeks")
@pytest.mark.parametrize(
    ("milligrams", "verdict", "words"),
    [(60, "suitable", "first week"), (35, "with_measures", "up to"), (22, "with_measures", "longer"), (8, "unsuitable", "several years")],
)
def test_soft_water_is_told_before_the_offer(milligrams: float, verdict: Verdict, words: str) -> None:
    job = replace(best_job(), water=replace(HARD, alkalinity=milligrams / 50.04))
    found = reason(verdict_of(job), "Alkalinity")
    assert found.verdict == verdict
    assert words in found.limit.text
    assert found.source.title.startswith("Report DWI")


def test_no_water_analysis_is_asked_for() -> None:
    found = verdict_of(replace(best_job(), water=None))
    assert found.verdict == "unknown"
    assert any("water analysis before the offer" in one.text for one in found.measures)


@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        ({"sulfate": 0.5}, "with_measures"),
        ({"sulfate": 3.5}, "unsuitable"),
        ({"magnesium": 0.2}, "with_measures"),
        ({"ammonium": 0.05}, "unsuitable"),
        ({"ph": 5.2}, "unsuitable"),
        ({"ph": 6.2}, "unsuitable"),  # aggressive carbon dioxide, worked out from the full analysis
        ({"ph": 6.2, "calcium": None}, "unknown"),  # much free carbon dioxide: only the full analysis tells how much of it is aggressive
        ({"sulfate": None}, "unknown"),
        ({"temperature": None}, "unknown"),
        ({}, "suitable"),
    ],
)
def test_water_against_cement(change: dict[str, float | None], verdict: Verdict) -> None:
    job = replace(best_job(), water=replace(HARD, **change))
    assert reason(verdict_of(job), "against the cement").verdict == verdict


def test_a_long_stay_is_told_in_soft_water_only() -> None:
    slow = with_row(best_job(), existing_lining="none", joint_type="push-in", flow=0.0005)
    assert reason(verdict_of(slow), "Stay").verdict == "suitable"
    soft = replace(slow, water=replace(HARD, alkalinity=0.6))
    assert reason(verdict_of(soft), "Stay").verdict == "with_measures"
    quick = with_row(soft, flow=0.05)
    assert reason(verdict_of(quick), "Stay").verdict == "suitable"


def test_a_sharp_bend_is_opened_and_an_unknown_one_is_asked_for() -> None:
    job = best_job()
    for angle, verdict in ((22.5, "suitable"), (22.6, "with_measures"), (None, "unknown")):
        bend = Feature(66.0, "bend", None if angle is None else math.radians(angle))
        found = verdict_of(replace(job, features=(bend,)))
        assert reason(found, "Bends").verdict == verdict
        assert found.verdict == verdict


def test_the_heads_own_angle_counts() -> None:
    job = best_job()
    plant = replace(small_plant(), heads=(LiningHead("A", 80, 400, "winched", None, math.radians(11.0)),))
    assert reason(verdict_of(replace(job, plant=plant)), "Bends").verdict == "with_measures"


def test_no_head_at_all_is_unknown() -> None:
    job = replace(best_job(), plant=replace(small_plant(), heads=()))
    found = reason(verdict_of(job), "Size")
    assert found.verdict == "unknown"
    assert dict(found.limit.values)["smallest"] == "75, 80, 100"


def test_connections_of_lead_and_of_dialysis_patients() -> None:
    job = best_job()
    lead = replace(job, services=(Service(31.0, material="lead", use="dwelling"),))
    assert reason(verdict_of(lead), "Lead").verdict == "with_measures"
    unsaid = replace(job, services=(Service(31.0, material=None, use=None),))
    assert reason(verdict_of(unsaid), "Lead").verdict == "with_measures"
    assert reason(verdict_of(unsaid), "Dialysis").verdict == "with_measures"
    clinic = replace(job, services=(Service(31.0, material="pe", use="dialysis"),))
    assert reason(verdict_of(clinic), "Dialysis").verdict == "with_measures"


def test_customers_need_a_feed_and_a_hospital_its_own_word() -> None:
    job = best_job()
    assert reason(verdict_of(job), "Customers").verdict == "suitable"
    assert reason(verdict_of(replace(job, feeds=())), "Customers").verdict == "unknown"
    none = verdict_of(replace(job, feeds=(), services=()))
    # No connection at all may be so, or the list was not given: the client confirms.
    assert reason(none, "Customers").verdict == "with_measures"
    assert reason(none, "Lead").verdict == "with_measures"
    for use in ("hospital", "fire_line", None):
        changed = replace(job, services=(replace(job.services[0], use=use),))
        assert reason(verdict_of(changed), "Customers").verdict == "with_measures"


def test_frost_and_heat() -> None:
    job = best_job()
    for celsius, verdict in ((10.0, "suitable"), (5.0, "suitable"), (4.0, "with_measures"), (31.0, "with_measures"), (0.0, "unsuitable")):
        changed = replace(job, mortar=replace(job.mortar, wall_temperature=celsius + 273.15))
        assert reason(verdict_of(changed), "Temperature").verdict == verdict


def test_one_verdict_for_each_row_and_a_fitting_at_the_joint_belongs_to_the_later() -> None:
    job = small_job(features=(Feature(240.0, "bend", None), Feature(300.0, "end")))
    found = assess(job, host_of(job))
    assert [(one.start, one.end) for one in found] == [(0.0, 240.0), (240.0, 300.0)]
    assert not any("Bends" in one.rule.text for one in found[0].reasons)
    assert reason(found[1], "Bends").verdict == "unknown"
    assert reason(found[1], "Dead end")


CELLS = ("wall", "deposit", "deposit_kind", "existing_lining", "joint_type", "flow", "year", "pressure", "joint", "roughness")
READINGS = ("temperature", "ph", "alkalinity", "sulfate", "magnesium", "ammonium", "calcium")


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    job = best_job()
    row = replace(
        job.main[0],
        material=draw(st.sampled_from(["grey_iron", "steel", "asbestos_cement", "concrete", "pvc"])),
        wall=draw(st.sampled_from([0.004, 0.01])),
        deposit=draw(st.sampled_from([0.0, 0.01, 0.05, 0.08])),
        deposit_kind=draw(st.sampled_from(["hard", "soft", "bitumen", "odd"])),
        existing_lining=draw(st.sampled_from(["none", "cement", "coal tar", "epoxy", "odd"])),
        joint_type=draw(st.sampled_from(["lead", "push-in"])),
        flow=draw(st.sampled_from([0.0001, 0.01])),
    )
    water = replace(
        HARD,
        ph=draw(st.sampled_from([4.0, 5.8, 6.5, 7.8, 9.6])),
        alkalinity=draw(st.sampled_from([0.1, 0.4, 0.9, 3.0])),
        sulfate=draw(st.sampled_from([0.01, 0.5, 4.0])),
        ammonium=draw(st.sampled_from([0.0, 0.1])),
    )
    service = Service(31.0, material=draw(st.sampled_from(["lead", "pe"])), use=draw(st.sampled_from(["dwelling", "dialysis"])))
    bend = Feature(66.0, "bend", math.radians(draw(st.sampled_from([11.25, 45.0]))))
    return replace(job, main=(row,), water=water, services=(service,), features=(bend, Feature(300.0, "end")))


def _hidden(job: Job, cells: set[str], readings: set[str], *, angle: bool, service: bool) -> Job:
    assert job.water is not None
    bend, *rest = job.features
    (connection,) = job.services
    return replace(
        job,
        main=(replace(job.main[0], **dict.fromkeys(sorted(cells))),),  # type: ignore[arg-type]
        water=replace(job.water, **dict.fromkeys(sorted(readings))),
        features=(replace(bend, angle=None) if angle else bend, *rest),
        services=(replace(connection, material=None, use=None) if service else connection,),
    )


@given(jobs(), st.sets(st.sampled_from(CELLS)), st.sets(st.sampled_from(READINGS)), st.booleans(), st.booleans())
def test_not_knowing_never_makes_a_verdict_better(job: Job, cells: set[str], readings: set[str], angle: bool, service: bool) -> None:
    """A hidden value leaves a verdict as bad as it was, save that what was known to fail may become unknown."""
    known = verdict_of(job).verdict
    hidden = verdict_of(_hidden(job, cells, readings, angle=angle, service=service)).verdict
    assert VERDICTS.index(hidden) >= min(VERDICTS.index(known), VERDICTS.index("unknown"))


@given(st.lists(st.sampled_from(VERDICTS), min_size=1), st.sampled_from(VERDICTS))
def test_one_more_reason_never_makes_a_verdict_better(verdicts: list[Verdict], more: Verdict) -> None:
    assert VERDICTS.index(worst([*verdicts, more])) >= VERDICTS.index(worst(verdicts))


def test_nothing_asked_is_unknown() -> None:
    assert worst([]) == "unknown"
