"""Dangers by place of work."""

from dataclasses import replace

import pytest

from mainwright.job.job import Job
from mainwright.job.lining import Curing, PressureTest
from mainwright.job.survey import Feature, Service
from mainwright.job.water import WaterAnalysis
from mainwright.plan.cautions import for_opening, for_plan, for_run
from mainwright.plan.result import Caution
from mainwright.words.wording import word
from tests.unit.plan.hosts import host_of, with_row
from tests.unit.plan.small_job import small_job


def codes(found: tuple[Caution, ...]) -> list[str]:
    return [one.code for one in found]


def text(found: tuple[Caution, ...], code: str) -> str:
    return word(next(one for one in found if one.code == code).text, language="en", units="metric")


def run(job: Job) -> tuple[Caution, ...]:
    return for_run(job, host_of(job), start=0.0, end=120.0, rope=job.plant.ropes[0])


def plan(job: Job) -> tuple[Caution, ...]:
    return for_plan(job, host_of(job))


def test_every_place_has_its_cautions() -> None:
    job = small_job()
    opening = for_opening(job, host_of(job), chainage=120.0, surface="carriageway", cover=1.4)
    assert {"trench", "traffic", "cut_ends", "fumes", "other_lines"} <= set(codes(opening))
    assert {"rope", "hose", "jetting", "compressed_air", "blow_back", "wet_cement", "silica", "isolation"} <= set(codes(run(job)))
    whole = {"local_codes", "hygiene", "dialysis", "lead", "soft_water", "dead_ends", "pressure_test", "chlorine", "quick_return"}
    assert whole <= set(codes(plan(job)))


def test_no_code_stands_twice_in_one_place_and_no_place_is_left_open() -> None:
    job = small_job(test=PressureTest("own", 6e5), curing=Curing(12 * 3600.0))
    places = (run(job), plan(job), for_opening(job, host_of(job), chainage=0.0, surface="private", cover=None))
    for found in places:
        assert len(set(codes(found))) == len(found)
        for one in found:
            shown = word(one.text, language="en", units="metric")
            assert "{" not in shown
            assert len(shown) < 330, "too long to be read in a trench"


def test_asbestos_comes_first_and_stops() -> None:
    job = with_row(small_job(), material="asbestos_cement")
    assert codes(run(job))[0] == "asbestos_cement"
    assert "asbestos_cement" in codes(plan(job))
    opening = for_opening(job, host_of(job), chainage=10.0)
    assert codes(opening)[0] == "asbestos_cement"
    assert text(opening, "asbestos_cement").startswith("STOP")
    assert "asbestos_cement" not in codes(run(small_job()))


def test_people_inside_only_where_they_fit() -> None:
    assert "person_entry" not in codes(run(small_job()))
    assert "person_entry" in codes(run(with_row(small_job(), dn=600, bore=0.6)))


def test_the_winch_is_set_to_the_ropes_working_load() -> None:
    assert "16.0 kN" in text(run(small_job()), "rope")
    job = small_job()
    assert "working load" in text(for_run(job, host_of(job), start=0.0, end=100.0), "rope")


def test_blow_back_names_the_cap_and_needs_connections() -> None:
    job = small_job()
    assert "1.38 bar" in text(run(job), "blow_back")
    assert "2 of them" in text(run(job), "blow_back")
    assert "blow_back" not in codes(run(replace(job, services=())))
    clinic = replace(job, services=(Service(31.0, use="dialysis"),))
    assert "care" in codes(run(clinic))
    assert "1 on record" in text(plan(clinic), "dialysis")


@pytest.mark.parametrize("alkalinity", [0.1, 0.8, 5.0])
def test_dialysis_patients_are_told_whatever_the_alkalinity(alkalinity: float) -> None:
    found = plan(small_job(water=WaterAnalysis(alkalinity=alkalinity)))
    assert "killed patients" in text(found, "dialysis")
    assert ("soft_water" in codes(found)) == (alkalinity < 1.0)


def test_an_unknown_water_is_told_as_soft() -> None:
    assert "not known" in text(plan(small_job(water=None)), "soft_water")


def test_the_test_pressure_is_the_clients_or_none() -> None:
    assert "No test until" in text(plan(small_job()), "pressure_test")
    assert "6.0 bar" in text(plan(small_job(test=PressureTest("own", 6e5))), "pressure_test")


def test_a_quick_return_is_never_quiet() -> None:
    assert "No quick return" in text(plan(small_job(curing=Curing(24 * 3600.0))), "quick_return")
    assert "12 h" in text(plan(small_job(curing=Curing(12 * 3600.0))), "quick_return")


def test_a_valve_that_may_let_by_is_named() -> None:
    job = small_job(features=(Feature(120.0, "gate_valve", state=None),))
    opening = for_opening(job, host_of(job), chainage=10.0)
    assert "120.0 m" in text(opening, "cut_ends")
    assert "not known to hold" in text(run(job), "isolation")


def test_coal_tar_is_a_danger_of_its_own() -> None:
    job = with_row(small_job(), existing_lining="coal tar")
    assert "coal_tar" in codes(run(job))
    assert "coal_tar" in codes(for_opening(job, host_of(job), chainage=10.0))
