"""A run as a fold over its events, with advice and alarms."""

import pytest

from mainwright.errors import RunError
from mainwright.line.advice import advise
from mainwright.line.alarms import watch
from mainwright.line.events import (
    AlarmAcknowledged,
    AlarmRaised,
    BatchPoured,
    ConnectionDone,
    Ended,
    EndsClosed,
    Event,
    FlowFallback,
    HandMark,
    LitresLost,
    OdometerSet,
    ReadingTaken,
    Started,
)
from mainwright.line.run_plan import PlannedLength, RunPlan
from mainwright.line.state import RunState, fold
from mainwright.plan.result import ConnectionWindow
from mainwright.science.bore.ring import ring_area
from tests.unit.line.plans import AIM, BORE, FLOW, plan

SPEED = 0.97 * FLOW / ring_area(thickness=AIM, bore=BORE)


def readings(start: int, stop: int, *, speed: float = SPEED, way: float = 0.0, **more: float) -> list[Event]:
    return [
        ReadingTaken(number=number, time=float(number), odometer=way + speed * (number - start), flow=FLOW, **more)  # type: ignore[arg-type]
        for number in range(start, stop)
    ]


def running(*events: Event, of: RunPlan | None = None) -> RunState:
    return fold(of or plan(), [Started(0.0, "lead"), *events])


def codes(state: RunState, now: float = 1e3, windows: tuple[ConnectionWindow, ...] = ()) -> list[str]:
    return [f"{'+' if isinstance(one, AlarmRaised) else '-'}{one.code}" for one in watch(state, now=now, windows=windows)]


def test_the_same_events_give_the_same_bits() -> None:
    events = [
        Started(0.0, "lead"),
        *readings(0, 300),
        OdometerSet(300.0, 0.5, "slipped"),
        *readings(300, 350, way=38.0),
        Ended(350.0, "aborted", "lead"),
    ]
    one, other = fold(plan(), events), fold(plan(), events)
    assert one.deposit.volumes == other.deposit.volumes
    assert vars(one).keys() == vars(other).keys()
    assert one.phase == "ended"
    assert one.events == len(events)


def test_what_cannot_be_changes_nothing() -> None:
    state = RunState(plan())
    with pytest.raises(RunError, match="HandMark is not allowed while the run is ready; allowed: while it is running or stopped"):
        state.apply(HandMark(0, 0.0, 0.0))
    assert state.events == 0
    state.apply(readings(0, 1)[0])
    assert state.deposit.readings == 0
    state.apply(Started(0.0, "lead"))
    with pytest.raises(RunError, match="Started is not allowed while the run is running"):
        state.apply(Started(1.0, "lead"))


def test_advice_is_the_speed_that_makes_the_aim() -> None:
    state = running(*readings(0, 60, speed=1.2 * SPEED))
    advice = advise(state)
    assert advice.speed == pytest.approx(1.2 * SPEED)
    assert advice.change_to == pytest.approx(SPEED)
    assert advice.thickness == pytest.approx(AIM / 1.2, rel=0.01)
    assert advice.trend == pytest.approx(0.0, abs=1e-9)
    assert advice.to_next_bore is None
    assert advice.chainage == pytest.approx(100.0 + 1.2 * SPEED * 59.0)


def test_advice_knows_the_next_bore_and_the_way_back_of_a_decreasing_run() -> None:
    lengths = (
        PlannedLength(0.0, 20.0, 0.2, AIM, 0.005, None, SPEED, 0.1, 0.2),
        PlannedLength(20.0, 60.0, 0.203, AIM, 0.005, None, SPEED, 0.1, 0.2),
    )
    state = running(*readings(0, 60), of=plan(lengths=lengths, direction="decreasing"))
    advice = advise(state)
    assert advice.to_next_bore == pytest.approx(20.0 - SPEED * 59.0)
    assert advice.chainage == pytest.approx(160.0 - SPEED * 59.0)


def test_thin_goes_up_once_and_comes_down_with_slack() -> None:
    state = running(*readings(0, 100, speed=1.5 * SPEED))
    assert "+thin" in codes(state)
    for up in watch(state, now=100.0):
        state.apply(up)
    assert "+thin" not in codes(state)
    state.apply(AlarmAcknowledged(101.0, "thin", "lead"))
    assert state.alarms["thin"].acknowledged == "lead"
    for event in readings(100, 160, way=1.5 * SPEED * 99.0):
        state.apply(event)
    for down in watch(state, now=160.0):
        state.apply(down)
    assert "thin" not in state.alarms


def test_a_head_that_stands_while_the_pump_runs_is_a_stall() -> None:
    assert "+stall" in codes(running(*readings(0, 40), *readings(40, 60, speed=0.0, way=SPEED * 39.0)))


def test_a_slowing_head_is_an_alarm_of_its_own() -> None:
    state = running(*readings(0, 60, head_air=6e5), *readings(60, 62, way=SPEED * 60.0, head_air=4e5))
    assert codes(state) == []
    state.apply(ReadingTaken(62, 62.0, SPEED * 62.0, FLOW, head_air=4e5))
    assert codes(state) == ["+head_slow"]
    assert state.cover_proved
    assert not running(*readings(0, 60)).cover_proved


def test_a_blockage_is_feared_before_the_hose_gives() -> None:
    assert codes(running(*readings(0, 60, pressure=37e5))) == ["+pressure"]


def test_without_the_sensor_the_pumps_own_test_stands_for_the_flow() -> None:
    state = running(*readings(0, 30))
    state.apply(FlowFallback(30.0, 0.9 * FLOW, 0.06))
    state.apply(ReadingTaken(30, 30.0, SPEED * 30.0, None))
    state.apply(ReadingTaken(31, 60.0, SPEED * 60.0, None))
    assert state.deposit.pumped == pytest.approx(FLOW * 30.0 + 0.9 * FLOW * 30.0)
    assert state.deposit.guessed[60] == pytest.approx(0.06 * state.deposit.volumes[60])
    assert "+flow_lost" in codes(state)


def test_an_odometer_that_was_reset_goes_on() -> None:
    state = running(*readings(0, 100))
    state.apply(OdometerSet(100.0, SPEED * 99.0, "reset at the drum"))
    state.apply(ReadingTaken(100, 100.0, SPEED, FLOW))
    assert state.deposit.way == pytest.approx(SPEED * 100.0)
    assert state.signals == {"odometer_set": 1}


def test_the_clock_of_each_batch_and_the_end_of_the_mortar() -> None:
    state = running(BatchPoured(0.0, 1, -900.0, 0.15), BatchPoured(1.0, 2, -300.0, 0.15), *readings(0, 200))
    assert state.age_at_head() == pytest.approx(199.0 + 900.0)
    for event in readings(200, 430, way=SPEED * 199.0):
        state.apply(event)
    assert state.deposit.pumped > 0.15
    assert state.age_at_head() == pytest.approx(429.0 + 300.0)
    assert state.in_stock() == pytest.approx(0.3 - 0.2 - FLOW * 429.0)
    assert "+mortar_short" in codes(state)


def test_old_mortar() -> None:
    state = running(BatchPoured(0.0, 1, -5500.0, 9.0), *readings(0, 60))
    assert codes(state) == ["+old_mortar"]


def test_connections_and_ends() -> None:
    windows = (ConnectionWindow(110.0, "S1", 80.0, 1200.0, 9000.0),)
    state = running(*readings(0, 60))
    assert codes(state, now=8000.0, windows=windows) == []
    assert codes(state, now=8500.0, windows=windows) == ["+connection_due"]
    state.apply(ConnectionDone(8500.0, 110.0, "air"))
    assert codes(state, now=8600.0, windows=windows) == []
    state.apply(Ended(8600.0, "complete", "lead"))
    assert codes(state, now=12_000.0) == ["+ends_open"]
    state.apply(EndsClosed(12_000.0, "lead"))
    assert codes(state, now=13_000.0) == []


def test_hand_marks_alone_give_a_record_with_a_wider_deviation() -> None:
    state = RunState(plan())
    state.apply(Started(0.0, "lead"))
    state.apply(FlowFallback(0.0, FLOW, 0.05))
    for number in range(7):
        state.apply(HandMark(number, 10.0 * number / SPEED, 10.0 * number))
    state.apply(LitresLost(500.0, "returned", 0.03))
    profile = state.deposit.profile()
    assert profile.thrown[300] == pytest.approx(AIM, abs=1e-9)
    measured = running(*readings(0, 400)).deposit.profile()
    assert profile.deviations[300] > 1.5 * measured.deviations[300]
    assert state.lost["returned"] == 0.03
