"""What happened on the invented job: records of its runs from a simulated rig, with planted defects."""

import random
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Final

from mainwright.demo.logs import HEADS, job_log, run_log
from mainwright.demo.money import MONEY_HEADS, money_log
from mainwright.demo.scans import SCANNED, bare_rows
from mainwright.job.job import Job
from mainwright.plan.result import Run
from mainwright.units import from_si, significant

__all__ = ["DEFECTS", "Rig", "as_planned", "demo_records", "drive", "run_file"]

Rig = Callable[[float], tuple[float, float | None]]
"""From the way of the head [m] to a factor of its speed and a factor of the flow; None for a flow that no sensor gave."""

_SEED: Final = 20260413
_NOISE: Final = 0.02
"""Scatter of the simulated flow sensor and travel, relative."""


def as_planned(way: float) -> tuple[float, float | None]:
    """Drive as planned everywhere."""
    return 1.0, 1.0


def _stall(way: float) -> tuple[float, float | None]:
    return (1.0, 0.35) if 60.0 <= way < 74.0 else (1.0, 1.0)


def _hurry(way: float) -> tuple[float, float | None]:
    return (1.5, 1.0) if 20.0 <= way < 26.0 else (1.0, 1.0)


DEFECTS: Final = {2: ("stall", _stall), 4: ("hurry", _hurry), 7: ("silent", as_planned)}
"""By the place of the run in the plan: the pump stalls over 14 m, the head hurries over 6 m, and 12 m have no readings."""

_SILENT: Final = (40.0, 52.0)


def drive(
    run: Run, rig: Rig = as_planned, *, every: float = 1.0, noise: float = 0.0, seed: int = 1
) -> list[tuple[float, float, float | None]]:
    """Return what sensors of a simulated rig say.

    Parameters
    ----------
    run : Run
        The run that is driven; each length of one bore at its own speed. [-]
    rig : callable
        What goes otherwise than planned. [-]
    every : float
        Time between readings. [s]
    noise : float
        Scatter of the flow, relative. [-]
    seed : int
        Of the noise: the same seed gives the same readings. [-]

    Returns
    -------
    list of tuple
        Time [s], way [m] and flow [m3/s] of each reading.
    """
    random_ = random.Random(seed)  # noqa: S311 - noise, no secret
    forward = run.direction == "increasing"
    time = way = 0.0
    rows: list[tuple[float, float, float | None]] = []
    while True:
        pace, share = rig(way)
        rows.append((time, way, None if share is None else run.flow * share * (1.0 + noise * random_.gauss(0.0, 1.0))))
        if way >= run.length:
            return rows
        chainage = run.start + way if forward else run.end - way
        setting = next((one for one in run.settings if (chainage < one.end if forward else chainage <= one.end)), run.settings[-1])
        edge = (setting.end - run.start if forward else run.end - setting.start) if len(run.settings) > 1 else run.length
        speed = setting.speed * pace
        left = min(edge, run.length) - way
        step = every if speed * every <= left or left <= 1e-9 else left / speed
        time, way = time + step, min(way + speed * step, run.length)


def run_file(rows: Sequence[tuple[float, float, float | None]], begin: datetime) -> bytes:
    """Return readings as a file ``run_<id>.csv``.

    Parameters
    ----------
    rows : sequence of tuple
        Time [s], way [m], flow [m3/s]. [-]
    begin : datetime
        When the head first moved. [-]

    Returns
    -------
    bytes
        The file.
    """
    lines = ["time,odometer_m,flow_l_min"]
    for time, way, flow in rows:
        when = (begin + timedelta(seconds=time)).isoformat(timespec="milliseconds")
        lines.append(f"{when},{significant(way)!r},{'' if flow is None else repr(significant(from_si(flow, 'l_min')))}")
    return ("\n".join(lines) + "\n").encode()


def demo_records(job: Job, runs: Sequence[Run]) -> dict[str, bytes]:
    """Return the files of ``records/`` of the invented job.

    Parameters
    ----------
    job : Job
        The invented job. [-]
    runs : sequence of Run
        Of its plan. [-]

    Returns
    -------
    dict
        File name to content: every file of the contract, simulated. The planted defects of its readings are those of `DEFECTS`; two connections have
        no record that they are clear.
    """
    random_ = random.Random(_SEED)  # noqa: S311 - noise, no secret
    files = {name: [head] for name, head in (HEADS | MONEY_HEADS).items()}
    readings: dict[str, bytes] = {}
    day = datetime.combine(job.info.first_day or date(2000, 1, 1), datetime.min.time(), tzinfo=UTC) + timedelta(days=21, hours=7)
    ended = day
    for place, run in enumerate(runs):
        begin = day + timedelta(days=place // 3, hours=2.5 * (place % 3))
        name, rig = DEFECTS.get(place, ("", as_planned))
        rows = drive(run, rig, noise=_NOISE, seed=_SEED + place)
        ended = begin + timedelta(seconds=rows[-1][0])
        if name == "silent":
            rows = [row for row in rows if not _SILENT[0] < row[1] < _SILENT[1]]
        readings[f"run_{run.id}.csv"] = run_file(rows, begin)
        if place == SCANNED:
            files["bare_places.csv"] += bare_rows(run)
        run_log(files, job, run, begin=begin, ended=ended, defect=name, random_=random_)
    job_log(files, job, runs, first=day, last=ended, random_=random_)
    money_log(files, job, runs, first=day, last=ended)
    return {name: ("\n".join(lines) + "\n").encode() for name, lines in files.items()} | readings
