"""Dangers by place of work: at an opening, along a run, of the whole job. Short, and shown where the work is done.

A caution replaces no rule: local codes and licensed practice come first.
"""

from collections.abc import Sequence
from typing import Final

from mainwright.job.job import Job
from mainwright.job.plant import Rope
from mainwright.job.survey import Service, Surface
from mainwright.plan.host import Host, HostStretch
from mainwright.plan.result import Caution
from mainwright.plan.wall_state import lining_kind
from mainwright.standards.published import value
from mainwright.standards.water import alkalinity_class
from mainwright.words.message import Message, Quantity, message

__all__ = ["for_opening", "for_plan", "for_run"]

_ROAD: Final[tuple[Surface, ...]] = ("carriageway", "main_road", "paved_square")
_BY_LEAVE: Final[tuple[Surface, ...]] = ("railway", "watercourse", "private")
_CARE: Final = ("hospital", "dialysis")


def for_opening(
    job: Job, host: Host, *, chainage: float, surface: Surface | None = None, cover: float | None = None
) -> tuple[Caution, ...]:
    """Return the cautions of one opening.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    chainage : float
        Where the road is opened. [m]
    surface : Surface or None
        What lies over the main there. [-]
    cover : float or None
        Cover of the main there. [m]

    Returns
    -------
    tuple of Caution
        In the order in which they matter.
    """
    near = _touching(host, chainage, chainage)
    found = [*_asbestos(near), _trench(near, cover)]
    if surface in _ROAD:
        text = message("Traffic: signs and barriers up before the first cut, plated or fenced at the end of the day, as the permit says.")
        found.append(Caution("traffic", text))
    if surface in _BY_LEAVE:
        text = message("Railway, water or private ground: no step on it without the owner's leave and their own safety rules.")
        found.append(Caution("by_leave", text))
    found += [
        Caution("other_lines", message("Find gas, power and other lines before digging, dig by hand near them, and know whom to call.")),
        Caution("cut_ends", _cut_ends(job, chainage)),
        Caution(
            "fumes", message("Engines stand downwind and away from the pit: exhaust sinks into it and kills. Test the air before going in.")
        ),
    ]
    if any(lining_kind(stretch.row.existing_lining) == "coal_tar" for stretch in near):
        text = message(
            "Coal tar in the pipe: no torch and no dry grinding at the cut; gloves and mask; keep the waste apart until it is tested."
        )
        found.append(Caution("coal_tar", text))
    return tuple(found)


def for_run(job: Job, host: Host, *, start: float, end: float, rope: Rope | None = None) -> tuple[Caution, ...]:
    """Return the cautions of one run.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    start, end : float
        Chainage of the two openings, start < end. [m]
    rope : Rope or None
        The rope that draws the head, where one is named. [-]

    Returns
    -------
    tuple of Caution
        In the order of the work.
    """
    inside = _touching(host, start, end)
    services = [service for service in job.services if start <= service.chainage <= end]
    found = [*_asbestos(inside)]
    if max((stretch.dn for stretch in inside), default=0) >= value("trade", "person_entry_dn").value:
        text = message(
            "People inside: permit, gas test before and during, air blown in, valves locked, a rope-borne way out and a rescue team that "
            "stands by. Nobody goes in after somebody who fell."
        )
        found.append(Caution("person_entry", text))
    if any(lining_kind(stretch.row.existing_lining) == "coal_tar" for stretch in inside):
        text = message(
            "Coal tar in the pipe: dust and sludge are poison to skin and lung. Mask, gloves, no discharge; waste apart until tested."
        )
        found.append(Caution("coal_tar", text))
    jet = message(
        "Jetting cuts flesh to the bone: the lance is inside the pipe before pressure comes on, a foot valve, nobody at the far end."
    )
    found += [Caution("jetting", jet), _rope(rope), _hose(job)]
    air = message("Compressed air: whip checks on every coupling, pressure off before a hose is parted, eyes protected, never on skin.")
    found.append(Caution("compressed_air", air))
    found += _blow_back(services)
    found += [
        Caution("wet_cement", _wet_cement()),
        Caution("silica", _silica()),
        Caution("isolation", _isolation(job, start, end)),
    ]
    return tuple(found)


def for_plan(job: Job, host: Host) -> tuple[Caution, ...]:
    """Return the cautions of the whole job: what hurts people who never see the works.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]

    Returns
    -------
    tuple of Caution
        The standing of the plan first, then by what can hurt most.
    """
    standing = message(
        "This plan replaces no engineer, permit or law: local codes and licensed practice come first. Whoever sees a danger stops the work."
    )
    found = [Caution("local_codes", standing), *_asbestos(host.stretches), _hygiene(), _dialysis(job.services)]
    if any(service.material in ("lead", None) for service in job.services):
        text = message(
            "Lead pipes: fresh mortar lifts pH, and above {ph} lead dissolves. Change them first, or hold pH down and sample the taps.",
            ph=Quantity(value("water", "lead_ph").value, "-", 1),
        )
        found.append(Caution("lead", text))
    alkalinity = None if job.water is None else job.water.alkalinity
    if alkalinity is None:
        text = message("Softness of the water is not known: do not offer before it is. Soft water stays caustic for weeks to years.")
        found.append(Caution("soft_water", text))
    elif alkalinity_class(alkalinity) != "over_55":
        text = message(
            "Soft water: pH and aluminium stay up long after the works. Watch them until they are down; the watch outlives the hand-over."
        )
        found.append(Caution("soft_water", text))
    if any(feature.kind == "end" for feature in job.features):
        text = message(
            "Dead ends are worse than any table: water that stands in a fresh lining is not for drinking. Bleed, link or flush them."
        )
        found.append(Caution("dead_ends", text))
    found += [
        Caution("pressure_test", _pressure_test(job)),
        Caution("chlorine", _chlorine()),
        Caution("quick_return", _quick_return(job)),
        Caution(
            "temporary_supply",
            message(
                "Pipes on the ground: frost bursts them and sun heats them past what may be drunk; guard against backflow, tripping and wheels; "
                "fire cover agreed before hydrants go off."
            ),
        ),
    ]
    return tuple(found)


def _touching(host: Host, start: float, end: float) -> list[HostStretch]:
    if start == end:
        return [stretch for stretch in host.stretches if stretch.start <= start <= stretch.end]
    return [stretch for stretch in host.stretches if stretch.start < end and stretch.end > start]


def _asbestos(stretches: Sequence[HostStretch]) -> list[Caution]:
    if not any(stretch.material == "asbestos_cement" for stretch in stretches):
        return []
    text = message(
        "STOP. Asbestos cement: no cutting, scraping or jetting until a licensed firm and the authority have said in writing how. Law before method."
    )
    return [Caution("asbestos_cement", text)]


def _trench(near: Sequence[HostStretch], cover: float | None) -> Caution:
    if cover is None:
        text = message(
            "Trench: shored or sloped before anyone goes in, ladder in reach, spoil and plant off the edge. Depth is not on record."
        )
        return Caution("trench", text)
    depth = cover + max((stretch.dn for stretch in near), default=0) / 1000.0
    text = message(
        "Trench about {depth} deep: shored or sloped before anyone goes in, ladder in reach, spoil and plant off the edge.",
        depth=Quantity(depth, "m", 1),
    )
    return Caution("trench", text)


def _cut_ends(job: Job, chainage: float) -> Message:
    doubtful = [
        feature
        for feature in job.features
        if feature.kind in ("gate_valve", "butterfly_valve") and feature.state != "holds" and feature.chainage != chainage
    ]
    if doubtful:
        nearest = min(doubtful, key=lambda one: (abs(one.chainage - chainage), one.chainage))
        return message(
            "Cut ends: a live end moves under pressure and a valve that lets by floods the pit. Drained and proved dead before the cut, ends "
            "blocked against thrust, pump at hand, a way out kept free. The valve at {valve} is not known to hold.",
            valve=Quantity(nearest.chainage, "m", 1),
        )
    return message(
        "Cut ends: a live end moves under pressure and a valve that lets by floods the pit. Drained and proved dead before the cut, ends "
        "blocked against thrust, pump at hand, a way out kept free."
    )


def _rope(rope: Rope | None) -> Caution:
    if rope is None:
        text = message(
            "Rope under load: winch limit set to the rope's working load and tried; nobody in line with it, nobody astride it. A snag stalls the "
            "winch in seconds: stop on one word from either end."
        )
    else:
        text = message(
            "Rope under load: winch limit at {load}, the working load of {rope}, and tried; nobody in line with it, nobody astride it. A snag "
            "stalls the winch in seconds: stop on one word from either end.",
            load=Quantity(rope.breaking / rope.safety, "kn", 1),
            rope=rope.name,
        )
    return Caution("rope", text)


def _hose(job: Job) -> Caution:
    hoses, pumps = job.plant.hoses, job.plant.pumps
    limits = [limit for limit in (*(hose.pressure_max for hose in hoses), *(pump.pressure_max for pump in pumps)) if limit is not None]
    if not limits:
        text = message(
            "Blocked hose: never open a coupling under pressure. Pump off, relieve, gauge at nought, face away. Restarting takes more pressure "
            "than running. The hose's limit is not on record: read it off the hose before the pump starts."
        )
    else:
        text = message(
            "Blocked hose: never open a coupling under pressure. Pump off, relieve, gauge at nought, face away. Restarting takes more pressure "
            "than running; relief at {limit} at most.",
            limit=Quantity(min(limits), "bar", 0),
        )
    return Caution("hose", text)


def _blow_back(services: Sequence[Service]) -> list[Caution]:
    if not services:
        return []
    cap = value("return_to_use", "blow_back")
    text = message(
        "Blowing connections clear: {n} of them, at the contract's pressure and never over {cap}, gauge in sight all the time, regulator locked. "
        "House plumbing disconnected and vented outside first: air at main pressure bursts heaters and hurts people at taps.",
        n=len(services),
        cap=Quantity(cap.value, "bar", 2),
    )
    found = [Caution("blow_back", text)]
    if any(service.use in _CARE for service in services):
        care = message(
            "A hospital or dialysis patient hangs on this run: nothing is shut, blown or given back without their own word for it."
        )
        found.append(Caution("care", care))
    return found


def _wet_cement() -> Message:
    return message(
        "Wet mortar burns, at about pH {ph}, and does not hurt until it has: gloves, boots, eyes covered, no kneeling in it. Rinse at once with "
        "much clean water; eye wash at both ends.",
        ph=Quantity(value("safety", "wet_cement_ph").value, "-", 0),
    )


def _silica() -> Message:
    return message(
        "Sand and cement dust scars the lung: load bags low and out of the wind, suck it off or damp it down, mask at the mixer."
    )


def _isolation(job: Job, start: float, end: float) -> Message:
    valves = [feature for feature in job.features if feature.kind in ("gate_valve", "butterfly_valve") and start <= feature.chainage <= end]
    if any(feature.state != "holds" for feature in valves):
        return message(
            "Water coming in washes mortar away and drowns pits: a valve of this run is not known to hold. Second barrier before anybody is in "
            "the pit, only the client works valves, locked and tagged."
        )
    return message(
        "Water coming in washes mortar away and drowns pits: valves shut by the client only, locked and tagged, proved at a tap."
    )


def _hygiene() -> Caution:
    text = message(
        "No temporary or relined main is drunk from before its samples have passed. No exception by phone: a name, a time, a reason."
    )
    return Caution("hygiene", text)


def _dialysis(services: Sequence[Service]) -> Caution:
    known = sum(service.use == "dialysis" for service in services)
    if known:
        text = message(
            "Dialysis: {n} on record here. Aluminium from fresh mortar has killed patients. Told before every change, home patients too, and no "
            "return to them without their clinic's word.",
            n=known,
        )
    else:
        text = message(
            "Dialysis: aluminium from fresh mortar has killed patients. Ask clinics and the health authority for home patients before every change "
            "of supply, however hard the water."
        )
    return Caution("dialysis", text)


def _pressure_test(job: Job) -> Message:
    pressure = None if job.test is None else job.test.pressure
    if pressure is None:
        return message(
            "Pressure test: test pressures for new pipe burst old mains. No test until the client has written the limit for this pipe; ends anchored, "
            "nobody in the pit."
        )
    return message(
        "Pressure test: test pressures for new pipe burst old mains. Only the client's written limit for this pipe, {pressure}; ends anchored, air "
        "out, nobody in the pit.",
        pressure=Quantity(pressure, "bar", 1),
    )


def _chlorine() -> Message:
    return message(
        "Chlorine: never mixed with acid, stored cool and apart, eyes and hands covered. Chlorinated or caustic water kills fish at a trace: "
        "neutralise, measure, and discharge only where the consent says."
    )


def _quick_return(job: Job) -> Message:
    quick = value("return_to_use", "quick_return")
    fill = None if job.curing is None else job.curing.fill
    if fill is not None and fill <= quick.value:
        return message(
            "Quick return after {fill}: mortar this young washes out and lifts pH most. Only where the document and the client say so in writing, "
            "with pH, aluminium and turbidity watched from the first hour.",
            fill=Quantity(fill, "hours", 0),
        )
    return message(
        "No quick return: filling before the document's hours washes mortar out and lifts pH most. A customer without water is no reason."
    )
