"""Everything about lining one chosen run: its settings, mortar, connections and what the plant is asked for."""

import math
from collections.abc import Sequence
from dataclasses import replace

from mainwright.plan.lining import Equipment, Pass, RunLining
from mainwright.plan.placing import Linings, aim_length
from mainwright.plan.result import Direction, RunSetting
from mainwright.science.bore.ring import deposit_area, ring_area
from mainwright.science.placement.band import speed_band

__all__ = ["line_run"]


def line_run(linings: Linings, start: float, end: float, *, equipment: Equipment, direction: Direction) -> RunLining:
    """Return everything about lining one run with this equipment.

    Parameters
    ----------
    linings : Linings
        How runs of the job are placed. [-]
    start, end : float
        Chainage. [m]
    equipment : Equipment
        What does it. [-]
    direction : str
        Way of the head. [-]

    Returns
    -------
    RunLining
        Settings in order of chainage, times from the start of the head.

    Notes
    -----
    Mixed is: ring and pits over the deposit efficiency, the share of waste on top of them, and the content of the whole hose, once for
    each coat. No file gives the gaps of joints, so they take nothing and are listed as assumed.
    """
    outline = linings.outline(start, end, equipment)
    pieces = linings.pieces(start, end)
    coat_settings = tuple(
        tuple(
            _setting(linings, piece, thickness, coat=coat, coats=outline.coats, flow=outline.flow, equipment=equipment)
            for piece, thickness in zip(pieces, outline.aim.thicknesses, strict=True)
        )
        for coat in range(outline.coats)
    )
    settings = coat_settings[0]
    if outline.coats > 1:
        settings = tuple(map(_together, zip(*coat_settings, strict=True), outline.aim.thicknesses))
    passes = _passes(linings, start, end, equipment, direction)
    lining_time = math.fsum(outline.times)
    efficiency = linings.job.lining.deposit_efficiency
    ring, pits, joints = outline.ring / efficiency, outline.pits / efficiency, 0.0
    filling = linings.filling(equipment.hose)
    waste = linings.job.mortar.waste * (ring + pits + joints)
    rope, rate = equipment.rope, linings.job.plant.clearing_rate
    return RunLining(
        settings=settings,
        aim=outline.aim.thickness,
        aim_met=not set(outline.aim.exceeded) & {"maximum", "bore"},
        mortar_per_length=outline.ring / (end - start),
        flow=outline.flow,
        speed=(end - start) / lining_time,
        speed_low=(end - start) / math.fsum((one.end - one.start) / one.speed_low for one in settings),
        speed_high=(end - start) / math.fsum((one.end - one.start) / one.speed_high for one in settings),
        lining_time=lining_time,
        coats=outline.coats,
        ring=ring,
        joints=joints,
        pits=pits,
        hose_filling=filling * outline.coats,
        waste=waste,
        mortar=ring + pits + joints + waste + filling * outline.coats,
        hose_pressure=linings.hose_pressure(start, end, equipment, direction),
        pressure_limit=linings.pressure_limit(equipment),
        residence=filling / outline.flow,
        usable=linings.day.usable,
        rope_pull=linings.pull(start, end, equipment, direction),
        working_load=None if rope is None else rope.breaking / rope.safety,
        passes=passes,
        clearing_end=linings.clearing_end(start, end, equipment, direction, rate),
        occupied=linings.occupied(start, end, equipment, direction, rate),
        supply_length=_supply_length(linings, start, end, equipment, direction),
        coat_settings=coat_settings,
    )


def _setting(
    linings: Linings,
    piece: tuple[int, float, float],
    thickness: float,
    *,
    coat: int,
    coats: int,
    flow: float,
    equipment: Equipment,
) -> RunSetting:
    index, low, high = piece
    one, lining = linings.host.lengths[index], linings.job.lining
    speed_max = None if equipment.head is None else equipment.head.speed_max
    share = thickness / coats
    bore = one.bore - 2.0 * coat * share
    pits = lining.pit_allowance if coat == 0 else 0.0
    speed = lining.deposit_efficiency * flow / deposit_area(thickness=share, bore=bore, pit_allowance=pits)
    if coats == 1:
        part = aim_length(one, high - low)
        if part.maximum is None:
            # Where nobody forbids it, as far over the aim as the minimum lies under it.
            part = replace(part, maximum=thickness + max(thickness - part.minimum, 0.0))
        band = speed_band(
            part=part,
            aim=thickness,
            scatter=linings.scatter,
            confidence=lining.confidence,
            flow=flow,
            deposit_efficiency=lining.deposit_efficiency,
            speed_max=speed_max,
        )
        slow, fast = min(band.low or speed, speed), max(band.high, speed)
    else:
        # One of several coats has no minimum of its own: it is kept to the deviation that the aim allows for.
        slow, fast = speed * (1.0 - lining.speed_deviation), speed * (1.0 + lining.speed_deviation)
        fast = fast if speed_max is None else max(min(fast, speed_max), speed)
    return RunSetting(low, high, bore, share, ring_area(thickness=share, bore=bore), speed, slow, fast)


def _together(coats: Sequence[RunSetting], thickness: float) -> RunSetting:
    """Return one setting that stands for all coats: the sum of what they lay, and the speed that takes their time."""
    first = coats[0]
    return RunSetting(
        start=first.start,
        end=first.end,
        bore=first.bore,
        aim=thickness,
        mortar_per_length=math.fsum(one.mortar_per_length for one in coats),
        speed=1.0 / math.fsum(1.0 / one.speed for one in coats),
        speed_low=1.0 / math.fsum(1.0 / one.speed_low for one in coats),
        speed_high=1.0 / math.fsum(1.0 / one.speed_high for one in coats),
    )


def _passes(linings: Linings, start: float, end: float, equipment: Equipment, direction: Direction) -> tuple[Pass, ...]:
    """Return the connections in the order in which they are passed, each with its window and when the crew is done with it."""
    services = linings.services(start, end)
    if direction == "decreasing":
        services = services[::-1]
    rate, day = linings.job.plant.clearing_rate, linings.day
    found = []
    free = 0.0
    for service, at in zip(services, linings.pass_times(start, end, equipment, direction), strict=True):
        earliest, latest = at + day.clearing_from, at + day.set_time
        if rate is not None:
            free = max(free, earliest) + 1.0 / rate
        found.append(Pass(service, at, earliest, latest, None if rate is None else free))
    return tuple(found)


def _supply_length(linings: Linings, start: float, end: float, equipment: Equipment, direction: Direction) -> float | None:
    """Return after what length mixer and a full hopper no longer keep up with the pump, None where they do."""
    mixer = equipment.mixer
    flow = linings.outline(start, end, equipment).flow
    if mixer is None or flow <= mixer.batch / mixer.cycle * (1.0 + 1e-9):
        return None
    clock = linings.clock(start, end, equipment, direction)
    length = clock.way(mixer.hopper / (flow - mixer.batch / mixer.cycle))
    return length if length < end - start - 1e-9 else None
