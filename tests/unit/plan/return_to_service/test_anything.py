"""Whatever a job may hold, giving back has an answer and the papers can say it."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.job.giving_back import GivingBack
from mainwright.job.lining import Curing, PressureTest
from mainwright.job.water import WaterAnalysis
from mainwright.paper.giving_back_json import giving_back_document
from mainwright.paper.giving_back_pages import giving_back_pages
from mainwright.paper.pen import pen_for
from mainwright.plan.host import resolve_host
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.plan.return_to_service.giving_back import giving_back
from mainwright.plan.suitability import assess
from tests.unit.plan.small_job import small_job


def some(*values: object) -> st.SearchStrategy[object]:
    return st.sampled_from((None, *values))


ANALYSES = st.builds(
    WaterAnalysis,
    temperature=some(272.15, 273.15, 283.0, 305.0, 370.0),
    ph=some(0.0, 2.0, 4.5, 7.0, 9.4, 9.6, 11.0, 14.0),
    alkalinity=some(0.0, 0.001, 0.5, 3.0, 1000.0),
    calcium=some(0.0, 1e-4, 0.05, 100.0),
    magnesium=some(0.0, 0.01, 10.0),
    sodium=some(0.0, 0.05, 50.0),
    sulfate=some(0.0, 0.05, 90.0),
    chloride=some(0.0, 0.02, 99.0),
)
ASKED = st.builds(
    GivingBack,
    soak=some(0.0, 86400.0),
    test_time=some(7200.0),
    fill_flow=some(1e-6, 10.0),
    flush_velocity=some(0.01, 10.0),
    flush_changes=some(3.0),
    flush_flow_max=some(0.001),
    chlorine_method=some("continuous", "slug"),
    chlorine=some(0.025),
    chlorine_time=some(1.0, 86400.0),
    slug_share=some(0.01, 1.0),
    product_strength=some(0.12),
    product_age=some(0.0),
    product_halving=some(864000.0),
    neutraliser=some("calcium_thiosulfate", "ascorbic_acid"),
    sample_rounds=some(1, 2),
    sample_interval=some(0.0),
    laboratory=some(1e5),
    cement=some("slag"),
    night_share=some(0.0, 0.01, 1.0),
    notice=some(0.0, 1e6),
    care_notice=some(0.0),
    quick_return=some(3600.0),
    quick_return_signed=some("A. Weir"),
)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(small_job())


@given(
    water=st.none() | ANALYSES,
    asked=st.none() | ASKED,
    flow=some(0.0, 1e-6, 5.0),
    wall=some(0.0, 0.01),
    floor=some(0.0, 86400.0),
    rule=some("own", "EN 805", "C600", "?"),
    warm=st.sampled_from((253.15, 273.15, 283.15, 333.15)),
)
@settings(max_examples=40, deadline=None)
def test_any_job_is_answered(
    plan: Plan,
    *,
    water: WaterAnalysis | None,
    asked: GivingBack | None,
    flow: float | None,
    wall: float | None,
    floor: float | None,
    rule: str | None,
    warm: float,
) -> None:
    job = replace(
        plan.job,
        water=water,
        giving_back=asked,
        curing=Curing(floor),
        test=PressureTest(rule, 6e5),
        main=tuple(replace(row, flow=flow, wall=wall) for row in plan.job.main),
        mortar=replace(plan.job.mortar, wall_temperature=warm),
    )
    host = resolve_host(job)
    assess(job, host)
    found = giving_back(job, host, runs=plan.runs, stretches=plan.stretches, programme=None)
    assert found is not None
    whole = replace(plan, job=job, return_to_service=found)
    say = pen_for(whole).say
    json.dumps(giving_back_document(found, say.word), allow_nan=False)
    assert giving_back_pages(whole, pen_for(whole))
    for block in found.blocks:
        assert block.steps[-1].at_least >= 0.0
        assert (block.give_back is None) == any(step.duration is None for step in block.steps)
        if block.cure.quick is None and block.cure.time is not None:
            assert block.cure.time >= (floor or 0.0)
