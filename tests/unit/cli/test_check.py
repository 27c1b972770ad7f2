"""``mainwright check``: faults in the form of the contract, what is assumed, and what to find out first."""

import json
import re
from pathlib import Path

import pytest

from mainwright.cli.statuses import DONE, FAULTY_INPUT
from tests.unit.cli.helpers import invoke, write_job


def test_a_sound_folder(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = write_job(tmp_path / "job")
    ran = invoke(capsys, "check", folder)
    assert ran.status == DONE
    assert "Mill Lane main: 260.0 m in 2 stretches" in ran.out
    assert "Faults: none" in ran.out
    for head in ("The plan would warn", "Assumed, because nobody said otherwise", "To find out first", "The contract must still say"):
        assert head in ran.out
    assert "lining.confidence" in ran.out
    assert sorted(path.name for path in folder.iterdir()) == sorted(
        ["features.csv", "ground.csv", "job.toml", "main.csv", "plant.toml", "prices.csv"]
    )


def test_no_line_is_wider_than_the_terminal(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "72")
    ran = invoke(capsys, "check", write_job(tmp_path / "job"))
    assert max(map(len, ran.out.splitlines()[2:])) <= 72
    assert ran.out.isprintable() or all(line.isprintable() for line in ran.out.splitlines())


def test_faults_have_file_line_and_column(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = write_job(
        tmp_path / "job",
        main_csv="from_m,to_m,dn,material\n0,120,150,grey iron\n120,90,x,steel\n",
        job_toml='[job]\nname = "X"\n[lining]\nnominal_mm = 6\n',
    )
    ran = invoke(capsys, "check", folder)
    assert ran.status == FAULTY_INPUT
    lines = ran.out.splitlines()
    for start in (
        "main.csv:2: material: ",
        "main.csv:3: dn: ",
        "job.toml:3: lining.governing_document: ",
        "job.toml:3: lining.minimum_mm: ",
    ):
        assert any(line.startswith(start) for line in lines), start
    assert all(re.match(r"[\w.]+:\d+: ", line) for line in lines if ".csv" in line or ".toml" in line)


def test_json_is_the_whole_of_standard_output(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    ran = invoke(capsys, "check", write_job(tmp_path / "job", main_csv="from_m,to_m,dn,material,colour\n0,1,150,wood,red\n"), "--json")
    answer = json.loads(ran.out)
    assert ran.status == FAULTY_INPUT
    assert answer["faults"][0] == {"file": "main.csv", "line": 2, "column": "material", "text": answer["faults"][0]["text"]}
    assert "grey_iron" in answer["faults"][0]["text"]
    assert answer["not_known"] == [{"file": "main.csv", "line": 1, "name": "colour", "near": None}]
    assert answer["revision"] is None
    assert answer["assumed"] == []


def test_json_of_a_sound_folder_lists_what_is_assumed(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    answer = json.loads(invoke(capsys, "check", write_job(tmp_path / "job"), "--json").out)
    assert answer["faults"] == []
    assert len(answer["revision"]) == 64
    assert {"lining.confidence", "mortar.waste"} <= {one["what"] for one in answer["assumed"]}
    assert answer["contract_gaps"]
    assert {"warnings", "ask_first", "looks_wrong"} <= set(answer)
