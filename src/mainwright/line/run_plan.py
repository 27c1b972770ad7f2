"""What the followed run needs of its plan."""

from bisect import bisect_right
from dataclasses import dataclass

from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.plan.result import Direction, Run

__all__ = ["PlannedLength", "RunPlan", "run_plan"]


@dataclass(frozen=True, slots=True)
class PlannedLength:
    """One length of one bore on the way of the head: way, bore, thicknesses [m], speed and its band [m/s]."""

    start: float
    end: float
    bore: float
    aim: float
    minimum: float
    maximum: float | None
    speed: float
    speed_low: float
    speed_high: float


@dataclass(frozen=True, slots=True)
class RunPlan:
    """One run as it is to be followed: its way counts from where the head starts, whatever the chainage does.

    Attributes
    ----------
    length
        Of the way. [m]
    lengths
        In the order of the way.
    deposit_efficiency
        Share of the pumped mortar that stays on the wall. [-]
    pit_allowance
        Volume that pits and roughness take, by area of wall. [m]
    flow
        Output of the pump that the plan reckons with. [m3/s]
    bias, scatter, bore_deviation
        Deviation of the flow that the whole run shares, of its scatter, relative [-], and of the bore [m].
    correlation
        Length over which thickness is one independent stretch. [m]
    trowel
        How far behind the spray plane it smooths. [m]
    hose_volume
        What the hose holds. [m3]
    usable
        Life of the mortar from mixing to placing on this day; None without the job's own tested minutes. [s]
    speed_max, pressure_max
        Of the head [m/s], and of hose and pump, gauge [Pa]; None where not known.
    """

    id: str
    start: float
    end: float
    direction: Direction
    length: float
    lengths: tuple[PlannedLength, ...]
    deposit_efficiency: float
    pit_allowance: float
    flow: float
    bias: float
    scatter: float
    bore_deviation: float
    correlation: float
    trowel: float
    hose_volume: float
    usable: float | None = None
    speed_max: float | None = None
    pressure_max: float | None = None

    def chainage(self, way: float) -> float:
        """Return the chainage of a place on the way. [m]."""
        return self.start + way if self.direction == "increasing" else self.end - way

    def at(self, way: float) -> PlannedLength:
        """Return the length of one bore at a place; beyond the ends the nearest."""
        place = bisect_right(self.lengths, way, key=lambda one: one.start) - 1
        return self.lengths[max(place, 0)]


def run_plan(
    job: Job, run: Run, *, minimum: float, maximum: float | None, usable: float | None = None, speed_max: float | None = None
) -> RunPlan:
    """Return what following a run needs of its plan.

    Parameters
    ----------
    job : Job
        The job that was planned. [-]
    run : Run
        The run. [-]
    minimum : float
        Smallest single thickness that the contract asks. [m]
    maximum : float or None
        Greatest, None for no limit. [m]
    usable : float or None
        Life of the mortar on this day, None where it was not tested. [s]
    speed_max : float or None
        Of the head. [m/s]

    Returns
    -------
    RunPlan
        In the order of the way.

    Raises
    ------
    InputError
        If the run has several coats, which are followed one by one, or no settings.
    """
    if run.coats != 1:
        raise InputError(f"coats of run {run.id}", run.coats, "", "1: each coat is followed as a run of its own")
    if not run.settings:
        raise InputError(f"settings of run {run.id}", 0, "", "at least one")
    forward = run.direction == "increasing"
    lengths = []
    for one in run.settings if forward else reversed(run.settings):
        begin, stop = (one.start - run.start, one.end - run.start) if forward else (run.end - one.end, run.end - one.start)
        lengths.append(PlannedLength(begin, stop, one.bore, one.aim, minimum, maximum, one.speed, one.speed_low, one.speed_high))
    head = next((head for head in job.plant.heads if head.name == run.lining_head), None)
    hose = next((hose for hose in job.plant.hoses if hose.name == run.hose), None)
    pump = next((pump for pump in job.plant.pumps if pump.name == run.pump), None)
    limits = [one.pressure_max for one in (hose, pump) if one is not None and one.pressure_max is not None]
    return RunPlan(
        id=run.id,
        start=run.start,
        end=run.end,
        direction=run.direction,
        length=run.length,
        lengths=tuple(lengths),
        deposit_efficiency=job.lining.deposit_efficiency,
        pit_allowance=job.lining.pit_allowance,
        flow=run.flow,
        bias=job.lining.flow_bias,
        scatter=job.lining.flow_deviation,
        bore_deviation=job.lining.bore_deviation,
        correlation=job.lining.correlation,
        trowel=0.0 if head is None else head.trowel,
        hose_volume=run.hose_filling,
        usable=usable,
        speed_max=speed_max if speed_max is not None else (None if head is None else head.speed_max),
        pressure_max=min(limits, default=None),
    )
