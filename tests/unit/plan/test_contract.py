"""What the contract must still say."""

from dataclasses import replace
from datetime import date

import pytest

from mainwright.job.job import Job
from mainwright.job.lining import Acceptance, Curing, LiningValues, PressureTest, SupplySpec
from mainwright.job.office import Permit
from mainwright.plan.contract import contract_gaps
from tests.unit.plan.small_job import small_job


def codes(job: Job) -> list[str]:
    return [gap.code for gap in contract_gaps(job)]


def full_job() -> Job:
    return small_job(
        acceptance=Acceptance(("consumption", "end_readings", "specimens", "camera"), 4, 30e6, 28 * 86400.0),
        curing=Curing(86400.0),
        test=PressureTest("own", 6e5),
        supply=SupplySpec(1.5e5, "both", "fixture units", 0.013),
        permits=(Permit("P1", 0.0, 300.0, "Mill Street", date(2026, 4, 13), date(2026, 5, 1), "07-18", 3, 600.0, 1500.0),),
    )


ANSWERABLE = ("evidence", "cure_to_fill", "test_rule", "test_pressure", "supply_rule", "fire", "permits")


def test_a_bare_job_is_asked_and_a_full_one_less() -> None:
    bare, full = codes(small_job()), codes(full_job())
    assert set(ANSWERABLE) <= set(bare)
    assert not set(ANSWERABLE) & set(full)
    assert set(full) < set(bare)
    assert len(set(bare)) == len(bare)


def test_what_no_file_can_answer_is_always_asked() -> None:
    for wanted in ("who_measures", "water_quality", "obstruction", "deductions", "relining", "disposal", "dialysis", "hygiene", "video"):
        assert wanted in codes(full_job())


@pytest.mark.parametrize(
    ("text", "gaps"),
    [
        ("AWWA C602", {"edition"}),
        ("AWWA C602-17", set()),
        ("EN 1508:1998", set()),
        ("Specification ML-4, third edition 2024", set()),
        ("Contract 12, revision B", set()),
        ("tbd", {"document", "edition"}),
        ("", {"document", "edition"}),
    ],
)
def test_document_and_edition(text: str, gaps: set[str]) -> None:
    job = small_job()
    found = set(codes(replace(job, lining=replace(job.lining, governing_document=text))))
    assert found & {"document", "edition"} == gaps


def test_a_value_may_come_by_size_if_it_does_so_everywhere() -> None:
    job = small_job()
    lining = replace(job.lining, maximum=None)
    assert "maximum" in codes(replace(job, lining=lining))
    part = replace(lining, by_dn=(LiningValues(80, 150, None, maximum=0.008),))
    assert "maximum" in codes(replace(job, lining=part))
    whole = replace(lining, by_dn=(LiningValues(80, 150, None, maximum=0.008), LiningValues(200, 200, "grey_iron", maximum=0.01)))
    assert "maximum" not in codes(replace(job, lining=whole))


def test_evidence_brings_its_own_questions() -> None:
    job = replace(full_job(), acceptance=Acceptance(("end_readings", "specimens"), None, None, None))
    assert {"readings", "strength"} <= set(codes(job))
    assert "video" not in codes(job)
    assert not {"readings", "strength"} & set(codes(replace(job, acceptance=Acceptance(("camera",)))))


def test_a_default_finish_is_asked_for() -> None:
    assert "finish" not in codes(small_job())
    assert "finish" in codes(small_job(defaulted=("lining.finish",)))
