"""A run that is followed for the tests: the real engine on a log in memory, a clock and readings by hand or at a rate."""

from __future__ import annotations

import threading
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from mainwright.bootstrap.serving import page_use_cases
from mainwright.line.run_plan import PlannedBatch
from mainwright.plan.result import ConnectionWindow
from mainwright.workflow.live_ports import Arrival, FeedReading, RunKey
from mainwright.workflow.live_run import LiveRun
from tests.unit.line.plans import FLOW, plan
from tests.unit.workflow.memory_log import MemoryInbox, MemoryLog

if TYPE_CHECKING:
    from mainwright.workflow.visiting import UseCases

__all__ = ["SPEED", "Van"]

SPEED = 0.13


class Van:
    """One run, its log, and what the rig tells."""

    def __init__(self, log: MemoryLog | None = None) -> None:
        self.log = log or MemoryLog()
        self.inbox = MemoryInbox()
        batches = tuple(PlannedBatch(number, 0.24, 300.0 * number - 900.0) for number in (1, 2, 3))
        windows = (ConnectionWindow(112.0, "12 Mill Lane", 92.0, 5400.0, 9000.0), ConnectionWindow(140.0, None, 300.0, None, None))
        self.run = LiveRun(
            self.log,
            RunKey("CW-07", "R01"),
            clock=lambda: datetime.now(UTC),  # noqa: DTZ005, RUF100, TID251 - pages and engine share the real clock here
            plan=plan(batches=batches, windows=windows),
            inbox=self.inbox,
            author="test",
        )
        self.run.start()
        self.told = 0
        self._begun = datetime.now(UTC)  # noqa: TID251
        self._stop = threading.Event()
        self._rig: threading.Thread | None = None

    def uses(self, token: str | None = None) -> UseCases:
        uses = page_use_cases(live=[self.run])
        return uses if token is None else replace(uses, token=token)

    def tell(self, count: int, *, step: float = 1.0, speed: float = SPEED, flow: float = FLOW) -> None:
        """Tell so many readings, the last one now."""
        now = datetime.now(UTC)  # noqa: TID251
        for place in range(count):
            when = now - timedelta(seconds=step * (count - 1 - place))
            way = speed * step * (self.told + 1)
            self.told += 1
            reading = FeedReading(when, self.told, {"odometer": way, "flow": flow, "pressure": 1.2e6, "head_air": 6e5}, "rig")
            self.inbox.put(Arrival(reading, lambda: None))

    def begin_rig(self, rate: float) -> None:
        """Tell readings at this rate [1/s] until the end."""

        def work() -> None:
            begun = time.monotonic()
            while not self._stop.wait(0.02):
                due = int((time.monotonic() - begun) * rate)
                self.tell(max(due - self.told, 0), step=1.0 / rate)

        self._rig = threading.Thread(target=work, daemon=True)
        self._rig.start()

    def hush(self) -> None:
        """Tell nothing more."""
        self._stop.set()
        if self._rig is not None:
            self._rig.join(5.0)

    def close(self) -> None:
        self.hush()
        self.log.gate.set()
        self.run.stop()
