"""Thickness along a run from what odometer and pump said, with its uncertainty, and where the record is silent."""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import Reading
from mainwright.line.deposit_map import DepositMap, Profile
from mainwright.line.run_plan import RunPlan, fallback_deviation, run_plan
from mainwright.plan.result import Run
from mainwright.words.message import Message, Quantity, message

__all__ = ["SILENT", "TIMES_USUAL", "WIDEST_BIN", "Gap", "Laid", "lay"]

WIDEST_BIN: Final = 0.5
"""Width of a bin at most, by the contract of the files. [m]"""

SILENT: Final = 60.0
"""A pause between readings that is no gap yet, however often they come. [s]"""

TIMES_USUAL: Final = 10.0
"""A pause so many times the usual one is a gap."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A length of which the record says nothing, between two chainages [m], and why."""

    start: float
    end: float
    why: Message


@dataclass(frozen=True, slots=True)
class Laid:
    """What lies in one run by its readings, in order of chainage.

    Attributes
    ----------
    chainages
        Middle of each bin, from the run's start to its end without a gap. [m]
    width
        Of a bin. [m]
    thicknesses, deviations, shared
        Of each bin after the trowel, one standard deviation, and the part of it that the whole run shares. [m]
    pumped, deposited
        By the readings. [m3]
    gaps
        Lengths without readings.
    guessed
        Whether some flow was not measured.
    """

    chainages: tuple[float, ...]
    width: float
    thicknesses: tuple[float, ...]
    deviations: tuple[float, ...]
    shared: tuple[float, ...]
    pumped: float
    deposited: float
    gaps: tuple[Gap, ...]
    guessed: bool


def lay(job: Job, run: Run, readings: Sequence[Reading], *, origin: float = 0.0) -> Laid:
    """Return what the readings of a run say lies there.

    Parameters
    ----------
    job : Job
        The job. [-]
    run : Run
        The run as it was planned. [-]
    readings : sequence of Reading
        Its readings, in order of time; of several coats, each coat's own one after the other. [-]
    origin : float
        Where on the way of the run the head really started: the odometer counts from there. [m]

    Returns
    -------
    Laid
        Bins that the head never passed have no thickness: nothing was laid there by this record.

    Notes
    -----
    The odometer is the way of the spray plane from where the head started; it moves evenly between readings, a flow holds from its reading
    to the next, and the hose is full at the first. Coats add by their volumes, for rings do.
    """
    count = max(1, math.ceil(run.length / WIDEST_BIN - 1e-9))
    width = run.length / count
    followed = run_plan(job, replace(run, coats=1), minimum=0.0, maximum=None)
    fallback = fallback_deviation(run)
    whole = DepositMap(followed, bin_length=width)
    gaps: list[Gap] = []
    guessed = False
    for place, coat in enumerate(_coats(readings)):
        deposit = whole if place == 0 else DepositMap(followed, bin_length=width)
        for number, reading in enumerate(coat):
            flow, guess = (followed.flow, fallback) if reading.flow is None else (reading.flow, 0.0)
            if reading.flow_source == "setting":
                guess = fallback
            guessed = guessed or guess > 0.0
            deposit.add(number=number, time=reading.time.timestamp(), way=origin + (reading.odometer or 0.0), flow=flow, guess=guess)
        gaps += _gaps(followed, coat, origin)
        if deposit is not whole:
            _join(whole, deposit)
    profile = whole.profile()
    silent = count - len(profile.ways)
    thicknesses, deviations, shared = _filled(profile, silent)
    if run.direction == "decreasing":
        thicknesses, deviations, shared = thicknesses[::-1], deviations[::-1], shared[::-1]
    return Laid(
        chainages=tuple(run.start + (number + 0.5) * width for number in range(count)),
        width=width,
        thicknesses=thicknesses,
        deviations=deviations,
        shared=shared,
        pumped=whole.pumped,
        deposited=whole.deposited,
        gaps=tuple(sorted(gaps, key=lambda gap: (gap.start, gap.end))),
        guessed=guessed,
    )


def _coats(readings: Sequence[Reading]) -> list[list[Reading]]:
    coats: dict[int, list[Reading]] = {}
    for reading in readings:
        if reading.odometer is not None:
            coats.setdefault(reading.coat or 1, []).append(reading)
    return [coats[number] for number in sorted(coats)]


def _join(whole: DepositMap, other: DepositMap) -> None:
    for number, volume in enumerate(other.volumes):
        whole.volumes[number] += volume
        whole.guessed[number] += other.guessed[number]
    whole.outside += other.outside
    whole.pumped += other.pumped
    whole.furthest = max(whole.furthest, other.furthest)


def _filled(profile: Profile, silent: int) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    bare = (0.0,) * silent
    return profile.thicknesses + bare, profile.deviations + bare, profile.shared + bare


def _gaps(plan: RunPlan, coat: Sequence[Reading], origin: float) -> list[Gap]:
    """Return where one coat has no readings: before the first, after the last, and where they paused while the head moved on."""
    found = []
    ways = [origin + (reading.odometer or 0.0) for reading in coat]

    def gap(low: float, high: float, why: Message) -> None:
        low, high = max(low, 0.0), min(high, plan.length)
        if high > low:
            start, end = sorted((plan.chainage(low), plan.chainage(high)))
            found.append(Gap(start, end, why))

    gap(0.0, min(ways), message("the record begins behind the start of the run"))
    gap(max(ways), plan.length, message("the record ends before the end of the run"))
    pauses = [(after.time - before.time).total_seconds() for before, after in pairwise(coat)]
    usual = statistics.median(pauses) if pauses else 0.0
    for pause, (low, high) in zip(pauses, pairwise(ways), strict=True):
        if pause > max(SILENT, TIMES_USUAL * usual):
            gap(min(low, high), max(low, high), message("no reading for {pause}", pause=Quantity(pause, "s", 0)))
    return found
