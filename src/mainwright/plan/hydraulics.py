"""What the client gains: flow, head loss and capacity of each stretch before and after."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.errors import SolveError
from mainwright.job.job import Job
from mainwright.job.survey import Feature
from mainwright.plan.host import Host, HostStretch
from mainwright.plan.result import HydraulicResult, LinedStretch, PlanWarning
from mainwright.science.hydraulics.capacity import Bore, capacity_gain
from mainwright.science.hydraulics.friction import friction_factor, reynolds_number
from mainwright.science.hydraulics.hazen_williams import equivalent_coefficient
from mainwright.science.hydraulics.head_loss import head_loss, velocity
from mainwright.science.hydraulics.local import local_loss
from mainwright.science.hydraulics.water import kinematic_viscosity
from mainwright.standards.published import table
from mainwright.standards.roughness import Condition, roughness
from mainwright.standards.source import Assumed, Source
from mainwright.units import from_si, significant
from mainwright.words.message import message

__all__ = ["Gains", "gain_of_main", "hydraulics"]

_POOR_SHARE: Final = 0.05
"""Deposits thicker than this share of the bore make the condition poor, for want of a measured roughness."""

_MOST_STEPS: Final = 200
_CLOSE: Final = 1e-12

_UNLINED: Final = ("", "none", "no")


@dataclass(frozen=True, slots=True)
class Gains:
    """Results stretch by stretch, and what was assumed or is in doubt."""

    results: tuple[HydraulicResult, ...]
    assumed: tuple[Assumed, ...]
    warnings: tuple[PlanWarning, ...]
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class _Today:
    """Bore and roughness before the work, None where not known [m]."""

    bore: float | None
    roughness: float | None


@dataclass(frozen=True, slots=True)
class _Flowing:
    """One pipe at one flow: velocity [m/s], Reynolds number and friction factor [-], head loss [m]."""

    velocity: float
    reynolds: float
    friction: float | None
    head_loss: float


def _condition(row: HostStretch) -> Condition:
    if (row.row.existing_lining or "").strip().lower() not in _UNLINED:
        return "lined"
    deposit = row.row.deposit
    return "poor" if deposit is not None and deposit > _POOR_SHARE * row.bore else "normal"


def _place(row: HostStretch) -> str:
    return f"[{significant(row.start):g}-{significant(row.end):g}]"


def _today(row: HostStretch, assumed: list[Assumed], sources: list[Source], warnings: list[PlanWarning]) -> _Today:
    """Return bore and roughness before the work; what nobody gave is assumed and listed."""
    bore = row.bore_today
    if bore is None:
        bore = row.bore
        because = message("The thickness of the deposits is not known; none was reckoned, so the gain is understated.")
        assumed.append(Assumed("main.deposit_mm" + _place(row), 0.0, "mm", because))
    if bore <= 0.0:
        text = message("The deposits fill the bore: today's flow and head loss cannot both be true. Check deposit and bore.")
        warnings.append(PlanWarning("bore_full", row.start, row.end, text, "act"))
        return _Today(None, row.row.roughness)
    if row.row.roughness is not None:
        return _Today(bore, row.row.roughness)
    condition = _condition(row)
    found = roughness(material=row.material, condition=condition)
    if found is None:
        text = message("Today's roughness is not known, and no table has this material: what the client gains is not reckoned.")
        warnings.append(PlanWarning("roughness_unknown", row.start, row.end, text, "act"))
        return _Today(bore, None)
    sources.append(found.source)
    because = message(
        "Today's roughness is not known; the table gives this one for {material}, condition {condition} ({source}). A flow test is worth more.",
        material=row.material,
        condition=condition,
        source=found.source.title,
    )
    assumed.append(Assumed("main.roughness_mm" + _place(row), significant(from_si(found.value, "mm")), "mm", because))
    return _Today(bore, found.value)


def _flowing(*, flow: float, bore: float, wall: float, length: float, viscosity: float) -> _Flowing:
    if flow == 0.0:
        return _Flowing(0.0, 0.0, None, 0.0)
    reynolds = reynolds_number(flow=flow, bore=bore, viscosity=viscosity)
    return _Flowing(
        velocity=velocity(flow=flow, bore=bore),
        reynolds=reynolds,
        friction=friction_factor(reynolds=reynolds, relative_roughness=wall / bore),
        head_loss=head_loss(flow=flow, bore=bore, length=length, roughness=wall, viscosity=viscosity),
    )


def _loss_coefficient(features: Sequence[Feature], sources: list[Source]) -> float:
    """Return the sum of the loss coefficients of the fittings that stay in a stretch."""
    total = 0.0
    for feature in features:
        row = table("local_losses").find(kind=feature.kind)
        if row is None or feature.after == "remove":
            continue
        share = 1.0
        if feature.kind == "bend":
            if feature.angle is None:
                continue
            share = math.sqrt(feature.angle / (0.5 * math.pi))
        sources.append(row.published.source)
        total += row.published.value * share
    return total


def hydraulics(job: Job, *, host: Host, stretches: Sequence[LinedStretch]) -> Gains:
    """Return flow, head loss and capacity of each stretch, before and after.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    stretches : sequence of LinedStretch
        The same rows with their lining. [-]

    Returns
    -------
    Gains
        None where an input is not known; head losses are friction along the stretch alone, local losses stand apart.

    Notes
    -----
    Before: the clean bore less twice the deposits, and today's roughness. After: the bore less twice the aim, and the roughness of
    the lined wall. The gain is the flow that the lined stretch carries at today's head loss over today's flow.
    """
    assumed: list[Assumed] = []
    warnings: list[PlanWarning] = []
    sources: list[Source] = []
    results = []
    last = len(host.stretches) - 1
    for number, (row, lined) in enumerate(zip(host.stretches, stretches, strict=True)):
        today = _today(row, assumed, sources, warnings)
        inside = [one for one in job.features if row.start <= one.chainage < row.end or (number == last and one.chainage == row.end)]
        flow = row.row.flow
        if flow is None:
            text = message("The flow is not known: velocities, head losses and the gain of capacity are not reckoned.")
            warnings.append(PlanWarning("flow_unknown", row.start, row.end, text, "act"))
        results.append(_result(job, row=row, lined=lined, today=today, coefficient=_loss_coefficient(inside, sources)))
    return Gains(tuple(results), tuple(assumed), tuple(warnings), tuple(sources))


def _result(job: Job, *, row: HostStretch, lined: LinedStretch, today: _Today, coefficient: float) -> HydraulicResult:
    flow, length, wall = row.row.flow, row.end - row.start, job.hydraulics.lined_roughness
    viscosity = kinematic_viscosity(job.hydraulics.temperature)
    before = after = None
    gain = local = williams = None
    if flow is not None and today.bore is not None and today.roughness is not None:
        before = _flowing(flow=flow, bore=today.bore, wall=today.roughness, length=length, viscosity=viscosity)
    if flow is not None and lined.bore_lined is not None:
        after = _flowing(flow=flow, bore=lined.bore_lined, wall=wall, length=length, viscosity=viscosity)
        local = local_loss(flow=flow, bore=lined.bore_lined, coefficient=coefficient)
        if flow > 0.0:
            williams = equivalent_coefficient(flow=flow, bore=lined.bore_lined, roughness=wall, viscosity=viscosity)
    if flow and today.bore is not None and today.roughness is not None and lined.bore_lined is not None:
        gain = capacity_gain(flow=flow, before=Bore(today.bore, today.roughness), after=Bore(lined.bore_lined, wall), viscosity=viscosity)
    return HydraulicResult(
        start=row.start,
        end=row.end,
        flow=flow,
        velocity_before=None if before is None else before.velocity,
        velocity_after=None if after is None else after.velocity,
        reynolds_after=None if after is None else after.reynolds,
        friction_before=None if before is None else before.friction,
        friction_after=None if after is None else after.friction,
        head_loss_before=None if before is None else before.head_loss,
        head_loss_after=None if after is None else after.head_loss,
        local_loss_after=local,
        hazen_williams_after=williams,
        capacity_gain=gain,
        roughness_before=today.roughness,
        roughness_after=wall,
    )


def gain_of_main(job: Job, *, results: Sequence[HydraulicResult], bores: Sequence[float | None]) -> float | None:
    """Return by how much more water the whole main would carry at today's head loss from end to end.

    Parameters
    ----------
    job : Job
        The job; every wall afterwards is as smooth as its lined one. [-]
    results : sequence of HydraulicResult
        Each stretch today. [-]
    bores : sequence of float or None
        Bore of each stretch afterwards. [m]

    Returns
    -------
    float or None
        The factor by which all flows may grow; None where a bore, a flow or today's head loss is not known, or no water flows.

    Notes
    -----
    Head losses of the stretches add up, so a narrow piece counts by what it takes, not by being the narrowest.
    """
    pipes = []
    today = 0.0
    for result, bore in zip(results, bores, strict=True):
        if bore is None or result.flow is None or result.head_loss_before is None:
            return None
        pipes.append((result.flow, bore, result.end - result.start))
        today += result.head_loss_before
    if today <= 0.0:
        return None
    viscosity = kinematic_viscosity(job.hydraulics.temperature)
    factor = 1.0
    for _ in range(_MOST_STEPS):
        lost = sum(
            head_loss(flow=factor * flow, bore=bore, length=length, roughness=job.hydraulics.lined_roughness, viscosity=viscosity)
            for flow, bore, length in pipes
        )
        # Head loss goes nearly with the square of the flow, so each step takes most of the error away.
        step = math.sqrt(today / lost)
        factor *= step
        if abs(step - 1.0) <= _CLOSE:
            return factor
    raise SolveError("gain of the main", step - 1.0, _MOST_STEPS)
