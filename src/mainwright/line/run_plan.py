"""What the followed run needs of its plan."""

from bisect import bisect_right
from dataclasses import dataclass, replace
from typing import Final

from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.plan.result import ConnectionWindow, Direction, Run, RunSetting

__all__ = ["UNTESTED", "PlannedBatch", "PlannedLength", "RunPlan", "fallback_deviation", "next_part", "run_plan"]

UNTESTED: Final = 0.10
"""Deviation of a flow that was not measured where the pump has no test, relative; an assumption. [-]"""

_SCORE_95: Final = 1.959963985
"""The 95 % interval of a setting is so many deviations to each side."""


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
class PlannedBatch:
    """A batch that is to be mixed: its volume [m3], and when mixing begins, from the start of the head [s]."""

    number: int
    volume: float
    mixing: float


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
    fallback
        Deviation of the pump's output by its setting and its own test, relative: what a flow that is not measured is sure of. [-]
    stroke
        What a stroke of the pump gives; None where not known. [m3]
    cycle
        Of the mixer, from batch to batch; None where not known. [s]
    windows
        When connections must be clear, from the start of the head; in order of chainage.
    batches
        To be mixed, in their order.
    coat
        Number of the coat. [-]
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
    fallback: float = UNTESTED
    stroke: float | None = None
    cycle: float | None = None
    windows: tuple[ConnectionWindow, ...] = ()
    batches: tuple[PlannedBatch, ...] = ()
    coat: int = 1

    def chainage(self, way: float) -> float:
        """Return the chainage of a place on the way. [m]."""
        return self.start + way if self.direction == "increasing" else self.end - way

    def at(self, way: float) -> PlannedLength:
        """Return the length of one bore at a place; beyond the ends the nearest."""
        place = bisect_right(self.lengths, way, key=lambda one: one.start) - 1
        return self.lengths[max(place, 0)]


def fallback_deviation(run: Run) -> float:
    """Return what the pump's own test says of its output at the setting of a run, one standard deviation, relative. [-]."""
    if run.pump_setting is None or run.setting_low is None or run.setting_high is None or run.pump_setting <= 0.0:
        return UNTESTED
    return (run.setting_high - run.setting_low) / (2.0 * _SCORE_95 * run.pump_setting)


def run_plan(
    job: Job,
    run: Run,
    *,
    minimum: float,
    maximum: float | None,
    usable: float | None = None,
    speed_max: float | None = None,
    coat: int | None = None,
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
    coat : int or None
        Which of several coats; each is followed as a run of its own, with its share of minimum and maximum by its share of the aim. [-]

    Returns
    -------
    RunPlan
        In the order of the way.

    Raises
    ------
    InputError
        If the run has several coats and none is named, or has no settings.
    """
    settings = _settings(run, coat)
    if not settings:
        raise InputError(f"settings of run {run.id}", 0, "", "at least one")
    forward = run.direction == "increasing"
    share = 1.0 if run.coats == 1 else max(one.aim for one in settings) / run.aim
    lengths = []
    for one in settings if forward else reversed(settings):
        begin, stop = (one.start - run.start, one.end - run.start) if forward else (run.end - one.end, run.end - one.start)
        most = None if maximum is None else maximum * share
        lengths.append(PlannedLength(begin, stop, one.bore, one.aim, minimum * share, most, one.speed, one.speed_low, one.speed_high))
    head = next((head for head in job.plant.heads if head.name == run.lining_head), None)
    hose = next((hose for hose in job.plant.hoses if hose.name == run.hose), None)
    pump = next((pump for pump in job.plant.pumps if pump.name == run.pump), None)
    mixer = next((mixer for mixer in job.plant.mixers if mixer.name == run.mixer), None)
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
        usable=usable if usable is not None else _tested_life(run),
        speed_max=speed_max if speed_max is not None else (None if head is None else head.speed_max),
        pressure_max=min(limits, default=None),
        fallback=fallback_deviation(run),
        stroke=None if pump is None else pump.volume_per_stroke,
        cycle=None if mixer is None else mixer.cycle,
        windows=run.windows,
        batches=tuple(PlannedBatch(batch.number, batch.volume, batch.mixing) for batch in run.batch_clock),
        coat=coat or 1,
    )


def _settings(run: Run, coat: int | None) -> tuple[RunSetting, ...]:
    if run.coats == 1 and coat in (None, 1):
        return run.settings
    if coat is None or not 1 <= coat <= len(run.coat_settings):
        raise InputError(f"coat of run {run.id}", coat, "", f"1 to {run.coats}: each coat is followed as a run of its own")
    return run.coat_settings[coat - 1]


def _tested_life(run: Run) -> float | None:
    """Return how long the mortar is usable by the clock of the run's batches, which have an end only where the job's own minutes were tested."""
    return next((batch.latest - batch.mixing for batch in run.batch_clock if batch.latest is not None), None)


def next_part(plan: RunPlan, *, way: float, turned: bool) -> RunPlan:
    """Return the plan of what is left of a run that was broken off.

    Parameters
    ----------
    plan : RunPlan
        Of the part that was broken off. [-]
    way : float
        How far the head had come. [m]
    turned : bool
        Whether the rest is lined from the other end, the other way round. [-]

    Returns
    -------
    RunPlan
        From where the head stopped to the end, or from the end back to there. No connections' minutes and no batches: they are of the
        first part's clock.

    Raises
    ------
    InputError
        If nothing is left.
    """
    left = plan.length - way
    if not 0.0 < left <= plan.length:
        raise InputError("way of the head", way, "m", f"0 to less than {plan.length:g} m")
    rest = [replace(one, start=max(one.start, way), end=one.end) for one in plan.lengths if one.end > way]
    if turned:
        lengths = tuple(replace(one, start=plan.length - one.end, end=plan.length - one.start) for one in reversed(rest))
    else:
        lengths = tuple(replace(one, start=one.start - way, end=one.end - way) for one in rest)
    forward = plan.direction == "increasing"
    here = plan.chainage(way)
    start, end = (here, plan.end) if forward else (plan.start, here)
    direction: Direction = ("decreasing" if forward else "increasing") if turned else plan.direction
    return replace(plan, start=start, end=end, direction=direction, length=left, lengths=lengths, windows=(), batches=())
