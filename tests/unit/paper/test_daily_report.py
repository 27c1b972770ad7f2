"""The daily report of a followed run."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from mainwright.demo.job import demo_files
from mainwright.demo.rig import crew_script, rig_readings
from mainwright.folder.reading import read_files
from mainwright.folder.record_writing import merged
from mainwright.folder.records import read_record_files
from mainwright.paper.daily_report import ReportedRun, render_report, report_pages
from mainwright.plan.plan import make_plan
from mainwright.prove.proof import prove
from mainwright.workflow.live_commands import Acknowledge, Clear, End, Start
from mainwright.workflow.live_ports import Arrival, RunKey
from mainwright.workflow.live_run import LiveRun
from mainwright.workflow.run_records import follow_again, record_rows
from mainwright.workflow.running import choose_run
from tests.unit.workflow.memory_log import MemoryLog

BEGIN = datetime(2026, 4, 13, 6, 0, tzinfo=UTC)


@cache
def reported() -> ReportedRun:
    job = read_files(demo_files()).job
    assert job is not None
    made = make_plan(job)
    run, plan = choose_run(job, "R06", runs=made.runs, stretches=made.stretches)
    log, key, now = MemoryLog(), RunKey("TL", run.id), BEGIN
    live = LiveRun(log, key, clock=lambda: now, plan=plan, about={"pump": run.pump})
    live._writer.start()
    live.do(Start(), who="Ada")
    script = list(crew_script(plan))
    for reading in rig_readings(plan, begin=BEGIN, seed=3):
        now = reading.time
        while script and script[0][0] <= (now - BEGIN).total_seconds():
            live.do(script.pop(0)[1], who="Ben")
        live.take([Arrival(reading, lambda: None)])
        alarm = live.state.alarms.get("thin")
        if alarm is not None and alarm.acknowledged is None:
            live.do(Acknowledge("thin"), who="Ada")
    now += timedelta(minutes=5)
    live.do(Clear(plan.windows[0].chainage, "air"), who="Cy")
    live.do(End("complete"), who="Ada")
    assert live.stop()
    part = follow_again(log, key)
    files = {one.file: merged(None, file=one.file, columns=one.columns, rows=one.rows, key=one.key) for one in record_rows([part])}
    proof = prove(job, runs=[run], stretches=made.stretches, records=read_record_files(files).records, issued=None).runs[0]
    return ReportedRun(job, [part], proof, made.stretches, ["409:29ecbf0d3febb536"])


def tables(pages: dict[str, object]) -> dict[str, list[list[str]]]:
    """Return the rows of the first table under each heading, as plain text."""
    found: dict[str, list[list[str]]] = {}
    title = ""
    blocks = pages["blocks"]
    assert isinstance(blocks, list)
    for block in blocks:
        if block["kind"] == "heading":
            title = block["text"]
        elif block["kind"] == "table" and title not in found:
            found[title] = [[cell if isinstance(cell, str) else str(cell.get("text", cell)) for cell in row] for row in block["rows"]]
    return found


def test_every_deviation_stands_with_its_minute_chainage_and_what_was_done() -> None:
    run = reported()
    rows = tables(report_pages(run))["Deviations"]
    raised = [one for one in run.parts[0].state.happened if type(one.event).__name__ == "AlarmRaised"]
    assert len(rows) == len(raised) >= 6
    thin = next(row for row in rows if row[2] == "too thin")
    # By the clock of the job, two hours before UTC's noon in summer.
    assert thin[0].startswith("08:0")
    assert "seen by Ada" in thin[5]
    ring = next(row for row in rows if row[2] == "too thick")
    assert ring[3] != "–"
    assert float(ring[1]) == pytest.approx(run.parts[0].plan.chainage(15.0), abs=0.5)


def test_every_length_that_is_thin_or_thick_stands_there_with_its_chainage() -> None:
    run = reported()
    assert run.proof is not None
    assert run.proof.thickness is not None
    found = tables(report_pages(run))
    thick = [one for one in run.proof.defects if one.kind == "thick"]
    assert len(found["Under the minimum"]) == len(run.proof.thickness.under_minimum) >= 2
    # The stop of the rig leaves a ring.
    assert len(found["Over the maximum"]) == len(thick) >= 1
    limit = max(one.maximum or 0.0 for one in run.stretches)
    assert all(float(row[2]) > 1000.0 * limit for row in found["Over the maximum"])


def test_batches_connections_events_and_the_anchor_stand_there() -> None:
    found = tables(report_pages(reported()))
    assert [row[0] for row in found["Mortar"]] == ["1", "2"]
    assert sum(row[3] != "–" for row in found["Connections"]) == 1
    assert [row[2] for row in found["What happened"]][:1] == ["the head starts"]
    assert found["The record"][0][3] == "409:29ecbf0d3febb536"


def test_the_report_is_the_same_to_the_byte_and_speaks_german() -> None:
    run = reported()
    one = render_report(run)
    assert one.startswith(b"%PDF")
    assert one == render_report(run)
    german = replace(run, job=replace(run.job, info=replace(run.job.info, language="de")))
    rows = tables(report_pages(german))
    assert any(row[2] == "zu dünn" for row in rows["Abweichungen"])


def test_a_run_without_a_proof_or_batches_still_has_a_report() -> None:
    run = reported()
    bare = LiveRun(MemoryLog(), run.parts[0].key, clock=lambda: BEGIN, plan=run.parts[0].plan)
    part = replace(run.parts[0], state=bare.state, said={})
    assert render_report(replace(run, parts=[part], proof=None, anchors=())).startswith(b"%PDF")


def test_every_name_in_the_report_is_said_in_german() -> None:
    run = reported()
    pages = {
        language: report_pages(replace(run, job=replace(run.job, info=replace(run.job.info, language=language))))
        for language in ("en", "de")
    }
    heads = {
        language: {head for block in one["blocks"] if block["kind"] == "table" for head in block["heads"]}  # type: ignore[attr-defined]
        for language, one in pages.items()
    }
    alike = {"Name", "Sand"}
    assert {re.sub(r" \[.*", "", head) for head in heads["en"] & heads["de"]} <= alike
