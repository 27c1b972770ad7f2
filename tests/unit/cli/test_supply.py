"""The command ``supply``."""

import json
import shutil
from pathlib import Path

import pytest

import mainwright
from tests.unit.cli.helpers import invoke

DEMO = Path(mainwright.__file__).parent / "demo" / "marrowby"


def test_papers_and_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = invoke(capsys, "supply", DEMO, "--out", tmp_path / "out", "--json")
    assert ran.status == 0
    assert sorted(one.name for one in (tmp_path / "out").iterdir()) == ["supply.json", "supply.pdf"]
    assert (tmp_path / "out" / "supply.json").read_text(encoding="utf-8") == ran.out
    found = json.loads(ran.out)
    section = found["supply"]
    assert set(section) == {"pipes", "nodes", "cost", "closed_blocks", "without_supply"}
    assert section["without_supply"] == []
    drawn = sum(one["demand_l_s"] for one in section["nodes"])
    assert sum(one["flow_l_s"] for one in found["feeds"]) == pytest.approx(drawn, abs=1e-3)
    assert min(one["pressure_bar"] for one in section["nodes"] if one["feeds"]) >= 1.5
    head = {one["id"]: one["head_m"] for one in section["nodes"]}
    assert all(head[one["from_node"]] - head[one["to_node"]] == pytest.approx(one["head_loss_m"], abs=1e-6) for one in section["pipes"])


def test_a_job_without_feeds_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job"
    shutil.copytree(DEMO, job)
    (job / "feeds.csv").unlink()
    ran = invoke(capsys, "supply", job, "--out", tmp_path / "out", "--strict")
    assert ran.status == 1
    assert "feeds.csv" in " ".join(ran.out.split())
    assert "Without supply" in ran.out
    found = json.loads((tmp_path / "out" / "supply.json").read_text(encoding="utf-8"))
    assert found["supply"]["pipes"] is None


def test_the_gates_of_the_temporary_pipe_end_with_a_release(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert invoke(capsys, "supply", DEMO, "--out", tmp_path / "out").status == 0
    gates = json.loads((tmp_path / "out" / "supply.json").read_text(encoding="utf-8"))["gates"]
    assert [one["code"] for one in gates] == ["tight", "flushed", "chlorinated", "neutralised", "sampled", "released"]
    assert all(one["text"] for one in gates)
