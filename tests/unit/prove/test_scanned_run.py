"""A run that was scanned before and after lining: its scans in verdict, proof and paper."""

import io
import json
from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest

from mainwright import bootstrap
from mainwright.bootstrap.scans import any_scan, scanned_runs
from mainwright.demo.job import demo_files
from mainwright.demo.records import drive, run_file
from mainwright.demo.scans import PLANTED, demo_scans
from mainwright.folder.records import read_records
from mainwright.job.records import Records
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


def test_points_prove_a_run_as_rings_do(tmp_path: Path) -> None:
    plan = demo_plan()
    run = next(one for one in plan.runs if one.id == "R06")
    (tmp_path / "records").mkdir()
    for name, data in demo_scans(plan.job, run, bore=run.settings[0].bore).items():
        table = pq.read_table(io.BytesIO(data)).slice(1000, 1200)
        radius = table["radius_mm"].combine_chunks().flatten().to_numpy(zero_copy_only=False).reshape(table.num_rows, -1) / 1000.0
        turn = np.arange(radius.shape[1]) * (2.0 * np.pi / radius.shape[1]) + np.radians(table["roll_deg"].to_numpy())[:, None]
        along = np.broadcast_to(table["odometer_m"].to_numpy()[:, None], radius.shape)
        there = np.isfinite(radius)
        points = np.stack([along[there], (radius * np.sin(turn))[there], (radius * np.cos(turn))[there]], axis=1)
        path = tmp_path / "records" / name.replace("parquet", "csv")
        np.savetxt(path, points, fmt="%.4f", delimiter=",", header="x_m,y_m,z_m", comments="")
    assert any_scan(tmp_path)
    assert not any(one.file.endswith("_lined.csv") for one in read_records(tmp_path).unknown)
    proof = scanned_runs(tmp_path, runs=plan.runs, stretches=plan.stretches, records=Records())[run.id].proof
    share, _, half_length, _, _ = PLANTED
    thin = max(proof.thin, key=lambda one: one.area)
    assert thin.end - thin.start == pytest.approx(2 * half_length, abs=0.1)
    assert 0.5 * (thin.start + thin.end) == pytest.approx(run.start + share * run.length, abs=0.05)
    assert proof.unread
