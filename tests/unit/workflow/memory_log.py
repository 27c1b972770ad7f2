"""A log in memory, and an inbox, that can be told to fail."""

import threading
from collections.abc import Iterator, Mapping, Sequence

from mainwright.errors import Conflict, NotFound, StoreError
from mainwright.workflow.live_ports import Arrival, LogEntry, RunKey


class MemoryLog:
    def __init__(self) -> None:
        self.headers: dict[RunKey, dict[str, object]] = {}
        self.kept: dict[RunKey, list[LogEntry]] = {}
        self.groups: list[int] = []
        self.fail_next = 0
        self.lose_answer = 0
        self.gate = threading.Event()
        self.gate.set()

    def begin(self, key: RunKey, header: Mapping[str, object], *, author: str) -> None:
        if key in self.headers and self.headers[key] != header:
            raise Conflict(f"another run {key.run}")
        self.headers[key] = dict(header)
        self.kept.setdefault(key, [])

    def runs(self, job: str | None = None) -> Sequence[RunKey]:
        return [key for key in self.headers if job is None or key.job == job]

    def header(self, key: RunKey) -> Mapping[str, object]:
        if key not in self.headers:
            raise NotFound(f"no run {key.run}")
        return self.headers[key]

    def append(self, key: RunKey, entries: Sequence[LogEntry], *, after: int) -> int:
        self.gate.wait(10.0)
        if self.fail_next:
            self.fail_next -= 1
            raise StoreError("the disk is full")
        log = self.kept[key]
        if len(log) != after:
            raise Conflict(f"{len(log)} entries, not {after}")
        log.extend(entries)
        self.groups.append(len(entries))
        if self.lose_answer:
            self.lose_answer -= 1
            raise StoreError("the connection is gone")
        return len(log)

    def entries(self, key: RunKey, *, after: int = 0) -> Iterator[LogEntry]:
        yield from self.kept[key][after:]


class MemoryInbox:
    def __init__(self) -> None:
        self.condition = threading.Condition()
        self.waiting: list[Arrival] = []

    def put(self, arrival: Arrival) -> None:
        with self.condition:
            self.waiting.append(arrival)
            self.condition.notify()

    def take(self, most: int, *, timeout: float) -> list[Arrival]:
        with self.condition:
            if not self.waiting:
                self.condition.wait(timeout)
            taken, self.waiting = self.waiting[:most], self.waiting[most:]
            return taken
