"""How long the hose of a run took to give: the time constant from each stop and start of the pump that the readings show."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal

from mainwright.errors import InputError
from mainwright.science.placement.lag import fit_lag

__all__ = ["HoseLags", "PumpReading", "PumpTurn", "hose_lags"]

_STANDS = 0.05
"""Under this share of the usual flow the pump stands. [-]"""

_GOES = 0.5
"""Over this share of the usual flow it goes. [-]"""

_LONGEST = 300.0
"""So long after a stop or start is looked at. [s]"""

_FEWEST = 6
"""So many readings of the pressure a fit needs."""

_EXPLAINED = 0.9
"""A fit that explains less of the pressure's course than this does not count. [-]"""


@dataclass(frozen=True, slots=True)
class PumpReading:
    """Time [s], flow measured from now on [m3/s], pressure at the pump [Pa]; None where one was not read."""

    time: float
    flow: float | None
    pressure: float | None


@dataclass(frozen=True, slots=True)
class PumpTurn:
    """A stop or start of the pump.

    Attributes
    ----------
    kind
        ``stop`` or ``start``.
    time
        When it was read. [s]
    readings
        How many of the pressure follow it.
    lag
        Time constant; None where the readings show none. [s]
    explained
        Share of the pressure's course that it explains. [-]
    """

    kind: Literal["stop", "start"]
    time: float
    readings: int
    lag: float | None = None
    explained: float | None = None

    @property
    def counts(self) -> bool:
        """Return whether the pressure goes as this constant says."""
        return self.lag is not None and self.explained is not None and self.explained >= _EXPLAINED


@dataclass(frozen=True, slots=True)
class HoseLags:
    """All stops and starts of a run, and the median constant of those that count; None where none does. [s]."""

    turns: tuple[PumpTurn, ...]
    lag: float | None


def hose_lags(readings: Sequence[PumpReading]) -> HoseLags:
    """Return the time constant of a hose from what was read at its pump.

    Parameters
    ----------
    readings : sequence of PumpReading
        Of one run, in the order of their time. [-]

    Returns
    -------
    HoseLags
        Each stop and start, and the median.

    Notes
    -----
    A hose that swells gives up what it holds at a rate that goes with its pressure: after the pump stops, or starts at an even pace, the pressure nears
    a level with the time constant that the flow at the head has too. When between two readings the pump stopped does not matter, for the course is the
    same from any moment on.
    """
    flows = [one.flow for one in readings if one.flow is not None and one.flow > 0.0]
    if not flows:
        return HoseLags((), None)
    usual = median(flows)
    turns: list[tuple[int, Literal["stop", "start"]]] = []
    stands: bool | None = None
    for place, one in enumerate(readings):
        if one.flow is None:
            continue
        now = True if one.flow <= _STANDS * usual else False if one.flow >= _GOES * usual else None
        if now is None:
            continue
        if stands is not None and now != stands:
            turns.append((place, "stop" if now else "start"))
        stands = now
    ends = [place for place, _ in turns[1:]] + [len(readings)]
    found = tuple(_turn(readings[turns[number][0] : ends[number]], turns[number][1]) for number in range(len(turns)))
    counting = [one.lag for one in found if one.counts and one.lag is not None]
    return HoseLags(found, median(counting) if counting else None)


def _turn(readings: Sequence[PumpReading], kind: Literal["stop", "start"]) -> PumpTurn:
    begun = readings[0].time
    course = [(one.time - begun, one.pressure) for one in readings if one.pressure is not None and 0.0 <= one.time - begun <= _LONGEST]
    times, pressures = [time for time, _ in course], [pressure for _, pressure in course]
    if len(course) < _FEWEST:
        return PumpTurn(kind, begun, len(course))
    mean = sum(pressures) / len(pressures)
    whole = sum((one - mean) ** 2 for one in pressures)
    if whole <= 0.0:
        return PumpTurn(kind, begun, len(course))
    try:
        fitted = fit_lag(times, pressures)
    except InputError:
        return PumpTurn(kind, begun, len(course))
    return PumpTurn(kind, begun, len(course), fitted.lag, max(0.0, 1.0 - fitted.residual / whole))
