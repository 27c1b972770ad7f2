"""A table of waters in, answers out."""

import csv
from pathlib import Path

import pytest
from click.testing import CliRunner

from mainwright.cli.root import cli

HEAD = (
    "id,temperature_c,ph,alkalinity_mmol_l,calcium_mg_l,magnesium_mg_l,sodium_mg_l,potassium_mg_l,sulfate_mg_l,chloride_mg_l,nitrate_mg_l\n"
)
SOFT = "soft,9,7.8,0.48,8,1.2,5.1,0.6,6.5,3.9,0.8\n"


def judged(tmp_path: Path, text: str, *options: str) -> tuple[int, str, list[dict[str, str]]]:
    (tmp_path / "waters.csv").write_text(text)
    out = tmp_path / "out" / "answers.csv"
    result = CliRunner().invoke(cli, ["water", str(tmp_path / "waters.csv"), "--out", str(out), *options], standalone_mode=False)
    assert result.exception is None, result.output
    rows = list(csv.DictReader(out.read_text().splitlines())) if out.exists() else []
    return int(result.return_value or 0), result.output, rows


def test_each_water_has_its_answer(tmp_path: Path) -> None:
    code, _, (soft, bare) = judged(tmp_path, HEAD + SOFT + "bare,,,3.0,,,,,,,\n", "--lime-mmol-l", "0.2")
    assert code == 0
    assert soft["alkalinity_class"] == "to_25"
    assert float(soft["aggressive_co2_mg_l"]) == pytest.approx(float(soft["dissolution_capacity_mg_l"]) * 44.0095 / 100.087, rel=1e-6)
    assert abs(float(soft["ion_balance_percent"])) < 2.0
    assert float(soft["ph_after_lime"]) > 10.0
    # What is not known stays empty, and the class is told all the same.
    assert bare["saturation_index"] == bare["ion_balance_percent"] == ""
    assert bare["alkalinity_class"] == "over_55"


@pytest.mark.outside("PHREEQC 3 (USGS) with phreeqc.dat, package phreeqc")
def test_index_and_capacity_are_those_of_the_public_engine(tmp_path: Path) -> None:
    pytest.importorskip("phreeqc")
    from mainwright.folder.water_table import read_water_table
    from mainwright.plan.dissolved import water_rows
    from tests.unit.science.chemistry.oracle import by_phreeqc

    (tmp_path / "one.csv").write_text(HEAD + SOFT)
    table = water_rows([read_water_table(tmp_path / "one.csv").waters[0].water])
    _, _, (soft,) = judged(tmp_path, HEAD + SOFT)
    assert float(soft["saturation_index"]) == pytest.approx(by_phreeqc(table)[0, 1], abs=0.005)
    assert float(soft["dissolution_capacity_mg_l"]) == pytest.approx(by_phreeqc(table, calcite=True)[0, 2] * 100_089.4, rel=0.005)


def test_what_cannot_be_right_is_told_and_answered(tmp_path: Path) -> None:
    text = HEAD + "odd,10,7.5,5.0,5,1,5,1,5,5,1\n" + "=high,10,11.5,0.1,5,1,5,1,5,5,1\n"
    code, told, (odd, high) = judged(tmp_path, text)
    assert code == 0
    told = " ".join(told.split())
    assert "cations are missing or anions too high" in told
    assert "with this alkalinity the pH is at most" in told
    assert float(odd["ion_balance_percent"]) < -50.0
    assert high["id"] == "'=high"
    assert high["saturation_index"] == ""


def test_a_faulty_table_writes_nothing(tmp_path: Path) -> None:
    code, told, rows = judged(tmp_path, HEAD + SOFT.replace("7.8", "78") + SOFT.replace("0.48", "NaN"))
    assert code == 2
    assert "waters.csv:2: ph" in told
    assert "waters.csv:3: alkalinity_mmol_l" in told
    assert rows == []


def test_a_longer_stay_lasts_longer(tmp_path: Path) -> None:
    hour = judged(tmp_path, HEAD + SOFT)[2][0]
    day = judged(tmp_path, HEAD + SOFT, "--contact-hours", "24")[2][0]
    assert float(day["weeks_over_ph_9_5"]) > float(hour["weeks_over_ph_9_5"])
