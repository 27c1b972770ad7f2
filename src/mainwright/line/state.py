"""The state of a run: a fold over its events. Nothing else changes it, so a record read again gives the same state to the bit."""

import math
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median
from typing import Final, Literal

from mainwright.errors import RunError
from mainwright.line.deposit_map import BIN, DepositMap
from mainwright.line.events import (
    AlarmAcknowledged,
    AlarmCleared,
    AlarmRaised,
    BatchPoured,
    ChargeTaken,
    ClockSet,
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
    Restarted,
    SignalNoted,
    SourceNamed,
    Started,
    Stopped,
    StrokesSet,
)
from mainwright.line.run_plan import RunPlan
from mainwright.line.senders import HAND, Beside, Orders, Shifts

__all__ = ["MARKED", "Alarm", "Checked", "Happened", "Heard", "Phase", "Poured", "RunState", "fold"]

MARKED: Final = 0.03
"""Deviation that marks by hand and a stopwatch add to the flow by length, relative; an assumption. [-]"""

_STEADY: Final = 5
"""So many readings of the head's air or speed are looked at together: their median is not fooled by one."""

Phase = Literal["ready", "running", "stopped", "ended"]


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


@dataclass(frozen=True, slots=True)
class Checked:
    """A mark by hand while the odometer was read: its time [s], its way, and how much further the odometer was. [m]."""

    time: float
    way: float
    difference: float


@dataclass(frozen=True, slots=True)
class Happened:
    """An event that is no reading, and where the head was; None before the first reading. [m]."""

    event: Event
    way: float | None


@dataclass(slots=True)
class Heard:
    """What was heard of one sender: its name, time of the latest reading [s], how many, and what it last told of itself."""

    name: str
    latest: float | None = None
    readings: int = 0


class RunState:
    """What is known of a run after some of its events."""

    def __init__(self, plan: RunPlan, *, bin_length: float = BIN, lag: float = 0.0) -> None:
        self.plan = plan
        self.deposit = DepositMap(plan, bin_length=bin_length, lag=lag)
        self.phase: Phase = "ready"
        self.events = 0
        self.started: float | None = None
        self.stopped: float | None = None
        self.ended: float | None = None
        self.outcome: str | None = None
        self.ends_closed: float | None = None
        self.now: float | None = None
        self.in_charge: str | None = None
        self.alarms: dict[str, Alarm] = {}
        self.stream: list[Poured] = []
        self.lost = {"purge": 0.0, "returned": 0.0, "wasted": 0.0}
        self.cleared: dict[float, float] = {}
        self.remarks: list[Remark] = []
        self.marks: list[Checked] = []
        self.happened: list[Happened] = []
        self.signals: dict[str, int] = {}
        self.sources: dict[int, Heard] = {}
        self.early: list[ReadingTaken] = []
        self.strokes: float | None = None
        self.pressure: float | None = None
        self.head_air: float | None = None
        self.head_speed: float | None = None
        self.best_head_air: float | None = None
        self.best_head_speed: float | None = None
        self.head_readings = 0
        self.hand_marks = 0
        self.jumped: float | None = None
        self.flow_measured = True
        self.fallback = (plan.flow, plan.fallback)
        self.orders = Orders()
        self.odometer_shifts = Shifts()
        self.strokes_shifts = Shifts()
        self.clock_shifts = Shifts()
        self._beside = Beside(plan.stroke)
        self._airs: deque[float] = deque(maxlen=_STEADY)
        self._speeds: deque[float] = deque(maxlen=_STEADY)

    def apply(self, event: Event) -> None:  # noqa: C901, PLR0912, PLR0915 - one branch an event
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
        if isinstance(event, ReadingTaken):
            self._take(event)
            self._counted(event.time)
            return
        match event:
            case Started():
                self._require(event, "ready")
                self.phase, self.started = "running", event.time
                early, self.early = self.early, []
                for reading in early:
                    if event.early and reading.time >= event.time:
                        self._lay(reading)
            case Stopped():
                self._require(event, "running")
                self.phase, self.stopped = "stopped", event.time
            case Restarted():
                self._require(event, "stopped")
                self.phase, self.stopped = "running", None
            case SourceNamed():
                self.sources[event.source] = Heard(event.name)
                self.orders.name(event.source, event.follows)
            case HandMark():
                self._require(event, "running", "stopped")
                self._mark(event)
            case FlowFallback():
                self.fallback = (event.flow, event.deviation)
            case OdometerSet():
                self.odometer_shifts.add(self._from(event.number), event.shift)
                self.jumped = event.shift if event.who == "" else None
                self._count("odometer_set")
            case StrokesSet():
                self.strokes_shifts.add(self._from(event.number), event.shift)
                self._count("strokes_set")
            case ClockSet():
                self.clock_shifts.add(self._from(event.number), event.shift)
                self._count("clock_set")
            case BatchPoured():
                before = self.stream[-1].until if self.stream else 0.0
                self.stream.append(Poured(event.number, event.mixing, before + event.volume))
            case LitresLost():
                self.lost[event.kind] += event.volume
                if event.kind == "purge" and self.deposit.readings:
                    self.deposit.take_out(event.volume)
            case ConnectionDone():
                self.cleared[event.chainage] = event.time
            case AlarmRaised():
                self.alarms[event.code] = Alarm(event.code, event.time, event.chainage, event.value)
            case AlarmCleared():
                self._settle(event.code, active=False, who=None)
            case AlarmAcknowledged():
                self._settle(event.code, active=None, who=event.who)
                if event.code == "odometer_jump":
                    self.jumped = None
            case Remark():
                self.remarks.append(event)
            case SignalNoted():
                self._count(event.kind)
            case ChargeTaken():
                self.in_charge = event.who
            case EndsClosed():
                self.ends_closed = event.time
            case Ended():
                self._require(event, "running", "stopped")
                self.phase, self.ended, self.outcome = "ended", event.time, event.outcome
        begins = isinstance(event, Started)
        self.happened.append(Happened(event, 0.0 if begins else self.deposit.way if self.deposit.readings else None))
        self._counted(event.time)

    def _counted(self, time: float) -> None:
        self.events += 1
        if self.now is None or time > self.now:
            self.now = time

    def _require(self, event: Event, *phases: Phase) -> None:
        if self.phase not in phases:
            raise RunError(type(event).__name__, self.phase, " or ".join(phases))

    def _count(self, signal: str) -> None:
        self.signals[signal] = self.signals.get(signal, 0) + 1

    def _from(self, number: int | None) -> int:
        """Return the order from which a shift counts."""
        lead = self.orders.lead
        if number is not None and lead is not None:
            return self.orders.order(lead, number)
        greatest = self.deposit.greatest
        return 0 if greatest is None else greatest + 1

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
        heard = self.sources.get(reading.source)
        if heard is None:
            heard = self.sources[reading.source] = Heard("")
        heard.readings += 1
        if heard.latest is None or reading.time > heard.latest:
            heard.latest = reading.time
        if self.phase == "ready":
            self.early.append(reading)
            self._look(reading, leads=reading.odometer is not None)
        elif self.phase == "ended":
            self._count("after_end")
        else:
            self._lay(reading)

    def _lay(self, reading: ReadingTaken) -> None:
        """Put a reading on the way, or beside those of the sender that leads."""
        if reading.odometer is None or not self.orders.leads(reading.source, reading.number, reading.time):
            self._look(reading, leads=False)
            self._beside.take(reading)
            return
        order = self.orders.order(reading.source, reading.number)
        flow, guess, count = reading.flow, 0.0, None
        if flow is None or not 0.0 <= flow < math.inf:
            flow, guess = self.fallback
        if self._beside.counts(reading):
            count = self._beside.count(reading, self.strokes_shifts.at(order))
        self.flow_measured = guess == 0.0 or count is not None
        if not self.flow_measured:
            self._count("flow_missing")
        told = self.deposit.add(
            number=order,
            time=reading.time + self.clock_shifts.at(order),
            way=reading.odometer + self.odometer_shifts.at(order),
            flow=flow,
            guess=guess,
            count=count,
        )
        if told in ("new", "clock_step"):
            self._look(reading, leads=True)
            self.strokes = reading.strokes if reading.strokes is not None else self.strokes
        if told != "new":
            self._count(told)

    def _look(self, reading: ReadingTaken, *, leads: bool) -> None:
        """Keep what a reading says of pressure and head; what the leading sender does not tell is kept of the one beside it."""
        if reading.pressure is not None or (leads and not self._beside.tells):
            self.pressure = reading.pressure
        air, speed = reading.head_air, reading.head_speed
        if air is not None or (leads and not self._beside.tells):
            self.head_air = air
        if speed is not None or (leads and not self._beside.tells):
            self.head_speed = speed
        if self.phase == "ready":
            return
        if air is not None or speed is not None:
            self.head_readings += 1
        if air is not None:
            self._airs.append(air)
            self.head_air = median(self._airs)
            if len(self._airs) == _STEADY:
                self.best_head_air = max(self.best_head_air or 0.0, self.head_air)
        if speed is not None:
            self._speeds.append(speed)
            self.head_speed = median(self._speeds)
            if len(self._speeds) == _STEADY:
                self.best_head_speed = max(self.best_head_speed or 0.0, self.head_speed)

    def _mark(self, mark: HandMark) -> None:
        if not self.orders.leads(HAND, mark.number, mark.time):
            self.marks.append(Checked(mark.time, mark.way, self.deposit.way - mark.way))
            return
        flow, guess = (mark.flow, 0.0) if mark.flow is not None else self.fallback
        order, guess = self.orders.order(HAND, mark.number), math.hypot(guess, MARKED)
        if self.hand_marks == 0 and self.deposit.readings == 0 and self.started is not None and self.started < mark.time:
            # Who pressed Start said that the head stood at the cut face: that is a mark too.
            self.deposit.add(number=order - 1, time=self.started, way=0.0, flow=flow, guess=guess)
        self.hand_marks += 1
        told = self.deposit.add(number=order, time=mark.time, way=mark.way, flow=flow, guess=guess)
        if told != "new":
            self._count(told)

    @property
    def cover_proved(self) -> bool:
        """Return whether the head's own air pressure or speed was read all along: litres by length prove no cover."""
        return self.deposit.readings > 0 and self.head_readings >= 0.95 * self.deposit.readings

    @property
    def hand_mode(self) -> bool:
        """Return whether marks by hand are the record now."""
        return self.orders.lead == HAND

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
