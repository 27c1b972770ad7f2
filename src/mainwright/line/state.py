"""The state of a run: a fold over its events. Nothing else changes it, so a record read again gives the same state to the bit."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from mainwright.errors import RunError
from mainwright.line.deposit_map import BIN, DepositMap
from mainwright.line.events import (
    AlarmAcknowledged,
    AlarmCleared,
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
    Remark,
    Started,
)
from mainwright.line.run_plan import RunPlan

__all__ = ["Alarm", "Phase", "Poured", "RunState", "fold"]

Phase = Literal["ready", "running", "ended"]


@dataclass(frozen=True, slots=True)
class Alarm:
    """An alarm that is up, or was and nobody has seen it yet."""

    code: str
    since: float
    chainage: float
    value: float
    active: bool = True
    acknowledged: str | None = None


@dataclass(frozen=True, slots=True)
class Poured:
    """A batch in the stream: its number, when mixing began [s], and up to where in the stream it goes [m3]."""

    number: int
    mixing: float
    until: float


class RunState:
    """What is known of a run after some of its events."""

    def __init__(self, plan: RunPlan, *, bin_length: float = BIN, lag: float = 0.0) -> None:
        self.plan = plan
        self.deposit = DepositMap(plan, bin_length=bin_length, lag=lag)
        self.phase: Phase = "ready"
        self.events = 0
        self.started: float | None = None
        self.ended: float | None = None
        self.outcome: str | None = None
        self.ends_closed: float | None = None
        self.now: float | None = None
        self.alarms: dict[str, Alarm] = {}
        self.stream: list[Poured] = []
        self.lost = {"purge": 0.0, "returned": 0.0, "wasted": 0.0}
        self.cleared: dict[float, float] = {}
        self.remarks: list[Remark] = []
        self.signals: dict[str, int] = {}
        self.pressure: float | None = None
        self.head_air: float | None = None
        self.head_speed: float | None = None
        self.best_head_air: float | None = None
        self.best_head_speed: float | None = None
        self.flow_measured = True
        self._fallback = (plan.flow, plan.scatter)
        self._odometer_shift = 0.0

    def apply(self, event: Event) -> None:  # noqa: C901, PLR0912 - one branch an event
        """Take in the next event.

        Parameters
        ----------
        event : Event
            It is not changed. [-]

        Raises
        ------
        RunError
            If it cannot happen in this state: then nothing is changed.
        """
        match event:
            case Started():
                self._require("ready", event)
                self.phase, self.started = "running", event.time
            case ReadingTaken():
                self._require("running", event)
                self._take(event)
            case HandMark():
                self._require("running", event)
                flow, guess = (event.flow, 0.0) if event.flow is not None else self._fallback
                self._place(event.number, event.time, event.way, flow, guess)
            case FlowFallback():
                self._fallback = (event.flow, event.deviation)
            case OdometerSet():
                self._odometer_shift += event.shift
                self._count("odometer_set")
            case BatchPoured():
                before = self.stream[-1].until if self.stream else 0.0
                self.stream.append(Poured(event.number, event.mixing, before + event.volume))
            case LitresLost():
                self.lost[event.kind] += event.volume
            case ConnectionDone():
                self.cleared[event.chainage] = event.time
            case AlarmRaised():
                self.alarms[event.code] = Alarm(event.code, event.time, event.chainage, event.value)
            case AlarmCleared():
                self._settle(event.code, active=False, who=None)
            case AlarmAcknowledged():
                self._settle(event.code, active=None, who=event.who)
            case Remark():
                self.remarks.append(event)
            case EndsClosed():
                self.ends_closed = event.time
            case Ended():
                self._require("running", event)
                self.phase, self.ended, self.outcome = "ended", event.time, event.outcome
        self.events += 1
        self.now = event.time if self.now is None else max(self.now, event.time)

    def _require(self, phase: Phase, event: Event) -> None:
        if self.phase != phase:
            raise RunError(type(event).__name__, self.phase, phase)

    def _count(self, signal: str) -> None:
        self.signals[signal] = self.signals.get(signal, 0) + 1

    def _settle(self, code: str, *, active: bool | None, who: str | None) -> None:
        alarm = self.alarms.get(code)
        if alarm is None:
            return
        still = alarm.active if active is None else active
        seen = alarm.acknowledged if who is None else who
        if not still and seen is not None:
            del self.alarms[code]
        else:
            self.alarms[code] = Alarm(alarm.code, alarm.since, alarm.chainage, alarm.value, active=still, acknowledged=seen)

    def _take(self, reading: ReadingTaken) -> None:
        flow, guess = (reading.flow, 0.0) if reading.flow is not None else self._fallback
        self.flow_measured = reading.flow is not None
        if not self.flow_measured:
            self._count("flow_missing")
        self._place(reading.number, reading.time, reading.odometer + self._odometer_shift, flow, guess)
        self.pressure, self.head_air, self.head_speed = reading.pressure, reading.head_air, reading.head_speed
        if reading.head_air is not None:
            self.best_head_air = max(self.best_head_air or 0.0, reading.head_air)
        if reading.head_speed is not None:
            self.best_head_speed = max(self.best_head_speed or 0.0, reading.head_speed)

    def _place(self, number: int, time: float, way: float, flow: float, guess: float) -> None:
        told = self.deposit.add(number=number, time=time, way=way, flow=flow, guess=guess)
        if told != "new":
            self._count(told)

    def age_at_head(self) -> float | None:
        """Return the age of the mortar that leaves the head now; None before a batch is on record. [s].

        The hose was filled from the first of the stream: what leaves the head is as far down the stream as was pumped since.
        """
        latest = self.deposit.latest()
        if latest is None:
            return None
        place = self.deposit.pumped
        batch = next((one for one in self.stream if place < one.until), self.stream[-1] if self.stream else None)
        return None if batch is None else latest[0] - batch.mixing

    def in_stock(self) -> float | None:
        """Return the mortar that is poured and not yet in the hose; None before a batch is on record. [m3]."""
        if not self.stream:
            return None
        return self.stream[-1].until - self.plan.hose_volume - self.deposit.pumped - self.lost["wasted"] - self.lost["returned"]


def fold(plan: RunPlan, events: Iterable[Event], *, bin_length: float = BIN, lag: float = 0.0) -> RunState:
    """Return the state after all events.

    Parameters
    ----------
    plan : RunPlan
        What the run was meant to be. [-]
    events : iterable of Event
        In the order of the record. [-]
    bin_length : float
        Length of the bins. [m]
    lag : float
        Time constant of the hose. [s]

    Returns
    -------
    RunState
        The same events give the same state to the bit.
    """
    state = RunState(plan, bin_length=bin_length, lag=lag)
    for event in events:
        state.apply(event)
    return state
