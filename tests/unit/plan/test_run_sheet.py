"""The run sheet: marks, windows, hold points and the definitions of the file contract."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.job.survey import Service
from mainwright.plan.layout.solution import LayoutRun
from mainwright.plan.lining import Equipment, Pass, RunLining
from mainwright.plan.pump_setting import PumpSetting
from mainwright.plan.result import Caution, Run, RunSetting
from mainwright.plan.run_sheet import job_mix, make_run, marks, windows
from mainwright.words.message import message
from tests.unit.plan.small_job import small_job, small_plant


def setting(start: float, end: float, speed: float) -> RunSetting:
    return RunSetting(start, end, 0.152, 0.0061, 0.0028, speed, 0.95 * speed, 1.05 * speed)


def passed(chainage: float, at: float, ref: str, *, tap: str | None = "holds") -> Pass:
    service = Service(chainage, "left", stop_tap=tap, ref=ref)  # type: ignore[arg-type]
    return Pass(service, at, at + 1200.0, at + 10800.0, at + 1500.0)


def lining() -> RunLining:
    settings = (setting(0.0, 60.0, 0.2), setting(60.0, 95.0, 0.1))
    return RunLining(
        settings=settings, coat_settings=(settings,), aim=0.0061, aim_met=True, mortar_per_length=0.0028, flow=0.0005, speed=95.0 / 650.0, speed_low=0.13,
        speed_high=0.16, lining_time=650.0, coats=1, ring=0.30, joints=0.0, pits=0.025, hose_filling=0.2, waste=0.01, mortar=0.535,
        hose_pressure=12e5, pressure_limit=40e5, residence=400.0, usable=7000.0, rope_pull=5e3, working_load=16e3,
        passes=(passed(84.0, 110.0, "S2"), passed(31.0, 495.0, "S1", tap=None)), clearing_end=1900.0, occupied=9000.0, supply_length=None,
    )  # fmt: skip


def layout_run() -> LayoutRun:
    plant = small_plant()
    equipment = Equipment(plant.pumps[0], plant.hoses[0], plant.heads[0], plant.ropes[0], plant.mixers[0])
    return LayoutRun(0.0, 95.0, "decreasing", 150, 0.2, 1, 0, equipment, lining(), "hose_length", message("the hose"), 1200.0)


def sheet(run: LayoutRun | None = None) -> Run:
    job = small_job()
    return make_run(
        job, run or layout_run(), name="R07", contents=job_mix(job), setting=PumpSetting(59.0, 57.0, 61.0, extrapolated=False),
        cautions=(Caution("rope", message("stay away")),),
    )  # fmt: skip


def test_marks_follow_the_head_down_chainage() -> None:
    found = {mark.chainage: mark.elapsed for mark in marks(lining().settings, "decreasing")}
    assert found[95.0] == 0.0
    assert found[60.0] == pytest.approx(350.0)
    assert found[0.0] == pytest.approx(650.0)
    assert found[85.0] == pytest.approx(100.0)
    assert found[55.0] == pytest.approx(350.0 + 25.0)


def test_marks_follow_the_head_up_chainage() -> None:
    found = {mark.chainage: mark.elapsed for mark in marks(lining().settings, "increasing")}
    assert found[0.0] == 0.0
    assert found[60.0] == pytest.approx(300.0)
    assert found[95.0] == pytest.approx(650.0)
    assert found[70.0] == pytest.approx(400.0)


@given(
    lengths=st.lists(st.floats(1.0, 200.0), min_size=1, max_size=5),
    speeds=st.lists(st.floats(0.01, 0.5), min_size=5, max_size=5),
    up=st.booleans(),
)
def test_marks_are_in_order_and_end_with_the_lining_time(lengths: list[float], speeds: list[float], up: bool) -> None:
    reached, settings = 100.0, []
    for length, speed in zip(lengths, speeds, strict=False):
        settings.append(setting(reached, reached + length, speed))
        reached += length
    found = marks(settings, "increasing" if up else "decreasing")
    assert [mark.chainage for mark in found] == sorted(mark.chainage for mark in found)
    times = [mark.elapsed for mark in found] if up else [mark.elapsed for mark in reversed(found)]
    assert times[0] == 0.0
    assert all(later > earlier for earlier, later in pairwise(times))
    assert times[-1] == pytest.approx(sum((one.end - one.start) / one.speed for one in settings))
    assert all(after.chainage - before.chainage <= 12.0 + 1e-6 for before, after in pairwise(found))
    assert {one.start for one in settings} <= {mark.chainage for mark in found}


def test_windows_stand_in_order_of_chainage_where_the_job_tested_its_mortar() -> None:
    found = windows(small_job(), lining())
    assert [(one.ref, one.pass_at, one.earliest, one.latest) for one in found] == [
        ("S1", 495.0, 1695.0, 11295.0),
        ("S2", 110.0, 1310.0, 10910.0),
    ]


@pytest.mark.parametrize("key", ["mortar.set_minutes", "mortar.clearing_from_minutes"])
def test_no_countdown_from_a_default(key: str) -> None:
    found = windows(small_job(defaulted=(key,)), lining())
    assert all(one.earliest is None and one.latest is None for one in found)
    assert all(one.pass_at > 0.0 for one in found)


def test_quantities_are_of_the_mortar_that_is_mixed() -> None:
    run, contents = sheet(), job_mix(small_job())
    assert run.id == "R07"
    assert run.length == 95.0
    assert run.mortar == 0.535
    assert run.cement == pytest.approx(0.535 * contents.cement)
    # Equal masses, moist sand 3 % heavier; water less what the sand brings: 0.40 - 0.03 of the cement.
    assert run.sand == pytest.approx(run.cement * 1.03)
    assert run.water == pytest.approx(run.cement * 0.37 / 1000.0)
    assert run.bags == -(-run.cement // 25.0)
    assert run.batches == 3
    assert run.last_batch == pytest.approx(0.055)
    assert sum(batch.volume for batch in run.batch_clock) == pytest.approx(run.mortar)
    assert run.connections == 2
    assert (run.pump, run.hose, run.lining_head, run.rope, run.mixer) == ("P1", "H1", "A", "R1", "M1")
    assert (run.setting_low, run.pump_setting, run.setting_high) == (57.0, 59.0, 61.0)


def test_without_a_mixer_there_are_no_batches() -> None:
    run = layout_run()
    bare = sheet(replace(run, equipment=replace(run.equipment, mixer=None)))
    assert (bare.batches, bare.batch_clock, bare.mixer) == (0, (), None)


def test_usable_minutes_that_nobody_tested_give_no_latest_placing() -> None:
    assert all(batch.latest is None for batch in sheet().batch_clock)
    assert sheet().longest_stop is None
    job = small_job(defaulted=())
    run = make_run(job, layout_run(), name="R01", contents=job_mix(job), setting=None, cautions=())
    assert all(batch.latest is not None for batch in run.batch_clock)
    assert run.longest_stop is not None
    assert 0.0 < run.longest_stop < 7000.0
    assert run.pump_setting is None


def test_hold_points_are_in_the_order_of_the_work() -> None:
    points = {point.code: point.text.text for point in sheet().hold_points}
    assert list(points) == [
        "isolation", "bore_accepted", "cleaned_hours", "temperatures", "pump_tested", "connections_ready", "hose_full", "clearing_gauge",
        "ends_closed",
    ]  # fmt: skip
    assert "{doubtful} of them" in points["connections_ready"]


@pytest.mark.parametrize(("state", "told"), [("lets_by", "does not hold"), (None, "never tried"), ("holds", None)])
def test_a_valve_that_is_not_known_to_hold_has_its_own_point(state: str | None, told: str | None) -> None:
    job = small_job()
    job = replace(job, features=tuple(replace(one, state=state) if one.kind == "gate_valve" else one for one in job.features))  # type: ignore[arg-type]
    points = make_run(job, layout_run(), name="R01", contents=job_mix(job), setting=None, cautions=()).hold_points
    found = [point.text for point in points if point.code == "valve_doubtful"]
    assert len(found) == (told is not None)
    if told is not None:
        assert told in found[0].text
        assert points[1].code == "valve_doubtful"


def test_a_run_without_connections_has_no_hold_point_for_them() -> None:
    run = layout_run()
    codes = {point.code for point in sheet(replace(run, lining=replace(run.lining, passes=()))).hold_points}
    assert not codes & {"connections_ready", "clearing_gauge"}
