"""The mortar of a run: strength against what was asked, and each batch with the place where it lies."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import Batch, Records, Specimen
from mainwright.plan.result import Run
from mainwright.prove.balance import batch_volume
from mainwright.prove.timeline import Timeline
from mainwright.prove.verdict import PartVerdict, worst
from mainwright.science.mortar.setting import time_at_temperature
from mainwright.science.mortar.strength import compressive_strength, flexural_strength, set_mean
from mainwright.units import to_si
from mainwright.words.message import Message, Quantity, message

__all__ = ["PRISM_SIDE", "PRISM_SPAN", "BatchTrace", "MortarProof", "StrengthSet", "judge_mortar"]

PRISM_SIDE: Final = 0.04
PRISM_SPAN: Final = 0.10
"""Section and span of a prism 40 mm by 40 mm by 160 mm, where the record gives no area. [m]"""

_SPECK: Final = to_si(1.0, "mm2")
"""A loaded area under this is none. [m2]"""

_AGE_SLACK: Final = to_si(8.0, "hours")
"""A test at 28 days may be so much early or late: EN 196-1, from memory. [s]"""


@dataclass(frozen=True, slots=True)
class StrengthSet:
    """Specimens of one batch, kind and age.

    Attributes
    ----------
    batch, kind
        As recorded; an empty batch where the record names none.
    age
        From casting to testing, None where one of both is not known. [s]
    strengths
        One by one. [Pa]
    mean
        After the rule for outliers; None where the set is to be thrown away. [Pa]
    discarded
        How many results were left out.
    verdict, because
        Against the strength asked at its age; ``because`` where it does not simply meet it.
    """

    batch: str
    kind: str
    age: float | None
    strengths: tuple[float, ...]
    mean: float | None
    discarded: int
    verdict: PartVerdict
    because: Message | None


@dataclass(frozen=True, slots=True)
class BatchTrace:
    """One batch and where it lies.

    Attributes
    ----------
    batch
        Its number.
    water_per_cement
        By mass, with the water that the sand brought; None where a weight is missing. [-]
    spread, temperature
        As measured. [m] [K]
    start, end
        Chainages between which its mortar left the head, None where the readings do not say. [m]
    oldest
        From mixing until its last mortar left the head. [s]
    usable
        How long the mortar could be used at its temperature, None where the minutes are not the job's own. [s]
    """

    batch: str
    water_per_cement: float | None
    spread: float | None
    temperature: float | None
    start: float | None
    end: float | None
    oldest: float | None
    usable: float | None

    @property
    def too_old(self) -> bool:
        """Whether some of it was placed after its time."""
        return self.oldest is not None and self.usable is not None and self.oldest > self.usable


@dataclass(frozen=True, slots=True)
class MortarProof:
    """Mortar of one run: ``strength`` is the least mean of its sets in compression [Pa], ``notes`` what the reader must know besides."""

    verdict: PartVerdict
    strength: float | None
    required: float | None
    required_age: float | None
    sets: tuple[StrengthSet, ...]
    batches: tuple[BatchTrace, ...]
    notes: tuple[Message, ...]


def judge_mortar(job: Job, run: Run, records: Records, coats: Sequence[Timeline]) -> MortarProof:
    """Return what is on record of a run's mortar.

    Parameters
    ----------
    job : Job
        The job. [-]
    run : Run
        The run. [-]
    records : Records
        What happened. [-]
    coats : sequence of Timeline
        The run against the clock; empty where it has no readings. [-]

    Returns
    -------
    MortarProof
        Without a strength asked nothing is judged; without specimens it is incomplete.
    """
    asked = job.acceptance.strength if job.acceptance is not None else None
    age = job.acceptance.strength_age if job.acceptance is not None else None
    sets = _sets([one for one in records.strength if one.run == run.id], asked, age)
    pressed = [one for one in sets if one.kind == "compression"]
    means = [one.mean for one in pressed if one.mean is not None]
    batches = _traced(job, run, [one for one in records.batches if one.run == run.id], coats)
    verdict: PartVerdict = "not_asked" if asked is None else worst(one.verdict for one in pressed) if pressed else "incomplete"
    notes = [
        message(
            "Batch {batch}: water by cement {found}, the mix is {planned}.",
            batch=one.batch,
            found=Quantity(one.water_per_cement, "-", 2),
            planned=Quantity(job.mortar.water_per_cement, "-", 2),
        )
        for one in batches
        if one.water_per_cement is not None and round(one.water_per_cement, 2) > round(job.mortar.water_per_cement, 2)
    ]
    notes += [
        message(
            "Batch {batch}: its last mortar was placed {oldest} after mixing began; it can be used for {usable}.",
            batch=one.batch,
            oldest=Quantity(one.oldest or 0.0, "minutes", 0),
            usable=Quantity(one.usable or 0.0, "minutes", 0),
        )
        for one in batches
        if one.too_old
    ]
    areas = sum(one.run == run.id and one.kind == "compression" and one.area is None for one in records.strength)
    if areas:
        notes.append(message("Specimens without a loaded area, which give no strength: {n}.", n=areas))
    return MortarProof(verdict, min(means, default=None), asked, age, tuple(sets), batches, tuple(notes))


def _strength(one: Specimen) -> float | None:
    if one.load <= 0.0 or (one.area is not None and one.area < _SPECK):
        return None
    if one.kind == "bending":
        return flexural_strength(load=one.load, side=PRISM_SIDE if one.area is None else math.sqrt(one.area), span=PRISM_SPAN)
    return None if one.area is None else compressive_strength(load=one.load, area=one.area)


def _sets(specimens: Sequence[Specimen], asked: float | None, age: float | None) -> list[StrengthSet]:
    groups: dict[tuple[str, str, float | None], list[float]] = {}
    for one in specimens:
        strength = _strength(one)
        if strength is not None:
            old = None if one.cast is None or one.tested is None else (one.tested - one.cast).total_seconds()
            # Halves of one set are broken minutes apart: their age counts by the day.
            day = None if old is None else round(old / to_si(1.0, "days")) * to_si(1.0, "days")
            groups.setdefault((one.batch or "", one.kind or "compression", day), []).append(strength)
    found = []
    for (batch, kind, old), values in sorted(groups.items(), key=lambda item: (item[0][0], item[0][1], item[0][2] or 0.0)):
        result = set_mean(values) if kind == "compression" else None
        usable = result is None or result.usable
        mean = (math.fsum(values) / len(values) if result is None else result.mean) if usable else None
        verdict, because = ("not_asked", None) if kind != "compression" or asked is None else _judged(mean, old, asked, age)
        found.append(StrengthSet(batch, kind, old, tuple(values), mean, 0 if result is None else len(result.discarded), verdict, because))
    return found


def _judged(mean: float | None, old: float | None, asked: float, age: float | None) -> tuple[PartVerdict, Message | None]:
    """Judge one set: what is strong enough before its time stays so, and what is too weak after its time was too weak at its time."""
    if mean is None:
        return "incomplete", message("the results of the set lie too far apart: the test is to be repeated")
    if age is not None and old is None:
        return "incomplete", message("the age at the test is not on record")
    early = age is not None and old is not None and old < age - _AGE_SLACK
    late = age is not None and old is not None and old > age + _AGE_SLACK
    if mean < asked:
        if early:
            return "incomplete", message("tested before its time: too weak yet, and no more can be said")
        return "does_not_meet", message("{found} where {asked} was asked", found=Quantity(mean, "mpa", 1), asked=Quantity(asked, "mpa", 1))
    if late:
        return "incomplete", message("tested after its time: strong enough then, which does not show that it was in time")
    return "meets", None


def _traced(job: Job, run: Run, batches: Sequence[Batch], coats: Sequence[Timeline]) -> tuple[BatchTrace, ...]:
    """Follow the mortar in the order of mixing: what is mixed first leaves the head first, and the hose is full when the readings begin."""
    ordered = sorted(batches, key=lambda one: (one.time, one.batch))
    found = []
    low: float | None = 0.0
    for one in ordered:
        volume = batch_volume(job, one)
        high = None if volume is None or low is None else low + max(volume, 0.0)
        first, last = (None, None) if low is None or high is None else (_left(coats, low), _left(coats, high))
        whole = sum(coat.volumes[-1] for coat in coats)
        # The last batch is not all laid: it ends where the run ends, and the rest stays in the hose.
        if first is not None and last is None and high is not None and high > whole and coats:
            last = (coats[-1], coats[-1].times[-1])
        places = None if first is None or last is None else _places(coats, first, last)
        cement, water = one.cement, _water(job, one)
        oldest = None if last is None else last[1] - one.time.timestamp()
        found.append(
            BatchTrace(
                batch=one.batch,
                water_per_cement=None if cement is None or water is None or cement <= 0.0 else water / cement,
                spread=one.spread,
                temperature=one.temperature,
                start=None if places is None else places[0],
                end=None if places is None else places[1],
                oldest=None if oldest is None or oldest < 0.0 else oldest,
                usable=_usable(job, one),
            )
        )
        low = high
    return tuple(found)


def _water(job: Job, one: Batch) -> float | None:
    """Return the mass of the water in the mortar, with what the moist sand brought."""
    from mainwright.constants import WATER_DENSITY_MIXING

    if one.water is None or one.sand is None:
        return None
    return one.water * WATER_DENSITY_MIXING + one.sand * job.mortar.sand_moisture / (1.0 + job.mortar.sand_moisture)


def _usable(job: Job, one: Batch) -> float | None:
    if "mortar.usable_minutes" in job.defaulted:
        return None
    temperature = job.mortar.mortar_temperature if one.temperature is None else one.temperature
    if not to_si(0.0, "c") <= temperature <= to_si(45.0, "c"):
        return None
    return time_at_temperature(at_reference=job.mortar.usable, temperature=temperature).value


def _left(coats: Sequence[Timeline], volume: float) -> tuple[Timeline, float] | None:
    """Return in which coat and when so much mortar had left the head."""
    before = 0.0
    for coat in coats:
        when = coat.when_volume(volume - before)
        if when is not None:
            return coat, when
        before += coat.volumes[-1]
    return None


def _places(coats: Sequence[Timeline], first: tuple[Timeline, float], last: tuple[Timeline, float]) -> tuple[float, float]:
    """Return the least and greatest chainage at which the head was between two moments."""
    ways: list[tuple[Timeline, float]] = []
    for coat in coats:
        if first[0].coat <= coat.coat <= last[0].coat:
            low = first[1] if coat is first[0] else coat.times[0]
            high = last[1] if coat is last[0] else coat.times[-1]
            ways += [(coat, coat.way_at(low)), (coat, coat.way_at(high))]
    chainages = [min(max(coat.chainage(way), coat.start), coat.end) for coat, way in ways]
    return min(chainages), max(chainages)
