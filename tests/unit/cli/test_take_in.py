"""``mainwright take-in``: an inventory to a job folder, and what it may overwrite."""

import json
import math
import struct
from pathlib import Path

import numpy as np
import pytest

from mainwright.cli.statuses import DONE, FAULTY_INPUT
from mainwright.folder.reading import read_folder
from tests.unit.cli.helpers import invoke

PIPES = "MAIN,FROM,TO,DIAM,MAT\nM1,0,10,150,CI\nM1,12,20,150,CI\nM1,20,30,150,??\nM2,0,5,80,CI\n"
MAPPING = """
[inventory]
main_column = "MAIN"
[main.columns]
from_m = "FROM"
to_m = "TO"
dn = "DIAM"
material = { column = "MAT", values = { CI = "grey_iron" } }
"""
LINING = """
[lining]
governing_document = "Works specification (invented)"
nominal_mm = 6.0
minimum_mm = 4.0
"""


@pytest.fixture
def inventory(tmp_path: Path) -> Path:
    (tmp_path / "pipes.csv").write_text(PIPES)
    (tmp_path / "mapping.toml").write_text(MAPPING)
    return tmp_path


def _arguments(folder: Path, *more: str) -> list[str]:
    out = ["take-in", f"{folder}/pipes.csv", "--mapping", f"{folder}/mapping.toml", "--out", f"{folder}/job", "--main", "M1"]
    return [*out, *more]


def test_a_job_folder_and_what_it_lacks(capsys: pytest.CaptureFixture[str], inventory: Path) -> None:
    ran = invoke(capsys, *_arguments(inventory))
    assert ran.status == DONE
    assert "Main M1: 30.0 m taken in" in ran.out
    assert "no pipe is recorded from 10.00 m to 12.00 m" in ran.out
    assert "the mapping does not say what `??` is" in ran.out
    assert "lining.governing_document" in ran.out
    assert "mainwright check" in ran.err
    read = read_folder(inventory / "job")
    assert {fault.column for fault in read.faults} == {"lining.governing_document", "lining.nominal_mm", "lining.minimum_mm"}
    report = (inventory / "job" / "take_in.report.txt").read_text()
    assert "no pipe is recorded" in report


def test_with_the_lining_the_folder_is_ready(capsys: pytest.CaptureFixture[str], inventory: Path) -> None:
    (inventory / "mapping.toml").write_text(MAPPING + LINING)
    ran = invoke(capsys, *_arguments(inventory))
    assert "To be filled in" not in ran.out
    read = read_folder(inventory / "job")
    assert read.faults == ()
    assert read.job is not None
    assert [stretch.end for stretch in read.job.main] == [10, 12, 20, 30]


def test_json(capsys: pytest.CaptureFixture[str], inventory: Path) -> None:
    ran = invoke(capsys, *_arguments(inventory, "--json"))
    answer = json.loads(ran.out)
    assert answer["length_m"] == 30.0
    assert {one["code"] for one in answer["noted"]} == {"gap", "unknown_code", "material"}
    assert len(answer["still_to_do"]) == 3
    assert (
        answer
        == json.loads((inventory / "job" / "take_in.report.json").read_text())
        | {
            "folder": str(inventory / "job"),
            "still_to_do": answer["still_to_do"],
        }
        or "files" not in answer
    )


def test_again_after_a_change_of_the_mapping_but_not_over_what_was_edited(capsys: pytest.CaptureFixture[str], inventory: Path) -> None:
    invoke(capsys, *_arguments(inventory))
    (inventory / "job" / "plant.toml").write_text("")
    (inventory / "mapping.toml").write_text(MAPPING + LINING)
    assert invoke(capsys, *_arguments(inventory)).status == DONE
    job = inventory / "job" / "job.toml"
    job.write_text(job.read_text() + "\n[shift]\nhours = 8.0\n")
    before = {path.name: path.read_bytes() for path in (inventory / "job").iterdir()}
    ran = invoke(capsys, *_arguments(inventory))
    assert ran.status == FAULTY_INPUT
    assert "job.toml" in ran.err
    assert {path.name: path.read_bytes() for path in (inventory / "job").iterdir()} == before


def test_the_same_input_gives_the_same_bytes(capsys: pytest.CaptureFixture[str], inventory: Path) -> None:
    invoke(capsys, *_arguments(inventory))
    first = {path.name: path.read_bytes() for path in (inventory / "job").iterdir()}
    (inventory / "job").rename(inventory / "first")
    invoke(capsys, *_arguments(inventory))
    assert {path.name: path.read_bytes() for path in (inventory / "job").iterdir()} == first


def test_faults_of_the_mapping_are_told_with_its_name(capsys: pytest.CaptureFixture[str], inventory: Path) -> None:
    (inventory / "mapping.toml").write_text(MAPPING.replace("dn =", "diameter ="))
    ran = invoke(capsys, *_arguments(inventory))
    assert ran.status == FAULTY_INPUT
    assert "mapping.toml:7: main.columns.diameter: main.csv has no column diameter" in ran.err
    assert "mapping.toml:4: main.columns.dn: wanted" in ran.err
    assert not (inventory / "job").exists()


def test_a_layer_gives_order_chainage_and_map(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    from pyogrio.raw import write  # type: ignore[import-untyped]

    def line(*points: tuple[float, float]) -> bytes:
        return struct.pack("<BII", 1, 2, len(points)) + b"".join(struct.pack("<2d", *point) for point in points)

    write(
        tmp_path / "network.gpkg",
        np.array([line((0, 0), (50, 0)), line((100, 40), (100, 0)), line((50, 0), (100, 0)), line((0, 0), (0, 9))], dtype=object),
        [np.array(["M1", "M1", "M1", "M2"], dtype=object), np.array([150, 200, 150, 80]), np.array(["CI", "DI", "CI", "CI"], dtype=object)],
        ["MAIN", "DIAM", "MAT"],
        geometry_type="LineString",
        crs="EPSG:25832",
    )
    (tmp_path / "mapping.toml").write_text(
        '[inventory]\nmain_column = "MAIN"\n[main]\norder = "geometry"\n[main.columns]\ndn = "DIAM"\n'
        'material = { column = "MAT", values = { CI = "grey_iron", DI = "ductile_iron" } }\n[geometry]\nbends_from_deg = 5\n' + LINING
    )
    command: list[str | Path] = [
        "take-in",
        tmp_path / "network.gpkg",
        "--mapping",
        tmp_path / "mapping.toml",
        "--out",
        tmp_path / "job",
        "--main",
        "M1",
    ]
    ran = invoke(capsys, *command)
    assert ran.status == DONE, ran.err
    job = read_folder(tmp_path / "job").job
    assert job is not None
    assert [(one.start, one.end, one.dn, one.material) for one in job.main] == [
        (0, 50, 150, "grey_iron"),
        (50, 100, 150, "grey_iron"),
        (100, 140, 200, "ductile_iron"),
    ]
    (bend,) = job.features
    assert (bend.kind, bend.chainage) == ("bend", 100)
    assert bend.angle == pytest.approx(math.pi / 2)
    assert job.alignment is not None
    assert job.alignment.points == ((0, 0), (50, 0), (100, 0), (100, 40))
    assert "25832" in (job.alignment.crs or "")


def test_a_main_that_is_not_there_is_told_with_those_that_are(capsys: pytest.CaptureFixture[str], inventory: Path) -> None:
    ran = invoke(capsys, *_arguments(inventory)[:-1], "M9")
    assert ran.status == FAULTY_INPUT
    assert "M1, M2" in ran.err
    assert not (inventory / "job").exists()
    ran = invoke(capsys, *_arguments(inventory)[:-2])
    assert ran.status == FAULTY_INPUT
    assert "M1, M2" in ran.err


def test_a_table_that_cannot_be_read_leaves_nothing(capsys: pytest.CaptureFixture[str], inventory: Path) -> None:
    (inventory / "pipes.csv").write_text("")
    ran = invoke(capsys, *_arguments(inventory))
    assert ran.status == FAULTY_INPUT
    assert "a header row" in ran.err
    assert not (inventory / "job").exists()
