"""Curing of a run: ends closed, the log of the closed air, how far the mortar has hardened by it, and whether water came too soon."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import CuringReading, Records
from mainwright.plan.result import Run
from mainwright.prove.places import place_of
from mainwright.prove.verdict import PartVerdict
from mainwright.science.mortar.maturity import DATUM, REFERENCE, equivalent_age, nurse_saul_maturity
from mainwright.standards.published import value
from mainwright.units import to_si
from mainwright.words.message import Message, Quantity, message

__all__ = ["ACTIVATIONS", "CuringProof", "judge_curing"]

ACTIVATIONS: Final = (4000.0, 5000.0)
"""Activation energies over the gas constant of the two published laws: EN 1992-1-1 annex B and ASTM C1074, from memory. [K]"""

_NIGHT: Final = to_si(16.0, "hours")
"""A log that is silent for longer than a night does not show what happened meanwhile; an assumption. [s]"""

_HOTTEST: Final = to_si(60.0, "c")


@dataclass(frozen=True, slots=True)
class CuringProof:
    """Curing of one run.

    Attributes
    ----------
    lined, closed
        When the head was out, and when the last end was closed.
    log_from, log_to, readings
        The log of the closed air.
    coldest, warmest, driest
        Temperatures [K] and relative humidity [-] in it.
    floor
        Of the governing document, from the closing of the ends; None where none was entered. [s]
    floor_at
        When that was over.
    water_at
        First sign of water in the run after it was closed.
    age_low, age_high
        Equivalent age at 20 degC at the end of the log, or when water came, by the two laws. [s]
    nurse_saul
        Degrees over 0 degC times time, to the same moment. [K s]
    verdict, because
        Against the floor.
    notes
        What the reader must know besides.
    """

    lined: datetime | None
    closed: datetime | None
    log_from: datetime | None
    log_to: datetime | None
    readings: int
    coldest: float | None
    warmest: float | None
    driest: float | None
    floor: float | None
    floor_at: datetime | None
    water_at: datetime | None
    age_low: float | None
    age_high: float | None
    nurse_saul: float | None
    verdict: PartVerdict
    because: tuple[Message, ...]
    notes: tuple[Message, ...]


def judge_curing(job: Job, run: Run, runs: Sequence[Run], records: Records) -> CuringProof:
    """Return what is on record of the curing of a run.

    Parameters
    ----------
    job : Job
        The job, with the floor of its document. [-]
    run : Run
        The run. [-]
    runs : sequence of Run
        All runs: sections under test are named by them. [-]
    records : Records
        What happened. [-]

    Returns
    -------
    CuringProof
        Water before the floor is over does not meet what was entered. Without a closing on record, or with a log that does not reach the floor,
        it is incomplete. Maturity is told and judges nothing: the document's hours do.
    """
    closings = [one.time for one in records.events if one.run == run.id and one.kind == "ends_closed"]
    closed = max(closings, default=None)
    lined = _lined(run, records)
    log = sorted((one for one in records.curing if one.run == run.id), key=lambda one: one.time)
    floor = job.curing.fill if job.curing is not None else None
    floor_at = None if closed is None or floor is None else closed + timedelta(seconds=floor)
    water_at = _water(job, run, runs, records, closed)
    until = log[-1].time if log else None
    if until is not None and water_at is not None:
        until = min(until, water_at)
    ages, degrees = _ripened(log, closed, until)
    warm = [one.temperature for one in log if one.temperature is not None]
    because, fails = _because(closed, floor, floor_at, water_at, log)
    return CuringProof(
        lined=lined,
        closed=closed,
        log_from=log[0].time if log else None,
        log_to=log[-1].time if log else None,
        readings=len(log),
        coldest=min(warm, default=None),
        warmest=max(warm, default=None),
        driest=min((one.humidity for one in log if one.humidity is not None), default=None),
        floor=floor,
        floor_at=floor_at,
        water_at=water_at,
        age_low=min(ages, default=None),
        age_high=max(ages, default=None),
        nurse_saul=degrees,
        verdict="not_asked" if floor is None else "does_not_meet" if fails else "incomplete" if because else "meets",
        because=because,
        notes=_notes(lined, closed, warm, log),
    )


def _lined(run: Run, records: Records) -> datetime | None:
    ends = [one.time_to for one in records.runs_done if one.run == run.id and one.time_to is not None]
    ends += [one.readings[-1].time for one in records.readings if one.run == run.id and one.readings]
    return max(ends, default=None)


def _water(job: Job, run: Run, runs: Sequence[Run], records: Records, closed: datetime | None) -> datetime | None:
    """Return the first sign of water: a reading of a pressure test of a section that holds the run, or an event that says it was filled."""
    start, end = (job.main[0].start, job.main[-1].end) if job.main else (run.start, run.end)
    signs = []
    places: dict[str, tuple[float, float]] = {}
    for reading in records.pressure_test:
        if reading.section not in places:
            places[reading.section] = place_of(reading.section, runs, start=start, end=end)
        low, high = places[reading.section]
        if low < run.end and high > run.start:
            signs.append(reading.time)
    signs += [
        one.time
        for one in records.events
        if one.kind == "hold_point" and one.note and one.note.strip().lower().startswith("filled") and one.run in (None, run.id)
    ]
    return min((one for one in signs if closed is None or one >= closed), default=None)


def _ripened(log: Sequence[CuringReading], closed: datetime | None, until: datetime | None) -> tuple[list[float], float | None]:
    """Return the equivalent ages by both laws and the sum of degrees and time; a length between two readings has their mean temperature."""
    durations, temperatures = [], []
    known = [one for one in log if one.temperature is not None and to_si(-50.0, "c") <= one.temperature <= _HOTTEST]
    for before, after in pairwise(known):
        low = before.time if closed is None else max(before.time, closed)
        high = after.time if until is None else min(after.time, until)
        if high > low and before.temperature is not None and after.temperature is not None:
            durations.append((high - low).total_seconds())
            temperatures.append(0.5 * (before.temperature + after.temperature))
    if not durations:
        return [], None
    ages = [equivalent_age(durations, temperatures, activation=one, reference=REFERENCE) for one in ACTIVATIONS]
    return ages, nurse_saul_maturity(durations, temperatures, datum=DATUM)


def _because(
    closed: datetime | None, floor: float | None, floor_at: datetime | None, water_at: datetime | None, log: Sequence[CuringReading]
) -> tuple[tuple[Message, ...], bool]:
    if floor is None:
        return (), False
    if closed is None or floor_at is None:
        return (message("when the ends were closed is not on record"),), False
    if water_at is not None and water_at < floor_at:
        hours = (water_at - closed).total_seconds()
        text = "water was in the run {found} after the ends were closed; the document asks {floor}"
        return (message(text, found=Quantity(hours, "hours", 1), floor=Quantity(floor, "hours", 1)),), True
    found = []
    within = [one.time for one in log if one.time >= closed]
    marks = [closed, *within]
    silent = max(((after - before).total_seconds() for before, after in pairwise(marks) if before < floor_at), default=0.0)
    if not within or within[-1] < floor_at:
        found.append(message("the log of the closed air does not reach the hours that the document asks"))
    elif silent > _NIGHT:
        found.append(message("the log of the closed air is silent for {silent}", silent=Quantity(silent, "hours", 1)))
    return tuple(found), False


def _notes(lined: datetime | None, closed: datetime | None, warm: Sequence[float], log: Sequence[CuringReading]) -> tuple[Message, ...]:
    notes = []
    if lined is not None and closed is not None and closed >= lined:
        notes.append(
            message("Ends closed {minutes} after the head was out.", minutes=Quantity((closed - lined).total_seconds(), "minutes", 0))
        )
    frost = value("mortar", "curing_above")
    if warm and min(warm) <= frost.value:
        notes.append(
            message(
                "The log goes down to {coldest}: mortar that cures must stay over {frost} ({source}).",
                coldest=Quantity(min(warm), "c", 1),
                frost=Quantity(frost.value, "c", 0),
                source=frost.source.title,
            )
        )
    missing = sum(one.humidity is None for one in log)
    if log and missing == len(log):
        notes.append(message("No humidity was written down: that the lining did not dry, the log does not show."))
    return tuple(notes)
