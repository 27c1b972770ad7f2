"""The invented job as it was lined, and the proof that finds what went wrong."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mainwright import bootstrap
from mainwright.bootstrap.scans import scanned_runs
from mainwright.cli.root import cli
from mainwright.cli.statuses import FAULTY_INPUT
from mainwright.demo.job import demo_files
from mainwright.demo.records import DEFECTS, demo_records
from mainwright.demo.scans import PLANTED, SCANNED
from mainwright.folder.reading import read_files
from mainwright.folder.records import read_record_files
from mainwright.paper.handover_pdf import handover_pages
from mainwright.plan.plan import make_plan
from mainwright.prove.proof import prove
from tests.unit.cli.helpers import invoke
from tests.unit.prove.demo_plan import demo_plan


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Result, Path]:
    """Return what the command of the demo said, and where it wrote to."""
    place = tmp_path_factory.mktemp("made") / "demo"
    result = CliRunner().invoke(cli, ["demo", "--once", "--out", str(place)], standalone_mode=False)
    assert result.exception is None, result.output
    return result, place


def test_the_demo_says_what_it_wrote_and_does_not_write_over_what_was_changed(
    made: tuple[Result, Path], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    result, place = made
    assert f"Papers    {place / 'papers'}" in result.stdout
    for name in ("plan.pdf", "bill.xlsx", "openings.geojson", "plan.json"):
        assert f"            {name} " in result.stdout
        assert (place / "papers" / name).exists()
    plan = json.loads((place / "papers" / "plan.json").read_text())
    assert plan["layout"]["total_cost"] > 0
    assert len(result.stdout.splitlines()) < 30
    shutil.copytree(place / "job", tmp_path / "demo" / "job")
    (tmp_path / "demo" / "job" / "main.csv").write_text("changed")
    ran = invoke(capsys, "demo", "--out", tmp_path / "demo")
    assert ran.status == FAULTY_INPUT
    assert "main.csv" in ran.err


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


def test_the_demo_finds_its_four_planted_defects(made: tuple[Result, Path]) -> None:
    result, place = made
    proof = json.loads((place / "proof" / "proof.json").read_text())
    thin = {one["id"]: one["thickness"]["under_minimum"] for one in proof["runs"] if one["thickness"]["under_minimum"]}
    silent = {one["id"]: one["gaps"] for one in proof["runs"] if one["gaps"]}
    runs = {one["id"]: one for one in proof["runs"]}
    ids = list(runs)
    assert set(thin) == {ids[2], ids[4]}
    assert set(silent) == {ids[7]}
    plan = json.loads((place / "papers" / "plan.json").read_text())
    ways = {run["id"]: run["direction"] for run in plan["runs"]}
    for number, (low, high) in ((2, (60.0, 74.0)), (4, (20.0, 26.0))):
        one = runs[ids[number]]
        (part,) = thin[ids[number]]
        wanted = (one["from_m"] + low, one["from_m"] + high) if ways[one["id"]] == "increasing" else (one["to_m"] - high, one["to_m"] - low)
        assert (part["from_m"], part["to_m"]) == pytest.approx(wanted, abs=0.6)
        assert f"{one['id']}: thin from" in result.output
        assert one["verdict"] == "does_not_meet"
    assert f"{ids[7]}: no readings from" in result.output
    # Each defect has its likely cause by the readings, what the gang wrote down there, and a remedy with its quantities.
    defects = {one["id"]: one["defects"] for one in proof["runs"] if one["defects"]}
    assert set(defects) == {ids[2], ids[4], ids[SCANNED], ids[7]}
    (stall,), (hurry,), (silent_,) = defects[ids[2]], defects[ids[4]], defects[ids[7]]
    assert "35% of its output" in stall["causes"][0]
    assert "hopper empty" in stall["causes"][1]
    assert "of its speed" in hurry["causes"][0]
    assert "rope slipped" in hurry["causes"][1]
    assert (stall["remedy"], hurry["remedy"], silent_["remedy"]) == ("second_coat", "second_coat", "measure")
    assert stall["mortar_l"] > hurry["mortar_l"] > 0.0
    # The thin area of the scanned run lies where it was planted; no other run was scanned.
    scanned = runs[ids[SCANNED]]
    assert [one["id"] for one in proof["runs"] if one["scan"]] == [ids[SCANNED]]
    (area,) = scanned["scan"]["thin_areas"]
    share, hour, half_length, _, _ = PLANTED
    middle = scanned["from_m"] + share * (scanned["to_m"] - scanned["from_m"])
    assert [(one["by"], one["from_m"], one["worst_mm"]) for one in defects[ids[SCANNED]]] == [("scan", area["from_m"], area["minimum_mm"])]
    assert (area["from_m"], area["to_m"]) == pytest.approx((middle - half_length, middle + half_length), abs=0.05)
    assert area["clock_from"] < hour < area["clock_to"]
    assert scanned["verdict"] == "does_not_meet"
    assert f"{ids[SCANNED]}: thin area by the scans from {area['from_m']:.1f} to {area['to_m']:.1f} m" in result.output
    # Everything else was done as it was asked; two connections were forgotten, and that is named.
    assert {one["verdict"] for one in proof["runs"]} == {"meets", "does_not_meet", "incomplete"}
    assert sum(one["verdict"] == "meets" for one in proof["runs"]) == len(ids) - 4
    assert all(one[part]["verdict"] == "meets" for one in proof["runs"] for part in ("mortar", "curing", "camera"))
    assert proof["water"]["verdict"] == "released"
    assert "simulated" in proof["remarks"][0]
    assert any("connections" in text and text.endswith(": 2") for text in proof["missing"])
    measured = {one["item"]: one["quantity"] for one in proof["measured"]}
    assert sum(value for name, value in measured.items() if name.startswith("lining_dn")) == pytest.approx(1236.0)
    for name in ("handover.pdf", f"evidence_{ids[2]}.pdf"):
        assert (place / "proof" / name).read_bytes().startswith(b"%PDF")


def test_each_planted_defect_is_in_the_hand_over_file_with_its_chainage() -> None:
    job = read_files(demo_files()).job
    assert job is not None
    plan = make_plan(job)
    records = read_record_files(demo_records(job, plan.runs)).records
    made = prove(job, runs=plan.runs, stretches=plan.stretches, records=records, issued=None, bill=plan.bill)
    text = json.dumps(handover_pages(made, plan.stretches)["blocks"], ensure_ascii=False)
    for place, (low, high) in ((2, (316.0, 330.0)), (4, (636.0, 642.0)), (7, (885.9, 898.1))):
        part = next(one for one in made.runs[place].defects)
        assert part.start == pytest.approx(low, abs=0.6)
        assert part.end == pytest.approx(high, abs=0.6)
        assert f"{part.start:.1f}–{part.end:.1f}" in text


def test_the_thin_area_of_the_scans_is_in_the_hand_over_file_with_its_chainage(tmp_path: Path) -> None:
    plan = demo_plan()
    bootstrap.make_recorded(tmp_path, plan)
    names = sorted(one.name for one in (tmp_path / "records").glob("rings_*"))
    assert names == [f"rings_{plan.runs[SCANNED].id}_{which}.parquet" for which in ("cleaned", "lined")]
    records = read_record_files(demo_records(plan.job, plan.runs)).records
    walls = scanned_runs(tmp_path, runs=plan.runs, stretches=plan.stretches, records=records)
    scans = {name: one.proof for name, one in walls.items()}
    made = prove(plan.job, runs=plan.runs, stretches=plan.stretches, records=records, issued=None, bill=plan.bill, scans=scans)
    text = json.dumps(handover_pages(made, plan.stretches)["blocks"], ensure_ascii=False)
    (area,) = scans[plan.runs[SCANNED].id].thin
    assert f"{area.start:.1f}–{area.end:.1f}" in text
