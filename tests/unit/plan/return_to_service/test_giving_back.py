"""Giving a main back: nothing is made up, no floor is undercut, no gate is missing."""

import math
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.job.lining import Curing, PressureTest
from mainwright.job.office import CalendarDay, Permit
from mainwright.job.survey import Feature, Service
from mainwright.plan.closed_blocks import closed_blocks
from mainwright.plan.host import resolve_host
from mainwright.plan.plan import make_plan
from mainwright.plan.result_giving_back import BlockReturn, ReturnToService
from mainwright.plan.return_to_service.amounts import cure_time, fill_flow, trial_pressure
from mainwright.plan.return_to_service.giving_back import giving_back
from mainwright.plan.return_to_service.notices import run_days
from mainwright.plan.water import assess_waters
from tests.unit.plan.small_job import small_job

HOUR = 3600.0
DAY = 24 * HOUR
ASKED = GivingBack(
    soak=24 * HOUR,
    test_time=2 * HOUR,
    test_loss=0.004,
    flush_velocity=0.75,
    flush_changes=3.0,
    discharge_to="foul sewer, by leave",
    chlorine_method="continuous",
    chlorine=0.025,
    chlorine_time=24 * HOUR,
    residual=0.010,
    product_strength=0.12,
    product_age=20 * DAY,
    product_halving=100 * DAY,
    neutraliser="sodium_bisulfite",
    sample_rounds=2,
    sample_interval=24 * HOUR,
    laboratory=48 * HOUR,
    night_share=0.2,
    notice=14 * DAY,
    care_notice=28 * DAY,
)


def full_job(**changes: object) -> Job:
    return small_job(**{"curing": Curing(24 * HOUR), "test": PressureTest("own", 6e5), "giving_back": ASKED} | changes)


def given_back(job: Job) -> ReturnToService:
    found = make_plan(job).return_to_service
    assert found is not None
    return found


def only(job: Job) -> BlockReturn:
    (block,) = given_back(job).blocks
    return block


def one_valve_each_end(job: Job) -> Job:
    return replace(job, features=tuple(one for one in job.features if one.kind != "gate_valve"))


def test_without_any_rule_nothing_is_made_up() -> None:
    plan = make_plan(one_valve_each_end(small_job()))
    found = plan.return_to_service
    assert found is not None
    (block,) = found.blocks
    assert (block.cure.floor, block.cure.time, block.give_back) == (None, None, None)
    assert (block.flush, block.chlorine, block.neutralising) == (None, None, None)
    assert (block.test.pressure, block.test.allowed_volume, block.test.thrust_start) == (None, None, None)
    assert all(run.fill_from is None for run in found.runs)
    codes = [one.code for one in plan.warnings]
    assert {"giving_back_open", "discharge_open", "night_unknown", "notices_undated"} <= set(codes)
    told = next(one for one in plan.warnings if one.code == "giving_back_open")
    keys = str(dict(told.text.values)["keys"])
    for key in (
        "curing.fill_hours",
        "test.pressure_bar",
        "giving_back.soak_hours",
        "giving_back.chlorine_mg_l",
        "giving_back.laboratory_hours",
    ):
        assert key in keys


def test_with_every_rule_the_line_has_an_end_and_every_gate() -> None:
    block = only(one_valve_each_end(full_job()))
    codes = [step.code for step in block.steps]
    assert codes == [
        "ends_closed", "cure", "fill", "soak", "pressure_test", "flush", "chlorinate", "contact", "neutralise", "samples", "laboratory", "release",
    ]  # fmt: skip
    gated = {step.code for step in block.steps if step.gate is not None}
    assert gated == {"ends_closed", "cure", "fill", "pressure_test", "flush", "contact", "neutralise", "laboratory", "release"}
    known = [step.duration for step in block.steps]
    assert None not in known
    assert block.give_back == pytest.approx(sum(one or 0.0 for one in known))
    assert block.give_back == block.at_least
    clock = 0.0
    for step in block.steps:
        assert step.start == pytest.approx(clock)
        clock = step.finish or 0.0
    assert not [one for one in given_back(one_valve_each_end(full_job())).told if one.code in ("giving_back_open", "discharge_open")]


def test_quantities_follow_from_volume_and_rule() -> None:
    block = only(one_valve_each_end(full_job()))
    plan = make_plan(one_valve_each_end(full_job()))
    volume = sum(math.pi / 4 * (one.bore_lined or 0.0) ** 2 * (one.end - one.start) for one in plan.stretches)
    assert block.volume == pytest.approx(volume)
    assert block.chlorine is not None
    assert block.chlorine.mass == pytest.approx(0.025 * volume)
    assert block.chlorine.strength == pytest.approx(0.12 / 1.2)
    assert block.chlorine.product == pytest.approx(block.chlorine.mass / 100.0)
    assert block.neutralising is not None
    assert block.neutralising.practice == pytest.approx(1.61 * block.chlorine.mass)
    assert (block.neutralising.least or 0.0) < block.neutralising.practice
    assert block.flush is not None
    assert block.flush.flow == pytest.approx(math.pi / 4 * block.bore**2 * 0.75)
    assert block.test.thrust_start == pytest.approx(6e5 * math.pi / 4 * (0.152 + 0.020) ** 2)


def test_fresh_mortar_weakens_the_chlorine_and_says_so() -> None:
    found = given_back(one_valve_each_end(full_job()))
    chlorine = found.blocks[0].chlorine
    assert chlorine is not None
    assert (chlorine.ph or 0.0) > 9.0
    assert (chlorine.active or 1.0) < 0.05
    assert any(one.code == "mortar_and_chlorine" and one.act for one in found.told)


def test_a_slug_moves_at_the_pace_of_its_contact() -> None:
    asked = replace(ASKED, chlorine_method="slug", chlorine=0.1, slug_share=0.2, chlorine_time=3 * HOUR)
    block = only(one_valve_each_end(full_job(giving_back=asked)))
    assert block.chlorine is not None
    assert block.chlorine.mass == pytest.approx(0.2 * 0.1 * block.volume)
    assert (block.chlorine.slug_length or 0.0) / (block.chlorine.slug_velocity or 1.0) == pytest.approx(3 * HOUR)
    assert "contact" not in [step.code for step in block.steps]
    no_share = only(one_valve_each_end(full_job(giving_back=replace(asked, slug_share=None))))
    assert no_share.give_back is None


@given(st.floats(250.0, 310.0), st.floats(0.0, 1000.0))
@settings(max_examples=60)
def test_the_floor_is_never_undercut(wall: float, hours: float) -> None:
    job = full_job(curing=Curing(hours * HOUR))
    found = cure_time(replace(job, mortar=replace(job.mortar, wall_temperature=wall)))
    assert found.time is None or found.time >= hours * HOUR
    if wall <= 273.15 and hours > 0.0:
        assert found.time is None


def test_a_cold_wall_takes_longer_and_a_warm_one_no_less() -> None:
    job = full_job()
    at = {
        celsius: cure_time(replace(job, mortar=replace(job.mortar, wall_temperature=celsius + 273.15))).time for celsius in (5, 10, 20, 30)
    }
    assert at[20] == pytest.approx(24 * HOUR)
    assert at[30] == pytest.approx(24 * HOUR)
    assert (at[5] or 0.0) > (at[10] or 0.0) > 24 * HOUR
    # The slower law, 5000 K, counts in the cold: 24 h at 20 degC take 24 / 0.5475 h at 10.
    assert at[10] == pytest.approx(24 * HOUR / 0.5475123366)


def test_a_quick_return_is_used_only_when_it_is_signed() -> None:
    asked = replace(ASKED, quick_return=12 * HOUR)
    plain = given_back(full_job(giving_back=asked))
    assert plain.blocks[0].cure.quick is None
    assert (plain.blocks[0].cure.time or 0.0) >= 24 * HOUR
    assert any(one.code == "quick_return_unsigned" and one.act for one in plain.told)
    signed = given_back(full_job(giving_back=replace(asked, quick_return_signed="A. Weir, 3 April 2026")))
    assert signed.blocks[0].cure.time == pytest.approx(12 * HOUR)
    assert any(one.code == "quick_return" and one.act for one in signed.told)
    hasty = given_back(full_job(giving_back=replace(asked, quick_return=6 * HOUR, quick_return_signed="A. Weir")))
    assert any(one.code == "quick_return_too_quick" for one in hasty.told)


def test_rules_of_the_test_stay_apart() -> None:
    job = one_valve_each_end(full_job())
    host = resolve_host(job)
    block = only(job).block
    own = trial_pressure(job, host, block)
    assert (own.kind, own.allowed_volume, own.allowed_flow) == ("own", 0.004, None)
    european = trial_pressure(replace(job, test=PressureTest("EN 805", 6e5)), host, block)
    assert european.kind == "en805"
    assert european.allowed_flow is None
    assert european.drop == pytest.approx(2e4)
    american = trial_pressure(replace(job, test=PressureTest("AWWA C600", 6e5)), host, block)
    assert american.kind == "c600"
    assert american.allowed_volume is None
    assert (american.allowed_flow or 0.0) * HOUR > 5.0 * (european.allowed_volume or 1.0)
    other = trial_pressure(replace(job, test=PressureTest("town rule 7", 6e5)), host, block)
    assert (other.kind, other.allowed_volume, other.allowed_flow) == (None, None, None)
    unknown_wall = replace(job, main=(replace(job.main[0], wall=None), job.main[1]), test=PressureTest("EN 805", 6e5))
    assert trial_pressure(unknown_wall, resolve_host(unknown_wall), block).allowed_volume is None


def test_a_test_far_over_the_working_pressure_is_asked_about() -> None:
    assert any(one.code == "test_pressure_high" for one in given_back(full_job(test=PressureTest("own", 9e5))).told)
    assert not any(one.code == "test_pressure_high" for one in given_back(full_job(test=PressureTest("own", 6e5))).told)


def test_only_a_valve_that_holds_closes_a_block() -> None:
    job = full_job()
    runs = make_plan(job).runs
    assert [(one.start, one.end) for one in closed_blocks(job, runs)] == [(0.0, 120.0), (120.0, 300.0)]
    leaking = replace(job, features=tuple(replace(one, state="lets_by") if one.kind == "gate_valve" else one for one in job.features))
    (wide,) = closed_blocks(leaking, make_plan(leaking).runs)
    assert (wide.start, wide.end) == (0.0, 300.0)
    assert any(one.code == "wide_block" for one in given_back(leaking).told)
    assert closed_blocks(job, ()) == ()


@pytest.mark.outside("a pipe maker's laying guide: fill at about 0.3 l/s at DN 100 up to 6 l/s at DN 400")
@pytest.mark.parametrize(("bore", "litres"), [(0.1, 0.3), (0.4, 6.0)])
def test_the_published_rate_of_filling(bore: float, litres: float) -> None:
    flow, taken = fill_flow(GivingBack(), bore=bore)
    assert taken
    assert flow * 1000 == pytest.approx(litres)
    assert fill_flow(GivingBack(fill_flow=0.002), bore=bore) == (0.002, False)


def test_one_bore_and_flow_give_the_law_again() -> None:
    job = full_job()
    row = replace(job.main[0], end=300.0)
    job = replace(job, main=(row,), giving_back=None, features=(Feature(0.0, "end"), Feature(300.0, "end")))
    plan = make_plan(job)
    assert plan.return_to_service is not None
    assert plan.return_to_service.water is not None
    end = next(tap for tap in plan.return_to_service.water.taps if tap.chainage == 300.0 and tap.case == "day")
    bore = plan.stretches[0].bore_lined or 0.0
    assert end.stay == pytest.approx(math.pi / 4 * bore**2 * 300.0 / 0.008)
    assert job.water is not None
    alone = assess_waters([job.water], stay=end.stay or 1.0, bore=bore)[0].over_ph_9_5
    assert end.over_limit == pytest.approx(alone, rel=1e-6)


def test_the_water_stays_high_longer_further_on_by_night_and_where_it_stands() -> None:
    found = given_back(full_job()).water
    assert found is not None
    # The flow is greater at the far end: there the water comes in.
    assert found.direction == "decreasing"
    by_case = {case: [tap for tap in found.taps if tap.case == case] for case in ("day", "night", "standing")}
    for case in ("day", "night"):
        stays = [tap.stay or 0.0 for tap in by_case[case]]
        assert stays == sorted(stays, reverse=True)
    for day, night, still in zip(*by_case.values(), strict=True):
        assert [one.ph for one in day.series] == sorted((one.ph for one in day.series), reverse=True)
        assert all(a.ph <= b.ph + 1e-9 <= c.ph + 2e-2 for a, b, c in zip(day.series, night.series, still.series, strict=True))
        assert all(one.ph_at_calcite <= one.ph for one in still.series)


def test_what_is_said_to_keep_it_down_keeps_it_down() -> None:
    from mainwright.plan.return_to_service.along_main import Piece, bleed_to_keep, course_of_water

    pieces = (Piece(0.0, 200.0, 0.2, 0.004), Piece(200.0, 400.0, 0.15, 0.001))
    law = {"direction": "increasing", "share": 0.2, "rate": 0.158}
    bleed = bleed_to_keep(pieces, at=[400.0], most=0.05, **law)  # type: ignore[arg-type]
    assert bleed is not None
    assert bleed > 0.0
    (enough,) = course_of_water(pieces, at=[400.0], extra=bleed, **law)  # type: ignore[arg-type]
    (less,) = course_of_water(pieces, at=[400.0], extra=0.9 * bleed, **law)  # type: ignore[arg-type]
    assert enough is not None
    assert less is not None
    assert enough.lime <= 0.05 < less.lime
    assert bleed_to_keep(pieces, at=[400.0], most=1e-6, **law) is None  # type: ignore[arg-type]
    assert bleed_to_keep(pieces, at=[400.0], most=1.0, **law) == 0.0  # type: ignore[arg-type]


def test_slag_and_bicarbonate_help_and_are_compared() -> None:
    found = given_back(full_job()).water
    assert found is not None
    ways = {one.name: one.over_limit for one in found.alternatives}
    assert set(ways) == {"as_planned", "slag_cement", "bicarbonate", "carbon_dioxide", "not_lining"}
    planned, slag, rich = ways["as_planned"], ways["slag_cement"], ways["bicarbonate"]
    assert planned is not None
    assert slag is not None
    assert rich is not None
    assert max(slag[1], rich[1]) < planned[1]
    assert ways["carbon_dioxide"] is None


def test_no_analysis_is_asked_for() -> None:
    found = given_back(full_job(water=None))
    assert found.water is None
    assert any(one.code == "water_unknown" and one.act for one in found.told)


def test_dialysis_is_told_first_and_whatever_the_water() -> None:
    job = full_job()
    clinic = Service(200.0, "left", 3.0, 0.032, "pe", None, "dialysis", "holds", True, "D1")
    job = replace(job, services=(*job.services, clinic), permits=(Permit("P1", 0.0, 300.0, "Mill Street"),))
    hard = replace(job, water=replace(job.water, alkalinity=4.0)) if job.water is not None else job
    for one in (job, hard):
        found = given_back(one)
        notice = next(notice for notice in found.notices if notice.need == "dialysis")
        assert notice.street == "Mill Street"
        assert notice.closing is not None
        assert notice.latest == date.fromordinal(notice.closing.toordinal() - 28)
        assert any(told.code == "dialysis" and told.act for told in found.told)
    assert {notice.need for notice in given_back(job).notices} == {"dwelling", "school", "dialysis"}


def test_days_of_the_runs_keep_the_calendar() -> None:
    job = full_job(
        calendar=(
            CalendarDay(date(2026, 4, 14), "holiday"),
            CalendarDay(date(2026, 4, 18), "extra_shift"),
            CalendarDay(date(2026, 4, 15), "no_work"),
        )
    )
    found = run_days(job, 5)
    assert found == [date(2026, 4, 13), date(2026, 4, 16), date(2026, 4, 17), date(2026, 4, 18), date(2026, 4, 20)]
    assert run_days(replace(job, info=replace(job.info, first_day=None)), 2) is None
    undated = given_back(replace(job, info=replace(job.info, first_day=None)))
    assert all(one.latest is None and one.closing is None for one in undated.notices)


def test_a_dead_connection_gets_no_letter() -> None:
    job = full_job()
    dead = replace(job, services=tuple(replace(one, live=False) for one in job.services))
    assert given_back(dead).notices == ()


def test_the_same_job_gives_the_same() -> None:
    assert make_plan(full_job()).return_to_service == make_plan(full_job()).return_to_service


def test_a_main_with_very_many_connections_tells_of_some_and_of_all_lead() -> None:
    job = full_job()
    many = tuple(
        Service(k * 0.1, "left", 3.0, 0.025, "lead" if k % 500 == 7 else "pe", 1, "dwelling", "holds", True, f"S{k}") for k in range(3000)
    )
    job = replace(job, services=many)
    plan = make_plan(small_job())
    found = giving_back(job, resolve_host(job), runs=plan.runs, stretches=plan.stretches, programme=None)
    assert found is not None
    assert found.water is not None
    told = {tap.chainage for tap in found.water.taps}
    assert 300 < len(told) < 420
    assert {one.chainage for one in many if one.material == "lead"} <= told
    assert 0.0 in told
