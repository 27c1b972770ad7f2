"""The pressure test by the rule that was entered, and no other: what was read, what the rule allows, and what the make-up says."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import PressureReading, Records
from mainwright.plan.host import HostStretch
from mainwright.plan.result import LinedStretch, Run
from mainwright.prove.places import place_of
from mainwright.prove.verdict import PartVerdict, worst
from mainwright.science.hydraulics.pressure_test import MakeUp, leakage_allowance_c600, split_make_up, volume_loss_en805
from mainwright.units import to_si
from mainwright.words.message import Message, Quantity, message

__all__ = ["FEWEST_READINGS", "WATER_MODULUS", "PressureProof", "PressureSection", "judge_pressure"]

_EN_805: Final = re.compile(r"en\s*_?-?\s*805", re.IGNORECASE)
_C600: Final = re.compile(r"c\s*_?-?\s*60[02]", re.IGNORECASE)
_DROP: Final = to_si(20.0, "kpa")
"""Drop in an hour by which EN 805 reckons for iron, steel and mortar-lined pipe; from memory. [Pa]"""

WATER_MODULUS: Final = 2.1e9
_MODULI: Final = {"grey_iron": 1.1e11, "ductile_iron": 1.7e11, "steel": 2.1e11}
"""Of the wall, by material; EN 805, from memory. [Pa]"""

_HOUR: Final = to_si(1.0, "hours")
FEWEST_READINGS: Final = 4


@dataclass(frozen=True, slots=True)
class PressureSection:
    """One section under test.

    Attributes
    ----------
    section, start, end
        Its name in the record, and the chainages that it stands for. [m]
    readings
        In order of time.
    highest, first, last
        Pressures, gauge. [Pa]
    added
        Water pumped in all; None where none was written down. [m3]
    duration
        From the first reading to the last. [s]
    loss, allowed
        Water by time, and what the rule allows; None where it does not say or the record does not. [m3/s]
    make_up
        The water pumped after, split into soaking and leak; None with fewer than four readings of it.
    verdict, because
        Of this section.
    """

    section: str
    start: float
    end: float
    readings: tuple[PressureReading, ...]
    highest: float
    first: float
    last: float
    added: float | None
    duration: float
    loss: float | None
    allowed: float | None
    make_up: MakeUp | None
    verdict: PartVerdict
    because: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class PressureProof:
    """The pressure test of the job: ``rule`` and ``limit`` [Pa] as entered."""

    verdict: PartVerdict
    rule: str | None
    limit: float | None
    sections: tuple[PressureSection, ...]
    notes: tuple[Message, ...]


def judge_pressure(
    job: Job, records: Records, *, runs: Sequence[Run], stretches: Sequence[LinedStretch], host: Sequence[HostStretch]
) -> PressureProof:
    """Return what is on record of the pressure test.

    Parameters
    ----------
    job : Job
        The job, with the client's rule and limit for this pipe. [-]
    records : Records
        What happened. [-]
    runs : sequence of Run
        Sections are named by them. [-]
    stretches : sequence of LinedStretch
        The main with its lined bore. [-]
    host : sequence of HostStretch
        The main with its wall. [-]

    Returns
    -------
    PressureProof
        Pressure over the client's limit does not meet what was entered, whatever the rule: it can burst an old main. Rules that are known by
        name (EN 805, AWWA C600) judge the loss by their own formula; the loss of any other is the client's to judge, and the section is incomplete
        until then. No rule ever stands in for another.
    """
    rule = job.test.rule if job.test is not None else None
    limit = job.test.pressure if job.test is not None else None
    groups: dict[str, list[PressureReading]] = {}
    for one in records.pressure_test:
        groups.setdefault(one.section, []).append(one)
    first, last = (job.main[0].start, job.main[-1].end) if job.main else (0.0, 0.0)
    sections = []
    for name, rows in sorted(groups.items()):
        low, high = place_of(name, runs, start=first, end=last)
        read = _read(name, low, high, sorted(rows, key=lambda one: one.time))
        sections.append(_judged(read, rule, limit, _lengths(low, high, stretches, host)))
    notes: list[Message] = []
    if rule is None and sections:
        notes.append(message("no rule and no limit for this pipe were entered: the readings are told, and nothing is judged"))
    if rule is not None and not sections:
        notes.append(message("no reading of a pressure test is on record"))
    verdict: PartVerdict = "not_asked" if rule is None else "incomplete" if not sections else worst(one.verdict for one in sections)
    if limit is not None and any(one.verdict == "does_not_meet" for one in sections):
        verdict = "does_not_meet"
    return PressureProof(verdict, rule, limit, tuple(sections), tuple(notes))


@dataclass(frozen=True, slots=True)
class _Length:
    length: float
    bore: float
    dn: int
    wall: float | None
    modulus: float | None


def _lengths(low: float, high: float, stretches: Sequence[LinedStretch], host: Sequence[HostStretch]) -> list[_Length]:
    found = []
    for lined, old in zip(stretches, host, strict=True):
        length = min(high, lined.end) - max(low, lined.start)
        if length > 0.0:
            bore = lined.bore_clean if lined.bore_lined is None else lined.bore_lined
            found.append(_Length(length, bore, lined.dn, old.row.wall, _MODULI.get(old.row.material)))
    return found


def _read(name: str, low: float, high: float, rows: Sequence[PressureReading]) -> PressureSection:
    added = [one.added for one in rows if one.added is not None]
    duration = (rows[-1].time - rows[0].time).total_seconds()
    total = sum(added) if added else None
    return PressureSection(
        section=name,
        start=low,
        end=high,
        readings=tuple(rows),
        highest=max(one.pressure for one in rows),
        first=rows[0].pressure,
        last=rows[-1].pressure,
        added=total,
        duration=duration,
        loss=None if total is None or duration <= 0.0 else total / duration,
        allowed=None,
        make_up=_make_up(rows),
        verdict="not_asked",
        because=(),
    )


def _make_up(rows: Sequence[PressureReading]) -> MakeUp | None:
    """Split the water that was pumped after the first reading; what filled the main before is no make-up."""
    times: list[float] = []
    volumes: list[float] = []
    total = 0.0
    for one in rows[1:]:
        total += one.added or 0.0
        since = (one.time - rows[0].time).total_seconds()
        if one.added is not None and since > (times[-1] if times else 0.0):
            times.append(since)
            volumes.append(total)
    return split_make_up(times, volumes) if len(times) >= FEWEST_READINGS else None


def _judged(one: PressureSection, rule: str | None, limit: float | None, lengths: Sequence[_Length]) -> PressureSection:
    if limit is not None and one.highest > limit * (1.0 + 1e-9):
        text = "{found} was read; the client allows at most {limit} in this pipe"
        because = message(text, found=Quantity(one.highest, "bar", 2), limit=Quantity(limit, "bar", 2))
        return replace(one, verdict="does_not_meet", because=(because,))
    if rule is None:
        return one
    if _EN_805.search(rule):
        return _by_rule(one, _en_805(lengths))
    if _C600.search(rule):
        return _by_rule(one, _c600(one, lengths))
    because = message("the client's own rule judges the loss: read it against the figures here and sign")
    return replace(one, verdict="incomplete", because=(because,))


def _by_rule(one: PressureSection, allowed: float | None) -> PressureSection:
    verdict: PartVerdict = "incomplete"
    because: Message | None = None
    if allowed is None:
        because = message("the rule needs the wall and material of every stretch of the section, and a pressure")
    elif one.loss is None:
        because = message("the water that was added is not on record")
    elif one.duration < _HOUR:
        because = message("the test is shorter than an hour")
    elif one.loss > allowed:
        verdict = "does_not_meet"
        text = "{found} an hour was added, {allowed} is allowed"
        because = message(text, found=Quantity(one.loss * _HOUR, "l", 2), allowed=Quantity(allowed * _HOUR, "l", 2))
    else:
        verdict = "meets"
    return replace(one, allowed=allowed, verdict=verdict, because=() if because is None else (because,))


def _c600(one: PressureSection, lengths: Sequence[_Length]) -> float | None:
    """Return the make-up flow that may be."""
    mean = math.fsum(row.pressure for row in one.readings) / len(one.readings)
    if mean <= 0.0 or not lengths:
        return None
    return math.fsum(
        leakage_allowance_c600(length=part.length, bore=to_si(part.dn, "mm"), pressure=mean, divisor=148000) for part in lengths
    )


def _en_805(lengths: Sequence[_Length]) -> float | None:
    """Return the water that may be lost, for an hour."""
    total = 0.0
    for part in lengths:
        if part.wall is None or part.modulus is None:
            return None
        volume = 0.25 * math.pi * part.bore**2 * part.length
        total += volume_loss_en805(
            volume=volume, drop=_DROP, bore=part.bore, wall=part.wall, wall_modulus=part.modulus, water_modulus=WATER_MODULUS, factor=1.2
        )
    return total / _HOUR if lengths else None
