"""Who tells where the head is when there are several senders, and what the others tell beside it."""

from bisect import bisect_right
from typing import Final

from mainwright.line.events import ReadingTaken

__all__ = ["HAND", "HANDOVER", "Beside", "Orders", "Shifts"]

HAND: Final = -1
"""The source of marks by hand."""

HANDOVER: Final = 30.0
"""Another sender leads after the one that does was silent so long; a setting. [s]"""

_STALE: Final = 10.0
"""A flow that another sender told counts no longer than this. [s]"""

_BLOCK: Final = 1 << 64
"""Greater than any number of a sender: each that leads gets a block of orders of its own."""


class Shifts:
    """What is added to readings, from some order on."""

    def __init__(self) -> None:
        self._starts: list[int] = []
        self._totals: list[float] = []

    def add(self, start: int, shift: float) -> None:
        """Add a shift from an order on to all that was added before."""
        self._starts.append(start)
        self._totals.append((self._totals[-1] if self._totals else 0.0) + shift)

    def at(self, order: int) -> float:
        """Return what is added to the reading of an order."""
        if not self._starts:
            return 0.0
        place = bisect_right(self._starts, order) - 1
        return self._totals[place] if place >= 0 else 0.0


class Orders:
    """The order of readings on the way: by the number of the sender that leads, sender after sender.

    One sender leads, the first that tells the way. Another takes its place where it goes on from it (the same sender, counting anew) or where
    the leading one has been silent for a while.
    """

    def __init__(self) -> None:
        self.lead: int | None = None
        self.latest = 0.0
        self._blocks = 0
        self._stints: dict[int, list[tuple[int, int]]] = {}
        self._follows: dict[int, int] = {}

    def name(self, source: int, follows: int | None) -> None:
        """Take a sender that is heard for the first time."""
        if follows is not None:
            self._follows[source] = follows

    def leads(self, source: int, number: int, time: float) -> bool:
        """Return whether a reading with a way counts as one of the way, and take note of it."""
        if source != self.lead:
            if not self.would_lead(source, time):
                return source in self._stints and self._goes_before(source)
            self.lead = source
            self._blocks += 1
            # The first block is the numbers themselves; of a later one the place of its first number is kept.
            base = (self._blocks - 1) * _BLOCK
            self._stints.setdefault(source, []).append((number, base))
        self.latest = max(self.latest, time)
        return True

    def would_lead(self, source: int, time: float) -> bool:
        """Return whether a reading of this sender at this time is one of the way."""
        if source == self.lead or self.lead is None or self._follows.get(source) == self.lead:
            return True
        # Sensors go before marks by hand.
        return (self.lead == HAND and source != HAND) or time - self.latest > HANDOVER

    def _goes_before(self, source: int) -> bool:
        """Return whether this sender was the one from which the leading one goes on: then it may still hand in late readings."""
        return self.lead is not None and self._follows.get(self.lead) == source

    def order(self, source: int, number: int) -> int:
        """Return the place of a reading among all of the way; larger is later."""
        stints = self._stints.get(source)
        if not stints:
            return number
        place = max(bisect_right(stints, number, key=lambda one: one[0]) - 1, 0)
        return stints[place][1] + number


class Beside:
    """What senders beside the leading one tell, and counters of what was pumped."""

    def __init__(self, stroke: float | None) -> None:
        self._stroke = stroke
        self._strokes: float | None = None
        self._litres = 0.0
        self._flow: tuple[float, float] | None = None
        self.tells = False

    def take(self, reading: ReadingTaken) -> None:
        """Take a reading that is not on the way."""
        self.tells = self.tells or reading.pressure is not None or reading.head_air is not None or reading.head_speed is not None
        if reading.strokes is not None:
            self._strokes = reading.strokes
        if reading.flow is None or reading.flow < 0.0:
            return
        if self._flow is not None and reading.time > self._flow[1]:
            self._litres += self._flow[0] * min(reading.time - self._flow[1], _STALE)
        if self._flow is None or reading.time > self._flow[1]:
            self._flow = (reading.flow, reading.time)

    def counts(self, reading: ReadingTaken) -> bool:
        """Return whether a counter says what was pumped up to this reading of the way."""
        if self._stroke is not None and (reading.strokes is not None or self._strokes is not None):
            return True
        return self._flow is not None and reading.flow is None and reading.time - self._flow[1] <= _STALE

    def count(self, reading: ReadingTaken, shift: float) -> float:
        """Return what was pumped up to a reading of the way, by strokes or by the flow that another sender tells. [m3]."""
        strokes = reading.strokes if reading.strokes is not None else self._strokes
        if self._stroke is not None and strokes is not None:
            return (strokes + shift) * self._stroke
        flow, time = self._flow or (0.0, reading.time)
        return self._litres + flow * max(reading.time - time, 0.0)
