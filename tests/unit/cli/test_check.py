"""``mainwright check``: faults in the form of the contract, and what is assumed."""

import json
import re
from pathlib import Path

import pytest

from mainwright.cli.statuses import DONE, FAULTY_INPUT
from tests.unit.cli.helpers import invoke, write_job


def test_a_sound_folder(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    ran = invoke(capsys, "check", write_job(tmp_path / "job"))
    assert ran.status == DONE
    assert "Mill Lane main: 260.0 m in 2 stretches" in ran.out
    assert "Faults: none" in ran.out
    assert "lining.confidence" in ran.out


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
    assert answer["unknown"] == [{"file": "main.csv", "line": 1, "name": "colour", "near": None}]
    assert answer["revision"] is None


def test_json_of_a_sound_folder_lists_what_is_assumed(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    answer = json.loads(invoke(capsys, "check", write_job(tmp_path / "job"), "--json").out)
    assert answer["faults"] == []
    assert len(answer["revision"]) == 64
    assert {"lining.confidence", "mortar.waste"} <= {one["what"] for one in answer["assumed"]}
