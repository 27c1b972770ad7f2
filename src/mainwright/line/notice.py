"""What the readings themselves tell of their senders: a clock that was set, an odometer that was reset, a count of strokes that ran over.

Each is put on record as an event of its own before the reading that shows it. The readings are never changed.
"""

from dataclasses import dataclass
from typing import Final

from mainwright.line.events import ClockSet, OdometerSet, ReadingTaken, StrokesSet
from mainwright.line.state import RunState

__all__ = ["Limits", "Noticer"]

_MODULI: Final = (256, 1000, 10_000, 65_536, 100_000, 1_000_000, 2**31, 2**32)
"""Where counters run over."""


@dataclass(frozen=True, slots=True)
class Limits:
    """From when on readings cannot be what they say; settings, none is published.

    Attributes
    ----------
    clock
        A clock that is so much further ahead than it ever was has been set. [s]
    way
        The odometer may sway so much. [m]
    times_speed
        So many times the head's greatest speed is no travel.
    """

    clock: float = 5.0
    way: float = 0.5
    times_speed: float = 3.0


class Noticer:
    """Looks at each reading before it is put on record.

    Parameters
    ----------
    limits : Limits or None
        The usual where not given.
    clocks : bool
        Whether the time at which a reading arrives can be compared with its own: not where old readings are played again at another speed.
    """

    def __init__(self, limits: Limits | None = None, *, clocks: bool = True) -> None:
        self._limits = limits or Limits()
        self._clocks = clocks
        self._arrived: float | None = None
        self._ahead: float | None = None

    def notice(self, state: RunState, reading: ReadingTaken, *, arrived: float) -> tuple[ClockSet | OdometerSet | StrokesSet, ...]:
        """Return what a reading shows, to be applied before it.

        Parameters
        ----------
        state : RunState
            The run before the reading. [-]
        reading : ReadingTaken
            The reading. [-]
        arrived : float
            When it came, by the clock of the van, seconds since 1970 UTC. [s]

        Returns
        -------
        tuple of ClockSet, OdometerSet or StrokesSet
            Nothing for most readings, and for those that are late or not of the way.
        """
        latest = state.deposit.latest()
        if state.phase not in ("running", "stopped") or reading.odometer is None:
            return ()
        orders = state.orders
        if not orders.would_lead(reading.source, reading.time):
            return ()
        order = orders.order(reading.source, reading.number) if reading.source == orders.lead else None
        greatest = state.deposit.greatest
        if order is not None and greatest is not None and order <= greatest:
            return ()
        # Of a sender that is about to lead, the events count from its first reading on: it has no order yet, and none is greater.
        number = reading.number if order is not None else None
        found: list[ClockSet | OdometerSet | StrokesSet] = []
        time, way, _ = latest or (reading.time, reading.odometer, 0.0)
        place = greatest + 1 if order is None and greatest is not None else (order or 0)
        own = reading.time + state.clock_shifts.at(place)
        if latest is not None:
            shift = self._clock_shift(own, time, arrived)
            if shift:
                found.append(ClockSet(reading.time, shift, number))
                own += shift
            says = reading.odometer + state.odometer_shifts.at(place)
            moved = self._odometer_shift(state, says - way, own - time, reading.odometer)
            if moved is not None:
                found.append(OdometerSet(reading.time, moved[0], moved[1], number))
        self._arrived = arrived
        ahead = own - arrived
        self._ahead = ahead if self._ahead is None else max(self._ahead, ahead)
        if reading.strokes is not None:
            strokes = _strokes_shift(state.strokes, reading.strokes)
            if strokes is not None:
                found.append(StrokesSet(reading.time, strokes[0], strokes[1], number))
        return tuple(found)

    def _clock_shift(self, own: float, latest: float, arrived: float) -> float:
        """Return what is to be added to a clock that was set back, or ahead; the time that passed meanwhile is that of the van."""
        if not self._clocks or self._arrived is None:
            return 0.0
        passed = max(arrived - self._arrived, 1e-3)
        if own <= latest:
            return latest + passed - own
        # A reading that was held up is behind; only a clock that was set is further ahead than it ever was.
        if self._ahead is not None and own - arrived > self._ahead + self._limits.clock:
            return latest + passed - own
        return 0.0

    def _odometer_shift(self, state: RunState, moved: float, passed: float, told: float) -> tuple[float, str] | None:
        plan = state.plan
        fastest = plan.speed_max if plan.speed_max is not None else max(one.speed_high for one in plan.lengths)
        most = self._limits.way + self._limits.times_speed * fastest * max(passed, 0.0)
        if -most <= moved <= most:
            return None
        if moved < 0.0 and abs(told) <= most:
            # It counts from nought again: what it has counted since is the way.
            return told - moved, "reset"
        expected = (state.deposit.speed() or 0.0) * max(passed, 0.0)
        return expected - moved, "jump back" if moved < 0.0 else "jump ahead"


def _strokes_shift(before: float | None, told: float) -> tuple[float, str] | None:
    if before is None or told >= before:
        return None
    modulus = next((one for one in _MODULI if before < one), None)
    if modulus is not None and before > 0.9 * modulus and told < 0.1 * modulus:
        return float(modulus), "ran over"
    return before, "reset"
