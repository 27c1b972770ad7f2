"""A run that was scanned before and after lining: its scans in verdict, proof and paper."""

import json
from pathlib import Path

import pytest

from mainwright import bootstrap
from mainwright.demo.job import demo_files
from mainwright.demo.records import drive, run_file
from mainwright.demo.scans import demo_scans
from tests.unit.prove.demo_plan import demo_plan
from tests.unit.prove.records import BEGIN


def test_scans_decide_with_the_other_evidence(tmp_path: Path) -> None:
    plan = demo_plan()
    run = next(one for one in plan.runs if one.id == "R06")
    files = demo_files() | {f"records/run_{run.id}.csv": run_file(drive(run), BEGIN)}
    files |= {f"records/{name}": data for name, data in demo_scans(plan.job, run, bore=run.settings[0].bore).items()}
    files["job.toml"] = files["job.toml"].replace(b'"specimens"]', b'"scan"]')
    for name, data in files.items():
        (tmp_path / "job" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "job" / name).write_bytes(data)
    bootstrap.prove(tmp_path / "job", out=tmp_path / "out")
    proof = json.loads((tmp_path / "out" / "proof.json").read_text())
    found = next(one for one in proof["runs"] if one["id"] == run.id)
    assert found["scan"]["verdict"] == "does_not_meet"
    assert found["verdict"] == "does_not_meet"
    assert any("thin areas by the ring scans" in text for text in found["because"])
    assert "ring scans" not in found["missing"]
    assert found["scan"]["thin_areas"]
    kinds = {one["kind"]: one["mean_mm"] for one in found["evidence"]["kinds"]}
    assert kinds["scan"] == pytest.approx(kinds["readings"], abs=0.3)
    # Another run has none, and the contract asks for them.
    other = next(one for one in proof["runs"] if one["id"] != run.id)
    assert other["scan"] is None
    assert "ring scans" in other["missing"]
    assert (tmp_path / "out" / f"evidence_{run.id}.pdf").read_bytes().startswith(b"%PDF")
