"""The lining as it was built, for the client's own map."""

import csv
import io
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pyogrio.raw  # type: ignore[import-untyped]
import pytest

from mainwright.demo.records import demo_records
from mainwright.folder.records import read_record_files
from mainwright.paper.as_built_files import as_built_csv, write_as_built_map
from mainwright.prove.proof import Proof, prove
from tests.unit.prove.demo_plan import demo_plan


@pytest.fixture(scope="module")
def proof() -> Proof:
    plan = demo_plan()
    records = read_record_files(demo_records(plan.job, plan.runs)).records
    return prove(plan.job, runs=plan.runs, stretches=plan.stretches, records=records, issued=None)


def test_the_rows_cover_what_was_lined_without_overlap(proof: Proof) -> None:
    rows = list(csv.DictReader(io.StringIO(as_built_csv(proof, demo_plan().stretches).decode())))
    spans = [(float(row["from_m"]), float(row["to_m"])) for row in rows]
    assert sum(high - low for low, high in spans) == pytest.approx(1236.0)
    assert all(before[1] <= after[0] + 1e-9 for before, after in pairwise(spans))
    assert {row["material"] for row in rows} == {"steel", "grey_iron", "ductile_iron"}
    assert all(row["lined_on"].startswith("2026-05-") for row in rows)
    for row in rows:
        assert float(row["bore_lined_mm"]) == pytest.approx(float(row["bore_clean_mm"]) - 2.0 * float(row["thickness_mean_mm"]))


def test_a_run_without_a_record_is_not_said_to_be_lined(proof: Proof) -> None:
    bare = replace(proof, runs=tuple(replace(one, done=(), laid=None) for one in proof.runs))
    assert as_built_csv(bare, demo_plan().stretches).count(b"\n") == 1


def test_the_map_has_lines_of_the_right_length(proof: Proof, tmp_path: Path) -> None:
    plan = demo_plan()
    assert write_as_built_map(proof, plan.stretches, tmp_path / "a.gpkg")
    meta, _, geometry, data = pyogrio.raw.read(tmp_path / "a.gpkg", layer="lining")
    fields = dict(zip(meta["fields"], data, strict=True))
    assert len(geometry) == len(fields["run"])
    _, _, bad, wrong = pyogrio.raw.read(tmp_path / "a.gpkg", layer="not_as_asked")
    assert len(bad) == 3
    assert list(wrong[1]) == ["thin", "thin", "silent"]
    assert meta["crs"] == plan.job.alignment.crs  # type: ignore[union-attr]


def test_the_same_proof_gives_the_same_map(proof: Proof, tmp_path: Path) -> None:
    plan = demo_plan()
    for name in ("a.gpkg", "b.gpkg"):
        write_as_built_map(proof, plan.stretches, tmp_path / name)
    assert (tmp_path / "a.gpkg").read_bytes() == (tmp_path / "b.gpkg").read_bytes()


def test_without_a_line_there_is_no_map(proof: Proof, tmp_path: Path) -> None:
    bare = replace(proof, job=replace(proof.job, alignment=None))
    assert not write_as_built_map(bare, demo_plan().stretches, tmp_path / "a.gpkg")
    assert not (tmp_path / "a.gpkg").exists()
