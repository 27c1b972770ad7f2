"""The client's file."""

from dataclasses import replace

import pytest

from mainwright.demo.job import demo_files
from mainwright.folder.reading import read_files
from mainwright.folder.records import read_record_files
from mainwright.paper.handover_job import spans
from mainwright.paper.handover_pdf import evidence_pages, handover_pages, render_evidence, render_handover
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.prove.measured import unproven
from mainwright.prove.proof import Proof, prove
from tests.unit.prove.records import csv_bytes, drive


@pytest.fixture(scope="module")
def both() -> tuple[Plan, Proof]:
    job = read_files(demo_files()).job
    assert job is not None
    plan = make_plan(job)
    run = plan.runs[0]
    stall = lambda way: (1.0, 0.3) if 30.0 <= way < 44.0 else (1.0, 1.0)  # noqa: E731
    found = read_record_files({f"run_{run.id}.csv": csv_bytes(drive(run, stall))})
    assert found.faults == ()
    return plan, prove(job, runs=plan.runs, stretches=plan.stretches, records=found.records, issued=None)


@pytest.mark.parametrize(("language", "units"), [("en", "metric"), ("de", "metric"), ("en", "us")])
def test_verdicts_come_first_and_every_run_is_there(both: tuple[Plan, Proof], language: str, units: str) -> None:
    plan, proof = both
    job = replace(proof.job, info=replace(proof.job.info, language=language, units=units))  # type: ignore[arg-type]
    pages = handover_pages(replace(proof, job=job), plan.stretches)
    blocks = pages["blocks"]
    assert isinstance(blocks, list)
    assert blocks[0]["kind"] == "heading"
    text = str([pages["summary"], blocks])
    assert all(run.id in text for run in plan.runs)
    assert sum(block["kind"] == "figure" for block in blocks) == 2
    if language == "en":
        assert "does not meet the entered requirements" in text
        assert "accepted" not in text


def test_the_same_proof_gives_the_same_bytes(both: tuple[Plan, Proof]) -> None:
    plan, proof = both
    first = render_handover(proof, plan.stretches)
    assert first.startswith(b"%PDF")
    assert b"<pdfaid:part>2<" in first
    assert first == render_handover(proof, plan.stretches)


def test_neighbouring_records_are_one_span() -> None:
    assert spans(["a.csv:1", "a.csv:2", "a.csv:3", "a.csv:7", "b.csv:8"]) == ["a.csv:1–3", "a.csv:7", "b.csv:8"]
    assert spans([]) == []


def test_the_evidence_sheet_of_a_run_stands_alone(both: tuple[Plan, Proof]) -> None:
    plan, proof = both
    pages = evidence_pages(proof, plan.runs[0].id, plan.stretches)
    text = str(pages)
    assert pages["contents"] == ""
    assert proof.records[:16] in str(pages["footer"])
    assert "Supervisor" in text
    assert render_evidence(proof, plan.runs[0].id, plan.stretches).startswith(b"%PDF")


def test_that_nobody_has_signed_a_run_is_one_row_of_its_parts(both: tuple[Plan, Proof]) -> None:
    plan, proof = both
    blocks = evidence_pages(proof, plan.runs[0].id, plan.stretches)["blocks"]
    assert isinstance(blocks, list)
    assert [one["kind"] for one in blocks if "Not signed yet." in str(one)] == ["table"]


def test_what_no_record_shows_stands_apart_from_what_is_measured(both: tuple[Plan, Proof]) -> None:
    plan, proof = both
    bare = replace(proof, unproven=unproven(plan.bill, proof.measured))
    text = str(handover_pages(bare, plan.stretches)["blocks"])
    assert "Without proof: not to be claimed as it is" in text
    assert {one.item for one in bare.unproven} >= {"lining_dn300", "set_up_run"}
    assert all(one.proven < one.planned for one in bare.unproven)
