"""How a run is cleaned."""

from dataclasses import replace
from math import ceil, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.job.job import Job
from mainwright.job.plant import Rope
from mainwright.job.survey import Feature
from mainwright.plan.cleaning import cleaning_assumed, cleaning_warnings, plan_cleaning
from mainwright.plan.result import Cleaning
from mainwright.standards.published import table
from tests.unit.plan.hosts import host_of, with_row
from tests.unit.plan.small_job import small_job


def clean(job: Job, *, start: float = 0.0, end: float = 120.0) -> Cleaning:
    return plan_cleaning(job, host_of(job), run_id="R01", start=start, end=end)


def listed(key: str, **fields: str) -> float:
    row = table("cleaning").find(key=key, **fields)
    assert row is not None
    return row.published.value


def test_deposits_are_the_ring_between_todays_bore_and_the_clean_one() -> None:
    found = clean(small_job())
    volume = pi / 4.0 * (0.152**2 - 0.122**2) * 120.0
    assert found.deposits == pytest.approx(volume)
    assert found.deposits_mass == pytest.approx(volume * listed("density", deposit="hard"))
    wet = volume * (1.0 + listed("sludge_water"))
    assert found.loads == ceil(wet / listed("tanker"))
    assert found.water == pytest.approx(found.passes * listed("rinse_volumes") * pi / 4.0 * 0.152**2 * 120.0)


def test_a_run_over_two_stretches_adds_them() -> None:
    whole, first, second = (clean(small_job(), start=start, end=end) for start, end in ((200.0, 300.0), (200.0, 240.0), (240.0, 300.0)))
    assert whole.deposits == pytest.approx((first.deposits or 0.0) + (second.deposits or 0.0))
    assert whole.deposits_mass == pytest.approx((first.deposits_mass or 0.0) + (second.deposits_mass or 0.0))


@pytest.mark.parametrize(
    ("changes", "method"),
    [
        ({}, "drag_scraping"),
        ({"deposit_kind": "soft sludge"}, "drag_scraping"),
        ({"deposit_kind": None}, "drag_scraping"),
        ({"dn": 400, "bore": 0.4}, "pressure_scraping"),
        ({"dn": 400, "bore": 0.4, "deposit_kind": "soft"}, "jetting"),
        ({"dn": 76, "bore": 0.076, "deposit": 0.005}, "rack_feed_boring"),
        ({"deposit": 0.045}, "rack_feed_boring"),
        ({"deposit_kind": "bitumen"}, "jetting"),
        ({"existing_lining": "coal tar"}, "jetting"),
        ({"material": "asbestos_cement"}, "not_before_lawful"),
    ],
)
def test_method_by_size_and_deposit(changes: dict[str, object], method: str) -> None:
    found = clean(with_row(small_job(), **changes))
    assert found.method == method
    assert (found.passes > 0) == (method != "not_before_lawful")
    assert found.source.status in ("memory", "secondary", "practice")
    assert (found.pull_low is None) == (method != "drag_scraping")


def test_what_is_not_known_stays_unknown() -> None:
    job = with_row(small_job(), deposit=None)
    found = clean(job)
    assert (found.deposits, found.deposits_mass, found.loads, found.pull_low, found.pull_high) == (None,) * 5
    assert found.passes > 0
    codes = [one.code for one in cleaning_warnings(job, host_of(job), [(found, 0.0, 120.0)])]
    assert codes == ["deposits_unknown", "waste_class"]


def test_a_clean_pipe_has_no_deposits_and_no_load() -> None:
    found = clean(with_row(small_job(), deposit=0.0))
    assert (found.deposits, found.loads) == (0.0, 0)


def test_the_class_of_the_waste_is_asked_and_tar_is_named() -> None:
    job = small_job()
    (plain,) = cleaning_warnings(job, host_of(job), [(clean(job), 0.0, 120.0)])
    assert plain.code == "waste_class"
    tarred = with_row(job, existing_lining="coal tar")
    assert "PAH" in cleaning_warnings(tarred, host_of(tarred), [(clean(tarred), 0.0, 120.0)])[-1].text.text


def test_asbestos_cement_stops() -> None:
    job = with_row(small_job(), material="asbestos_cement")
    (stop, _) = cleaning_warnings(job, host_of(job), [(clean(job), 0.0, 120.0)])
    assert (stop.code, stop.severity) == ("cleaning_unlawful", "stop")


def test_the_rope_is_the_strongest_that_is_long_enough() -> None:
    job = small_job()
    plant = replace(job.plant, ropes=(Rope("short", 50.0, 200e3, 5.0), Rope("weak", 400.0, 20e3, 5.0), Rope("good", 400.0, 60e3, 5.0)))
    assert clean(replace(job, plant=plant)).rope_working_load == pytest.approx(12e3)
    assert clean(replace(job, plant=replace(plant, ropes=()))).rope_working_load is None


def test_a_pull_over_the_rope_is_told() -> None:
    job = small_job(features=tuple(Feature(20.0 + 10.0 * k, "bend", 1.2) for k in range(6)))
    found = clean(job)
    assert found.pull_high is not None
    assert found.rope_working_load is not None
    assert found.pull_high > found.rope_working_load
    assert "cleaning_pull" in [one.code for one in cleaning_warnings(job, host_of(job), [(found, 0.0, 120.0)])]


def test_every_allowance_that_was_used_is_listed() -> None:
    job = small_job()
    names = {one.what for one in cleaning_assumed(host_of(job), [clean(job)])}
    wanted = {
        "cleaning.tanker",
        "cleaning.rinse_volumes",
        "cleaning.friction_rope",
        "cleaning.passes.drag_scraping.hard",
        "cleaning.density.hard",
    }
    assert wanted <= names
    assert not {"cleaning.jet_flow", "cleaning.density.soft", "cleaning.density.unknown"} & names
    tarred = with_row(job, deposit_kind="bitumen")
    jetted = {one.what for one in cleaning_assumed(host_of(tarred), [clean(tarred)])}
    assert {"cleaning.jet_flow", "cleaning.passes.jetting.coating", "cleaning.density.unknown"} <= jetted
    assert "cleaning.passes.jetting.hard" not in jetted
    assert cleaning_assumed(host_of(job), []) == ()


@given(st.floats(0.001, 0.07), st.floats(20.0, 150.0), st.floats(1.0, 150.0))
def test_longer_and_thicker_is_never_less(deposit: float, length: float, more: float) -> None:
    job = with_row(small_job(), deposit=deposit)
    short, long = clean(job, end=length), clean(job, end=length + more)
    assert short.deposits is not None
    assert long.deposits is not None
    assert long.deposits > short.deposits
    assert (long.loads or 0) >= (short.loads or 0)
    for found in (short, long):
        if found.pull_low is not None and found.pull_high is not None:
            assert 0.0 < found.pull_low < found.pull_high
    if short.pull_high is not None and long.pull_high is not None:
        assert long.pull_high >= short.pull_high
