"""A run that is followed: what is acknowledged is on disk, whatever happens."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import cast

import pytest

from mainwright.errors import Conflict, InputError, NotFound, RunError
from mainwright.line.event_codec import from_kept
from mainwright.line.events import AlarmRaised
from mainwright.line.state import fold
from mainwright.words.message import message
from mainwright.workflow.live_commands import (
    Acknowledge,
    End,
    Lose,
    Mark,
    Note,
    Pour,
    Restart,
    SetOdometer,
    Start,
    Stop,
    TakeCharge,
)
from mainwright.workflow.live_ports import Arrival, Channel, FeedReading, RunKey, Signal
from mainwright.workflow.live_run import LiveRun
from tests.unit.line.plans import FLOW, plan
from tests.unit.workflow.memory_log import MemoryInbox, MemoryLog

KEY = RunKey("CW-07", "R01")
BEGIN = datetime(2026, 4, 13, 8, 0, tzinfo=UTC)
SPEED = 0.1


class Van:
    """A clock that is set by hand, and readings that are acknowledged."""

    def __init__(self, log: MemoryLog | None = None) -> None:
        self.log = log or MemoryLog()
        self.now = BEGIN
        self.acknowledged: list[int | None] = []
        self.inbox = MemoryInbox()
        self.run = LiveRun(self.log, KEY, clock=lambda: self.now, plan=plan(), inbox=self.inbox)

    def arrival(self, number: int | None, *, source: str = "rig", after: float | None = None, **values: float | None) -> Arrival:
        seconds = float(number or 0) if after is None else after
        told: dict[Channel, float] = {"odometer": SPEED * seconds, "flow": FLOW}
        for name, value in values.items():
            if value is None:
                told.pop(cast("Channel", name))
            else:
                told[cast("Channel", name)] = value
        reading = FeedReading(BEGIN + timedelta(seconds=seconds), number, told, source)
        return Arrival(reading, lambda: self.acknowledged.append(number))

    def take(self, *arrivals: Arrival) -> None:
        for arrival in arrivals:
            self.now = max(self.now, arrival.reading.time)
            self.run.take([arrival])

    def numbers(self) -> list[object]:
        return [entry.values["number"] for entry in self.log.kept[KEY] if entry.kind == "reading"]

    def kinds(self) -> list[str]:
        return [entry.kind for entry in self.log.kept[KEY] if entry.kind != "reading"]


@contextmanager
def following(van: Van) -> Iterator[LiveRun]:
    van.run._writer.start()
    try:
        yield van.run
    finally:
        assert van.run.stop()


def wait_for(condition: object, seconds: float = 5.0) -> None:
    assert callable(condition)
    until = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < until, "it did not happen"
        time.sleep(0.002)


def test_readings_go_through_all_stages_and_are_acknowledged_after_they_are_kept() -> None:
    van = Van()
    van.run.start()
    van.run.do(Start(), who="lead").result(5.0)
    van.log.gate.clear()
    for number in range(50):
        van.inbox.put(van.arrival(number))
    wait_for(lambda: van.run.screen().pumped > 0.9 * 49 * FLOW)
    assert van.acknowledged == []
    assert van.run.screen().durable < van.run.screen().event
    van.log.gate.set()
    wait_for(lambda: len(van.acknowledged) == 50)
    assert van.run.stop()
    assert van.numbers() == list(range(50))
    assert van.run.durable == len(van.log.kept[KEY])
    van.now += timedelta(seconds=50)
    screen = van.run.screen()
    assert screen.pumped == pytest.approx(49 * FLOW)
    assert screen.advice is not None
    assert screen.advice.way == pytest.approx(49 * SPEED)
    assert len(screen.strip.chainages) > 10
    assert screen.feeds[0].readings == 50


def test_a_double_is_dropped_and_acknowledged_and_one_without_a_number_gets_one() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.take(van.arrival(0), van.arrival(1), van.arrival(1), van.arrival(2), van.arrival(1))
        van.take(van.arrival(None, source="hand", after=3.0, odometer=None), van.arrival(None, source="hand", after=4.0, odometer=None))
    assert van.numbers() == [0, 1, 2, 0, 1]
    assert van.acknowledged == [0, 1, 1, 2, 1, None, None]
    assert van.kinds().count("source_named") == 2


def test_the_run_is_resumed_to_the_bit_and_goes_on() -> None:
    van = Van()
    with following(van) as run:
        run.do(TakeCharge(), who="lead")
        run.do(Start(), who="lead", press="a")
        van.take(*(van.arrival(number) for number in range(100)))
        run.do(Pour(volume=0.2), who="lead", press="b")
    other = Van(van.log)
    with following(other) as run:
        assert run.state.deposit.volumes == van.run.state.deposit.volumes
        assert run.state.deposit.deposited == van.run.state.deposit.deposited
        assert run.screen().phase == "running"
        assert run.screen().in_charge == "lead"
        assert run.do(Pour(volume=0.2), who="lead", press="b").result(1.0) == van.run._presses["b"].result()
        assert len(run.state.stream) == 1
        other.take(*(other.arrival(number) for number in range(95, 110)))
    assert other.numbers() == list(range(110))
    whole = fold(other.run.plan, [from_kept(one.kind, one.time, one.values) for one in other.log.kept[KEY]])
    assert whole.deposit.volumes == other.run.state.deposit.volumes
    assert whole.alarms == other.run.state.alarms


def test_while_the_log_fails_nothing_is_acknowledged_and_nothing_lost() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead").result(5.0)
        van.log.fail_next = 2
        van.take(*(van.arrival(number) for number in range(10)))
        wait_for(lambda: run.trouble is not None)
        trouble = run.screen().trouble
        assert trouble is not None
        assert dict(trouble.values)["why"] == "the disk is full"
        assert van.acknowledged == []
        wait_for(lambda: len(van.acknowledged) == 10)
        assert run.screen().trouble is None
    assert van.numbers() == list(range(10))


def test_a_lost_answer_does_not_write_twice() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead").result(5.0)
        van.log.lose_answer = 1
        van.take(van.arrival(0), van.arrival(1))
        wait_for(lambda: len(van.acknowledged) == 2)
    assert van.numbers() == [0, 1]


def test_a_second_writer_is_told_and_writes_nothing() -> None:
    van = Van()
    van.run._writer.start()
    van.run.do(Start(), who="lead").result(5.0)
    van.log.append(KEY, [van.log.kept[KEY][0]], after=len(van.log.kept[KEY]))
    van.take(van.arrival(0))
    wait_for(lambda: van.run.trouble is not None)
    assert van.acknowledged == []
    assert not van.run.stop(1.0)
    assert van.numbers() == []


def test_a_sender_that_counts_anew_is_heard_and_goes_on_from_itself() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.take(*(van.arrival(number) for number in range(50)))
        van.take(*(van.arrival(number - 50, after=float(number)) for number in range(50, 100)))
        assert run.state.deposit.readings == 100
        assert run.state.deposit.pumped == pytest.approx(99 * FLOW)
        assert run.state.deposit.way == pytest.approx(99 * SPEED)
    assert van.acknowledged == [*range(50), *range(50)]


def test_an_odometer_that_is_reset_is_on_record_and_the_way_goes_on() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.take(*(van.arrival(number) for number in range(100)))
        van.take(*(van.arrival(number, odometer=SPEED * (number - 99)) for number in range(100, 150)))
        assert run.state.deposit.way == pytest.approx(149 * SPEED)
        assert van.run.state.alarms["odometer_jump"].active
        run.do(Acknowledge("odometer_jump"), who="lead")
        assert "odometer_jump" not in run.state.alarms
        assert max(run.state.deposit.profile().thrown[3:145]) == pytest.approx(run.state.deposit.profile().thrown[50], rel=1e-6)
    assert van.kinds().count("odometer_set") == 1


def test_a_reading_that_jumps_and_comes_back_moves_no_mortar() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.take(*(van.arrival(number, odometer=55.0 if number == 60 else SPEED * number) for number in range(120)))
        assert run.state.deposit.furthest == pytest.approx(119 * SPEED)
        thrown = run.state.deposit.profile().thrown
        assert max(thrown[:115]) == pytest.approx(min(thrown[:115]), rel=1e-6)
    assert van.kinds().count("odometer_set") == 2


@pytest.mark.parametrize("step", [3600.0, -3600.0, 60.0])
def test_a_clock_that_is_set_makes_no_ring(step: float) -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.take(*(van.arrival(number) for number in range(60)))
        for number in range(60, 100):
            van.now = BEGIN + timedelta(seconds=number)
            run.take([van.arrival(number, after=number + step, odometer=SPEED * number)])
        assert run.state.deposit.pumped == pytest.approx(99 * FLOW, rel=1e-6)
        assert run.state.deposit.way == pytest.approx(99 * SPEED)
    assert van.kinds().count("clock_set") == 1


def test_readings_that_were_held_up_are_no_step_of_the_clock() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.take(*(van.arrival(number) for number in range(60)))
        van.now = BEGIN + timedelta(seconds=660)
        run.take([van.arrival(number) for number in range(60, 660)])
        assert run.state.deposit.pumped == pytest.approx(659 * FLOW)
    assert "clock_set" not in van.kinds()


def test_strokes_stand_for_a_flow_that_is_not_read_and_may_run_over() -> None:
    van = Van()
    van.run = LiveRun(van.log, RunKey("CW-07", "R02"), clock=lambda: van.now, plan=plan(stroke=FLOW), inbox=van.inbox)
    van.run._writer.start()
    van.run.do(Start(), who="lead")
    for number in range(100):
        van.take(van.arrival(number, flow=None, strokes=float((65_500 + number) % 65_536)))
    assert van.run.state.deposit.pumped == pytest.approx(99 * FLOW)
    assert van.run.state.flow_measured
    assert van.run.stop()
    kinds = [entry.kind for entry in van.log.kept[RunKey("CW-07", "R02")]]
    assert kinds.count("strokes_set") == 1


def test_a_flow_from_a_sender_of_its_own_is_counted() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        for number in range(100):
            van.take(van.arrival(number, source="pump", odometer=None), van.arrival(number, source="drum", flow=None))
        assert run.state.deposit.pumped == pytest.approx(99 * FLOW, rel=1e-9)
        assert run.state.flow_measured


def test_marks_by_hand_take_over_when_the_sensors_are_silent_and_check_them_before() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.take(*(van.arrival(number) for number in range(101)))
        van.now = BEGIN + timedelta(seconds=101)
        run.do(Mark(chainage=110.3), who="lead")
        assert run.state.marks[0].difference == pytest.approx(100 * SPEED - 10.3)
        run.do(SetOdometer(chainage=110.3), who="lead")
        van.take(van.arrival(102))
        assert run.state.deposit.way == pytest.approx(102 * SPEED + 0.3)
        van.now = BEGIN + timedelta(seconds=200)
        run.do(Mark(chainage=120.0), who="lead")
        van.now = BEGIN + timedelta(seconds=300)
        run.do(Mark(chainage=130.0), who="lead")
        screen = run.screen()
        assert screen.hand_mode
        assert run.state.deposit.way == pytest.approx(30.0)
        deviations = screen.strip.deviations
        assert deviations[-5] > 1.5 * deviations[40]
        van.take(van.arrival(301))
        assert not run.screen().hand_mode


def test_start_stop_restart_end_and_what_cannot_be() -> None:
    van = Van()
    with following(van) as run:
        with pytest.raises(RunError, match="Stopped is not allowed while the run is ready"):
            run.do(Stop(), who="lead")
        assert run.do(Start(), who="lead").result(5.0) == 1
        run.do(Stop(why="snag"), who="lead")
        assert run.screen().phase == "stopped"
        run.do(Restart(), who="lead")
        with pytest.raises(InputError, match="volume is -1"):
            run.do(Lose("purge", -1.0), who="lead")
        run.do(End("aborted", why="rain"), who="lead")
        assert run.screen().outcome == "aborted"
    assert van.kinds() == ["started", "stopped", "restarted", "ended"]


def test_one_is_in_charge() -> None:
    van = Van()
    with following(van) as run:
        run.do(TakeCharge(), who="Ada")
        run.do(Start(), who="Ada")
        with pytest.raises(InputError, match="Ada, who is in charge"):
            run.do(Stop(), who="Ben")
        run.do(TakeCharge(), who="Ben")
        run.do(Note("dry", kind="water_in_invert"), who="Ben")
        assert run.screen().in_charge == "Ben"


def test_readings_before_the_start_are_kept_and_count_where_the_start_was_pressed_late() -> None:
    van = Van()
    with following(van) as run:
        van.take(*(van.arrival(number) for number in range(60)))
        assert run.state.deposit.readings == 0
        run.do(Start(time=(BEGIN + timedelta(seconds=10)).timestamp()), who="lead")
        assert run.state.deposit.readings == 50
    assert van.numbers() == list(range(60))


def test_what_is_purged_while_the_head_stands_makes_no_ring() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.take(*(van.arrival(number, odometer=0.05) for number in range(20)))
        thick = run.state.deposit.volumes[0]
        run.do(Lose("purge", 15 * FLOW), who="lead")
        assert run.state.deposit.volumes[0] == pytest.approx(thick * 4 / 19)
        assert run.state.deposit.deposited == pytest.approx(0.97 * run.state.deposit.pumped)


def test_a_signal_shows_at_its_feed_and_goes() -> None:
    van = Van()
    with following(van) as run:
        run.notice(Signal(BEGIN, "rig", "connected", message("connected")))
        run.notice(Signal(BEGIN, "rig", "frozen", message("it does not change"), "flow"))
        assert run.screen().feeds[0].signals[0].kind == "frozen"
        run.notice(Signal(BEGIN, "rig", "frozen", message("it changes"), "flow", over=True))
        run.notice(Signal(BEGIN, "rig", "lost", message("lost")))
        assert run.screen().feeds[0].connected is False
    assert van.kinds() == ["signal_noted"] * 4


def test_an_alarm_in_the_middle_of_many_readings_at_once_is_on_record() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.now = BEGIN + timedelta(seconds=400)
        run.take([van.arrival(number, flow=0.4 * FLOW if 100 <= number < 140 else 0.8 * FLOW) for number in range(300)])
        assert [one.event.code for one in run.state.happened if isinstance(one.event, AlarmRaised)][:1] == ["thin"]
        assert not run.state.alarms["thin"].active


def test_silence_is_an_alarm() -> None:
    van = Van()
    with following(van) as run:
        run.do(Start(), who="lead")
        van.take(*(van.arrival(number) for number in range(20)))
        van.now = BEGIN + timedelta(seconds=60)
        run.take([])
        assert run.state.alarms["silent"].active


def test_without_plan_and_log_there_is_no_run_and_with_another_plan_the_first_counts() -> None:
    log = MemoryLog()
    with pytest.raises(NotFound, match="no run R01"):
        LiveRun(log, KEY, clock=lambda: BEGIN)
    LiveRun(log, KEY, clock=lambda: BEGIN, plan=plan())
    other = LiveRun(log, KEY, clock=lambda: BEGIN, plan=plan(trowel=0.4))
    assert other.plan == plan()
    with pytest.raises(Conflict, match="another run"):
        log.begin(KEY, {"format": 9}, author="")
    log.headers[KEY] = {"format": 9}
    with pytest.raises(InputError, match="a newer program wrote it"):
        LiveRun(log, KEY, clock=lambda: BEGIN)
