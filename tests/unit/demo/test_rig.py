"""The simulated rig."""

import threading
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from mainwright.demo.rig import RigFeed, Trouble, crew_script, rig_readings
from mainwright.line.run_plan import PlannedBatch
from mainwright.workflow.live_commands import Pour, Restart, Stop
from mainwright.workflow.live_ports import Arrival
from tests.unit.line.plans import FLOW, plan

BEGIN = datetime(2026, 4, 13, 8, 0, tzinfo=UTC)


def test_the_same_seed_gives_the_same_readings_to_the_end_of_the_run() -> None:
    one, other = (list(rig_readings(plan(), begin=BEGIN, seed=7)) for _ in range(2))
    assert one == other
    assert one != list(rig_readings(plan(), begin=BEGIN, seed=8))
    assert one[-1].values["odometer"] == 60.0
    assert [reading.number for reading in one] == list(range(len(one)))


def test_each_trouble_shows() -> None:
    readings = list(rig_readings(plan(), begin=BEGIN, seed=7))
    ways = [reading.values["odometer"] for reading in readings]
    assert sum(after == before for before, after in pairwise(ways)) == 45
    assert min(reading.values.get("flow", FLOW) for reading in readings[:-1]) == 0.0
    assert any(0.3 * FLOW < reading.values.get("flow", FLOW) < 0.5 * FLOW for reading in readings)
    silent = [reading.values["odometer"] for reading in readings if "flow" not in reading.values]
    assert silent[0] == pytest.approx(36.0, abs=0.3)
    assert silent[-1] == pytest.approx(41.0, abs=0.3)
    assert min(reading.values["head_air"] for reading in readings) < 4e5
    calm = list(rig_readings(plan(), begin=BEGIN, seed=7, troubles=()))
    assert len(calm) < len(readings)


def test_the_crew_pours_and_writes_down_the_stop() -> None:
    script = crew_script(plan(batches=(PlannedBatch(1, 0.2, -900.0), PlannedBatch(2, 0.2, 100.0)), cycle=360.0))
    assert [type(one) for _, one in script] == [Pour, Stop, Restart, Pour]
    assert [time for time, _ in script] == sorted(time for time, _ in script)


def test_the_feed_hands_over_when_the_time_has_come_and_stops() -> None:
    handed: list[Arrival] = []
    now = BEGIN

    class Inbox:
        def put(self, arrival: Arrival, *, stop: threading.Event) -> bool:
            handed.append(arrival)
            return True

    def wait(stop: threading.Event, seconds: float) -> None:
        nonlocal now
        now += timedelta(seconds=seconds)

    troubles: tuple[Trouble, ...] = ()
    feed = RigFeed(rig_readings(plan(), begin=BEGIN, seed=1, troubles=troubles), inbox=Inbox(), clock=lambda: now, wait=wait)
    assert not feed.finished
    feed.start()
    feed._thread.join(10.0)
    assert feed.finished
    assert handed[-1].reading.values["odometer"] == 60.0
    assert now == handed[-1].reading.time
    assert feed.stop(1.0)
