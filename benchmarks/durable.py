"""How many readings a second come to rest on disk, against the naive way, a database in memory, and the disk's own sync.

``python benchmarks/durable.py [seconds]`` prints rates of one run, interleaved, and ends with an error where a goal is missed. Every rate is of
readings that were read back.
"""

import os
import sqlite3
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from time import perf_counter

from mainwright.store.store import DatabaseStore
from mainwright.workflow.live_ports import LogEntry, RunKey

GOALS = {"naive": 300.0, "memory": 0.6, "fsync": 0.7}
KEY = RunKey("B-01", "R01")
ROUNDS = 3


def readings(first: int, count: int) -> list[LogEntry]:
    return [
        LogEntry("reading", 1.5e9 + 0.01 * n, {"number": n, "odometer": 1e-3 * n, "flow": 5e-4, "pressure": 12e5})
        for n in range(first, first + count)
    ]


def naive(folder: Path, seconds: float) -> float:
    """One insert a commit with a rollback journal."""
    database = sqlite3.connect(folder / "naive.sqlite", isolation_level=None)
    database.execute("PRAGMA synchronous = FULL")
    database.execute("CREATE TABLE reading (number INTEGER PRIMARY KEY, time REAL, odometer REAL, flow REAL, pressure REAL)")
    begun, count = perf_counter(), 0
    while perf_counter() - begun < seconds:
        database.execute("INSERT INTO reading VALUES (?, ?, ?, ?, ?)", (count, 1.5e9, 0.1, 5e-4, 12e5))
        count += 1
    rate = count / (perf_counter() - begun)
    assert database.execute("SELECT count(*) FROM reading").fetchone()[0] == count
    database.close()
    return rate


def memory(seconds: float) -> float:
    """Rows in memory, a thousand at once: no disk at all."""
    database = sqlite3.connect(":memory:", isolation_level=None)
    database.execute("CREATE TABLE reading (number INTEGER PRIMARY KEY, time REAL, odometer REAL, flow REAL, pressure REAL)")
    spent, count = 0.0, 0
    while spent < seconds:
        rows = [(n, 1.5e9 + 0.01 * n, 1e-3 * n, 5e-4, 12e5) for n in range(count, count + 1000)]
        begun = perf_counter()
        database.execute("BEGIN")
        database.executemany("INSERT INTO reading VALUES (?, ?, ?, ?, ?)", rows)
        database.execute("COMMIT")
        spent += perf_counter() - begun
        count += 1000
    database.close()
    return count / spent


def ours(folder: Path, group: int, seconds: float) -> tuple[float, float]:
    """Return readings and commits a second of the store, chained by hash and synced."""
    with DatabaseStore(str(folder / f"ours{group}-{perf_counter():.6f}.sqlite"), clock=lambda: datetime(2026, 4, 13, tzinfo=UTC)) as store:
        store.log.begin(KEY, {}, author="b")
        spent, count, commits = 0.0, 0, 0
        while spent < seconds:
            entries = readings(count, group)
            begun = perf_counter()
            count = store.log.append(KEY, entries, after=count)
            spent += perf_counter() - begun
            commits += 1
        assert sum(1 for _ in store.log.entries(KEY)) == count
    return count / spent, commits / spent


def fsync(folder: Path, seconds: float) -> float:
    """Appends of 4 KiB a second that wait for the disk."""
    with (folder / "appended").open("wb", buffering=0) as file:
        begun, count = perf_counter(), 0
        while perf_counter() - begun < seconds:
            file.write(bytes(4096))
            os.fsync(file.fileno())
            count += 1
        return count / (perf_counter() - begun)


def main() -> int:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 1.0
    found: dict[str, list[float]] = {name: [] for name in ("naive", "memory", "group", "single", "fsync")}
    with tempfile.TemporaryDirectory(dir=os.environ.get("BENCHMARK_DISK")) as name:
        for number in range(ROUNDS):
            folder = Path(name) / str(number)
            folder.mkdir()
            found["naive"].append(naive(folder, seconds))
            found["group"].append(ours(folder, 1000, seconds)[0])
            found["memory"].append(memory(seconds))
            found["single"].append(ours(folder, 1, seconds)[1])
            found["fsync"].append(fsync(folder, seconds))
    middle = {key: median(values) for key, values in found.items()}
    for key, text in (
        ("naive", "one insert a commit, rollback journal"),
        ("memory", "in memory, a thousand at once"),
        ("group", "this store, a thousand at once, on disk"),
        ("single", "this store, one at once, on disk"),
        ("fsync", "appends of 4 KiB that wait for the disk"),
    ):
        print(f"{middle[key]:12,.0f} a second   {text}")
    ratios = {
        "naive": middle["group"] / middle["naive"],
        "memory": middle["group"] / middle["memory"],
        "fsync": middle["single"] / middle["fsync"],
    }
    missed = [key for key, goal in GOALS.items() if ratios[key] < goal]
    for key, goal in GOALS.items():
        print(f"x {key:8} {ratios[key]:8.2f}   goal {goal:g}{'   MISSED' if key in missed else ''}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
