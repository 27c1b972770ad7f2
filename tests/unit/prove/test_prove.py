"""From records to verdicts, through the command as a user gives it."""

import csv
import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from mainwright.cli.root import cli
from mainwright.demo.job import demo_files
from mainwright.folder.reading import read_files
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from tests.unit.prove.records import Rig, as_planned, csv_bytes, drive


@pytest.fixture(scope="module")
def made() -> Plan:
    job = read_files(demo_files()).job
    assert job is not None
    return make_plan(job)


def folder_of(made: Plan, place: Path, changes: dict[str, Rig], extra: dict[str, str] | None = None) -> Path:
    for name, content in demo_files().items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_bytes(content)
    (place / "records").mkdir()
    for run in made.runs:
        if run.id in changes:
            (place / "records" / f"run_{run.id}.csv").write_bytes(csv_bytes(drive(run, changes[run.id])))
    for name, text in (extra or {}).items():
        (place / "records" / name).write_text(text)
    return place


def prove(folder: Path, out: Path, *options: str) -> tuple[int, dict[str, Any]]:
    result = CliRunner().invoke(cli, ["prove", str(folder), "--out", str(out), *options], standalone_mode=False)
    assert result.exception is None, result.output
    return int(result.return_value or 0), json.loads((out / "proof.json").read_text())


def rows(path: Path) -> Iterator[dict[str, float]]:
    with path.open() as stream:
        for row in csv.DictReader(stream):
            yield {name: float(value) for name, value in row.items()}


def test_a_run_driven_as_planned_shows_its_aim_from_end_to_end(made: Plan, tmp_path: Path) -> None:
    ids = [run.id for run in made.runs]
    _, proof = prove(folder_of(made, tmp_path / "job", dict.fromkeys(ids, as_planned)), tmp_path / "out")
    assert [one["id"] for one in proof["runs"]] == ids
    for run, one in zip(made.runs, proof["runs"], strict=True):
        table = list(rows(tmp_path / "out" / f"thickness_{run.id}.csv"))
        width = run.length / len(table)
        assert width <= 0.5
        assert [row["chainage_m"] for row in table] == pytest.approx([run.start + (k + 0.5) * width for k in range(len(table))])
        inner = [row["thickness_mm"] for row in table[2:-2]]
        assert min(inner) > 0.97e3 * min(setting.aim for setting in run.settings)
        assert one["thickness"]["mean_mm"] == pytest.approx(1e3 * run.aim, rel=0.01)
        assert one["thickness"]["under_minimum"] == []
        assert one["gaps"] == []
        # By mass balance: the ring of the aim over the deposit efficiency, pits included.
        assert one["mass_balance"]["deposited_l"] == pytest.approx(0.97 * one["mass_balance"]["pumped_l"])
        assert all(row["deviation_mm"] > 0.0 for row in table)


def test_planted_defects_are_found_at_their_chainage(made: Plan, tmp_path: Path) -> None:
    by_direction = {run.direction: run for run in made.runs if run.length > 60.0}
    forward, back = by_direction["increasing"], by_direction["decreasing"]
    stall = lambda way: (1.0, 0.3) if 30.0 <= way < 44.0 else (1.0, 1.0)  # noqa: E731
    fast = lambda way: (1.5, 1.0) if 20.0 <= way < 26.0 else (1.0, 1.0)  # noqa: E731
    folder = folder_of(made, tmp_path / "job", {forward.id: stall, back.id: fast})
    code, proof = prove(folder, tmp_path / "out", "--strict")
    assert code == 1
    found = {one["id"]: one for one in proof["runs"]}
    (thin,) = found[forward.id]["thickness"]["under_minimum"]
    assert found[forward.id]["verdict"] == "does_not_meet"
    assert thin["from_m"] == pytest.approx(forward.start + 30.0, abs=0.6)
    assert thin["to_m"] == pytest.approx(forward.start + 44.0, abs=0.6)
    assert thin["minimum_mm"] < 0.35 * 1e3 * forward.aim
    (quick,) = found[back.id]["thickness"]["under_minimum"]
    assert quick["from_m"] == pytest.approx(back.end - 26.0, abs=0.6)
    assert quick["to_m"] == pytest.approx(back.end - 20.0, abs=0.6)
    # The other runs have no record at all: incomplete, and what is missing is named.
    other = next(one for one in proof["runs"] if one["id"] not in (forward.id, back.id))
    assert other["verdict"] == "incomplete"
    assert other["thickness"] is None
    assert "readings of odometer and pump" in other["missing"]


def test_a_lost_sensor_and_a_silent_length_are_told(made: Plan, tmp_path: Path) -> None:
    run = next(one for one in made.runs if one.length > 60.0 and one.direction == "increasing")
    lost = lambda way: (1.0, None) if way > 30.0 else (1.0, 1.0)  # noqa: E731
    folder = folder_of(made, tmp_path / "job", {run.id: lost})
    path = folder / "records" / f"run_{run.id}.csv"
    lines = path.read_text().splitlines()
    kept = [lines[0], *(line for line in lines[1:] if not 12.0 < float(line.split(",")[1]) < 20.0)]
    path.write_text("\n".join(kept) + "\n")
    _, proof = prove(folder, tmp_path / "out")
    one = next(one for one in proof["runs"] if one["id"] == run.id)
    (gap,) = one["gaps"]
    assert gap["from_m"] == pytest.approx(run.start + 12.0, abs=0.5)
    assert gap["to_m"] == pytest.approx(run.start + 20.0, abs=0.5)
    assert "no reading for" in gap["why"]
    assert one["verdict"] == "incomplete"
    table = list(rows(tmp_path / "out" / f"thickness_{run.id}.csv"))
    assert table[-10]["deviation_mm"] > table[10]["deviation_mm"]
    assert table[40]["thickness_mm"] == pytest.approx(1e3 * run.aim, rel=0.02)


def test_a_run_that_was_given_up_is_bare_behind(made: Plan, tmp_path: Path) -> None:
    run = next(one for one in made.runs if one.length > 60.0 and one.direction == "decreasing")
    folder = folder_of(made, tmp_path / "job", {run.id: as_planned})
    path = folder / "records" / f"run_{run.id}.csv"
    lines = path.read_text().splitlines()
    path.write_text("\n".join([lines[0], *(line for line in lines[1:] if float(line.split(",")[1]) <= 40.0)]) + "\n")
    _, proof = prove(folder, tmp_path / "out")
    one = next(one for one in proof["runs"] if one["id"] == run.id)
    assert one["verdict"] == "does_not_meet"
    bare = one["thickness"]["under_minimum"][0]
    assert bare["from_m"] == pytest.approx(run.start)
    assert bare["to_m"] == pytest.approx(run.end - 40.0, abs=0.6)
    assert bare["minimum_mm"] == 0.0


def test_a_run_that_was_turned_round_counts_from_its_own_end(made: Plan, tmp_path: Path) -> None:
    run = next(one for one in made.runs if one.length > 60.0 and one.direction == "increasing")
    turned = replace(run, direction="decreasing")
    stall = lambda way: (1.0, 0.3) if 30.0 <= way < 44.0 else (1.0, 1.0)  # noqa: E731
    done = f"run,from_m,to_m,direction,outcome\n{run.id},{run.start + 10},{run.end - 10},decreasing,aborted\n"
    folder = folder_of(made, tmp_path / "job", {}, {"runs_done.csv": done})
    rows_ = [row for row in drive(turned, stall) if row[1] <= run.length - 20.0]
    (folder / "records" / f"run_{run.id}.csv").write_bytes(csv_bytes(rows_))
    _, proof = prove(folder, tmp_path / "out")
    one = next(one for one in proof["runs"] if one["id"] == run.id)
    # Bare at both ends, where nobody lined, and thin where the pump stalled, 30 m from the end at which the head really started.
    spans = [(part["from_m"], part["to_m"]) for part in one["thickness"]["under_minimum"]]
    assert len(spans) == 3
    assert spans[0] == pytest.approx((run.start, run.start + 10.0), abs=0.6)
    assert spans[1] == pytest.approx((run.end - 54.0, run.end - 40.0), abs=0.6)
    assert spans[2] == pytest.approx((run.end - 10.0, run.end), abs=0.6)


RECORDS = {
    "batches.csv": """run,batch,time,cement_kg,sand_kg,water_l,discarded_l
{id},1,2026-05-04T07:40:00+00:00,895.3,895.3,358.1,0
{id},2,2026-05-04T08:00:00+00:00,447.65,447.65,179.05,12
""",
    "events.csv": """run,time,kind,value,unit
{id},2026-05-04T09:00:00+00:00,returned_l,35,l
{id},2026-05-04T09:10:00+00:00,wasted_l,8,
""",
    "thickness.csv": "run,chainage_m,thickness_mm,state,zone,over\n",
    "runs_done.csv": "run,coat,from_m,to_m,direction,outcome\n{id},1,{start},{end},{direction},complete\n",
    "connections.csv": "ref,time_cleared,method\nS01,2026-05-04T10:00:00+00:00,air\n",
    "obstructions.csv": "chainage_m,kind,on_drawing\n83.0,repair_clamp,no\n",
}


def test_balance_readings_and_measured_quantities(made: Plan, tmp_path: Path) -> None:
    run = next(one for one in made.runs if one.length > 60.0 and one.direction == "increasing")
    values = {"id": run.id, "start": run.start, "end": run.end, "direction": run.direction}
    extra = {name: text.format(**values) for name, text in RECORDS.items()}
    readings = [("interior", 6.6), ("interior", 6.2), ("interior", 6.8), ("interior", 6.4), ("interior", 6.5), ("end", 2.0), ("end", 3.0)]
    for place, (zone, value) in enumerate(readings):
        extra["thickness.csv"] += f"{run.id},{run.start + 5 + place},{value},hard,{zone},metal\n"
    _, proof = prove(folder_of(made, tmp_path / "job", {run.id: as_planned}, extra), tmp_path / "out")
    one = next(one for one in proof["runs"] if one["id"] == run.id)
    balance = one["mass_balance"]
    # 895 kg each of cement and sand and 358 l of water are a cubic metre with 2 % of air: requirements of the trade, A3.
    assert balance["batched_l"] == pytest.approx(1500.0 - 12.0, rel=1e-3)
    assert (balance["returned_l"], balance["wasted_l"]) == (35.0, 8.0)
    assert balance["difference_l"] == pytest.approx(balance["batched_l"] - balance["pumped_l"])
    accepted = one["readings"]
    assert accepted["n"] == 5
    assert accepted["mean_mm"] == pytest.approx(6.5)
    minimum = next(part for part in made.stretches if part.start <= run.start < part.end).minimum
    assert accepted["k"] == pytest.approx((6.5 - 1e3 * minimum) / accepted["deviation_mm"], rel=1e-6)
    measured = {part["item"]: part for part in proof["measured"]}
    assert measured[f"lining_dn{run.dn}"]["quantity"] == pytest.approx(run.length)
    assert measured[f"lining_dn{run.dn}"]["records"] == ["runs_done.csv:1"]
    assert measured["connection_clearing"]["quantity"] == 1.0
    assert measured["obstruction"]["records"] == ["obstructions.csv:1"]


@pytest.mark.outside("One-sided tolerance factor for 5 readings, 95 % of all, confidence 95 %: 4.203 (Natrella 1963, table A-7)")
def test_the_factor_of_the_readings_is_the_published_one(made: Plan, tmp_path: Path) -> None:
    run = made.runs[0]
    text = "run,chainage_m,thickness_mm,zone\n" + "".join(f"{run.id},{run.start + k + 1},{6 + 0.1 * k},interior\n" for k in range(5))
    _, proof = prove(folder_of(made, tmp_path / "job", {}, {"thickness.csv": text}), tmp_path / "out")
    one = proof["runs"][0]
    assert made.job.lining.confidence == 0.95
    assert one["readings"]["k_required"] == pytest.approx(4.203, abs=0.001)


def test_the_issued_plan_is_followed(made: Plan, tmp_path: Path) -> None:
    from mainwright import bootstrap

    folder = folder_of(made, tmp_path / "job", {"R01": as_planned})
    text = bootstrap.plan_text(made).replace('"id": "R01"', '"id": "A-7"')
    (folder / "plan.json").write_text(text)
    (folder / "records" / "run_R01.csv").rename(folder / "records" / "run_A-7.csv")
    _, proof = prove(folder, tmp_path / "out")
    assert proof["issued"] == made.job.revision
    assert proof["runs"][0]["id"] == "A-7"
    assert (tmp_path / "out" / "thickness_A-7.csv").exists()


def test_faulty_records_write_nothing(made: Plan, tmp_path: Path) -> None:
    folder = folder_of(made, tmp_path / "job", {}, {"runs_done.csv": "run,from_m,to_m\nR01,ten,20\n"})
    result = CliRunner().invoke(cli, ["prove", str(folder), "--out", str(tmp_path / "out")], standalone_mode=False)
    assert result.return_value == 2
    assert not (tmp_path / "out").exists()
