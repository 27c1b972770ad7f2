"""How long a reading takes to the screen and to rest on disk when 1,000 a second come whether we are ready or not, while a viewer looks.

``python benchmarks/open_loop.py [seconds [readings a second]]`` prints percentiles from the moment at which a reading was due (a sender that
is late is our lateness too) and ends with an error where a goal is missed. Everything that was sent must be on disk at the end, once.
"""

import os
import sys
import tempfile
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from time import perf_counter, sleep

from mainwright.feeds.inbox import BoundedInbox
from mainwright.line.run_plan import PlannedLength, RunPlan
from mainwright.store.store import DatabaseStore
from mainwright.workflow.live_commands import Start
from mainwright.workflow.live_ports import Arrival, FeedReading, RunKey
from mainwright.workflow.live_run import LiveRun

SCREEN = 5e-3
"""Goal of the 99th percentile to the value for the screen [s]."""
LEAST = 10e-3
"""Goal of the 99th percentile to the acknowledgement: ten syncs of the disk, and not under this [s]."""
KEY = RunKey("B-01", "R01")
SPEED = 0.13


def make_plan(length: float) -> RunPlan:
    lengths = (PlannedLength(0.0, length, 0.2, 0.006, 0.005, 0.009, SPEED, 0.10, 0.16),)
    return RunPlan("R01", 0.0, length, "increasing", length, lengths, 0.97, 0.0, 5e-4, 0.0, 0.03, 0.001, 1.0, 0.4, 0.2)


def sync(folder: Path) -> float:
    """Return the median of what the disk takes to sync an append of 4 KiB [s]."""
    spent = []
    with (folder / "appended").open("wb", buffering=0) as file:
        for _ in range(200):
            file.write(bytes(4096))
            begun = perf_counter()
            os.fsync(file.fileno())
            spent.append(perf_counter() - begun)
    return median(spent)


def percentile(values: list[float], share: float) -> float:
    return sorted(values)[min(int(share * len(values)), len(values) - 1)]


class Trial:
    """One run with its sender and its viewers."""

    def __init__(self, store: DatabaseStore, seconds: float, rate: float) -> None:
        self.count, self.rate = int(seconds * rate), rate
        self.inbox = BoundedInbox(20_000)
        clock = lambda: datetime.now(UTC)  # noqa: E731
        self.run = LiveRun(store.log, KEY, clock=clock, plan=make_plan(SPEED * seconds + 5.0), inbox=self.inbox)
        self.due = [0.0] * self.count
        self.kept = [0.0] * self.count
        self.shown: list[float] = []
        self.screens = 0
        self._over = threading.Event()

    def send(self) -> None:
        begun, start = perf_counter(), datetime.now(UTC)
        stop = threading.Event()
        for number in range(self.count):
            self.due[number] = due = begun + number / self.rate
            while (wait := due - perf_counter()) > 0.0:
                sleep(wait)
            moment = start + timedelta(seconds=number / self.rate)
            values = {"odometer": SPEED * number / self.rate, "flow": 5e-4, "pressure": 12e5}

            def kept(place: int = number) -> None:
                self.kept[place] = perf_counter()

            self.inbox.put(Arrival(FeedReading(moment, number, values, "rig"), kept), stop=stop)  # type: ignore[arg-type]

    def watch(self) -> None:
        """Note when each reading is in what a page would show; a look costs a lock and a number."""
        seen = 0
        while not self._over.is_set():
            with self.run.lock:
                now = self.run.state.deposit.readings
            at = perf_counter()
            self.shown += [at - self.due[number] for number in range(seen, now)]
            seen = now
            sleep(0.0005)

    def look(self) -> None:
        """Ask for the whole page ten times a second, as its server does."""
        while not self._over.wait(0.1):
            self.run.screen()
            self.screens += 1

    def follow(self) -> None:
        self.run.start()
        self.run.do(Start(), who="b").result(10.0)
        watchers = [threading.Thread(target=work, daemon=True) for work in (self.watch, self.look)]
        for one in watchers:
            one.start()
        self.send()
        last = perf_counter() + 20.0
        while not (all(self.kept) and len(self.shown) == self.count) and perf_counter() < last:
            sleep(0.05)
        self._over.set()
        for one in watchers:
            one.join()
        self.run.stop()


def main() -> int:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 30.0
    rate = float(sys.argv[2]) if len(sys.argv) > 2 else 1000.0
    with tempfile.TemporaryDirectory(dir=os.environ.get("BENCHMARK_DISK")) as name:
        folder = Path(name)
        disk = sync(folder)
        with DatabaseStore(str(folder / "store.sqlite"), clock=lambda: datetime.now(UTC)) as store:
            trial = Trial(store, seconds, rate)
            trial.follow()
            numbers = sorted(int(entry.values["number"] or 0) for entry in store.log.entries(KEY) if entry.kind == "reading")
    assert numbers == list(range(trial.count)), "not every reading is on disk once"
    acknowledged = [kept - due for kept, due in zip(trial.kept, trial.due, strict=True)]
    print(
        f"{trial.count} readings at {rate:g} a second, {trial.screens} whole screens asked for beside them; a sync takes {1e3 * disk:.2f} ms"
    )
    missed = False
    for text, values, goal in (
        ("to the value for the screen", trial.shown, SCREEN),
        ("to the acknowledgement, on disk", acknowledged, max(LEAST, 10.0 * disk)),
    ):
        middle, late, worst = (1e3 * percentile(values, share) for share in (0.5, 0.99, 1.0))
        over = late > 1e3 * goal
        missed |= over
        print(
            f"p50 {middle:8.2f} ms   p99 {late:8.2f} ms (goal {1e3 * goal:.1f})   worst {worst:8.2f} ms   {text}{'   MISSED' if over else ''}"
        )
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
