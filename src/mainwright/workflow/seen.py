"""Which numbers of one sender were heard: a few spans, however many numbers."""

from bisect import bisect_right

__all__ = ["Seen"]


class Seen:
    """A set of whole numbers that come nearly in order."""

    def __init__(self) -> None:
        self._starts: list[int] = []
        self._ends: list[int] = []

    @property
    def greatest(self) -> int | None:
        """Return the greatest number so far."""
        return self._ends[-1] - 1 if self._ends else None

    def __contains__(self, number: int) -> bool:
        place = bisect_right(self._starts, number) - 1
        return place >= 0 and number < self._ends[place]

    def add(self, number: int) -> bool:
        """Take a number in, and return whether it is new."""
        starts, ends = self._starts, self._ends
        if ends and number == ends[-1]:
            ends[-1] += 1
            return True
        place = bisect_right(starts, number)
        if place > 0 and number < ends[place - 1]:
            return False
        before = place > 0 and ends[place - 1] == number
        after = place < len(starts) and starts[place] == number + 1
        if before and after:
            ends[place - 1] = ends.pop(place)
            starts.pop(place)
        elif before:
            ends[place - 1] = number + 1
        elif after:
            starts[place] = number
        else:
            starts.insert(place, number)
            ends.insert(place, number + 1)
        return True
