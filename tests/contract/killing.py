"""Killing a writer without warning, and seeing what it leaves.

`kill_at_random` starts a child that appends to a run's log through a store at full speed and tells each acknowledged count on its standard output; it is
killed by SIGKILL after a random time. Whatever it told must be there afterwards, once, and nothing but whole groups.
"""

import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from mainwright.store.store import DatabaseStore
from mainwright.workflow.live_ports import LogEntry, RunKey

__all__ = ["KEY", "Killed", "check_numbers", "group_of", "kill_at_random", "kill_process"]

KEY = RunKey("MB-01", "R1")


@dataclass(frozen=True, slots=True)
class Killed:
    """A child that was killed: how many entries it told were acknowledged, and how many it found there when it began."""

    found: int
    acknowledged: int


def group_of(first: int, size: int) -> list[LogEntry]:
    """Return readings with the numbers from ``first`` on, an event among them now and then."""
    made: list[LogEntry] = []
    for number in range(first, first + size):
        if number % 97 == 0:
            made.append(LogEntry("remark", number / 10, {"number": number, "kind": "note", "text": "ß", "who": "x"}))
        else:
            values = {"number": number, "odometer": number * 0.01, "flow": 5e-4, "pressure": None, "head_air": None, "head_speed": None}
            made.append(LogEntry("reading", number / 10, values))
    return made


def sizes(seed: int) -> Iterator[int]:
    """Yield sizes of groups as a busy writer has them: mostly small, now and then large."""
    random_ = random.Random(seed)
    while True:
        yield random_.choice((1, 1, 2, 5, 20, 300))


def kill_process(child: "subprocess.Popen[str]", *, after: float) -> str:
    """Kill a child after a time [s] by a signal that it cannot see coming, and return all that it had told by then."""
    time.sleep(after)
    child.send_signal(signal.SIGKILL)
    told, wrong = child.communicate(timeout=60)
    assert child.returncode == -signal.SIGKILL, f"it ended by itself: {wrong}"
    return told


def kill_at_random(place: str, random_: random.Random, *, longest: float) -> Killed:
    """Start a writer on a store, kill it within ``longest`` seconds of its first acknowledged group, and return what it told."""
    command = [sys.executable, "-c", f"from tests.contract.killing import write; write({place!r}, {random_.randrange(10**6)})"]
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)  # noqa: S603
    assert child.stdout is not None
    begun = child.stdout.readline()
    told = kill_process(child, after=random_.uniform(0.0, longest)) if begun.startswith("begins ") else ""
    assert begun, child.communicate()
    lines = (begun + told).split("\n")
    # A line that was cut in the middle was not told.
    return Killed(int(begun.split()[1]), max([int(line) for line in lines[1:-1]], default=0))


def write(place: str, seed: int) -> None:
    """Append for ever, telling each acknowledged count: what the child does."""
    store = DatabaseStore(place, clock=lambda: datetime.now(UTC))  # noqa: TID251
    store.log.begin(KEY, {"revision": "ab"}, author="x")
    count = store.log.anchor(KEY).count
    sys.stdout.write(f"begins {count}\n")
    sys.stdout.flush()
    for size in sizes(seed):
        count = store.log.append(KEY, group_of(count, size), after=count)
        sys.stdout.write(f"{count}\n")
        sys.stdout.flush()


def check_numbers(entries: Sequence[LogEntry], *, acknowledged: int) -> None:
    """See that nothing that was acknowledged is lost, and nothing is doubled or out of order."""
    numbers = [one.values["number"] for one in entries]
    assert len(numbers) >= acknowledged, f"{acknowledged - len(numbers)} acknowledged entries are lost"
    assert numbers == list(range(len(numbers)))
