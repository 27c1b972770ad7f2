"""What was followed, as rows of records, and proved from them."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from mainwright.demo.job import demo_files
from mainwright.demo.rig import crew_script, rig_readings
from mainwright.folder.reading import read_files
from mainwright.folder.record_writing import merged
from mainwright.folder.records import read_record_files
from mainwright.line.run_plan import next_part, run_plan
from mainwright.plan.plan import make_plan
from mainwright.prove.thickness import lay
from mainwright.workflow.live_commands import Clear, CloseEnds, End, Lose, Note, Start
from mainwright.workflow.live_ports import Arrival, RunKey
from mainwright.workflow.live_run import LiveRun
from mainwright.workflow.run_records import follow_again, record_rows
from tests.unit.workflow.memory_log import MemoryLog

BEGIN = datetime(2026, 4, 13, 8, 0, tzinfo=UTC)


def test_a_followed_run_is_proved_from_its_files_with_the_thickness_that_was_shown() -> None:
    job = read_files(demo_files()).job
    assert job is not None
    run = make_plan(job).runs[0]
    plan = run_plan(job, run, minimum=0.004, maximum=None)
    log, key = MemoryLog(), RunKey(job.info.reference, run.id)
    now = BEGIN
    live = LiveRun(log, key, clock=lambda: now, plan=plan, about={"revision": job.revision, "pump": run.pump})
    live._writer.start()
    live.do(Start(), who="lead")
    script = list(crew_script(plan))
    for reading in rig_readings(plan, begin=BEGIN, seed=3):
        now = reading.time
        while script and script[0][0] <= (now - BEGIN).total_seconds():
            live.do(script.pop(0)[1], who="gang")
        live.take([Arrival(reading, lambda: None)])
    now += timedelta(seconds=60)
    live.do(Lose("returned", 0.02), who="gang")
    live.do(Note("dry", kind="water_in_invert"), who="gang")
    if plan.windows:
        live.do(Clear(plan.windows[0].chainage, "air"), who="gang")
    live.do(End("complete"), who="lead")
    live.do(CloseEnds(), who="lead")
    assert live.stop()
    followed = follow_again(log, key)
    assert followed.state.deposit.volumes == live.state.deposit.volumes
    files = {
        one.file: merged(None, file=f"records/{one.file}", columns=one.columns, rows=one.rows, key=one.key)
        for one in record_rows([followed])
    }
    found = read_record_files(files)
    assert not found.faults
    assert not found.unknown
    (done,) = found.records.runs_done
    assert (done.run, done.outcome, done.revision, done.pump) == (run.id, "complete", job.revision, run.pump)
    assert (done.start, done.end) == pytest.approx((run.start, run.end))
    kinds = [one.kind for one in found.records.events]
    for kind in ("start", "stop", "restart", "alarm", "returned_l", "water_in_invert", "end", "ends_closed"):
        assert kind in kinds
    assert len(found.records.batches) == len(plan.batches)
    laid = lay(job, run, found.records.readings[0].readings)
    assert laid.deposited == pytest.approx(live.state.deposit.deposited, rel=1e-8)
    assert laid.guessed


def test_parts_are_told_in_the_frame_of_the_first() -> None:
    job = read_files(demo_files()).job
    assert job is not None
    run = make_plan(job).runs[0]
    plan = run_plan(job, run, minimum=0.004, maximum=None)
    log = MemoryLog()
    parts, begin = [], BEGIN
    clock = [BEGIN]
    for place, part_plan in ((1, plan), (2, next_part(plan, way=20.0, turned=True))):
        key = RunKey("CW", run.id, part=place)
        live = LiveRun(log, key, clock=lambda: clock[0], plan=part_plan)
        live._writer.start()
        live.do(Start(), who="lead")
        for reading in rig_readings(part_plan, begin=begin, seed=3, troubles=()):
            clock[0] = reading.time
            if place == 1 and reading.values["odometer"] > 20.0:
                break
            live.take([Arrival(replace(reading, source=f"rig {place}"), lambda: None)])
        live.do(End("split" if place == 1 else "complete"), who="lead")
        assert live.stop()
        parts.append(follow_again(log, key))
        begin = clock[0] + timedelta(hours=1)
    rows = {one.file: one for one in record_rows(parts)}
    ways = [float(row["odometer_m"]) for row in rows[f"run_{run.id}.csv"].rows]
    assert max(ways) == pytest.approx(run.length)
    assert ways[-1] == pytest.approx(20.0, abs=0.5)
    pumped = sum(part.state.deposit.pumped for part in parts)
    files = {one.file: merged(None, file=one.file, columns=one.columns, rows=one.rows, key=one.key) for one in rows.values()}
    records = read_record_files(files).records
    laid = lay(job, run, records.readings[0].readings)
    assert laid.pumped == pytest.approx(pumped, rel=1e-6)
    assert {one.direction for one in records.runs_done} == {"increasing", "decreasing"}
