"""How much and how long for one block: curing, filling, pressure test, flush, chlorine, and what takes it away again."""

import math
from collections.abc import Sequence
from typing import Final

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.plan.host import Host, HostStretch
from mainwright.plan.result import LinedStretch
from mainwright.plan.result_giving_back import Block, Chlorination, CureTime, Flush, Neutralising, TrialPressure
from mainwright.plan.water_forecast import forecast_ph
from mainwright.science.chemistry.disinfection import AGENTS, active_share, agent_mass, dosing_flow, slug, strength_after
from mainwright.science.hydraulics.flushing import bore_volume, flush_flow, flush_time
from mainwright.science.hydraulics.pressure_test import leakage_allowance_c600, volume_loss_en805
from mainwright.science.mortar.maturity import REFERENCE, time_to_age
from mainwright.standards.published import table, value
from mainwright.units import to_si

__all__ = ["Parts", "block_parts", "chlorination", "cure_time", "fill_flow", "flush", "neutralising", "trial_pressure"]

Parts = Sequence[tuple[float, float]]
"""Length and lined bore of the pieces of a block. [m]."""

_ACTIVATIONS: Final = (4000.0, 5000.0)
"""[K] The two published laws, see `mainwright.science.mortar.maturity`; the slower one counts."""
_COLDEST: Final = to_si(-20.0, "c")
_WARMEST: Final = to_si(60.0, "c")
_PH: Final = (0.0, 14.0)
_DN: Final = 1000.0
_HOUR: Final = 3600.0


def block_parts(block: Block, stretches: Sequence[LinedStretch]) -> list[tuple[float, float]]:
    """Return length and bore of each piece of a block, lined where it is lined. [m].

    Parameters
    ----------
    block : Block
        The block. [-]
    stretches : sequence of LinedStretch
        The main. [-]

    Returns
    -------
    list of tuple
        Length and bore. [m]
    """
    found = []
    for one in stretches:
        length = min(block.end, one.end) - max(block.start, one.start)
        if length > 0.0:
            found.append((length, one.bore_clean if one.bore_lined is None else one.bore_lined))
    return found


def cure_time(job: Job) -> CureTime:
    """Return when a lining may be filled, from the closing of its ends.

    Parameters
    ----------
    job : Job
        The job: the document's floor, the wall on the day. [-]

    Returns
    -------
    CureTime
        The later of the document's floor by the clock and the time until the mortar is as old as that floor at 20 degC, by the slower
        of two laws of maturity; a signed quick return sets that aside, an unsigned one nothing. No floor, no time.
    """
    floor = None if job.curing is None else job.curing.fill
    wall = job.mortar.wall_temperature
    if floor is None:
        return CureTime(None, None, None, wall)
    # Frost never ends and heat beyond the law never shortens the floor: outside its range it is not asked.
    meant = min(max(wall, _COLDEST), _WARMEST)
    times = [time_to_age(floor, [_HOUR], [meant], activation=one, reference=REFERENCE) for one in _ACTIVATIONS]
    slowest = None if any(one is None for one in times) else max(one for one in times if one is not None)
    asked = job.giving_back or GivingBack()
    if asked.quick_return is not None and asked.quick_return_signed:
        return CureTime(floor, asked.quick_return, slowest, wall, quick=asked.quick_return_signed)
    return CureTime(floor, None if slowest is None else max(floor, slowest), slowest, wall)


def fill_flow(asked: GivingBack, *, bore: float) -> tuple[float, bool]:
    """Return the flow while filling, and whether nobody gave it.

    Parameters
    ----------
    asked : GivingBack
        What the job asks. [-]
    bore : float
        Greatest bore of the block. [m]

    Returns
    -------
    tuple
        Flow [m3/s]; True where it is the published rate for this size.
    """
    if asked.fill_flow is not None:
        return asked.fill_flow, False
    (low_dn, low), (high_dn, high) = ((float(row.text("dn")), row.published.value) for row in table("disinfection").all(key="fill_flow"))
    # Straight in the logarithms between the two sizes that are told, which is a nearly constant velocity, and on beyond them.
    power = math.log(high / low) / math.log(high_dn / low_dn)
    return low * math.pow(_DN * bore / low_dn, power), True


def _host_at(host: Host, chainage: float) -> HostStretch | None:
    return next((one for one in host.stretches if one.start <= chainage <= one.end), None)


def _thrust(host: Host, chainage: float, pressure: float | None) -> float | None:
    stretch = _host_at(host, chainage)
    if stretch is None or pressure is None:
        return None
    outside = stretch.bore + 2.0 * (stretch.row.wall or 0.0)
    return pressure * math.pi / 4.0 * outside**2


def _kind(rule: str | None) -> str | None:
    name = (rule or "").casefold().replace(" ", "").replace("_", "").replace("-", "")
    if name == "own":
        return "own"
    if "en805" in name:
        return "en805"
    return "c600" if "c600" in name or "c602" in name else None


def trial_pressure(job: Job, host: Host, block: Block) -> TrialPressure:
    """Return the pressure test of a block, by the rule that the job names and no other.

    Parameters
    ----------
    job : Job
        The job: rule, the client's written limit of pressure, the loss of its own rule. [-]
    host : Host
        The main. [-]
    block : Block
        The block. [-]

    Returns
    -------
    TrialPressure
        Nothing is allowed where the rule is not known: no rule is taken for another.
    """
    asked = job.giving_back or GivingBack()
    rule, pressure = (None, None) if job.test is None else (job.test.rule, job.test.pressure)
    kind = _kind(rule)
    volume = flow = drop = None
    source = None
    inside = [(min(block.end, one.end) - max(block.start, one.start), one) for one in host.stretches]
    inside = [(length, one) for length, one in inside if length > 0.0]
    if kind == "own":
        volume = asked.test_loss
    elif kind == "en805":
        source, drop, total = value("pressure_test", "en805_drop").source, value("pressure_test", "en805_drop").value, 0.0
        for length, one in inside:
            row = table("pressure_test").find(key="wall_modulus", material=one.material)
            if row is None or not one.row.wall:
                total = math.nan
                break
            total += volume_loss_en805(
                volume=bore_volume(bore=one.bore, length=length),
                drop=drop,
                bore=one.bore,
                wall=one.row.wall,
                wall_modulus=row.published.value,
                water_modulus=value("pressure_test", "water_modulus").value,
                factor=value("pressure_test", "en805_factor").value,
            )
        volume = None if math.isnan(total) else total
    elif kind == "c600" and pressure is not None:
        source = value("pressure_test", "c600_divisor").source
        flow = math.fsum(
            leakage_allowance_c600(length=length, bore=to_si(one.dn, "mm"), pressure=pressure, divisor=148000) for length, one in inside
        )
    return TrialPressure(
        rule=rule,
        kind=kind,
        pressure=pressure,
        allowed_volume=volume,
        allowed_flow=flow,
        drop=drop,
        thrust_start=_thrust(host, block.start, pressure),
        thrust_end=_thrust(host, block.end, pressure),
        time=asked.test_time,
        source=source,
    )


def flush(asked: GivingBack, *, bore: float, volume: float) -> Flush | None:
    """Return the flush of a block, None where the job names no velocity.

    Parameters
    ----------
    asked : GivingBack
        What the job asks. [-]
    bore : float
        Greatest bore of the block: the velocity counts there. [m]
    volume : float
        Water in the block. [m3]

    Returns
    -------
    Flush or None
        With the flow that source and drain bear, where they bear less.
    """
    if asked.flush_velocity is None:
        return None
    wanted = flush_flow(bore=bore, velocity=asked.flush_velocity)
    flow = wanted if asked.flush_flow_max is None else min(wanted, asked.flush_flow_max)
    changes = asked.flush_changes
    return Flush(
        flow=flow,
        wanted_velocity=asked.flush_velocity,
        velocity=asked.flush_velocity * flow / wanted,
        volume=None if changes is None else changes * volume,
        time=None if changes is None else flush_time(volume=volume, flow=flow, changes=changes),
    )


def chlorination(job: Job, *, parts: Parts, volume: float, filling: float, age: float) -> Chlorination | None:
    """Return the chlorine of a block, None where the job names no method or dose.

    Parameters
    ----------
    job : Job
        The job. [-]
    parts : sequence
        Length and bore of its pieces. [m]
    volume : float
        Water in the block. [m3]
    filling : float
        Flow while filling. [m3/s]
    age : float
        Least age of the lining at the end of the contact. [s]

    Returns
    -------
    Chlorination or None
        Quantities without what decay takes; the residual is measured.
    """
    asked = job.giving_back or GivingBack()
    if asked.chlorine is None or asked.chlorine_method is None:
        return None
    strength = asked.product_strength
    if strength is not None and asked.product_age is not None and asked.product_halving is not None:
        strength = strength_after(strength, age=asked.product_age, halving=asked.product_halving)
    held = None if strength is None else 1000.0 * strength
    dosed, flow, time = volume, filling, volume / filling
    length = velocity = None
    if asked.chlorine_method == "slug":
        if asked.slug_share is None or asked.chlorine_time is None:
            flow_or_none = time_or_none = None
            dosed = volume * (asked.slug_share or 1.0)
        else:
            # The narrowest piece is passed fastest: the contact counts there.
            narrow = min(bore for _, bore in parts)
            whole = volume / (math.pi / 4.0 * narrow**2)
            moved = slug(bore=narrow, length=whole, share=asked.slug_share, contact=asked.chlorine_time)
            dosed, length, velocity = moved.volume, moved.length, moved.velocity
            flow_or_none, time_or_none = moved.flow, moved.time
    else:
        flow_or_none, time_or_none = flow, time
    mass = asked.chlorine * dosed
    ph, active = _in_the_main(job, parts, contact=asked.chlorine_time, age=age)
    return Chlorination(
        method=asked.chlorine_method,
        dose=asked.chlorine,
        contact=asked.chlorine_time,
        residual=asked.residual,
        mass=mass,
        strength=strength,
        product=None if held is None else mass / held,
        water_flow=flow_or_none,
        dosing_flow=None
        if held is None or flow_or_none is None
        else dosing_flow(water_flow=flow_or_none, dose=asked.chlorine, chlorine=held),
        time=time_or_none,
        slug_length=length,
        slug_velocity=velocity,
        ph=ph,
        active=active,
    )


def _in_the_main(job: Job, parts: Parts, *, contact: float | None, age: float) -> tuple[float | None, float | None]:
    """Return the pH at the end of the contact in the narrowest bore, and the active share of the chlorine there."""
    water = job.water
    if water is None or contact is None or not contact > 0.0 or not age > 0.0 or not parts:
        return None, None
    cement = (job.giving_back or GivingBack()).cement or "portland"
    found = forecast_ph(water, ages=[age], stay=contact, bore=min(bore for _, bore in parts), cement=cement)
    if not found:
        return None, None
    ph = found[0].ph
    warm = job.hydraulics.temperature if water.temperature is None else water.temperature
    if not to_si(0.0, "c") <= warm <= to_si(35.0, "c") or not _PH[0] < ph < _PH[1]:
        return ph, None
    return ph, active_share(ph=ph, temperature=warm)


def neutralising(asked: GivingBack, chlorine: Chlorination | None) -> Neutralising | None:
    """Return what takes away all the chlorine that was dosed, None where nothing is named.

    Parameters
    ----------
    asked : GivingBack
        What the job asks. [-]
    chlorine : Chlorination or None
        The chlorine. [-]

    Returns
    -------
    Neutralising or None
        For the whole dose: what decays meanwhile is kept in hand.
    """
    row = None if asked.neutraliser is None else table("disinfection").find(key="agent", agent=asked.neutraliser)
    if chlorine is None or asked.neutraliser is None or row is None:
        return None
    known = next((name for name in AGENTS if name == asked.neutraliser), None)
    return Neutralising(
        agent=asked.neutraliser,
        least=None if known is None else agent_mass(known, chlorine=chlorine.mass),
        practice=row.published.value * chlorine.mass,
        source=row.published.source,
    )
