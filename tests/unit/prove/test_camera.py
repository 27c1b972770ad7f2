"""Passes of the camera and what they found."""

from dataclasses import replace

import pytest

from mainwright.job.lining import Acceptance
from mainwright.plan.host import resolve_host
from mainwright.prove.camera import CameraProof, judge_camera
from tests.unit.prove.demo_plan import a_run, demo_plan, read

HEAD = "run,pass,chainage_m,kind,size_mm\n"


def judged(rows: str, evidence: tuple[str, ...] = ("camera",)) -> CameraProof:
    run, job = a_run(), demo_plan().job
    ends = "".join(
        f"{run.id},{name},{at},{kind},\n" for name in ("cleaned", "lined") for at, kind in ((run.start, "start"), (run.end, "end"))
    )
    text = HEAD + ends + rows.replace("RUN", run.id).replace("AT", f"{run.start + 10:.1f}")
    return judge_camera(
        replace(job, acceptance=Acceptance(evidence=evidence)), run, read({"observations.csv": text}), resolve_host(job).stretches
    )


def test_two_passes_without_a_finding_meet_what_was_asked() -> None:
    found = judged("")
    assert found.verdict == "meets"
    assert found.notes == ()
    assert [one.rows for one in found.passes] == [2, 2]


@pytest.mark.parametrize(("size", "verdict"), [("0.5", "meets"), ("0.8", "meets"), ("0.9", "does_not_meet"), ("", "incomplete")])
def test_a_crack_against_its_limit(size: str, verdict: str) -> None:
    found = judged(f"RUN,lined,AT,crack,{size}\n")
    assert found.verdict == verdict
    assert found.findings[0].limit == pytest.approx(0.8e-3)


def test_what_was_there_before_lining_is_not_judged() -> None:
    found = judged("RUN,cleaned,AT,crack,3\nRUN,cleaned,AT,bare wall,\n")
    assert found.verdict == "meets"
    assert [one.verdict for one in found.findings] == ["not_asked", "not_asked"]


def test_bare_wall_and_a_blocked_connection() -> None:
    assert judged("RUN,lined,AT,Bare wall,\n").verdict == "does_not_meet"
    assert judged("RUN,lined,AT,blocked connection,\n").verdict == "incomplete"


def test_water_in_the_pipe_counts_only_where_it_was_asked() -> None:
    row = "RUN,lined,AT,standing water,\n"
    told = judged(row)
    assert told.verdict == "meets"
    assert any("Water stood" in note.text for note in told.notes)
    assert judged(row, ("camera_dry",)).verdict == "incomplete"


def test_a_missing_pass_and_a_short_one() -> None:
    run, job = a_run(), demo_plan().job
    asked = replace(job, acceptance=Acceptance(evidence=("camera",)))
    records = read({"observations.csv": HEAD + f"{run.id},lined,{run.start + 20},remark,\n"})
    found = judge_camera(asked, run, records, resolve_host(job).stretches)
    assert found.verdict == "incomplete"
    assert any("only its video" in note.text for note in found.notes)
    assert judge_camera(replace(job, acceptance=None), run, read({}), ()).verdict == "not_asked"
