"""Writes a run down in groups: whatever waits while one group goes to disk is the next. What is acknowledged is on disk."""

from __future__ import annotations

import contextlib
import threading
from typing import TYPE_CHECKING, Final

from mainwright.errors import Conflict, StoreError
from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from mainwright.workflow.live_ports import LogEntry, RunKey, RunLog

__all__ = ["Writer"]

_FIRST_WAIT: Final = 0.2
_LONGEST_WAIT: Final = 5.0
"""Between two tries to write what could not be written. [s]"""


class Writer:
    """One thread that appends to the log of one run, and acknowledges after that.

    Parameters
    ----------
    log : RunLog
        Where the run is kept.
    key : RunKey
        Which run.
    durable : int
        How many entries the log holds.
    """

    def __init__(self, log: RunLog, key: RunKey, *, durable: int) -> None:
        self._log = log
        self._key = key
        self._durable = durable
        self._condition = threading.Condition()
        self._entries: list[LogEntry] = []
        self._calls: list[Callable[[], None]] = []
        self._stopping = False
        self._trouble: Message | None = None
        self._failed = False
        self._thread = threading.Thread(target=self._work, name="run writer", daemon=True)

    @property
    def durable(self) -> int:
        """Return how many entries are on disk."""
        return self._durable

    @property
    def waiting(self) -> int:
        """Return how many entries wait."""
        return len(self._entries)

    @property
    def trouble(self) -> Message | None:
        """Return why nothing is written, None where all is well."""
        return self._trouble

    @property
    def failed(self) -> bool:
        """Return whether nothing will be written any more: somebody else writes this run."""
        return self._failed

    def start(self) -> None:
        """Begin to write."""
        self._thread.start()

    def put(self, entries: Sequence[LogEntry], calls: Sequence[Callable[[], None]]) -> None:
        """Take entries to be written, and what to call when they and all before them are on disk."""
        with self._condition:
            self._entries.extend(entries)
            self._calls.extend(calls)
            self._condition.notify()

    def stop(self, timeout: float) -> bool:
        """Write what waits and end; return whether all of it is on disk in this time [s]."""
        with self._condition:
            self._stopping = True
            self._condition.notify()
        self._thread.join(timeout)
        return not self._thread.is_alive() and not self._entries and not self._failed

    def _work(self) -> None:
        entries: list[LogEntry] = []
        while True:
            with self._condition:
                while not (self._entries or self._calls or self._stopping):
                    self._condition.wait()
                entries, self._entries = self._entries, []
                calls, self._calls = self._calls, []
                stopping = self._stopping
            if entries and not self._append(entries):
                return
            for call in calls:
                # A sender that is gone does not hear it; it sends again and is told then.
                with contextlib.suppress(OSError, RuntimeError):
                    call()
            if stopping and not (self._entries or self._calls):
                return

    def _append(self, entries: list[LogEntry]) -> bool:
        """Append a group, again and again until it is on disk; return False where that will never be."""
        wait = _FIRST_WAIT
        doubtful = False
        while True:
            try:
                self._durable = self._log.append(self._key, entries, after=self._durable)
            except Conflict:
                if doubtful and self._stands(entries):
                    self._trouble = None
                    return True
                self._failed = True
                self._trouble = message(
                    "Another program writes this run. Nothing more is kept or acknowledged here: end this program, and go on in the other one."
                )
                return False
            except StoreError as error:
                # The answer may have been lost on its way and the group be there all the same.
                doubtful = True
                self._trouble = message(
                    "The record cannot be written: {why}. Readings are kept in memory and not acknowledged; it is tried again.",
                    why=str(error),
                )
                with self._condition:
                    if self._stopping:
                        self._failed = True
                        return False
                    self._condition.wait(wait)
                wait = min(2.0 * wait, _LONGEST_WAIT)
            else:
                self._trouble = None
                return True

    def _stands(self, entries: list[LogEntry]) -> bool:
        """Return whether the log goes on with just this group, and then counts it."""
        try:
            there = list(self._log.entries(self._key, after=self._durable))
        except StoreError:
            return False
        if there != entries:
            return False
        self._durable += len(entries)
        return True
