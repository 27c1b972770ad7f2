"""The proof of a job: for each run what its records say against what was asked, and what is missing."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import Event, Records, RunDone
from mainwright.line.assumed import assumed_of_run
from mainwright.plan.host import HostStretch, resolve_host
from mainwright.plan.result import BillLine, LinedStretch, Run
from mainwright.prove.acceptance import Acceptance, accept
from mainwright.prove.agreement import SCAN, Agreement, Evidence, agree
from mainwright.prove.as_lined import AsLined
from mainwright.prove.assumed import ASSUMED
from mainwright.prove.balance import MassBalance, mass_balance
from mainwright.prove.camera import CameraProof, judge_camera
from mainwright.prove.connections import ConnectionsProof, judge_connections
from mainwright.prove.curing import CuringProof, judge_curing
from mainwright.prove.defects import Defect, find_defects, scan_defects
from mainwright.prove.measured import Measured, Unproven, measure, unproven
from mainwright.prove.mortar import MortarProof, judge_mortar
from mainwright.prove.obstructions import ObstructionProof, judge_obstructions
from mainwright.prove.pressure import PressureProof, judge_pressure
from mainwright.prove.revision import records_revision
from mainwright.prove.scans import ScanProof
from mainwright.prove.signing import Signing, run_signing, water_signing
from mainwright.prove.thickness import Laid, lay
from mainwright.prove.timeline import timelines
from mainwright.prove.verdict import Verdict
from mainwright.prove.water import WaterProof, judge_water
from mainwright.standards.source import Assumed
from mainwright.words.message import Message, Quantity, message

__all__ = ["Proof", "RunProof", "Thickness", "UnderMinimum", "prove"]

_EVIDENCE: Final = {
    "consumption": message("what was pumped or batched"),
    "end_readings": message("gauge readings at both ends"),
    "interior_readings": message("gauge readings of the interior"),
    "camera": message("camera passes of the cleaned bore and of the lining"),
    "camera_dry": message("camera passes of the cleaned bore and of the lining, without water in the pipe"),
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
class RunProof:
    """One run, as it was lined. ``thickness`` is None where no readings of odometer and pump are on record.

    ``defects`` are its lengths that are not as they were asked, ``agreement`` the mean thickness by each kind of evidence, ``done`` and
    ``events`` what was written down of it, in order of time, ``signing`` who accepted it or dissented: the verdict stays what it is.
    """

    run: Run
    verdict: Verdict
    laid: Laid | None
    thickness: Thickness | None
    balance: MassBalance | None
    readings: Acceptance
    mortar: MortarProof
    curing: CuringProof
    camera: CameraProof
    connections: ConnectionsProof
    defects: tuple[Defect, ...]
    agreement: Agreement
    done: tuple[RunDone, ...]
    events: tuple[Event, ...]
    missing: tuple[Message, ...]
    because: tuple[Message, ...]
    signing: Signing
    scan: ScanProof | None = None


@dataclass(frozen=True, slots=True)
class Proof:
    """The whole. ``records`` is the revision of the records, ``measured`` the bill as done with the records behind each quantity.

    ``unproven`` is what the plan's bill has and the records do not show, ``signing`` who signed that the water goes back.
    """

    job: Job
    issued: str | None
    records: str
    runs: tuple[RunProof, ...]
    water: WaterProof
    pressure: PressureProof
    obstructions: tuple[ObstructionProof, ...]
    measured: tuple[Measured, ...]
    unproven: tuple[Unproven, ...]
    remarks: tuple[Message, ...]
    missing: tuple[Message, ...]
    assumed: tuple[Assumed, ...]
    signing: Signing


def prove(
    job: Job,
    *,
    runs: Sequence[Run],
    stretches: Sequence[LinedStretch],
    records: Records,
    issued: str | None,
    bill: Sequence[BillLine] = (),
    scans: Mapping[str, ScanProof] = MappingProxyType({}),
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
    bill : sequence of BillLine
        Of the plan: what of it no record shows is told. [-]
    scans : mapping
        Runs that were scanned before and after lining, by their ids. [-]
    progress : callable, optional
        Is told how many runs are done, and of how many. [-]

    Returns
    -------
    Proof
        A run with a bin under its minimum, a mean under the mean minimum or readings that fail does not meet what was asked; one whose
        evidence is not all there, or whose thickness is not known everywhere, is incomplete; else it meets the entered requirements.
    """
    host = resolve_host(job).stretches
    found = []
    for done, run in enumerate(runs, start=1):
        found.append(_run(job, run, runs=runs, stretches=stretches, records=records, host=host, scan=scans.get(run.id)))
        if progress is not None:
            progress(done, len(runs))
    texts = {line.item: line.text for line in bill}
    measured = tuple(replace(one, text=texts.get(one.item)) for one in measure(job, runs, records))
    water = judge_water(records)
    pressure = judge_pressure(job, records, runs=runs, stretches=stretches, host=host)
    missing = _missing_of_job(job, records)
    return Proof(
        job=job,
        issued=issued,
        runs=tuple(found),
        records=records_revision(records),
        water=water,
        pressure=pressure,
        obstructions=judge_obstructions(job, runs, records),
        measured=measured,
        unproven=unproven(bill, measured),
        remarks=tuple(
            message("{who}: {note}", who=one.who or "–", note=one.note)
            for one in records.events
            if one.kind == "remark" and one.run is None and one.note
        ),
        missing=missing,
        signing=water_signing(records, water=water.verdict, pressure=pressure.verdict, missing=missing),
        assumed=(*ASSUMED, *assumed_of_run()),
    )


def _run(
    job: Job,
    run: Run,
    *,
    runs: Sequence[Run],
    stretches: Sequence[LinedStretch],
    records: Records,
    host: Sequence[HostStretch],
    scan: ScanProof | None,
) -> RunProof:
    readings = next((one.readings for one in records.readings if one.run == run.id), ())
    usable = [reading for reading in readings if reading.odometer is not None]
    run, origin = _as_lined(run, records)
    laid = lay(job, run, readings, origin=origin) if len(usable) > 1 else None
    coats = timelines(run, readings, origin=origin)
    thickness = None if laid is None else _thickness(laid, stretches)
    balance = mass_balance(
        job, run.id, records, pumped=None if laid is None else laid.pumped, deposited=None if laid is None else laid.deposited
    )
    gauged = [one for one in records.thickness if one.run == run.id]
    accepted = accept(job, gauged, stretches)
    mortar = judge_mortar(job, run, records, coats)
    camera = judge_camera(job, run, records, host)
    curing = judge_curing(job, run, runs, records)
    lined = AsLined(job, run, stretches, host, [one for one in records.events if one.run == run.id], coats)
    defects = () if laid is None else find_defects(lined, laid)
    if scan is not None:
        seen = scan_defects(lined, scan)
        defects = tuple(sorted((*defects, *seen), key=lambda one: (one.start, one.end, one.by, one.kind)))
    missing = _missing(job, run, records, laid, mortar=mortar, camera=camera, scan=scan)
    because = _failures(run, thickness, accepted, stretches, mortar=mortar, camera=camera, curing=curing, defects=defects, scan=scan)
    verdict: Verdict = "does_not_meet" if because else "incomplete" if missing else "meets"
    connections = judge_connections(job, run, records, coats, last=run.end == max(one.end for one in runs))
    return RunProof(
        run=run,
        verdict=verdict,
        laid=laid,
        thickness=thickness,
        balance=balance,
        readings=accepted,
        mortar=mortar,
        curing=curing,
        camera=camera,
        connections=connections,
        defects=defects,
        agreement=agree(job, run, laid, balance, gauged, scanned=_scanned(scan)),
        done=tuple(one for one in records.runs_done if one.run == run.id),
        events=tuple(sorted((one for one in records.events if one.run == run.id), key=lambda one: one.time)),
        missing=missing,
        because=because,
        signing=run_signing(
            records, run.id, verdict=verdict, connections=[one.ref for one in connections.connections], asked=job.acceptance
        ),
        scan=scan,
    )


def _scanned(scan: ScanProof | None) -> Evidence | None:
    return None if scan is None or scan.mean is None else Evidence("scan", scan.mean, SCAN, len(scan.metres))


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


def _failures(
    run: Run,
    thickness: Thickness | None,
    accepted: Acceptance,
    stretches: Sequence[LinedStretch],
    *,
    mortar: MortarProof,
    camera: CameraProof,
    curing: CuringProof,
    defects: Sequence[Defect],
    scan: ScanProof | None,
) -> tuple[Message, ...]:
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
    if scan is not None and scan.thin:
        found.append(message("thin areas by the ring scans: {n}", n=len(scan.thin)))
    thick = sum(one.kind == "thick" for one in defects)
    if thick:
        found.append(message("lengths over the maximum: {n}", n=thick))
    if accepted.verdict == "does_not_meet":
        found.append(message("the gauge readings of the interior fail the sampling rule"))
    if accepted.under:
        found.append(message("gauge readings under the minimum of their place: {n}", n=len(accepted.under)))
    if mortar.verdict == "does_not_meet":
        found.append(message("the mortar is weaker than was asked"))
    if curing.verdict == "does_not_meet":
        found += curing.because
    found += [
        message("camera at {place}: {what}", place=Quantity(one.chainage, "m", 1), what=one.because)
        for one in camera.findings
        if one.verdict == "does_not_meet" and one.because is not None
    ]
    return tuple(found)


def _missing(
    job: Job, run: Run, records: Records, laid: Laid | None, *, mortar: MortarProof, camera: CameraProof, scan: ScanProof | None
) -> tuple[Message, ...]:
    found = []
    if laid is None:
        found.append(message("readings of odometer and pump"))
    elif laid.gaps:
        found.append(message("readings of some lengths: {n}", n=len(laid.gaps)))
    found += [
        _EVIDENCE.get(name, message("evidence that this release cannot judge: {name}", name=name))
        for name in (job.acceptance.evidence if job.acceptance is not None else ())
        if not (scan is not None if name == "scan" else _there(name, job, run, records, camera))
    ]
    if job.acceptance is None or not job.acceptance.evidence:
        found.append(message("what evidence the contract asks: [acceptance] is empty"))
    if scan is not None and scan.verdict == "incomplete":
        found.append(message("ring scans of every metre, with the smallest thickness sure enough"))
    if mortar.sets and mortar.verdict == "incomplete":
        found.append(message("strength of the mortar at its age: the specimens on record do not show it"))
    found += [
        message("camera at {place}: {what}", place=Quantity(one.chainage, "m", 1), what=one.because)
        for one in camera.findings
        if one.verdict == "incomplete" and one.because is not None
    ]
    return tuple(found)


def _there(name: str, job: Job, run: Run, records: Records, camera: CameraProof) -> bool:
    gauged = [one for one in records.thickness if one.run == run.id]
    there: dict[str, bool] = {
        "consumption": any(one.run == run.id for one in records.batches)
        or any(one.run == run.id and one.readings for one in records.readings),
        "end_readings": _both_ends(job, run, [one.chainage for one in gauged if one.zone == "end"]),
        "interior_readings": sum(one.zone == "interior" for one in gauged) > 1,
        "camera": all(one.rows for one in camera.passes),
        "camera_dry": all(one.rows and not one.water for one in camera.passes),
        "specimens": any(one.run == run.id and one.kind == "compression" and one.area for one in records.strength),
    }
    return there.get(name, False)


def _both_ends(job: Job, run: Run, ends: Sequence[float]) -> bool:
    wanted = job.acceptance.readings_per_end if job.acceptance is not None else None
    middle = 0.5 * (run.start + run.end)
    low, high = sum(place < middle for place in ends), sum(place >= middle for place in ends)
    return min(low, high) >= (wanted or 1)


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
