"""Whatever a checked job may hold, it is judged, cleaned, warned of and asked about without an error."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from mainwright.job.job import Job
from mainwright.job.survey import Feature, Ground, Level, Service
from mainwright.job.water import WaterAnalysis
from mainwright.plan.ask_first import ask_first, chances_assumed
from mainwright.plan.cautions import for_opening, for_plan, for_run
from mainwright.plan.cleaning import cleaning_assumed, cleaning_warnings, plan_cleaning
from mainwright.plan.contract import contract_gaps
from mainwright.plan.finding import VERDICTS
from mainwright.plan.practice_check import compare_with_practice
from mainwright.plan.suitability import assess
from mainwright.words.message import Message
from mainwright.words.wording import word
from tests.unit.plan.hosts import host_of
from tests.unit.plan.small_job import small_job

PLACE = st.floats(0.0, 300.0)
WORDS = st.one_of(st.none(), st.text(max_size=12), st.sampled_from(["coal tar", "hard", "soft", "sand", "cement", "none", "lead", "epoxy"]))


def maybe(low: float, high: float) -> st.SearchStrategy[float | None]:
    return st.one_of(st.none(), st.floats(low, high))


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    job = small_job()
    kinds = ("bend", "tee", "gate_valve", "hydrant", "repair_clamp", "end", "reducer", "branch")
    materials = ("grey_iron", "ductile_iron", "steel", "asbestos_cement", "concrete", "pvc", "pe", "other")
    rows = tuple(
        replace(
            row, dn=draw(st.integers(10, 3000)), material=draw(st.sampled_from(materials)), bore=draw(maybe(0.011, 3.0)),
            wall=draw(maybe(0.0, 0.1)), deposit=draw(maybe(0.0, 2.0)), deposit_kind=draw(WORDS), existing_lining=draw(WORDS),
            joint_type=draw(WORDS), joint=draw(maybe(0.0, 20.0)), flow=draw(maybe(0.0, 3.0)),
        )
        for row in job.main
    )  # fmt: skip
    features = tuple(
        Feature(place, draw(st.sampled_from(kinds)), draw(maybe(0.0, 3.2)), confidence=draw(st.sampled_from([None, "recorded", "seen"])))
        for place in sorted(draw(st.lists(PLACE, max_size=4)))
    )
    services = tuple(
        Service(place, material=draw(st.sampled_from([None, "lead", "pe"])), use=draw(st.sampled_from([None, "dialysis", "school"])))
        for place in sorted(draw(st.lists(PLACE, max_size=3)))
    )
    water = WaterAnalysis(
        draw(maybe(250.0, 400.0)),
        draw(maybe(0.0, 14.0)),
        draw(maybe(-1.0, 20.0)),
        sulfate=draw(maybe(0.0, 10.0)),
        magnesium=draw(maybe(0.0, 1.0)),
    )
    levels = tuple(Level(place, None, draw(st.floats(-500.0, 500.0))) for place in sorted(draw(st.sets(PLACE, max_size=4))))
    ground = (
        Ground(
            0.0, 300.0, draw(st.sampled_from(["verge", "railway", None])), draw(maybe(0.0, 9.0)), draw(st.sampled_from([None, True, False]))
        ),
    )
    return replace(
        job, main=rows, features=features, services=services, levels=levels, ground=ground, water=draw(st.sampled_from([water, None]))
    )


def said(message: Message) -> str:
    shown = word(message, language="en", units="metric")
    assert "nan" not in shown
    assert "inf" not in shown.replace("information", "").replace("find", "")
    return shown


@given(jobs())
def test_nothing_breaks(job: Job) -> None:
    host = host_of(job)
    for one in assess(job, host):
        assert one.verdict == max((reason.verdict for reason in one.reasons), key=VERDICTS.index)
        texts = [said(text) for reason in one.reasons for text in (reason.rule, reason.found, reason.limit)]
        assert all(texts)
        assert all(said(measure) for measure in one.measures)
    cleaning = plan_cleaning(job, host, run_id="R01", start=10.0, end=290.0)
    said(cleaning.method_text)
    for value in (cleaning.deposits, cleaning.deposits_mass, cleaning.water, cleaning.pull_low, cleaning.pull_high):
        assert value is None or 0.0 <= value < float("inf")
    for warning in (*cleaning_warnings(job, host, [(cleaning, 10.0, 290.0)]), *compare_with_practice(job, host)):
        said(warning.text)
    for caution in (*for_run(job, host, start=10.0, end=290.0), *for_opening(job, host, chainage=10.0), *for_plan(job, host)):
        said(caution.text)
    for question in ask_first(job, host):
        said(question.subject)
        assert 0.0 <= question.probability <= 1.0
    assert cleaning_assumed(host, [cleaning]) is not None
    assert chances_assumed(job, host)
    assert contract_gaps(job)
