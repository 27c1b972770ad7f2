"""The contract's numbers beside those of the trade."""

from dataclasses import replace

import pytest

from mainwright.job.job import Job
from mainwright.plan.practice_check import compare_with_practice
from tests.unit.plan.hosts import host_of
from tests.unit.plan.small_job import small_job


def codes(job: Job) -> list[str]:
    return [one.code for one in compare_with_practice(job, host_of(job))]


def with_lining(**changes: object) -> Job:
    job = small_job()
    return replace(job, lining=replace(job.lining, **changes))  # type: ignore[arg-type]


def test_a_usual_job_is_left_alone() -> None:
    assert codes(small_job()) == []


@pytest.mark.outside(
    "Published for lining in place: 4 mm, 4 to 6, 5 to 6, 4 to 14, 3 to 40 mm per pass (UK, DE, FR, IT pages and handbook)"
)
@pytest.mark.parametrize(
    ("millimetres", "unusual"), [(3.0, False), (4.0, False), (14.0, False), (40.0, False), (2.0, True), (60.0, True), (0.006, True)]
)
def test_a_slip_in_the_unit_shows(millimetres: float, unusual: bool) -> None:
    found = codes(with_lining(nominal=millimetres / 1000.0))
    # Two sizes of pipe: one warning for each.
    assert found == (["thickness_unusual"] * 2 if unusual else [])


def test_nothing_is_reported_for_pipe_of_an_unknown_kind() -> None:
    job = with_lining(nominal=0.06)
    assert codes(replace(job, main=tuple(replace(row, material="other") for row in job.main))) == []


@pytest.mark.parametrize(
    ("document", "factory"),
    [
        ("EN 545:2010", True), ("ANSI/AWWA C104-16", True), ("AWWA C205-18", True), ("EN 10298:2005", True), ("DIN 2880:1999-01", True),
        ("AWWA C602-17", False), ("DVGW W 343", False), ("AS 1516-1980", False), ("Contract C1040, edition 2", False), ("Spec EN 5450", False),
    ],
)  # fmt: skip
def test_a_factory_standard_does_not_govern_work_in_place(document: str, factory: bool) -> None:
    assert ("factory_document" in codes(with_lining(governing_document=document))) is factory
