"""The sheet of one run: what the crew sets, mixes, watches and waits for."""

import math
from collections.abc import Sequence
from typing import Final

from mainwright.constants import WATER_DENSITY_MIXING
from mainwright.job.job import Job
from mainwright.plan.batch_clock import batch_clock, longest_stop
from mainwright.plan.hold_points import hold_points
from mainwright.plan.layout.solution import LayoutRun
from mainwright.plan.lining import RunLining
from mainwright.plan.pump_setting import PumpSetting
from mainwright.plan.result import Batch, Caution, ConnectionWindow, Direction, Mark, Run, RunSetting
from mainwright.science.mortar.mix import Mix, bags, batches, mix

__all__ = ["MARK_SPACING", "job_mix", "make_run", "marks", "windows"]

MARK_SPACING: Final = 10.0
"""Distance between the marks of a speed card, counted from where the head starts. [m]"""

_WINDOW_KEYS: Final = ("mortar.set_minutes", "mortar.clearing_from_minutes")
_USABLE_KEY: Final = "mortar.usable_minutes"


def job_mix(job: Job) -> Mix:
    """Return what a cubic metre of the job's mortar is made of.

    Parameters
    ----------
    job : Job
        The job. [-]

    Returns
    -------
    Mix
        Masses. [kg/m3]
    """
    mortar = job.mortar
    return mix(
        sand_per_cement=mortar.sand_per_cement,
        water_per_cement=mortar.water_per_cement,
        air=mortar.air,
        cement_density=mortar.cement_density,
        sand_density=mortar.sand_density,
        sand_moisture=mortar.sand_moisture,
    )


def marks(settings: Sequence[RunSetting], direction: Direction) -> tuple[Mark, ...]:
    """Return where the head should be when: at its start and end, at each change of bore, and every ten metres of its way.

    Parameters
    ----------
    settings : sequence of RunSetting
        In order of chainage, without a gap. [-]
    direction : Direction
        The way the head travels. [-]

    Returns
    -------
    tuple of Mark
        In order of chainage; the time is 0 where the head starts.
    """
    start, end = settings[0].start, settings[-1].end
    forward = direction == "increasing"
    origin = start if forward else end
    found = [Mark(origin, 0.0)]
    elapsed = 0.0
    for setting in settings if forward else reversed(settings):
        begin, stop = (setting.start, setting.end) if forward else (setting.end, setting.start)
        walked, reach = abs(begin - origin), abs(stop - origin)
        # A mark within a metre of a change of bore says nothing more.
        first, last = math.ceil((walked + 1.0) / MARK_SPACING), math.floor((reach - 1.0) / MARK_SPACING)
        for number in range(first, last + 1):
            way = number * MARK_SPACING
            found.append(Mark(origin + way if forward else origin - way, elapsed + (way - walked) / setting.speed))
        elapsed += (reach - walked) / setting.speed
        found.append(Mark(stop, elapsed))
    return tuple(found if forward else reversed(found))


def windows(job: Job, lining: RunLining) -> tuple[ConnectionWindow, ...]:
    """Return when each connection is passed and may be cleared.

    Parameters
    ----------
    job : Job
        The job, which says whether the minutes are its own. [-]
    lining : RunLining
        The run. [-]

    Returns
    -------
    tuple of ConnectionWindow
        In order of chainage; earliest and latest are None unless the job gave the minutes of its own tested mortar.
    """
    tested = not any(key in job.defaulted for key in _WINDOW_KEYS)
    found = [
        ConnectionWindow(
            chainage=one.service.chainage,
            ref=one.service.ref,
            pass_at=one.pass_at,
            earliest=one.earliest if tested else None,
            latest=one.latest if tested else None,
        )
        for one in lining.passes
    ]
    return tuple(sorted(found, key=lambda window: (window.chainage, window.ref or "")))


def _clock(job: Job, run: LayoutRun, contents: Mix) -> tuple[Batch, ...]:
    mixer, lining = run.equipment.mixer, run.lining
    # Of several coats each has its own stream with days between: the clock of the first says nothing of the others.
    if mixer is None or lining.coats > 1:
        return ()
    return batch_clock(
        mortar=lining.mortar,
        hose_filling=lining.hose_filling,
        extra=lining.joints + lining.waste,
        lining_time=lining.lining_time,
        batch=mixer.batch,
        cycle=mixer.cycle,
        mix=contents,
        usable=None if _USABLE_KEY in job.defaulted else lining.usable,
    )


def make_run(
    job: Job,
    run: LayoutRun,
    *,
    name: str,
    contents: Mix,
    setting: PumpSetting | None,
    cautions: tuple[Caution, ...],
) -> Run:
    """Return the sheet of one run.

    Parameters
    ----------
    job : Job
        The job. [-]
    run : LayoutRun
        The run as the layout chose it. [-]
    name : str
        Its id. [-]
    contents : Mix
        What a cubic metre of mortar is made of. [kg/m3]
    setting : PumpSetting or None
        Setting of its pump for its flow, None without a pump test. [-]
    cautions : tuple of Caution
        Dangers of this run. [-]

    Returns
    -------
    Run
        The whole sheet.
    """
    lining, equipment = run.lining, run.equipment
    clock = _clock(job, run, contents)
    tested = _USABLE_KEY not in job.defaulted
    division = None if equipment.mixer is None else batches(volume=lining.mortar, batch=equipment.mixer.batch)
    cement = lining.mortar * contents.cement
    return Run(
        id=name,
        start=run.start,
        end=run.end,
        direction=run.direction,
        length=run.end - run.start,
        dn=run.dn,
        bends_total=run.bends_total,
        connections=len(lining.passes),
        aim=lining.aim,
        mortar_per_length=lining.mortar_per_length,
        mortar=lining.mortar,
        hose_filling=lining.hose_filling,
        batches=0 if division is None else division.count,
        last_batch=0.0 if division is None else division.last,
        cement=cement,
        sand=lining.mortar * contents.sand_moist,
        water=lining.mortar * contents.water_added / WATER_DENSITY_MIXING,
        pump_setting=None if setting is None else setting.value,
        setting_low=None if setting is None else setting.low,
        setting_high=None if setting is None else setting.high,
        flow=lining.flow,
        speed=lining.speed,
        speed_low=lining.speed_low,
        speed_high=lining.speed_high,
        lining_time=lining.lining_time,
        limit=run.limit,
        limit_text=run.limit_text,
        coats=lining.coats,
        hose_pressure=lining.hose_pressure,
        pump=None if equipment.pump is None else equipment.pump.name,
        hose=None if equipment.hose is None else equipment.hose.name,
        lining_head=None if equipment.head is None else equipment.head.name,
        rope=None if equipment.rope is None else equipment.rope.name,
        mixer=None if equipment.mixer is None else equipment.mixer.name,
        settings=lining.settings,
        marks=marks(lining.settings, run.direction),
        windows=windows(job, lining),
        hold_points=hold_points(job, run),
        cautions=cautions,
        done=run.done,
        batch_clock=clock,
        longest_stop=longest_stop(clock, usable=lining.usable) if clock and tested else None,
        bags=bags(mass=cement, bag=job.mortar.bag),
        coat_settings=lining.coat_settings if lining.coats > 1 else (),
    )
