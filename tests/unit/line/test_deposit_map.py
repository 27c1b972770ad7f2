"""The mortar along the way."""

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.line.deposit_map import DepositMap
from mainwright.science.bore.ring import ring_area, ring_thickness
from tests.unit.line.plans import AIM, BORE, FLOW, plan

SPEED = 0.97 * FLOW / ring_area(thickness=AIM, bore=BORE)


def run_evenly(deposit: DepositMap, *, every: float, length: float, speed: float = SPEED) -> None:
    count = math.ceil(length / speed / every)
    for number in range(count + 1):
        time = min(number * every, length / speed)
        deposit.add(number=number, time=time, way=speed * time, flow=FLOW, guess=0.0)


@pytest.mark.parametrize("every", [0.1, 1.0, 7.3, 60.0])
def test_even_flow_and_speed_give_the_closed_form_whatever_the_rate(every: float) -> None:
    deposit = DepositMap(plan())
    run_evenly(deposit, every=every, length=60.0)
    thrown = deposit.profile().thrown
    assert len(thrown) == 600
    assert max(abs(one - AIM) for one in thrown) < 1e-9
    assert deposit.deposited == pytest.approx(0.97 * deposit.pumped, rel=1e-12)


def test_a_step_of_speed_shows_in_its_bin() -> None:
    deposit = DepositMap(plan())
    times, ways = [0.0], [0.0]
    for speed, length in ((SPEED, 20.03), (SPEED / 2.0, 10.0), (SPEED, 29.97)):
        times.append(times[-1] + length / speed)
        ways.append(ways[-1] + length)
    for number, (time, way) in enumerate(zip(times, ways, strict=True)):
        deposit.add(number=number, time=time, way=way, flow=FLOW, guess=0.0)
    thrown = deposit.profile().thrown
    double = ring_thickness(area=2.0 * ring_area(thickness=AIM, bore=BORE), bore=BORE)
    assert thrown[199] == pytest.approx(AIM, abs=1e-9)
    assert AIM < thrown[200] < double
    assert thrown[201] == pytest.approx(double, abs=1e-9)
    assert thrown[299] == pytest.approx(double, abs=1e-9)
    assert thrown[301] == pytest.approx(AIM, abs=1e-9)


def test_a_stop_makes_a_ring_and_a_stall_of_the_pump_a_bare_length() -> None:
    deposit = DepositMap(plan())
    rows = [(0.0, 0.0, FLOW), (80.0, 10.05, FLOW), (100.0, 10.05, FLOW), (180.0, 20.0, 0.0), (200.0, 22.0, FLOW), (280.0, 32.0, FLOW)]
    for number, (time, way, flow) in enumerate(rows):
        deposit.add(number=number, time=time, way=way, flow=flow, guess=0.0)
    thrown = deposit.profile().thrown
    assert thrown[100] > 3.0 * AIM
    assert thrown[99] < 1.1 * AIM
    assert thrown[201:219] == (0.0,) * 18
    assert deposit.volumes[100] == pytest.approx(0.97 * FLOW * (20.0 + 80.0 * 0.05 / 10.05 + 80.0 * 0.05 / 9.95), rel=1e-9)


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 2**32), st.sampled_from([0.0, 4.0]), st.sampled_from([0.05, 0.1, 0.37]))
def test_what_was_pumped_is_found_again_whatever_the_order(seed: int, lag: float, bin_length: float) -> None:
    rnd = random.Random(seed)
    time = way = 0.0
    rows = []
    for number in range(rnd.randint(2, 60)):
        rows.append((number, time, way, rnd.choice([0.0, FLOW * rnd.uniform(0.3, 1.4)])))
        time += rnd.uniform(0.1, 30.0)
        way = way + rnd.choice([0.0, rnd.uniform(0.0, 3.0), rnd.uniform(-0.3, 0.0)])
    truth = 0.97 * math.fsum(rows[k][3] * (rows[k + 1][1] - rows[k][1]) for k in range(len(rows) - 1))
    shuffled = [*rows, *rnd.choices(rows, k=5)]
    # The first and the last in time may come in any place, but a sender's clock does not run backwards: late ones are put in their place.
    rnd.shuffle(shuffled)
    straight, mixed = (DepositMap(plan(), bin_length=bin_length, lag=lag) for _ in range(2))
    for number, at, place, flow in rows:
        straight.add(number=number, time=at, way=place, flow=flow, guess=0.0)
    for number, at, place, flow in shuffled:
        mixed.add(number=number, time=at, way=place, flow=flow, guess=0.0)
    assert mixed.readings == len(rows)
    if lag == 0.0:
        assert straight.deposited == pytest.approx(truth, rel=1e-9, abs=1e-12)
        assert mixed.deposited == pytest.approx(truth, rel=1e-9, abs=1e-12)
    assert straight.volumes == pytest.approx(mixed.volumes, rel=1e-9, abs=1e-12)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32), st.sampled_from([0.0, 4.0]), st.booleans())
def test_a_block_of_readings_gives_the_bits_of_single_ones(seed: int, lag: float, compiled: bool) -> None:
    rnd = random.Random(seed)
    time = way = 0.0
    rows = []
    for number in range(rnd.randint(2, 80)):
        rows.append((number, time, way, rnd.choice([0.0, FLOW * rnd.uniform(0.3, 1.4)]), rnd.choice([0.0, 0.05])))
        time += rnd.choice([rnd.uniform(0.1, 30.0), -50.0 if rnd.random() < 0.1 else 1.0])
        way = max(-1.0, way + rnd.choice([0.0, rnd.uniform(0.0, 3.0), rnd.uniform(-0.3, 0.0)]))
    single, block = (DepositMap(plan(), lag=lag) for _ in range(2))
    for number, at, place, flow, guess in rows:
        single.add(number=number, time=at, way=place, flow=flow, guess=guess)
    cut = rnd.randint(0, len(rows))
    for part in (rows[:cut], rows[cut:]):
        if part:
            numbers, times, ways, flows, guesses = zip(*part, strict=True)
            block.add_many(numbers=numbers, times=times, ways=ways, flows=flows, guesses=guesses, compiled=compiled)
    kept = ("volumes", "guessed", "_sums", "_times", "_ways", "_numbers", "furthest", "turned_back")
    assert [getattr(block, name) for name in kept] == [getattr(single, name) for name in kept]


def test_a_hose_that_swells_gives_late_and_loses_nothing() -> None:
    lag = 4.0
    deposit = DepositMap(plan(), lag=lag)
    rows = [(0.0, 0.0, FLOW), (100.0, 13.0, 0.0), (160.0, 20.8, 0.0)]
    for number, (time, way, flow) in enumerate(rows):
        deposit.add(number=number, time=time, way=way, flow=flow, guess=0.0)
    # After the pump stops the hose gives tau times the flow that it had.
    assert deposit.deposited == pytest.approx(0.97 * FLOW * (100.0 + lag * (1.0 - math.exp(-60.0 / lag))), rel=1e-9)
    after = math.fsum(deposit.volumes[130:])
    assert after == pytest.approx(0.97 * FLOW * lag * (1.0 - math.exp(-60.0 / lag)), rel=1e-6)


def test_a_clock_that_is_set_back_goes_on() -> None:
    deposit = DepositMap(plan())
    told = [
        deposit.add(number=number, time=time, way=0.13 * number, flow=FLOW, guess=0.0)
        for number, time in enumerate([1000.0, 1001.0, 1002.0, 402.0, 403.0])
    ]
    assert told == ["new", "new", "new", "clock_step", "new"]
    assert deposit.pumped == pytest.approx(4.0 * FLOW)


def test_doubles_count_once() -> None:
    deposit = DepositMap(plan())
    told = [deposit.add(number=number, time=float(number), way=0.1 * number, flow=FLOW, guess=0.0) for number in (0, 1, 1, 3, 2, 0)]
    assert told == ["new", "new", "double", "new", "late", "double"]
    assert deposit.pumped == pytest.approx(3.0 * FLOW)


def test_bias_is_kept_apart_and_a_guessed_flow_makes_the_thickness_less_sure() -> None:
    sure, guessed = (DepositMap(plan(bias=0.02)) for _ in range(2))
    for number in range(200):
        for deposit, guess in ((sure, 0.0), (guessed, 0.10)):
            deposit.add(number=number, time=float(number), way=SPEED * number, flow=FLOW, guess=guess)
    one, other = sure.profile(), guessed.profile()
    slope = AIM * (BORE - AIM) / (BORE - 2.0 * AIM)
    assert one.shared[50] == pytest.approx(0.02 * slope, rel=1e-6)
    scatter = math.hypot(0.03 * slope, AIM / (BORE - 2.0 * AIM) * 0.001)
    assert one.deviations[50] == pytest.approx(math.hypot(0.02 * slope, scatter), rel=1e-6)
    assert other.deviations[50] == pytest.approx(math.sqrt(one.deviations[50] ** 2 + (0.10 * slope) ** 2), rel=1e-6)


def test_the_trowel_smooths_what_is_seen_and_not_what_lies_there() -> None:
    bare, smoothed = DepositMap(plan()), DepositMap(plan(trowel=0.4))
    for deposit in (bare, smoothed):
        for number, (time, way) in enumerate([(0.0, 0.0), (100.0, 10.0), (110.0, 10.0), (210.0, 20.0)]):
            deposit.add(number=number, time=time, way=way, flow=FLOW, guess=0.0)
    assert smoothed.volumes == bare.volumes
    assert max(smoothed.profile().thicknesses) < max(bare.profile().thicknesses)
    assert smoothed.profile().thrown == bare.profile().thrown


def test_the_head_may_run_on_past_the_end_and_nothing_is_lost() -> None:
    deposit = DepositMap(plan())
    for number, (time, way) in enumerate([(0.0, -0.5), (100.0, 30.0), (200.0, 61.0)]):
        deposit.add(number=number, time=time, way=way, flow=FLOW, guess=0.0)
    assert deposit.outside > 0.0
    assert deposit.deposited == pytest.approx(0.97 * FLOW * 200.0, rel=1e-12)
