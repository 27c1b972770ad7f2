"""The proof of a job: for each run what its records say against what was asked, and what is missing."""

import math
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from mainwright.job.job import Job
from mainwright.job.records import Records, ThicknessReading
from mainwright.plan.result import LinedStretch, Run
from mainwright.prove.balance import MassBalance, mass_balance
from mainwright.prove.measured import Measured, measure
from mainwright.prove.thickness import Laid, lay
from mainwright.science.measurement.tolerance import one_sided_factor
from mainwright.standards.source import Assumed
from mainwright.words.message import Message, message

__all__ = ["Acceptance", "Proof", "RunProof", "Thickness", "UnderMinimum", "Verdict", "prove"]

Verdict = Literal["meets", "does_not_meet", "incomplete"]
"""Of the entered requirements. Acceptance is the client's signature."""

_SHARE: Final = 0.95
"""Of all places of the interior that shall not be under the minimum, by readings; an assumption of this program."""

_EVIDENCE: Final = {
    "consumption": message("what was pumped or batched"),
    "end_readings": message("gauge readings at both ends"),
    "interior_readings": message("gauge readings of the interior"),
    "camera": message("camera passes of the cleaned bore and of the lining"),
    "specimens": message("mortar specimens"),
    "scan": message("ring scans"),
}


@dataclass(frozen=True, slots=True)
class UnderMinimum:
    """A length under its minimum: chainage and least thickness [m]."""

    start: float
    end: float
    minimum: float


@dataclass(frozen=True, slots=True)
class Thickness:
    """Mean, 5 % point and least of the bins of a run [m], and its lengths under the minimum, in order of chainage."""

    mean: float
    p05: float
    minimum: float
    under_minimum: tuple[UnderMinimum, ...]


@dataclass(frozen=True, slots=True)
class Acceptance:
    """Gauge readings of the interior judged by variables: k is (mean - minimum) / deviation; None where there are too few."""

    count: int
    mean: float | None
    deviation: float | None
    k: float | None
    k_required: float | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class RunProof:
    """One run. ``thickness`` is None where no readings of odometer and pump are on record."""

    run: Run
    verdict: Verdict
    laid: Laid | None
    thickness: Thickness | None
    balance: MassBalance | None
    readings: Acceptance
    missing: tuple[Message, ...]
    because: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """The whole. ``measured`` is the bill as done, with the records behind each quantity."""

    job: Job
    issued: str | None
    runs: tuple[RunProof, ...]
    measured: tuple[Measured, ...]
    missing: tuple[Message, ...]
    assumed: tuple[Assumed, ...]


def prove(
    job: Job,
    *,
    runs: Sequence[Run],
    stretches: Sequence[LinedStretch],
    records: Records,
    issued: str | None,
    progress: Callable[[int, int], None] | None = None,
) -> Proof:
    """Return the proof of a job.

    Parameters
    ----------
    job : Job
        The job. [-]
    runs : sequence of Run
        Of the plan that was followed. [-]
    stretches : sequence of LinedStretch
        The main with what the contract asks, in order of chainage. [-]
    records : Records
        What happened. [-]
    issued : str or None
        Revision of the issued plan; None where the plan was made anew. [-]
    progress : callable, optional
        Is told how many runs are done, and of how many. [-]

    Returns
    -------
    Proof
        A run with a bin under its minimum, a mean under the mean minimum or readings that fail does not meet what was asked; one whose
        evidence is not all there, or whose thickness is not known everywhere, is incomplete; else it meets the entered requirements.
    """
    found = []
    for done, run in enumerate(runs, start=1):
        found.append(_run(job, run, stretches, records))
        if progress is not None:
            progress(done, len(runs))
    return Proof(
        job=job,
        issued=issued,
        runs=tuple(found),
        measured=measure(runs, records),
        missing=_missing_of_job(job, records),
        assumed=(
            Assumed(
                "proof.share",
                _SHARE,
                "-",
                message("Share of the interior that readings must show over the minimum: an assumption, the contract may say otherwise."),
            ),
        ),
    )


def _run(job: Job, run: Run, stretches: Sequence[LinedStretch], records: Records) -> RunProof:
    readings = next((one.readings for one in records.readings if one.run == run.id), ())
    usable = [reading for reading in readings if reading.odometer is not None]
    run, origin = _as_lined(run, records)
    laid = lay(job, run, readings, origin=origin) if len(usable) > 1 else None
    thickness = None if laid is None else _thickness(laid, stretches)
    balance = mass_balance(
        job, run.id, records, pumped=None if laid is None else laid.pumped, deposited=None if laid is None else laid.deposited
    )
    accepted = _acceptance(job, [one for one in records.thickness if one.run == run.id], run, stretches)
    missing = _missing(job, run, records, laid)
    because = _failures(run, thickness, accepted, stretches)
    verdict: Verdict = "does_not_meet" if because else "incomplete" if missing else "meets"
    return RunProof(run, verdict, laid, thickness, balance, accepted, missing, because)


def _as_lined(run: Run, records: Records) -> tuple[Run, float]:
    """Return the run the way it was really lined, and where on its way the head started.

    A record of one length says both; of several lengths nobody knows which readings belong to which, and the plan stands.
    """
    rows = [one for one in records.runs_done if one.run == run.id and (one.coat or 1) == 1]
    if len(rows) != 1:
        return run, 0.0
    (done,) = rows
    direction = done.direction or run.direction
    origin = done.start - run.start if direction == "increasing" else run.end - done.end
    return replace(run, direction=direction), origin


def _at(stretches: Sequence[LinedStretch], chainage: float) -> LinedStretch:
    return next((one for one in stretches if chainage <= one.end), stretches[-1])


def _thickness(laid: Laid, stretches: Sequence[LinedStretch]) -> Thickness:
    under: list[UnderMinimum] = []
    open_: list[float] | None = None
    for chainage, value in zip(laid.chainages, laid.thicknesses, strict=True):
        low, high = chainage - 0.5 * laid.width, chainage + 0.5 * laid.width
        if value < _at(stretches, chainage).minimum:
            open_ = [open_[0] if open_ else low, high, min(value, open_[2]) if open_ else value]
        elif open_ is not None:
            under.append(UnderMinimum(*open_))
            open_ = None
    if open_ is not None:
        under.append(UnderMinimum(*open_))
    ordered = sorted(laid.thicknesses)
    place = 0.05 * (len(ordered) - 1)
    low_place = math.floor(place)
    high_place = min(low_place + 1, len(ordered) - 1)
    p05 = ordered[low_place] + (place - low_place) * (ordered[high_place] - ordered[low_place])
    return Thickness(math.fsum(ordered) / len(ordered), p05, ordered[0], tuple(under))


def _acceptance(job: Job, gauged: Sequence[ThicknessReading], run: Run, stretches: Sequence[LinedStretch]) -> Acceptance:
    """Hand-finished ends are no sample of the interior, and what stands over a pit is no thickness over metal."""
    fair = [one for one in gauged if one.zone == "interior" and one.over != "pit"]
    values = [one.thickness for one in fair]
    if len(values) < 2:
        return Acceptance(len(values), values[0] if values else None, None, None, None, "incomplete")
    # The margin over the minimum of its own place makes readings of several stretches comparable.
    margins = [one.thickness - _at(stretches, one.chainage).minimum for one in fair]
    deviation = statistics.stdev(margins)
    required = one_sided_factor(count=len(margins), share=_SHARE, confidence=job.lining.confidence)
    margin = statistics.fmean(margins)
    k = math.inf if deviation == 0.0 and margin >= 0.0 else margin / deviation if deviation > 0.0 else -math.inf
    return Acceptance(
        len(values),
        statistics.fmean(values),
        deviation,
        k if math.isfinite(k) else None,
        required,
        "meets" if k >= required else "does_not_meet",
    )


def _failures(run: Run, thickness: Thickness | None, accepted: Acceptance, stretches: Sequence[LinedStretch]) -> tuple[Message, ...]:
    found = []
    if thickness is not None:
        if thickness.under_minimum:
            found.append(message("lengths under the minimum: {n}", n=len(thickness.under_minimum)))
        asked = [
            (min(one.end, run.end) - max(one.start, run.start), one.mean_minimum)
            for one in stretches
            if one.mean_minimum is not None and one.start < run.end and one.end > run.start
        ]
        if asked and thickness.mean < math.fsum(length * mean for length, mean in asked) / math.fsum(length for length, _ in asked):
            found.append(message("the mean of the run is under the mean that was asked"))
    if accepted.verdict == "does_not_meet":
        found.append(message("the gauge readings of the interior fail the sampling rule"))
    return tuple(found)


def _missing(job: Job, run: Run, records: Records, laid: Laid | None) -> tuple[Message, ...]:
    found = []
    if laid is None:
        found.append(message("readings of odometer and pump"))
    elif laid.gaps:
        found.append(message("readings of some lengths: {n}", n=len(laid.gaps)))
    found += [
        _EVIDENCE.get(name, message("evidence that this release cannot judge: {name}", name=name))
        for name in (job.acceptance.evidence if job.acceptance is not None else ())
        if not _there(name, job, run, records)
    ]
    if job.acceptance is None or not job.acceptance.evidence:
        found.append(message("what evidence the contract asks: [acceptance] is empty"))
    return tuple(found)


def _there(name: str, job: Job, run: Run, records: Records) -> bool:
    gauged = [one for one in records.thickness if one.run == run.id]
    match name:
        case "consumption":
            return any(one.run == run.id for one in records.batches) or any(one.run == run.id and one.readings for one in records.readings)
        case "end_readings":
            wanted = job.acceptance.readings_per_end if job.acceptance is not None else None
            middle = 0.5 * (run.start + run.end)
            ends = [one.chainage for one in gauged if one.zone == "end"]
            low, high = sum(place < middle for place in ends), sum(place >= middle for place in ends)
            return min(low, high) >= (wanted or 1)
        case "interior_readings":
            return sum(one.zone == "interior" for one in gauged) > 1
        case "camera":
            seen = {one.camera_pass for one in records.observations if one.run == run.id}
            return {"cleaned", "lined"} <= seen
        case "specimens":
            return any(one.run == run.id and one.kind == "compression" and one.area for one in records.strength)
    return False


def _missing_of_job(job: Job, records: Records) -> tuple[Message, ...]:
    found = []
    if not records.water_tests:
        found.append(message("water tests: no main is given back before its samples have passed"))
    if job.test is not None and not records.pressure_test:
        found.append(message("the pressure test that the contract asks"))
    cleared = {one.ref for one in records.connections}
    open_ = [one.ref for one in job.services if one.live is not False and one.ref and one.ref not in cleared]
    if open_:
        found.append(message("live connections without a record that they are clear: {n}", n=len(open_)))
    return tuple(found)
