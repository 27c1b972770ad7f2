"""The command ``giveback``."""

import json
import shutil
from pathlib import Path

import pytest

import mainwright
from tests.unit.cli.helpers import invoke

DEMO = Path(mainwright.__file__).parent / "demo" / "marrowby"


def test_papers_and_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = invoke(capsys, "giveback", DEMO, "--out", tmp_path / "out", "--json")
    assert ran.status == 0
    assert sorted(one.name for one in (tmp_path / "out").iterdir()) == ["giveback.json", "giveback.pdf", "notices.pdf"]
    assert (tmp_path / "out" / "giveback.json").read_text(encoding="utf-8") == ran.out
    found = json.loads(ran.out)
    section = found["return_to_service"]
    assert section["fill_from_h"] >= 24.0
    assert section["give_back_h"] == pytest.approx(max(one["give_back_h"] for one in section["blocks"]))
    assert {"mortar_and_chlorine", "thrust", "dialysis"} <= {one["code"] for one in found["warnings"]}
    assert [one["need"] for one in section["notices"]].count("dialysis") == 1


def test_a_plain_answer_and_letters_in_another_language(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job"
    shutil.copytree(DEMO, job)
    text = (job / "job.toml").read_text(encoding="utf-8")
    (job / "job.toml").write_text(text.split("[giving_back]", maxsplit=1)[0], encoding="utf-8")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("kept", encoding="utf-8")
    ran = invoke(capsys, "giveback", job, "--out", tmp_path / "out", "--language", "de", "--strict")
    assert ran.status == 1
    assert "giving_back.laboratory_hours" in " ".join(ran.out.split())
    assert (tmp_path / "out" / "mine.txt").exists()
    (job / "services.csv").unlink()
    assert invoke(capsys, "giveback", job, "--out", tmp_path / "out").status == 0
    assert not (tmp_path / "out" / "notices.pdf").exists()


def test_a_faulty_job_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job"
    shutil.copytree(DEMO, job)
    with (job / "job.toml").open("a", encoding="utf-8") as file:
        file.write("sample_rounds = 0\n")
    text = (job / "job.toml").read_text(encoding="utf-8").replace("sample_rounds = 2\n", "")
    (job / "job.toml").write_text(text, encoding="utf-8")
    ran = invoke(capsys, "giveback", job, "--out", tmp_path / "out")
    assert ran.status == 2
    assert "sample_rounds" in ran.err
    assert not (tmp_path / "out").exists()


def test_who_released_the_main_is_read_from_the_signatures(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job"
    shutil.copytree(DEMO, job)
    first = json.loads(invoke(capsys, "giveback", job, "--out", tmp_path / "out", "--json").out)["release"]
    assert (first["verdict"], first["may_be_used"], first["needs_reason"]) == ("not_signed", False, True)
    records = job / "records"
    records.mkdir()
    head = "what,run,decision,name,role,verdict,state,note,time\n"
    row = f"water,,accepts,J. Osier,client,missing,{first['state']},{{}},2026-07-01T12:00:00+02:00\n"
    (records / "signatures.csv").write_text(head + row.format(""), encoding="utf-8")
    bare = json.loads(invoke(capsys, "giveback", job, "--out", tmp_path / "out", "--json").out)["release"]
    assert (bare["verdict"], bare["may_be_used"]) == ("no_reason", False)
    (records / "signatures.csv").write_text(head + row.format("") + row.format("hospital without water"), encoding="utf-8")
    ran = invoke(capsys, "giveback", job, "--out", tmp_path / "out")
    assert "hospital without water" in " ".join(ran.out.split())
    told = json.loads((tmp_path / "out" / "giveback.json").read_text(encoding="utf-8"))["release"]
    assert (told["verdict"], told["signed"]["name"], told["signed"]["for_this_state"]) == ("with_reason", "J. Osier", True)


def test_a_fault_in_the_records_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job"
    shutil.copytree(DEMO, job)
    (job / "records").mkdir()
    (job / "records" / "signatures.csv").write_text(
        "what,decision,name,time\nwater,maybe,J. Osier,2026-07-01T12:00:00+02:00\n", encoding="utf-8"
    )
    ran = invoke(capsys, "giveback", job, "--out", tmp_path / "out")
    assert ran.status == 2
    assert "decision" in ran.err
    assert not (tmp_path / "out").exists()
