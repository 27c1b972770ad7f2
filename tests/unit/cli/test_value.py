"""The command ``value``."""

import json
import shutil
from pathlib import Path

import pytest

import mainwright
from tests.unit.cli.helpers import invoke

DEMO = Path(mainwright.__file__).parent / "demo" / "marrowby"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Return the invented job with two rows of records."""
    folder = tmp_path / "job"
    shutil.copytree(DEMO, folder)
    records = folder / "records"
    records.mkdir()
    (records / "quantities.csv").write_text(
        "item,time,quantity,unit,signed_by,time_signed\n"
        "traffic_day,2026-05-04T15:00:00+02:00,2,day,clerk,2026-05-04T16:00:00+02:00\n"
        "traffic_day,2026-05-06T15:00:00+02:00,1,day,,\n",
        encoding="utf-8",
    )
    return folder


def test_papers_and_answer(tmp_path: Path, job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = invoke(capsys, "value", job, "--out", tmp_path / "out", "--json")
    assert ran.status == 0
    assert sorted(one.name for one in (tmp_path / "out").iterdir()) == ["valuation.json", "valuation.pdf", "valuation.xlsx"]
    assert (tmp_path / "out" / "valuation.json").read_text(encoding="utf-8") == ran.out
    found = json.loads(ran.out)
    assert found["sums"]["gross"] == 2 * 600.0
    assert len(found["not_in_sum"]) == 1


def test_until_and_strict(tmp_path: Path, job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert invoke(capsys, "value", job, "--out", tmp_path / "a", "--strict").status == 1
    ran = invoke(capsys, "value", job, "--out", tmp_path / "b", "--strict", "--until", "2026-05-05")
    assert ran.status == 0
    assert "1,140.00" in ran.out


def test_wrong_keys_of_the_rules_are_named(tmp_path: Path, job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (job / "job.toml").read_text(encoding="utf-8")
    text = text.replace('fittings = "included"', 'fittings = "deducted"\nroundin_m = 0.1').replace(
        'redone = "not_paid"', 'redone = "never"'
    )
    (job / "job.toml").write_text(text, encoding="utf-8")
    ran = invoke(capsys, "value", job, "--out", tmp_path / "out")
    assert ran.status == 2
    assert "measurement.fitting_length_m" in ran.err or "fitting_length_m" in ran.err
    assert "redone" in ran.err
    assert not (tmp_path / "out").exists()
    checked = invoke(capsys, "check", job)
    assert "roundin_m" in checked.out + checked.err
