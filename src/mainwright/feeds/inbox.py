"""The inbox between the feeds and the one who writes: bounded, in order."""

import threading
from collections import deque
from collections.abc import Callable

from mainwright.errors import InputError
from mainwright.workflow.live_ports import Arrival

__all__ = ["BoundedInbox"]


class BoundedInbox:
    """A queue of bounded length: full, it makes the feeds wait and so the senders, instead of growing or dropping.

    Parameters
    ----------
    capacity : int
        Most readings that wait. [-]
    """

    def __init__(self, capacity: int) -> None:
        if capacity < 1:
            raise InputError("capacity of the inbox", capacity, "", "1 or more")
        self.capacity = capacity
        self._waiting: deque[Arrival] = deque()
        self._changed = threading.Condition()

    def __len__(self) -> int:
        return len(self._waiting)

    def put(self, arrival: Arrival, *, stop: threading.Event, full: Callable[[], None] | None = None) -> bool:
        """Add an arrival, waiting while the inbox is full.

        Parameters
        ----------
        arrival : Arrival
            What came.
        stop : threading.Event
            Set, it ends the wait.
        full : callable, optional
            Called once if the arrival has to wait.

        Returns
        -------
        bool
            False where the wait was ended: then the arrival was not added, and must not be acknowledged.
        """
        with self._changed:
            told = False
            while len(self._waiting) >= self.capacity:
                if not told and full is not None:
                    full()
                    told = True
                if stop.is_set():
                    return False
                self._changed.wait(0.05)
            self._waiting.append(arrival)
            self._changed.notify_all()
            return True

    def take(self, most: int, *, timeout: float) -> list[Arrival]:
        """Return what waits, oldest first.

        Parameters
        ----------
        most : int
            Most arrivals. [-]
        timeout : float
            How long to wait for the first. [s]

        Returns
        -------
        list of Arrival
            Empty where none came in that time.
        """
        with self._changed:
            if not self._waiting:
                self._changed.wait_for(lambda: bool(self._waiting), timeout)
            found = [self._waiting.popleft() for _ in range(min(most, len(self._waiting)))]
            if found:
                self._changed.notify_all()
            return found
