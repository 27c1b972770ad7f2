"""The invented job: its files, its copy, and what its survey is meant to show."""

import csv
import io
import json
import math
import tomllib
from itertools import pairwise
from pathlib import Path

import pytest

from mainwright.demo.job import demo_files, write_demo
from mainwright.errors import InputError
from mainwright.folder.reading import read_folder
from mainwright.folder.writing import folder_bytes

MG_PER_MMOL_OF_CHARGE = {
    "calcium_mg_l": 40.078 / 2,
    "magnesium_mg_l": 24.305 / 2,
    "sodium_mg_l": 22.990,
    "potassium_mg_l": 39.098,
    "ammonium_mg_l": 18.039,
    "sulfate_mg_l": -96.06 / 2,
    "chloride_mg_l": -35.453,
    "nitrate_mg_l": -62.004,
}
"""Molar masses by charge, from the IUPAC standard atomic weights; negative for anions."""


def rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(demo_files()[name].decode("utf-8"))))


def numbers(name: str, column: str) -> list[float]:
    return [float(row[column]) for row in rows(name) if row[column]]


def test_the_copy_is_the_folder(tmp_path: Path) -> None:
    written = write_demo(tmp_path / "marrowby")
    assert {path.name: path.read_bytes() for path in written} == demo_files()
    assert write_demo(tmp_path / "marrowby") == written, "an untouched copy may be written again"


def test_nobodys_work_is_written_over(tmp_path: Path) -> None:
    write_demo(tmp_path)
    edited = tmp_path / "main.csv"
    edited.write_text("mine\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"main\.csv"):
        write_demo(tmp_path)
    assert edited.read_text(encoding="utf-8") == "mine\n"


def test_the_folder_is_without_fault_and_canonical(tmp_path: Path) -> None:
    write_demo(tmp_path / "marrowby")
    read = read_folder(tmp_path / "marrowby")
    assert read.faults == ()
    assert read.warnings == ()
    assert read.unknown == ()
    assert read.document is not None
    assert dict(sorted(folder_bytes(read.document).items())) == demo_files()


def test_the_main_is_whole() -> None:
    stretches = [(float(row["from_m"]), float(row["to_m"])) for row in rows("main.csv")]
    assert stretches[0][0] == 0.0
    assert all(before[1] == after[0] for before, after in pairwise(stretches))
    end = stretches[-1][1]
    assert 1100.0 < end < 1300.0
    ground = [(float(row["from_m"]), float(row["to_m"])) for row in rows("ground.csv")]
    assert (ground[0][0], ground[-1][1]) == (0.0, end)
    assert all(before[1] == after[0] for before, after in pairwise(ground))
    assert (numbers("levels.csv", "chainage_m")[0], numbers("levels.csv", "chainage_m")[-1]) == (0.0, end)


def test_pipe_lies_at_its_cover() -> None:
    ground, main = rows("ground.csv"), rows("main.csv")
    for row in rows("levels.csv"):
        chainage = float(row["chainage_m"])
        covers = [float(g["cover_m"]) for g in ground if float(g["from_m"]) <= chainage <= float(g["to_m"])]
        radius = max(int(s["dn"]) for s in main if float(s["from_m"]) <= chainage <= float(s["to_m"])) / 2000.0
        depth = float(row["ground_m"]) - float(row["pipe_m"])
        if chainage == 1140.0:  # the bed of the brook lies lower than its banks
            continue
        assert min(covers) + 0.05 < depth < max(covers) + radius + 0.05


def test_the_line_on_the_map_is_as_long_as_the_main_and_turns_at_its_bends() -> None:
    line = json.loads(demo_files()["alignment.geojson"])["features"][0]["geometry"]["coordinates"]
    legs = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line)]
    assert sum(math.hypot(*leg) for leg in legs) == pytest.approx(numbers("main.csv", "to_m")[-1], abs=0.1)
    turns = [abs(math.degrees(math.remainder(math.atan2(b[1], b[0]) - math.atan2(a[1], a[0]), math.tau))) for a, b in pairwise(legs)]
    assert turns == pytest.approx([float(row["angle_deg"]) for row in rows("features.csv") if row["kind"] == "bend"], abs=0.1)


def test_the_water_is_soft_and_in_balance() -> None:
    water = tomllib.loads(demo_files()["water.toml"].decode("utf-8"))["water"]
    charges = [water[name] / mass for name, mass in MG_PER_MMOL_OF_CHARGE.items()]
    cations = sum(charge for charge in charges if charge > 0)
    anions = water["alkalinity_mmol_l"] - sum(charge for charge in charges if charge < 0)
    assert abs(cations - anions) / (cations + anions) < 0.02
    assert water["alkalinity_mmol_l"] * 50.04 == pytest.approx(24.0, abs=0.1)  # mg/l as CaCO3


def test_the_survey_holds_what_a_planner_must_meet() -> None:
    assert {150, 200, 300, 400} == {int(row["dn"]) for row in rows("main.csv")}
    assert {"grey_iron", "steel"} <= {row["material"] for row in rows("main.csv")}
    kinds = {row["kind"] for row in rows("features.csv")}
    assert {"bend", "gate_valve", "tee", "hydrant", "air_valve", "washout", "reducer", "branch"} <= kinds
    angles = numbers("features.csv", "angle_deg")
    assert any(angle > 22.5 for angle in angles)
    assert any(angle <= 22.5 for angle in angles)
    assert {row["surface"] for row in rows("ground.csv") if row["dig"] == "no"} == {"railway", "paved_square", "watercourse"}
    services = rows("services.csv")
    assert 55 <= len(services) <= 65
    assert {"dwelling", "shop", "school", "dialysis", "fire_line"} <= {row["use"] for row in services}
    assert "lead" in {row["material"] for row in services}
    assert len({row["ref"] for row in services}) == len(services)


def test_prices_are_three_point() -> None:
    for row in rows("prices.csv"):
        assert float(row["low"]) <= float(row["rate"]) <= float(row["high"])
