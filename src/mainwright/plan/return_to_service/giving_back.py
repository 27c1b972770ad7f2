"""The whole of giving a main back, as one function of the job and its runs."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.plan.closed_blocks import closed_blocks
from mainwright.plan.host import Host
from mainwright.plan.result import LinedStretch, Run
from mainwright.plan.result_giving_back import Block, BlockReturn, CureTime, ReturnToService, RunReturn
from mainwright.plan.return_to_service.amounts import block_parts, chlorination, cure_time, fill_flow, flush, neutralising, trial_pressure
from mainwright.plan.return_to_service.notices import closing_days, days_back, return_days, run_days, street_notices
from mainwright.plan.return_to_service.tap_water import tap_water
from mainwright.plan.return_to_service.telling import told_of
from mainwright.plan.return_to_service.timeline import Durations, steps_of_block
from mainwright.plan.timetable import Programme
from mainwright.science.hydraulics.flushing import bore_volume
from mainwright.standards.published import value
from mainwright.standards.source import Assumed, Source
from mainwright.units import from_si
from mainwright.words.message import message

if TYPE_CHECKING:
    from datetime import date

__all__ = ["giving_back", "giving_back_assumed"]


def _block(job: Job, host: Host, block: Block, stretches: Sequence[LinedStretch], cure: CureTime) -> BlockReturn:
    asked = job.giving_back or GivingBack()
    parts = block_parts(block, stretches)
    volume = sum(bore_volume(bore=bore, length=length) for length, bore in parts)
    bore = max(bore for _, bore in parts)
    filling, _ = fill_flow(asked, bore=bore)
    fill_time = volume / filling
    test = trial_pressure(job, host, block)
    flushing = flush(asked, bore=bore, volume=volume)
    before = sum(one or 0.0 for one in (cure.time, fill_time, asked.soak, test.time, None if flushing is None else flushing.time))
    chlorine = chlorination(job, parts=parts, volume=volume, filling=filling, age=before + (asked.chlorine_time or 0.0))
    steps = steps_of_block(job, Durations(cure, fill_time, test, flushing, chlorine))
    return BlockReturn(
        block=block,
        length=sum(length for length, _ in parts),
        volume=volume,
        bore=bore,
        cure=cure,
        fill_flow=filling,
        fill_time=fill_time,
        test=test,
        flush=flushing,
        chlorine=chlorine,
        neutralising=neutralising(asked, chlorine),
        steps=steps,
        give_back=steps[-1].finish,
        at_least=steps[-1].at_least,
    )


def giving_back(
    job: Job, host: Host, *, runs: Sequence[Run], stretches: Sequence[LinedStretch], programme: Programme | None
) -> ReturnToService | None:
    """Return how and when the main is given back, None where nothing is lined.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    runs : sequence of Run
        Its runs. [-]
    stretches : sequence of LinedStretch
        The main as it is lined. [-]
    programme : Programme or None
        When the work is done; without it the notices count from one run a working day. [-]

    Returns
    -------
    ReturnToService or None
        What the job does not give is None, with a warning among ``told``; nothing is made up.
    """
    if not runs:
        return None
    cure = cure_time(job)
    blocks = closed_blocks(job, runs)
    done = tuple(_block(job, host, block, stretches, cure) for block in blocks)
    water = tap_water(job, stretches)
    days: dict[str, date] | None = None
    if programme is not None:
        days = closing_days(programme)
    elif (dates := run_days(job, len(runs))) is not None:
        days = {run.id: day for run, day in zip(runs, dates, strict=True)}
    times = {one.block.id: one.give_back for one in done}
    back = days_back(blocks, days=days, back=times) if programme is None else return_days(programme, blocks, back=times)
    notices = street_notices(job, blocks, days=days, back=back)
    homes = {run: block.id for block in blocks for run in block.runs}
    sources: list[Source] = [] if water is None else list(water.sources)
    for one in done:
        sources += [
            source for source in (one.test.source, None if one.neutralising is None else one.neutralising.source) if source is not None
        ]
    return ReturnToService(
        blocks=done,
        runs=tuple(RunReturn(run.id, homes[run.id], cure.time) for run in runs),
        water=water,
        notices=notices,
        told=told_of(job, host, cure=cure, blocks=done, water=water, notices=notices),
        sources=tuple(dict.fromkeys(sources)),
        programmed=programme is not None,
    )


def giving_back_assumed(job: Job, found: ReturnToService | None) -> tuple[Assumed, ...]:
    """Return what giving back takes that nobody gave.

    Parameters
    ----------
    job : Job
        The job. [-]
    found : ReturnToService or None
        What was worked out. [-]

    Returns
    -------
    tuple of Assumed
        In the units of the files.
    """
    if found is None:
        return ()
    asked = job.giving_back or GivingBack()
    told: list[Assumed] = []
    if found.blocks and asked.fill_flow is None:
        flows = [from_si(one.fill_flow or 0.0, "l_s") for one in found.blocks]
        source = value("disinfection", "fill_flow").source
        because = message("No flow for filling was given: the published rate for the size was taken ({source}).", source=source.title)
        told.append(Assumed("giving_back.fill_flow_l_s", max(flows), "l_s", because))
    if any(one.cure.by_maturity is not None for one in found.blocks):
        because = message("The document's hours are taken as meant at this temperature: in a colder wall they count for less.")
        told.append(Assumed("curing.fill_hours at", 20.0, "c", because))
    if found.water is not None and asked.cement is None:
        told.append(
            Assumed(
                "giving_back.cement", "portland", "", message("No cement was named for the forecast of the pH: plain Portland was taken.")
            )
        )
    if found.notices and job.info.first_day is not None and not found.programmed:
        because = message(
            "No programme was worked out: one run a working day in order of chainage, which nobody can beat, so that no notice is late."
        )
        told.append(Assumed("notices.runs_per_day", 1.0, "", because))
    water = job.water
    if found.water is not None and water is not None:
        warm, ph = value("leaching", "assumed_temperature").value, value("leaching", "assumed_ph").value
        because = message("Not in the analysis of the water: taken for the forecast of the pH.")
        if water.temperature is None:
            told.append(Assumed("water.temperature_c", from_si(warm, "c"), "c", because))
        if water.ph is None:
            told.append(Assumed("water.ph", ph, "", because))
    return tuple(told)
