"""A whole plan from a small job in code: laws that every plan keeps, the same bytes twice, and planning the rest anew."""

import hashlib
import json
import math
import os
import subprocess
import sys
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.job.records import Obstruction, Records, RunDone
from mainwright.job.survey import BoreReading, Ground
from mainwright.paper.plan_json import plan_document, plan_json
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.words.message import Message
from mainwright.words.wording import word
from tests.unit.paper.test_plan_json import check_promises
from tests.unit.plan.small_job import small_job, small_plant


def in_english(text: Message) -> str:
    return word(text, language="en", units="metric")


@cache
def first_plan() -> Plan:
    return make_plan(small_job())


@cache
def first_document() -> str:
    return plan_json(first_plan(), word=in_english).decode()


def issued() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(first_document())
    return found


def again(records: Records = Records(), job: Job | None = None) -> Plan:  # noqa: B008
    return make_plan(job or small_job(), records=records, issued=issued())


def lined(plan: Plan) -> list[tuple[str, float, float]]:
    return [(run.id, run.start, run.end) for run in plan.runs]


def laws(plan: Plan) -> None:
    """Fail where a plan breaks one of the definitions of the file contract."""
    job = plan.job
    first, last = job.main[0].start, job.main[-1].end
    assert sum(run.length for run in plan.runs) == pytest.approx(last - first)
    assert [plan.runs[0].start, *(run.end for run in plan.runs)] == pytest.approx([opening.chainage for opening in plan.openings])
    assert all(before.end == pytest.approx(after.start) for before, after in pairwise(plan.runs))
    assert len({run.id for run in plan.runs}) == len(plan.runs)
    assert not {run.id for run in plan.runs} & set(plan.retired)
    for run in plan.runs:
        assert run.start < run.end
        assert run.length == pytest.approx(run.end - run.start)
        assert run.lining_time == pytest.approx(sum((one.end - one.start) / one.speed for one in run.settings))
        assert run.speed == pytest.approx(run.length / run.lining_time)
        ring = sum((one.end - one.start) * math.pi * one.aim * (one.bore - one.aim) for one in run.settings)
        assert run.mortar_per_length * run.length == pytest.approx(ring)
        assert run.aim == pytest.approx(max(one.aim for one in run.settings))
        assert run.mortar >= ring / job.lining.deposit_efficiency + run.hose_filling
        assert max(mark.elapsed for mark in run.marks) == pytest.approx(run.lining_time)
        assert min(mark.elapsed for mark in run.marks) == 0.0
        assert (run.marks[0].chainage, run.marks[-1].chainage) == pytest.approx((run.start, run.end))
        if run.batch_clock:
            assert sum(batch.volume for batch in run.batch_clock) == pytest.approx(run.mortar)
            assert len(run.batch_clock) == run.batches
    for stretch in plan.stretches:
        aims = [run.aim for run in plan.runs if run.start < stretch.end and run.end > stretch.start]
        assert stretch.aim == max(aims)
        assert stretch.bore_lined == pytest.approx(stretch.bore_clean - 2.0 * stretch.aim)


def test_the_first_plan_keeps_the_laws() -> None:
    laws(first_plan())


def test_mortar_balances_to_the_litre() -> None:
    # Without pits or joints: ring over the efficiency, with 3 % of waste besides the hose.
    for run in first_plan().runs:
        ring = run.mortar_per_length * run.length / 0.97
        assert run.mortar == pytest.approx(ring * 1.03 + math.pi / 4 * 0.038**2 * 180.0, rel=1e-9)


def test_the_document_keeps_the_contract() -> None:
    check_promises(issued())
    plan_document(first_plan(), word=in_english)


def test_same_job_same_bytes() -> None:
    assert plan_json(make_plan(small_job()), word=in_english).decode() == first_document()


@pytest.mark.parametrize("seed", ["1", "2"])
def test_same_bytes_in_another_process_with_another_hash(seed: str) -> None:
    code = (
        "import hashlib; from tests.unit.plan.test_plan import first_document; print(hashlib.sha256(first_document().encode()).hexdigest())"
    )
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", code], cwd=Path(__file__).parents[3], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True,
        text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == hashlib.sha256(first_document().encode()).hexdigest()


def test_records_without_an_issued_plan_count_for_nothing() -> None:
    records = Records(runs_done=(RunDone("R01", 0.0, 50.0),), obstructions=(Obstruction(83.0),))
    assert plan_json(make_plan(small_job(), records=records), word=in_english).decode() == first_document()


def test_what_must_come_out_is_opened() -> None:
    assert {0.0, 120.0, 240.0, 300.0} <= {opening.chainage for opening in first_plan().openings}


def test_layout_and_bill_agree_on_what_depends_on_the_openings() -> None:
    # Without cement and sand, of which the layout counts only what depends on it.
    job = small_job(prices=tuple(price for price in small_job().prices if price.item not in ("cement", "sand")))
    plan = make_plan(job)
    items = ("opening_", "set_up_", "branch_treatment", "traffic_day")
    billed = sum(line.quantity * (line.rate or 0.0) for line in plan.bill if line.item.startswith(items))
    assert plan.layout.total_cost == pytest.approx(billed)


def test_several_coats_have_a_card_each() -> None:
    job = small_job(lining=replace(small_job().lining, single_coat_max=0.004))
    plan = make_plan(job)
    laws(plan)
    document = plan_document(plan, word=in_english)
    check_promises(document)
    for run in plan.runs:
        assert run.coats == 2
        assert len(run.coat_settings) == 2
        times = [sum((one.end - one.start) / one.speed for one in coat) for coat in run.coat_settings]
        assert sum(times) == pytest.approx(run.lining_time)
        assert run.coat_settings[1][0].bore < run.coat_settings[0][0].bore
    again = make_plan(job, records=Records(), issued=json.loads(json.dumps(document)))
    assert lined(again) == lined(plan)


def test_hydraulics_gain_where_the_flow_is_known() -> None:
    first, second = first_plan().hydraulics
    assert first.capacity_gain is not None
    assert first.capacity_gain > 1.5
    assert first.head_loss_before is not None
    assert first.head_loss_after is not None
    assert first.head_loss_after < first.head_loss_before
    assert second.roughness_before is not None, "the table's roughness stands in for one that nobody measured"


def test_what_nobody_gave_is_assumed_and_listed() -> None:
    what = {one.what for one in first_plan().assumed}
    assert {"lining.confidence", "mortar.usable_minutes", "prices.camera", "main.roughness_mm[240-300]"} <= what


def test_nothing_is_left_unbuilt() -> None:
    assert not [one for one in first_plan().warnings if one.code == "not_built"]


def test_progress_only_grows_and_ends() -> None:
    told: list[tuple[int, int]] = []
    make_plan(small_job(), progress=lambda done, of: told.append((done, of)))
    assert told == sorted(told)
    assert told[0][0] == 0
    assert told[-1][0] == told[-1][1]


def test_to_stop_the_caller_raises() -> None:
    def stop(done: int, of: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        make_plan(small_job(), progress=stop)


def test_where_no_layout_keeps_the_limits_the_plan_says_so() -> None:
    hopeless = small_job(
        ground=(Ground(0.0, 300.0, "railway", 2.0, dig=False),),
        plant=replace(small_plant(), hoses=tuple(replace(hose, length=60.0) for hose in small_plant().hoses)),
        features=(),
    )
    plan = make_plan(hopeless)
    assert plan.layout.total_cost is None
    assert plan.openings == ()
    assert plan.runs == ()
    assert any(warning.severity == "stop" for warning in plan.warnings)
    assert all(stretch.aim is None for stretch in plan.stretches)
    check_promises(plan_document(plan, word=in_english))


def test_planned_anew_with_nothing_new_everything_stands() -> None:
    plan = again()
    assert lined(plan) == lined(first_plan())
    assert all(change.text.values == () for change in plan.changes)
    assert plan.issued == first_plan().job.revision
    assert any(warning.code == "follows_issued" for warning in plan.warnings)


def test_what_is_done_is_frozen_and_the_rest_keeps_its_ids() -> None:
    done = first_plan().runs[0]
    row = RunDone(done.id, done.start, done.end, direction=done.direction, outcome="complete")
    plan = again(Records(runs_done=(row,)), small_job(bores=(BoreReading(20.0, 0.149), BoreReading(100.0, 0.149))))
    laws(plan)
    frozen = plan.runs[0]
    assert frozen.done
    assert (frozen.id, frozen.start, frozen.end, frozen.direction) == (done.id, done.start, done.end, done.direction)
    assert frozen.mortar == pytest.approx(done.mortar)
    assert frozen.settings[0].bore == pytest.approx(done.settings[0].bore), "a bore measured later changes nothing of what is done"
    assert {run.id for run in plan.runs} == {run.id for run in first_plan().runs}
    sheets = next(change for change in plan.changes if change.subject == "sheets")
    touched = [run.id for run in plan.runs if not run.done and run.start < 240.0]
    assert f": {', '.join(touched)} keep" in in_english(sheets.text), "this morning's bore changes the sheets of the rest of the stretch"


def test_an_obstruction_at_83_m_is_opened_and_told() -> None:
    plan = again(Records(obstructions=(Obstruction(83.0, "stone"),)))
    laws(plan)
    found = next(opening for opening in plan.openings if opening.chainage == 83.0)
    assert in_english(found.reasons[0]) == "obstruction found on site: stone"
    old = {run.id: run for run in first_plan().runs}
    for run in plan.runs:
        if run.id in old:
            assert (run.start, run.end, run.direction) == (old[run.id].start, old[run.id].end, old[run.id].direction)
        else:
            assert run.start == 83.0 or run.end == 83.0
    told = {change.subject: change for change in plan.changes}
    assert told["openings"].after == told["openings"].before + 1  # type: ignore[operator]
    assert "83.0 m" in in_english(told["openings"].text)
    assert told["money"].after > told["money"].before  # type: ignore[operator]


def test_an_aborted_run_is_frozen_as_far_as_it_came_and_the_rest_is_new() -> None:
    run = first_plan().runs[0]
    back = run.direction == "decreasing"
    low, high = (run.start + 30.0, run.end) if back else (run.start, run.end - 30.0)
    plan = again(Records(runs_done=(RunDone(run.id, low, high, direction=run.direction, outcome="aborted"),)))
    laws(plan)
    piece = next(one for one in plan.runs if one.id == run.id)
    assert piece.done
    assert (piece.start, piece.end) == (low, high)


def test_a_cut_beside_a_fitting_is_at_the_fitting() -> None:
    run = next(run for run in first_plan().runs if run.end <= 120.0)
    row = RunDone(run.id, run.start, 66.003, direction=run.direction, outcome="aborted")
    plan = again(Records(runs_done=(row,)))
    laws(plan)
    assert min(run.length for run in plan.runs) > 1.0
    assert [opening.chainage for opening in plan.openings][1] == 66.0


def test_a_third_issue_never_gives_an_id_again() -> None:
    second = again(Records(obstructions=(Obstruction(83.0, "stone"),)))
    assert second.retired
    document = json.loads(plan_json(second, word=in_english))
    third = make_plan(small_job(), records=Records(), issued=document)
    assert lined(third) != lined(second)
    once = {run.id: (run.start, run.end, run.direction) for run in (*first_plan().runs, *second.runs)}
    for run in third.runs:
        if run.id in once:
            assert once[run.id] == (run.start, run.end, run.direction)
    assert not {run.id for run in third.runs} & set(second.retired)


def test_a_pit_that_cannot_be_dug_moves() -> None:
    job = small_job(
        runs=replace(small_job().runs, max_length=70.0),
    )
    before = make_plan(job)
    inner = next(opening.chainage for opening in before.openings if not opening.must)
    document = json.loads(plan_json(before, word=in_english))
    ground = (
        *job.ground[:1],
        Ground(120.0, inner - 4.0, "carriageway", 1.8, dig=True),
        Ground(inner - 4.0, inner + 4.0, "carriageway", 1.8, dig=False),
        Ground(inner + 4.0, 300.0, "carriageway", 1.8, dig=True),
    )
    if inner < 120.0:
        ground = (
            Ground(0.0, inner - 4.0, "verge", 1.2, dig=True), Ground(inner - 4.0, inner + 4.0, "verge", 1.2, dig=False),
            Ground(inner + 4.0, 120.0, "verge", 1.2, dig=True), job.ground[1],
        )  # fmt: skip
    plan = make_plan(replace(job, ground=ground), records=Records(), issued=document)
    laws(plan)
    assert inner not in {opening.chainage for opening in plan.openings}


def test_what_is_not_an_issued_plan_is_told() -> None:
    with pytest.raises(InputError, match="issued plan"):
        make_plan(small_job(), issued={"hello": "world"})
