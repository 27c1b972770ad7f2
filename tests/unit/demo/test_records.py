"""The invented job as it was lined, and the proof that finds what went wrong."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from mainwright.cli.root import cli
from mainwright.demo.job import demo_files
from mainwright.demo.records import DEFECTS, demo_records
from mainwright.folder.reading import read_files
from mainwright.folder.records import read_record_files
from mainwright.plan.plan import make_plan


def test_the_records_are_sound_and_the_same_each_time() -> None:
    job = read_files(demo_files()).job
    assert job is not None
    plan = make_plan(job)
    files = demo_records(job, plan.runs)
    assert files == demo_records(job, plan.runs)
    read = read_record_files(files)
    assert read.faults == ()
    assert read.unknown == ()
    assert {one.run for one in read.records.readings} == {run.id for run in plan.runs}
    assert max(DEFECTS) < len(plan.runs)


def test_the_demo_finds_its_three_planted_defects(tmp_path: Path) -> None:
    result = CliRunner().invoke(cli, ["demo", "--once", "--out", str(tmp_path / "demo")], standalone_mode=False)
    assert result.exception is None, result.output
    proof = json.loads((tmp_path / "demo" / "proof" / "proof.json").read_text())
    thin = {one["id"]: one["thickness"]["under_minimum"] for one in proof["runs"] if one["thickness"]["under_minimum"]}
    silent = {one["id"]: one["gaps"] for one in proof["runs"] if one["gaps"]}
    runs = {one["id"]: one for one in proof["runs"]}
    ids = list(runs)
    assert set(thin) == {ids[2], ids[4]}
    assert set(silent) == {ids[7]}
    plan = json.loads((tmp_path / "demo" / "papers" / "plan.json").read_text())
    ways = {run["id"]: run["direction"] for run in plan["runs"]}
    for number, (low, high) in ((2, (60.0, 74.0)), (4, (20.0, 26.0))):
        one = runs[ids[number]]
        (part,) = thin[ids[number]]
        wanted = (one["from_m"] + low, one["from_m"] + high) if ways[one["id"]] == "increasing" else (one["to_m"] - high, one["to_m"] - low)
        assert (part["from_m"], part["to_m"]) == pytest.approx(wanted, abs=0.6)
        assert f"{one['id']}: thin from" in result.output
        assert one["verdict"] == "does_not_meet"
    assert f"{ids[7]}: no readings from" in result.output
    # Nothing is on record of camera and water, and two connections were forgotten: all of it is named.
    assert all("camera" in " ".join(one["missing"]) for one in proof["runs"])
    assert any("connections" in text and text.endswith(": 2") for text in proof["missing"])
    measured = {one["item"]: one["quantity"] for one in proof["measured"]}
    assert sum(value for name, value in measured.items() if name.startswith("lining_dn")) == pytest.approx(1236.0)
    assert (tmp_path / "demo" / "proof" / "handover.pdf").read_bytes().startswith(b"%PDF")
