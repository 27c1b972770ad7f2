"""A simulated rig for a run that is followed: seeded noise, a stop, a stall of the pump, a speed error, a flow that drops out, a head that slows."""

import random
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final, Protocol

from mainwright.line.run_plan import RunPlan
from mainwright.workflow.live_commands import Command, Pour, Restart, Stop
from mainwright.workflow.live_ports import Arrival, Channel, Clock, FeedReading

__all__ = ["RigFeed", "Trouble", "TroubleKind", "crew_script", "demo_troubles", "rig_readings"]

_FLOW_NOISE: Final = 0.02
"""Scatter of the simulated pump, relative."""

_SPEED_NOISE: Final = 0.02
"""Scatter of the simulated travel, relative."""

_AIR: Final = 6e5
"""Air pressure at the simulated head, gauge. [Pa]"""

_AT_REST: Final = 12e5
"""Pressure at the simulated pump when it runs as planned, gauge. [Pa]"""

TroubleKind = str
"""``stop``, ``stall``, ``speed``, ``no_flow`` or ``slow_head``."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something that goes otherwise than planned.

    Attributes
    ----------
    kind
        ``stop`` (the head stands for `amount` seconds, the pump runs on for the first ten of them), ``stall`` (the pump gives the share
        `amount`), ``speed`` (the head goes `amount` times as fast), ``no_flow`` (the sensor is silent), ``slow_head`` (its air falls to the
        share `amount`).
    start, end
        Where on the way. [m]
    """

    kind: TroubleKind
    start: float
    end: float
    amount: float = 0.0


def demo_troubles(length: float) -> tuple[Trouble, ...]:
    """Return what goes wrong on the run of the demo, by its length [m]."""
    return (
        Trouble("speed", 0.12 * length, 0.12 * length + 6.0, 1.35),
        Trouble("stop", 0.30 * length, 0.30 * length, 45.0),
        Trouble("stall", 0.45 * length, 0.45 * length + 3.0, 0.4),
        Trouble("no_flow", 0.60 * length, 0.60 * length + 5.0),
        Trouble("slow_head", 0.75 * length, 0.75 * length + 3.0, 0.6),
    )


def rig_readings(
    plan: RunPlan, *, begin: datetime, seed: int, every: float = 1.0, troubles: tuple[Trouble, ...] | None = None
) -> Iterator[FeedReading]:
    """Yield what the sensors of the rig say, from the start of the head to its end.

    Parameters
    ----------
    plan : RunPlan
        The run. [-]
    begin : datetime
        When the head starts, aware. [-]
    seed : int
        Of the noise: the same seed gives the same readings. [-]
    every : float
        Time between readings. [s]
    troubles : tuple of Trouble or None
        What goes wrong; that of the demo where not given. [-]

    Yields
    ------
    FeedReading
        Numbered from 0, source ``rig``.
    """
    chance = random.Random(seed)  # noqa: S311 - noise, no secret
    troubles = demo_troubles(plan.length) if troubles is None else troubles
    stood: dict[Trouble, float] = {}
    number, way, time = 0, 0.0, begin.timestamp()
    while True:
        here = [
            one for one in troubles if one.start <= way and (way < one.end or (one.kind == "stop" and stood.get(one, 0.0) < one.amount))
        ]
        of = {one.kind: one for one in here}
        speed = plan.at(way).speed * (1.0 + _SPEED_NOISE * chance.gauss(0.0, 1.0))
        flow = plan.flow * (1.0 + _FLOW_NOISE * chance.gauss(0.0, 1.0))
        pressure = _AT_REST * (1.0 + 0.02 * chance.gauss(0.0, 1.0))
        air = _AIR * (1.0 + 0.01 * chance.gauss(0.0, 1.0))
        if "speed" in of:
            speed *= of["speed"].amount
        if "stall" in of:
            flow *= of["stall"].amount
            pressure *= 0.6
        if "slow_head" in of:
            air *= of["slow_head"].amount
        stop = of.get("stop")
        if stop is not None:
            stands = stood.get(stop, 0.0)
            speed = 0.0
            if stands >= 10.0:
                flow = pressure = 0.0
            stood[stop] = stands + every
        at_end = way >= plan.length
        if at_end:
            flow = 0.0
        values: dict[Channel, float] = {"odometer": way, "pressure": pressure, "head_air": air}
        if "no_flow" not in of:
            values["flow"] = flow
        yield FeedReading(datetime.fromtimestamp(time, UTC), number, values, "rig")
        if at_end:
            return
        number += 1
        time += every
        way = min(way + speed * every, plan.length)


def crew_script(plan: RunPlan, troubles: tuple[Trouble, ...] | None = None) -> tuple[tuple[float, Command], ...]:
    """Return what the crew of the demo writes down by itself: each batch, and the stop with its reason.

    Parameters
    ----------
    plan : RunPlan
        The run. [-]
    troubles : tuple of Trouble or None
        What goes wrong; that of the demo where not given. [-]

    Returns
    -------
    tuple
        Time from the start of the head [s], and what is written down, in order of time.
    """
    troubles = demo_troubles(plan.length) if troubles is None else troubles
    cycle = plan.cycle or 0.0
    found: list[tuple[float, Command]] = [
        (max(batch.mixing + cycle, 0.0), Pour(number=batch.number, volume=batch.volume)) for batch in plan.batches
    ]
    for one in troubles:
        if one.kind == "stop":
            at = _elapsed(plan, one.start, troubles)
            found += [(at + 3.0, Stop(why="snag at a joint")), (at + one.amount, Restart())]
    return tuple(sorted(found, key=lambda pair: pair[0]))


def _elapsed(plan: RunPlan, way: float, troubles: tuple[Trouble, ...]) -> float:
    """Return about when the head is at a place on its way, before any stop. [s]."""
    at, time = 0.0, 0.0
    while at < way:
        factor = next((one.amount for one in troubles if one.kind == "speed" and one.start <= at < one.end), 1.0)
        at += plan.at(at).speed * factor
        time += 1.0
    return time


class _Inbox(Protocol):
    def put(self, arrival: Arrival, *, stop: threading.Event) -> bool: ...


class RigFeed:
    """A feed of simulated readings, each handed over when its time has come by the clock.

    Parameters
    ----------
    readings : iterator of FeedReading
        In order of time.
    inbox : object
        With ``put``.
    clock : callable
        The clock of the simulation.
    wait : callable
        Waits for so many seconds of the simulation, or until the event is set.
    """

    def __init__(
        self, readings: Iterator[FeedReading], *, inbox: _Inbox, clock: Clock, wait: Callable[[threading.Event, float], object]
    ) -> None:
        self._readings = readings
        self._inbox = inbox
        self._clock = clock
        self._wait = wait
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._work, name="simulated rig", daemon=True)
        self._begun = False

    def start(self) -> None:
        """Begin."""
        self._begun = True
        self._thread.start()

    def stop(self, timeout: float) -> bool:
        """Stop, and return whether the thread has ended in this time [s]."""
        self._stop.set()
        if self._begun:
            self._thread.join(timeout)
        return not self._thread.is_alive()

    @property
    def finished(self) -> bool:
        """Whether the head is out and nothing more comes."""
        return self._begun and not self._thread.is_alive()

    def _work(self) -> None:
        for reading in self._readings:
            while not self._stop.is_set():
                left = (reading.time - self._clock()).total_seconds()
                if left <= 0.0:
                    break
                self._wait(self._stop, min(left, 60.0))
            if not self._inbox.put(Arrival(reading, _nothing), stop=self._stop) or self._stop.is_set():
                return


def _nothing() -> None:
    """Acknowledge to nobody: a simulated rig does not send again."""
