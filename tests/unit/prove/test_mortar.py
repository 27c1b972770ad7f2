"""Strength against what was asked, and batches at their places."""

import itertools
from dataclasses import replace

import pytest

from mainwright.prove.mortar import MortarProof, judge_mortar
from mainwright.prove.timeline import timelines
from tests.unit.prove.demo_plan import a_run, demo_plan, read

HEAD = "run,batch,cast,tested,specimen,load_kn,area_mm2,kind\n"


def strength(load: float, *, days: int = 28, count: int = 6, kind: str = "compression", area: str = "1600") -> MortarProof:
    run = a_run()
    rows = "".join(
        f"{run.id},1,2026-05-04T09:00:00Z,2026-{5 + (4 + days - 1) // 31:02d}-{(4 + days - 1) % 31 + 1:02d}T09:0{k}:00Z,{k},{load},{area},{kind}\n"
        for k in range(count)
    )
    return judge_mortar(demo_plan().job, run, read({"strength.csv": HEAD + rows}), ())


def test_strong_enough_at_its_age() -> None:
    found = strength(72.0)
    assert found.verdict == "meets"
    assert found.strength == pytest.approx(45e6)
    assert found.required == pytest.approx(30e6)
    (one,) = found.sets
    assert one.age == pytest.approx(28 * 86400.0)
    assert len(one.strengths) == 6


def test_too_weak_at_its_age_does_not_meet() -> None:
    found = strength(40.0)
    assert found.verdict == "does_not_meet"
    assert found.sets[0].because is not None


def test_weak_early_says_nothing_and_strong_early_is_enough() -> None:
    assert strength(40.0, days=7).verdict == "incomplete"
    assert strength(50.0, days=7).verdict == "meets"


def test_weak_late_fails_and_strong_late_does_not_show_it() -> None:
    assert strength(40.0, days=40).verdict == "does_not_meet"
    assert strength(50.0, days=40).verdict == "incomplete"


def test_without_specimens_it_is_incomplete_and_without_a_requirement_not_asked() -> None:
    run, job = a_run(), demo_plan().job
    assert judge_mortar(job, run, read({}), ()).verdict == "incomplete"
    assert judge_mortar(replace(job, acceptance=None), run, read({}), ()).verdict == "not_asked"


def test_bending_is_told_and_not_judged() -> None:
    found = strength(3.0, count=3, kind="bending", area="")
    assert found.verdict == "incomplete"
    assert found.sets[0].mean == pytest.approx(7.03125e6)
    assert found.sets[0].verdict == "not_asked"


def test_a_compression_without_area_gives_no_strength() -> None:
    found = strength(50.0, area="")
    assert found.sets == ()
    assert any("loaded area" in note.text for note in found.notes)


def test_batches_lie_one_behind_the_other_in_the_direction_of_the_run() -> None:
    for direction in ("increasing", "decreasing"):
        run, job = a_run(direction), demo_plan().job
        # Three batches of about a third of the run each, and a fourth that stays in the hose: 895 kg and 358 l are a cubic metre (A3).
        (driven,) = timelines(run, read({}, run).readings[0].readings)
        part = driven.volumes[-1] / 3.0
        rows = "".join(
            f"{run.id},{k},2026-05-04T07:{40 + k}:00Z,{895.3 * part:.3f},{895.3 * part:.3f},{358.1 * part:.3f}\n" for k in range(1, 5)
        )
        records = read({"batches.csv": "run,batch,time,cement_kg,sand_kg,water_l\n" + rows}, run)
        coats = timelines(run, records.readings[0].readings)
        found = judge_mortar(job, run, records, coats).batches
        assert [one.batch for one in found] == ["1", "2", "3", "4"]
        ordered = found[:3] if direction == "increasing" else found[2::-1]
        edges = [(one.start, one.end) for one in ordered]
        assert edges[0][0] == pytest.approx(run.start, abs=0.5)
        assert edges[2][1] == pytest.approx(run.end, abs=1.0)
        for (_, end), (start, _) in itertools.pairwise(edges):
            assert start == pytest.approx(end, abs=0.1)
        assert found[0].water_per_cement == pytest.approx(0.4, abs=1e-3)
        assert all(one.oldest is not None and one.oldest > 0 for one in found[:3])


def test_old_mortar_is_told_with_its_batch() -> None:
    run, job = a_run(), demo_plan().job
    records = read({"batches.csv": f"run,batch,time,cement_kg,sand_kg,water_l\n{run.id},7,2026-05-04T04:00:00Z,9000,9000,3900\n"}, run)
    found = judge_mortar(job, run, records, timelines(run, records.readings[0].readings))
    assert found.batches[0].too_old
    texts = [note.text for note in found.notes]
    assert any("placed {oldest} after" in text for text in texts)
    assert any("water by cement" in text for text in texts)


def test_a_batch_without_weights_lies_nobody_knows_where() -> None:
    run, job = a_run(), demo_plan().job
    records = read(
        {"batches.csv": f"run,batch,time,cement_kg\n{run.id},1,2026-05-04T07:40:00Z,300\n{run.id},2,2026-05-04T07:50:00Z,300\n"}, run
    )
    found = judge_mortar(job, run, records, timelines(run, records.readings[0].readings))
    assert [(one.start, one.end) for one in found.batches] == [(None, None), (None, None)]
