"""The hose's constant from what was read at the pump."""

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.line.hose_lag import PumpReading, hose_lags

FLOW, REST, PUMPING = 4e-4, 1e5, 9e5


def readings(lag: float, *, scatter: float = 0.0, seed: int = 1, every: float = 1.0) -> list[PumpReading]:
    """Make a run with a stop of two minutes: the pressure goes from one level to the other with a constant."""
    chance = random.Random(seed)
    found = []
    for number in range(int(400.0 / every)):
        time = number * every
        if time < 120.0:
            pressure = PUMPING
        elif time < 240.0:
            pressure = REST + (PUMPING - REST) * math.exp(-(time - 120.0) / lag)
        else:
            low = REST + (PUMPING - REST) * math.exp(-120.0 / lag)
            pressure = PUMPING + (low - PUMPING) * math.exp(-(time - 240.0) / lag)
        flow = 0.0 if 120.0 <= time < 240.0 else FLOW
        found.append(PumpReading(1e9 + time, flow, pressure * (1.0 + scatter * chance.gauss(0.0, 1.0))))
    return found


@given(st.floats(2.0, 60.0))
def test_stop_and_start_give_the_constant_that_made_them(lag: float) -> None:
    found = hose_lags(readings(lag))
    assert [(one.kind, one.time) for one in found.turns] == [("stop", 1e9 + 120.0), ("start", 1e9 + 240.0)]
    assert all(one.counts for one in found.turns)
    assert found.lag == pytest.approx(lag, rel=1e-6)


def test_scatter_of_the_gauge_moves_it_little() -> None:
    found = hose_lags(readings(12.0, scatter=0.02))
    assert found.lag == pytest.approx(12.0, rel=0.05)


def test_a_pressure_that_only_scatters_gives_none() -> None:
    level = [PumpReading(one.time, one.flow, REST * random.Random(k).uniform(0.9, 1.1)) for k, one in enumerate(readings(9.0))]
    found = hose_lags(level)
    assert len(found.turns) == 2
    assert not any(one.counts for one in found.turns)
    assert found.lag is None


def test_a_pressure_that_does_not_move_or_is_not_read_gives_none() -> None:
    still = [PumpReading(one.time, one.flow, REST) for one in readings(9.0)]
    unread = [PumpReading(one.time, one.flow, None) for one in readings(9.0)]
    assert [one.lag for one in hose_lags(still).turns] == [None, None]
    assert [one.readings for one in hose_lags(unread).turns] == [0, 0]


def test_a_flow_that_was_not_measured_begins_no_stop() -> None:
    gone = [PumpReading(one.time, None if one.flow == 0.0 else one.flow, one.pressure) for one in readings(9.0)]
    assert hose_lags(gone).turns == ()


def test_without_a_flow_there_is_nothing_to_tell() -> None:
    assert hose_lags([PumpReading(0.0, None, REST), PumpReading(1.0, 0.0, REST)]).turns == ()
