"""Where the head is when."""

from collections.abc import Sequence

from mainwright.plan.result import Direction

__all__ = ["HeadClock"]


class HeadClock:
    """Where the head is when: over each length it goes evenly."""

    def __init__(self, pieces: Sequence[tuple[int, float, float]], seconds: Sequence[float], direction: Direction) -> None:
        legs = [(low, high, each) for (_, low, high), each in zip(pieces, seconds, strict=True)]
        self._sign = 1.0 if direction == "increasing" else -1.0
        self._origin = legs[0][0] if direction == "increasing" else legs[-1][1]
        self._legs = legs if direction == "increasing" else legs[::-1]

    def at(self, chainage: float) -> float:
        """Return the time at which the head passes a chainage."""
        elapsed = 0.0
        for low, high, seconds in self._legs:
            if low <= chainage <= high:
                way = chainage - low if self._sign > 0.0 else high - chainage
                return elapsed + seconds * way / (high - low)
            elapsed += seconds
        return elapsed

    def way(self, elapsed: float) -> float:
        """Return how far the head has come after a time."""
        way = 0.0
        for low, high, seconds in self._legs:
            if elapsed <= seconds:
                return way + (high - low) * elapsed / seconds
            elapsed -= seconds
            way += high - low
        return way
