"""A run against the clock: when the head was where, and how much mortar had left it."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from mainwright.job.records import Reading
from mainwright.plan.result import Run

__all__ = ["Timeline", "timelines"]


@dataclass(frozen=True, slots=True)
class Timeline:
    """One coat of one run, by its readings.

    Attributes
    ----------
    coat
        From 1.
    start, end, forward
        Chainages of the run, and whether the head travels up-chainage. [m]
    times
        Of the readings, seconds since 1970 UTC. [s]
    ways, reached
        Way of the head on the run's own axis from its cut face, and the furthest that it had been. [m]
    volumes
        Mortar that had left the head. [m3]
    flows
        From each reading to the next; a flow that was not measured is that of the plan. [m3/s]
    """

    coat: int
    start: float
    end: float
    forward: bool
    times: tuple[float, ...]
    ways: tuple[float, ...]
    reached: tuple[float, ...]
    volumes: tuple[float, ...]
    flows: tuple[float, ...]

    def chainage(self, way: float) -> float:
        """Return the chainage of a way of the head. [m]."""
        return self.start + way if self.forward else self.end - way

    def way(self, chainage: float) -> float:
        """Return the way of the head to a chainage. [m]."""
        return chainage - self.start if self.forward else self.end - chainage

    def passed(self, chainage: float) -> float | None:
        """Return when the head first passed a chainage, None where it never did. [s]."""
        way = self.way(chainage)
        if not self.times or way > self.reached[-1] or way < self.reached[0] - 1e-9:
            return None
        place = bisect_left(self.reached, way)
        if place == 0:
            return self.times[0]
        low, high = self.reached[place - 1], self.reached[place]
        share = (way - low) / (high - low) if high > low else 1.0
        return self.times[place - 1] + share * (self.times[place] - self.times[place - 1])

    def way_at(self, time: float) -> float:
        """Return where the head was; before and behind the readings, where it was first and last. [m]."""
        place = bisect_right(self.times, time)
        if place == 0:
            return self.ways[0]
        if place == len(self.times):
            return self.ways[-1]
        low, high = self.times[place - 1], self.times[place]
        share = (time - low) / (high - low) if high > low else 1.0
        return self.ways[place - 1] + share * (self.ways[place] - self.ways[place - 1])

    def when_volume(self, volume: float) -> float | None:
        """Return when so much mortar had left the head, None where it never did. [s]."""
        if not self.times or volume > self.volumes[-1] * (1.0 + 1e-12):
            return None
        place = bisect_left(self.volumes, min(max(volume, 0.0), self.volumes[-1]))
        if place == 0:
            return self.times[0]
        low, high = self.volumes[place - 1], self.volumes[place]
        share = (volume - low) / (high - low) if high > low else 1.0
        return self.times[place - 1] + share * (self.times[place] - self.times[place - 1])

    def span(self, low: float, high: float) -> tuple[float, float] | None:
        """Return mean speed [m/s] and mean flow [m3/s] between two chainages, None where the head did not pass both."""
        passes = (self.passed(low), self.passed(high))
        if passes[0] is None or passes[1] is None or passes[0] == passes[1]:
            return None
        first, last = sorted((passes[0], passes[1]))
        volume = self._volume_at(last) - self._volume_at(first)
        return abs(high - low) / (last - first), volume / (last - first)

    def _volume_at(self, time: float) -> float:
        place = bisect_right(self.times, time)
        if place == 0:
            return 0.0
        if place == len(self.times):
            return self.volumes[-1]
        return self.volumes[place - 1] + self.flows[place - 1] * (time - self.times[place - 1])


def timelines(run: Run, readings: Sequence[Reading], *, origin: float = 0.0) -> tuple[Timeline, ...]:
    """Return the timeline of each coat.

    Parameters
    ----------
    run : Run
        The run, in the direction in which it was lined. [-]
    readings : sequence of Reading
        In order of time. [-]
    origin : float
        Where on the way of the run the head really started. [m]

    Returns
    -------
    tuple of Timeline
        In order of the coats; a coat with fewer than two readings of the odometer has none.
    """
    coats: dict[int, list[Reading]] = {}
    for reading in readings:
        if reading.odometer is not None:
            coats.setdefault(reading.coat or 1, []).append(reading)
    found = []
    for coat, rows in sorted(coats.items()):
        if len(rows) < 2:
            continue
        times = [one.time.timestamp() for one in rows]
        flows = [run.flow if one.flow is None else one.flow for one in rows]
        ways = [origin + (one.odometer or 0.0) for one in rows]
        steps = (max(0.0, after - before) * flow for before, after, flow in zip(times, times[1:], flows, strict=False))
        found.append(
            Timeline(
                coat=coat,
                start=run.start,
                end=run.end,
                forward=run.direction == "increasing",
                times=tuple(times),
                ways=tuple(ways),
                reached=tuple(accumulate(ways, max)),
                volumes=tuple(accumulate(steps, initial=0.0)),
                flows=tuple(flows),
            )
        )
    return tuple(found)
