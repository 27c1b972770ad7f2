"""Readings of runs that were driven as planned, but for what a test changes."""

import csv
import io
import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from mainwright.plan.result import Run

BEGIN = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)
Change = Callable[[float], tuple[float, float | None]]
"""From the way [m] to a factor of the speed and a factor of the flow; None for a flow that is not measured."""


def as_planned(way: float) -> tuple[float, float | None]:
    return 1.0, 1.0


def drive(
    run: Run, change: Change = as_planned, *, every: float = 1.0, noise: float = 0.0, seed: int = 1
) -> list[tuple[float, float, float | None]]:
    """Return time [s], way [m] and flow [m3/s] of each reading."""
    rnd = random.Random(seed)
    forward = run.direction == "increasing"
    time = way = 0.0
    rows: list[tuple[float, float, float | None]] = []
    while True:
        slow, flow = change(way)
        rows.append((time, way, None if flow is None else run.flow * flow * (1.0 + noise * rnd.gauss(0.0, 1.0))))
        if way >= run.length:
            return rows
        chainage = run.start + way if forward else run.end - way
        setting = next((one for one in run.settings if (chainage < one.end if forward else chainage <= one.end)), run.settings[-1])
        edge = (setting.end - run.start if forward else run.end - setting.start) if len(run.settings) > 1 else run.length
        speed = setting.speed * slow
        left = min(edge, run.length) - way
        step = every if speed * every <= left or left <= 1e-9 else left / speed
        time, way = time + step, min(way + speed * step, run.length)


def csv_bytes(rows: list[tuple[float, float, float | None]]) -> bytes:
    """Return the rows as a file ``run_<id>.csv``."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["time", "odometer_m", "flow_l_min"])
    for time, way, flow in rows:
        when = (BEGIN + timedelta(seconds=time)).isoformat(timespec="microseconds")
        writer.writerow([when, repr(way), "" if flow is None else repr(flow * 60_000.0)])
    return text.getvalue().encode()
