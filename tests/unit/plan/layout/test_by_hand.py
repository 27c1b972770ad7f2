"""Openings that somebody fixed or ruled out, and the layout that the job asks for."""

from dataclasses import replace

import pytest

from mainwright.job.document import document_from_job, job_from_document
from mainwright.job.survey import OpeningChoice
from mainwright.plan.host import resolve_host
from mainwright.plan.layout.check import check_layout
from mainwright.plan.layout.choose import choose_layout
from tests.unit.plan.layout.jobs import BASE, prices, with_runs

JOB = replace(with_runs(BASE, max_length=100.0), prices=prices(set_up_run=500.0, opening_verge=1000.0))


def _opened(choices: tuple[OpeningChoice, ...]) -> list[float]:
    job = replace(JOB, openings=choices)
    host = resolve_host(job)
    found = choose_layout(job, host, prices_of_limits=False)
    assert check_layout(job, host, found) == ()
    return [one.chainage for one in found.openings]


def test_what_is_fixed_is_opened_and_what_is_ruled_out_is_not() -> None:
    assert _opened(()) == [0.0, 100.0, 200.0, 300.0]
    assert _opened((OpeningChoice(100.0, "forbidden"),)) != _opened(())
    assert 100.0 not in _opened((OpeningChoice(100.0, "forbidden"),))
    assert 143.2 in _opened((OpeningChoice(143.2, "locked"),))


def test_the_check_sees_a_choice_that_is_not_kept() -> None:
    host = resolve_host(JOB)
    found = choose_layout(JOB, host, prices_of_limits=False)
    told = check_layout(replace(JOB, openings=(OpeningChoice(143.2, "locked"), OpeningChoice(100.0, "forbidden"))), host, found)
    assert [one.split(",")[0] for one in told] == ["no opening at 143.2", "an opening at 100"]


@pytest.mark.parametrize("choose", ["least_cost", "fewest_openings", "shortest_closing"])
def test_the_job_says_which_layout(choose: str) -> None:
    job = with_runs(JOB, choose=choose)  # type: ignore[arg-type]
    host = resolve_host(job)
    found = choose_layout(job, host)
    wanted = next(one for one in found.alternatives if one.name == choose)
    assert found.total_cost == pytest.approx(wanted.total_cost)
    assert tuple(one.chainage for one in found.openings) == wanted.openings
    assert [one.name for one in found.alternatives] == ["least_cost", "fewest_openings", "shortest_closing"]


def test_choices_go_through_the_document() -> None:
    job = replace(with_runs(JOB, choose="fewest_openings"), openings=(OpeningChoice(143.2, "locked", "gate of the yard"),))  # type: ignore[arg-type]
    again = job_from_document(document_from_job(job))
    assert again.openings == job.openings
    assert again.runs.choose == "fewest_openings"
