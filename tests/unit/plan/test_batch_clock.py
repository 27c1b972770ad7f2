"""The clock of the batches: the stream is conserved, and no batch comes too late."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.plan.batch_clock import batch_clock, batch_warnings, longest_stop
from mainwright.plan.result import Batch
from mainwright.plan.run_sheet import job_mix
from tests.unit.paper.test_plan_json import sample_run
from tests.unit.plan.small_job import small_job

MIX = job_mix(small_job())


def clock(
    *, laid: float = 0.36, hose: float = 0.2, extra: float = 0.02, time: float = 720.0, batch: float = 0.24, cycle: float = 360.0,
    usable: float | None = 5400.0,
) -> tuple[Batch, ...]:  # fmt: skip
    return batch_clock(
        mortar=laid + hose + extra, hose_filling=hose, extra=extra, lining_time=time, batch=batch, cycle=cycle, mix=MIX, usable=usable
    )


def test_batches_hold_the_mortar_and_no_more() -> None:
    found = clock()
    assert [one.number for one in found] == [1, 2, 3]
    assert [one.volume for one in found] == pytest.approx([0.24, 0.24, 0.10])
    assert sum(one.cement for one in found) == pytest.approx(0.58 * MIX.cement)
    assert sum(one.sand for one in found) == pytest.approx(0.58 * MIX.sand_moist)
    assert sum(one.water for one in found) == pytest.approx(0.58 * MIX.water_added / 1000.0)


def test_stream_leaves_the_head_in_its_order() -> None:
    # 0.36 m3 in 720 s: 0.5 l/s. The first 20 l are waste, so the first batch is laid from 0 to 220 l: 440 s.
    first, second, third = clock()
    assert (first.placed_from, first.placed_to) == pytest.approx((0.0, 440.0))
    assert (second.placed_from, second.placed_to) == pytest.approx((440.0, 720.0))
    # The last 10 + 100 l stay in the hose with the rest of the second batch: 200 l in all.
    assert third.placed_from is None
    assert third.placed_to is None


def test_each_batch_is_ready_a_cycle_before_it_is_pumped() -> None:
    first, second, third = clock()
    # The first enters the pump when 20 + 200 l are still to go in: 440 s before the start.
    assert first.mixing == pytest.approx(-440.0 - 360.0)
    assert second.mixing == pytest.approx(-800.0 + 480.0)
    assert third.mixing == pytest.approx(-800.0 + 960.0)
    assert first.latest == pytest.approx(-800.0 + 5400.0)


def test_a_slow_mixer_begins_earlier() -> None:
    found = clock(cycle=600.0)
    assert found[1].mixing - found[0].mixing == pytest.approx(600.0)
    assert found[2].mixing - found[1].mixing == pytest.approx(600.0)
    assert found[2].mixing == pytest.approx(160.0 + 360.0 - 600.0)


def test_without_tested_minutes_there_is_no_latest() -> None:
    assert all(one.latest is None for one in clock(usable=None))


def test_longest_stop_is_what_the_tightest_batch_has_left() -> None:
    # The first batch begins 800 s before the start and ends at 440 s: 1240 s old; the second -320 to 720 s: 1040 s.
    assert longest_stop(clock(), usable=5400.0) == pytest.approx(5400.0 - 1240.0)


def test_a_batch_that_is_placed_too_late_is_told() -> None:
    run = replace(sample_run(), batch_clock=clock())
    assert batch_warnings(run, usable=1300.0) == ()
    (warning,) = batch_warnings(run, usable=1200.0)
    assert (warning.code, dict(warning.text.values)["batch"]) == ("batch_too_old", 1)
    assert batch_warnings(replace(run, batch_clock=()), usable=1.0) == ()


@given(
    laid=st.floats(0.01, 5.0), hose=st.floats(0.0, 1.0), extra=st.floats(0.0, 0.5), time=st.floats(60.0, 2e4),
    batch=st.floats(0.05, 1.0), cycle=st.floats(1.0, 2000.0),
)  # fmt: skip
def test_laws(*, laid: float, hose: float, extra: float, time: float, batch: float, cycle: float) -> None:
    found = clock(laid=laid, hose=hose, extra=extra, time=time, batch=batch, cycle=cycle)
    assert sum(one.volume for one in found) == pytest.approx(laid + hose + extra)
    assert all(0.0 < one.volume <= batch * (1 + 1e-9) for one in found)
    for before, after in pairwise(found):
        assert after.mixing >= before.mixing + cycle - 1e-6
    placed = [(one.placed_from, one.placed_to) for one in found if one.placed_from is not None and one.placed_to is not None]
    assert placed[0][0] == pytest.approx(0.0, abs=1e-6)
    assert placed[-1][1] == pytest.approx(time, rel=1e-6)
    for (_, end), (start, _) in pairwise(placed):
        assert start == pytest.approx(end, abs=1e-6 * time)
