"""The command ``water``."""

import csv
import json
from pathlib import Path

import pytest

from tests.unit.cli.helpers import invoke

TABLE = """id,temperature_c,ph,alkalinity_mmol_l,calcium_mg_l,magnesium_mg_l,sodium_mg_l,sulfate_mg_l,chloride_mg_l
Soft spring,8,7.2,0.2,3,0.5,2,3,3
Well 2,11,7.4,4.1,80,10,9,35,18
Unbalanced,10,7.8,2.0,90,20,30,0,0
Nothing,,,,,,,,
"""


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_row_is_answered(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, out = tmp_path / "waters.csv", tmp_path / "out.csv"
    table.write_text(TABLE, encoding="utf-8")
    ran = invoke(capsys, "water", table, "--out", out)
    assert ran.status == 0
    assert ran.out == ""
    rows = _rows(out)
    assert list(rows[0]) == [
        "id",
        "saturation_index",
        "dissolution_capacity_mg_l",
        "aggressive_co2_mg_l",
        "ion_balance_percent",
        "alkalinity_class",
        "weeks_over_ph_9_5_low",
        "weeks_over_ph_9_5",
        "weeks_over_ph_9_5_high",
    ]
    assert [row["id"] for row in rows] == ["Soft spring", "Well 2", "Unbalanced", "Nothing"]
    assert [row["alkalinity_class"] for row in rows] == ["to_25", "over_55", "over_55", ""]
    assert rows[3]["saturation_index"] == rows[3]["weeks_over_ph_9_5"] == ""
    assert float(rows[0]["weeks_over_ph_9_5"]) > float(rows[1]["weeks_over_ph_9_5"])
    assert "Unbalanced: Ion balance" in ran.err
    assert "dialysis" in ran.err


def test_lime_and_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, out = tmp_path / "waters.csv", tmp_path / "out.csv"
    table.write_text(TABLE, encoding="utf-8")
    ran = invoke(capsys, "water", table, "--out", out, "--lime-mmol-l", "0.1", "--contact-hours", "6", "--bore-mm", "150", "--json")
    answer = json.loads(ran.out)["waters"]
    assert float(_rows(out)[0]["ph_after_lime"]) == pytest.approx(answer[0]["ph_after_lime"])
    assert answer[2]["notes"]


def test_faults_are_told_all_at_once_and_nothing_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, out = tmp_path / "waters.csv", tmp_path / "out.csv"
    table.write_text("id,ph,alkalinity_mmol_l\nA,17,1\nB,7,-1\n", encoding="utf-8")
    ran = invoke(capsys, "water", table, "--out", out)
    assert ran.status == 2
    assert "waters.csv:2: ph" in ran.err
    assert "waters.csv:3: alkalinity_mmol_l" in ran.err
    assert not out.exists()


@pytest.mark.parametrize(
    ("option", "given"), [("--contact-hours", "0"), ("--bore-mm", "-5"), ("--lime-mmol-l", "-1"), ("--lime-mmol-l", "nan")]
)
def test_numbers_that_cannot_be(option: str, given: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "waters.csv"
    table.write_text(TABLE, encoding="utf-8")
    ran = invoke(capsys, "water", table, "--out", tmp_path / "out.csv", option, given)
    assert ran.status == 2
    assert option in ran.err


def test_the_table_is_not_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "waters.csv"
    table.write_text(TABLE, encoding="utf-8")
    assert invoke(capsys, "water", table, "--out", table).status == 2
    assert table.read_text(encoding="utf-8") == TABLE
