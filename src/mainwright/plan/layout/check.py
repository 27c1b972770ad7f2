"""Whether a layout keeps what was asked, found out without anything of what made it: from the job's own rows, one run at a time."""

import math
from collections.abc import Iterator, Sequence

from mainwright.job.job import Job
from mainwright.job.survey import Feature, Ground
from mainwright.plan.host import Host
from mainwright.plan.layout.solution import LayoutRun, LayoutSolution
from mainwright.plan.result import Opening

__all__ = ["check_layout"]

_MUST = {"tee", "cross", "gate_valve", "butterfly_valve", "check_valve", "meter", "reducer", "end"}
_NEAR = 2e-6  # chainages that are one [m]


def check_layout(job: Job, host: Host, solution: LayoutSolution) -> tuple[str, ...]:
    """Return everything in which a layout does not keep the job's limits, its own sums or the rules for openings.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    solution : LayoutSolution
        What was chosen. [-]

    Returns
    -------
    tuple of str
        One line for each fault, empty where there is none. A layout that is none (no cost) has none.
    """
    if solution.total_cost is None:
        return ("openings or runs without a cost",) if solution.openings or solution.runs else ()
    found = [*_chain(host, solution), *_chosen_by_hand(job, solution)]
    for opening in solution.openings:
        found += _opening(job, host, opening)
    for run in solution.runs:
        if not run.done:
            found += [f"run {run.start:g} to {run.end:g}: {fault}" for fault in _run(job, host, run)]
    return (*found, *_cost(job, solution))


def _chain(host: Host, solution: LayoutSolution) -> Iterator[str]:
    places = [one.chainage for one in solution.openings]
    if not places or abs(places[0] - host.start) > _NEAR or abs(places[-1] - host.end) > _NEAR:
        yield "the openings do not begin and end with the main"
    if [one.start for one in solution.runs] != places[:-1] or [one.end for one in solution.runs] != places[1:]:
        yield "the runs do not lie between neighbouring openings"
    pumps = {run.end if run.direction == "increasing" else run.start for run in solution.runs}
    if pumps != {one.chainage for one in solution.openings if one.pump_here}:
        yield "the places of the pump are not where the runs end"


def _chosen_by_hand(job: Job, solution: LayoutSolution) -> Iterator[str]:
    opened = [one.chainage for one in solution.openings]
    must = [one.chainage for one in solution.openings if one.must]
    for one in job.openings:
        if one.choice == "locked" and min(abs(one.chainage - place) for place in opened) > _NEAR:
            yield f"no opening at {one.chainage:g}, which was fixed by hand"
        if one.choice == "forbidden" and any(abs(one.chainage - place) <= _NEAR for place in opened if place not in must):
            yield f"an opening at {one.chainage:g}, which was ruled out by hand"


def _features(job: Job, start: float, end: float) -> list[Feature]:
    return [one for one in job.features if start + _NEAR < one.chainage < end - _NEAR]


def _comes_out(job: Job, feature: Feature) -> bool:
    if feature.kind == "bend" and (feature.angle or 0.0) > job.runs.max_bend + 1e-8:
        return True
    return feature.opening == "must" or (feature.opening is None and feature.kind in _MUST)


def _changes(job: Job, host: Host, start: float, end: float) -> list[float]:
    """Return where size or bore changes by more than a run may hold, strictly between two chainages."""
    found = []
    for before, after in zip(host.stretches, host.stretches[1:], strict=False):
        large = abs(before.bore - after.bore) > job.runs.bore_step_max + 1e-6
        if (before.dn != after.dn or large) and start + _NEAR < after.start < end - _NEAR:
            found.append(after.start)
    return found


def _opening(job: Job, host: Host, opening: Opening) -> Iterator[str]:
    here = opening.chainage
    edges = {host.start, host.end, *(one.chainage for one in job.features), *_changes(job, host, -math.inf, math.inf)}
    edges |= {edge for one in job.ground if one.dig is False for edge in (one.start, one.end)}
    grid = job.runs.opening_spacing_grid
    steps = (here - host.start) / grid
    by_hand = any(reason.text in ("fixed by hand", "end of a run that is done") for reason in opening.reasons)
    if not by_hand and min(abs(here - edge) for edge in edges) > _NEAR and abs(steps - round(steps)) * grid > _NEAR:
        yield f"opening at {here:g}: nothing makes it a candidate"
    covered = [one for one in job.ground if one.dig is False and one.start + _NEAR < here < one.end - _NEAR]
    if covered and not opening.must:
        yield f"opening at {here:g}: nobody may dig there, and nothing has to come out"


def _run(job: Job, host: Host, run: LayoutRun) -> Iterator[str]:
    inside = _features(job, run.start, run.end)
    head, hose, rope = run.equipment.head, run.equipment.hose, run.equipment.rope
    if any(_comes_out(job, one) for one in inside):
        yield "something inside has to come out"
    if _changes(job, host, run.start, run.end):
        yield "size or bore changes inside"
    bends = [one.angle or 0.0 for one in inside if one.kind == "bend"]
    if sum(bends) > job.runs.max_bends_total + 1e-8:
        yield "its bends add up to too much"
    if head is not None and head.bend_max is not None and max(bends, default=0.0) > head.bend_max + 1e-8:
        yield "the head does not pass a bend"
    if head is not None and not head.dn_from <= run.dn <= head.dn_to:
        yield "the head is not made for this size"
    longest = [math.inf if job.runs.max_length is None else job.runs.max_length]
    longest += [] if hose is None else [hose.length - hose.dead_length]
    longest += [] if rope is None else [rope.length]
    if run.end - run.start > min(longest) + _NEAR:
        yield "it is too long"
    yield from _lining(job, host, run)
    yield from _times(job, run)


def _lining(job: Job, host: Host, run: LayoutRun) -> Iterator[str]:
    lining, values = run.lining, job.lining
    settings = lining.settings
    if [one.start for one in settings] != [run.start, *(one.end for one in settings[:-1])] or settings[-1].end != run.end:
        yield "its settings leave a gap"
    deposit = time = 0.0
    for one in settings:
        rows = [row for row in host.stretches if row.start < one.end - _NEAR and row.end > one.start + _NEAR]
        if any(abs(row.bore - one.bore) > 1e-12 for row in rows):
            yield "a setting has another bore than the main"
        if any(one.aim < row.lining.nominal - 1e-12 for row in rows):
            yield "an aim lies under the nominal"
        area = math.pi * one.aim * (one.bore - one.aim)
        length = one.end - one.start
        deposit += length * (area + math.pi * one.bore * values.pit_allowance)
        time += length / one.speed
        if not one.speed_low <= one.speed <= one.speed_high:
            yield "a speed lies outside its band"
    if abs(time - lining.lining_time) > 1e-9 * time or abs(deposit / values.deposit_efficiency / lining.flow - time) > 1e-9 * time:
        yield "flow, speeds and time do not belong together"
    yield from _plant(job, run, deposit)


def _plant(job: Job, run: LayoutRun, deposit: float) -> Iterator[str]:
    lining = run.lining
    head, pump, hose = run.equipment.head, run.equipment.pump, run.equipment.hose
    fastest = max(one.speed for coat in lining.coat_settings for one in coat)
    if head is not None and head.speed_max is not None and fastest > head.speed_max * (1.0 + 1e-9):
        yield "the head is too fast"
    if pump is not None and lining.flow > pump.flow * (1.0 + 1e-12):
        yield "the pump gives more than its output"
    filling = 0.0 if hose is None else 0.25 * math.pi * hose.bore**2 * hose.length
    mixed = deposit / job.lining.deposit_efficiency * (1.0 + job.mortar.waste) + lining.coats * filling
    if abs(mixed - lining.mortar) > 1e-9 * mixed:
        yield "the mortar is not what its parts make"
    if filling / lining.flow > lining.usable * (1.0 + 1e-8):
        yield "the mortar is too old when it leaves the hose"
    for most in (None if hose is None else hose.pressure_max, None if pump is None else pump.pressure_max):
        if most is not None and (lining.hose_pressure or 0.0) > most * (1.0 + 1e-8):
            yield "the pressure at the pump is too high"
    if lining.rope_pull is not None and lining.working_load is not None and lining.rope_pull > lining.working_load * (1.0 + 1e-8):
        yield "the rope pulls over its working load"


def _times(job: Job, run: LayoutRun) -> Iterator[str]:
    """Follow the crew from connection to connection, as a clock would."""
    lining = run.lining
    rate = job.plant.clearing_rate
    live = [one for one in job.services if one.live is not False]
    mine = [one for one in live if run.start <= one.chainage < run.end or (one.chainage == run.end == job.main[-1].end)]
    if sorted(one.service.chainage for one in lining.passes) != sorted(one.chainage for one in mine):
        yield "its connections are not those of the main"
    now = 0.0
    for one in sorted(lining.passes, key=lambda each: each.pass_at):
        if rate is not None:
            now = max(now, one.earliest) + 1.0 / rate
            if now > one.latest * (1.0 + 1e-8):
                yield f"the connection at {one.service.chainage:g} is cleared too late"
    occupied = job.runs.set_up + max(lining.lining_time / lining.coats, now) + job.runs.close
    if occupied > job.shift.length * (1.0 + 1e-8):
        yield "it does not fit into one shift"


def _rate(job: Job, item: str) -> float:
    return next((one.rate for one in job.prices if one.item == item and one.rate is not None), 0.0)


def _price(job: Job, ground: Ground) -> float:
    base = 0.0 if ground.surface is None else _rate(job, f"opening_{ground.surface}")
    return base + _rate(job, "opening_extra_depth") * max((ground.cover or 0.0) - 1.5, 0.0)


def _ground_price(job: Job, here: float, ends: Sequence[float]) -> float:
    rows = [one for one in job.ground if one.start - _NEAR <= here <= one.end + _NEAR]
    free = [one for one in rows if one.dig is not False]
    if free:
        return min(_price(job, one) for one in free)
    before = any(one.start < here - _NEAR for one in rows) or here <= ends[0] + _NEAR
    after = any(one.end > here + _NEAR for one in rows) or here >= ends[1] - _NEAR
    return min(_price(job, one) for one in rows) if before and after and rows else 0.0


def _cost(job: Job, solution: LayoutSolution) -> Iterator[str]:
    ends = (job.main[0].start, job.main[-1].end)
    total = sum(_ground_price(job, one.chainage, ends) for one in solution.openings)
    pumps = {run.end if run.direction == "increasing" else run.start for run in solution.runs}
    total += len(pumps) * _rate(job, "set_up_pump")
    for run in solution.runs:
        total += _rate(job, "set_up_run") + _rate(job, "traffic_day")
        # What was lined past in a run that is done was treated then.
        total += (
            0.0 if run.done else _rate(job, "branch_treatment") * sum(one.kind == "branch" for one in _features(job, run.start, run.end))
        )
        total += _mortar_price(job, run)
    if abs(total - (solution.total_cost or 0.0)) > 1e-6 * max(total, 1.0):
        yield f"the cost is {total:.10g}, not {solution.total_cost:.10g}"


def _mortar_price(job: Job, run: LayoutRun) -> float:
    """Return cement and sand of what a run mixes over the nominal ring of its length, by absolute volumes from the proportions."""
    mortar = job.mortar
    volume = 1.0 / mortar.cement_density + mortar.sand_per_cement / mortar.sand_density + mortar.water_per_cement / 1000.0
    cement = (1.0 - mortar.air) / volume
    sand = cement * mortar.sand_per_cement * (1.0 + mortar.sand_moisture)
    nominal = 0.0
    for one in run.lining.settings:
        thickness = _nominal(job, run.dn, one.start, one.end)
        nominal += (one.end - one.start) * math.pi * thickness * (one.bore - thickness)
    over = run.lining.mortar - (nominal / job.lining.deposit_efficiency + run.lining.pits) * (1.0 + mortar.waste)
    return over * (cement * _rate(job, "cement") + sand * _rate(job, "sand")) / 1000.0


def _nominal(job: Job, dn: int, start: float, end: float) -> float:
    material = next(row.material for row in job.main if row.start < end - _NEAR and row.end > start + _NEAR)
    own = next((v for v in job.lining.by_dn if v.dn_from <= dn <= v.dn_to and v.material in (None, material)), None)
    return job.lining.nominal if own is None or own.nominal is None else own.nominal
