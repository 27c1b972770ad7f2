"""Whether water and mortar get on: alkalinity, stay in the main, cement, lead pipes, dialysis patients, dead ends."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import pi
from typing import Final, Literal

from mainwright.job.job import Job
from mainwright.job.survey import Feature, Service
from mainwright.job.water import WaterAnalysis
from mainwright.plan.finding import Finding, finding, practice_source
from mainwright.plan.host import Host, HostStretch
from mainwright.plan.water import assess_waters, lime_to_limit, time_over_limit
from mainwright.standards.published import value
from mainwright.standards.source import Source, Verdict
from mainwright.standards.water import AlkalinityClass, alkalinity_class, as_calcite, cement_limits, time_over_ph
from mainwright.units import to_si
from mainwright.words.message import Message, Quantity, message

__all__ = ["Stay", "stay_in_main", "water_findings"]

_MOLAR_MASS_CO2: Final = 0.0440095
"""[kg/mol] Standard atomic weights, IUPAC 2021."""

_COLDEST: Final = to_si(0.0, "c")
_HOTTEST: Final = to_si(90.0, "c")
"""Range of the dissociation constant. [K]"""

_SOFT: Final = ("to_10", "to_25", "to_55")


@dataclass(frozen=True, slots=True)
class Stay:
    """How long water stays in each lined stretch and in the whole main at the flows of the job [s]; None where a flow is missing or nought."""

    stretches: tuple[float | None, ...]
    total: float | None


def stay_in_main(host: Host) -> Stay:
    """Return how long water stays in each lined stretch at the job's flow.

    Parameters
    ----------
    host : Host
        The main. [-]

    Returns
    -------
    Stay
        Volume of the bore less twice the nominal lining, over the flow.
    """
    found: list[float | None] = []
    for stretch in host.stretches:
        flow = stretch.row.flow
        bore = stretch.bore - 2.0 * stretch.lining.nominal
        known = flow is not None and flow > 0.0 and bore > 0.0
        found.append(pi / 4.0 * bore**2 * (stretch.end - stretch.start) / flow if known and flow is not None else None)
    lengths = [one for one in found if one is not None]
    return Stay(tuple(found), sum(lengths) if len(lengths) == len(found) else None)


def water_findings(
    job: Job, *, stretch: HostStretch, stay: Stay, features: Sequence[Feature], services: Sequence[Service]
) -> list[Finding]:
    """Return every rule about water and mortar, applied to one stretch.

    Parameters
    ----------
    job : Job
        The job with its water analysis. [-]
    stretch : HostStretch
        The stretch. [-]
    stay : Stay
        Stay of the water in the main. [-]
    features, services : sequence
        Fittings and connections that stand in the stretch. [-]

    Returns
    -------
    list of Finding
        Softness first.
    """
    alkalinity = None if job.water is None else job.water.alkalinity
    name = None if alkalinity is None else alkalinity_class(alkalinity)
    return [
        _softness(alkalinity, name),
        _stay(stretch, stay, name),
        *_forecast(job, stretch, stay, name),
        _cement(job.water),
        _lead(services, recorded=bool(job.services)),
        _dialysis(services),
        *_dead_ends(features, name),
    ]


@lru_cache(maxsize=16)
def _softness(alkalinity: float | None, name: AlkalinityClass | None) -> Finding:
    rule = message("Alkalinity of the water against fresh mortar")
    upper = value("water", "ph_high")
    if alkalinity is None or name is None:
        return finding(
            rule=rule,
            found=message("Alkalinity not known."),
            limit=message("pH at the tap at most {ph}; soft water stays over it for weeks to years.", ph=Quantity(upper.value, "-", 1)),
            source=upper.source,
            verdict="unknown",
            measures=(
                message("Get a water analysis before the offer is made: alkalinity decides how long fresh mortar shows in the water."),
            ),
        )
    found = message("{alkalinity} as CaCO3.", alkalinity=Quantity(as_calcite(alkalinity), "mg_l", 0))
    spell = time_over_ph(name)
    weeks = {"low": Quantity(spell.low or 0.0, "weeks", 0), "high": Quantity(spell.high or spell.value, "weeks", 0)}
    slag = message("Ask for slag cement: it lowers the pH, though it does not end it in very soft water.")
    flow = message("Keep the water moving: flush, bleed or link dead ends, and watch pH and aluminium until they stay down.")
    if name == "over_55":
        limit = message("Field trials: nothing adverse after the first week.")
        return finding(rule=rule, found=found, limit=limit, source=spell.source, verdict="suitable")
    if name == "to_55":
        limit = message("Field trials: pH over 9.5 for up to {high}.", high=weeks["high"])
        return finding(rule=rule, found=found, limit=limit, source=spell.source, verdict="with_measures", measures=(flow,))
    if name == "to_25":
        limit = message("Field trials: pH over 9.5 for {low} to {high} after a short stay, longer after a long one.", **weeks)
        told = message("Tell the client in the offer for how long pH will be over 9.5, and have the watch agreed in writing.")
        return finding(rule=rule, found=found, limit=limit, source=spell.source, verdict="with_measures", measures=(told, slag, flow))
    limit = message("Field trials: pH over 9.5 for several years in small dead ends, aluminium over 0.2 mg/l for one to two months.")
    other = message(
        "Advise another lining, or have treatment of the water and the remaining risk accepted in writing by the client and the authority."
    )
    return finding(rule=rule, found=found, limit=limit, source=spell.source, verdict="unsuitable", measures=(other, slag, flow))


def _stay(stretch: HostStretch, stay: Stay, name: AlkalinityClass | None) -> Finding:
    rule = message("Stay of the water in the lined main")
    alarm = value("water", "contact_alarm")
    limit = message("In soft water a stay over {alarm} is told: the longer, the higher the pH.", alarm=Quantity(alarm.value, "hours", 0))
    total = stay.total
    if total is None:
        found = message("Flow not known everywhere: the stay is not known.")
        measure = message("Ask for the flow by day and by night, and for what stands still.")
        verdict: Verdict = "suitable" if name == "over_55" else "unknown"
        return finding(rule=rule, found=found, limit=limit, source=alarm.source, verdict=verdict, measures=(measure,))
    flow = stretch.row.flow or 0.0
    bore = stretch.bore - 2.0 * stretch.lining.nominal
    found = message(
        "{total} in the whole main and {velocity} here at the flow given; longer at night.",
        total=Quantity(total, "hours", 2),
        velocity=Quantity(4.0 * flow / (pi * bore**2), "m_s", 2),
    )
    if name is None:
        return finding(rule=rule, found=found, limit=limit, source=alarm.source, verdict="unknown")
    if name in _SOFT and total > alarm.value:
        measure = message("Work out pH along the main at the night flow, and the bleed that keeps it down, before the offer is made.")
        return finding(rule=rule, found=found, limit=limit, source=alarm.source, verdict="with_measures", measures=(measure,))
    return finding(rule=rule, found=found, limit=limit, source=alarm.source, verdict="suitable")


def _aggressive(water: WaterAnalysis) -> float | None:
    """Return the aggressive carbon dioxide of a full analysis, else the most that there can be, None where it cannot be bounded. [kg/m3]."""
    from mainwright.science.chemistry.carbonate import free_carbon_dioxide_bound

    if water.calcium is not None:
        found = assess_waters([water], stay=to_si(1.0, "hours"), bore=0.1)[0].aggressive
        if found is not None:
            return found
    if water.ph is None or water.alkalinity is None or water.temperature is None:
        return None
    # Outside the range of the formulas nothing is bounded: the answer stays open.
    if not 5.0 <= water.ph <= 10.0 or water.alkalinity < 0.0 or not _COLDEST <= water.temperature <= _HOTTEST:
        return None
    return _MOLAR_MASS_CO2 * free_carbon_dioxide_bound(ph=water.ph, alkalinity=water.alkalinity, temperature=water.temperature)


def _readings(water: WaterAnalysis) -> dict[str, float | None]:
    return {
        "ph": water.ph,
        "aggressive_co2": _aggressive(water),
        "sulfate": water.sulfate,
        "magnesium": water.magnesium,
        "ammonium": water.ammonium,
    }


def _breaks(readings: dict[str, float | None], cement: Literal["portland", "slag"]) -> list[str]:
    broken = []
    for limit in cement_limits(cement):
        reading = readings[limit.parameter]
        if reading is None:
            continue
        bad = reading < limit.published.value if limit.kind == "minimum" else reading > limit.published.value
        if bad:
            broken.append(limit.parameter)
    return broken


def _forecast(job: Job, stretch: HostStretch, stay: Stay, name: AlkalinityClass | None) -> list[Finding]:
    """Return how long this water is forecast to be over the limit, after a stay in the whole main in this bore; nothing without an analysis."""
    bore = stretch.bore - 2.0 * stretch.lining.nominal
    if job.water is None or name is None or stay.total is None or not bore > 0.0:
        return []
    asked = None if job.giving_back is None else job.giving_back.cement
    lime = lime_to_limit(job.water)
    over = None if lime is None else time_over_limit(lime, name=name, stay=stay.total, bore=bore, cement=asked or "portland")
    if over is None:
        return []
    low, middle, high = (Quantity(one, "weeks", 1) for one in over)
    published = value("leaching", "rate")
    rule = message("pH at the tap, forecast for this water")
    found = message(
        "Over {ph} for about {middle} ({low} to {high}) from placing, after a stay in the whole main at the flow given.",
        ph=Quantity(value("water", "ph_high").value, "-", 1),
        middle=middle,
        low=low,
        high=high,
    )
    limit = message("Not past the first week; the law is fitted to few field trials, good to a factor of two or three.")
    measure = message(
        "Agree in writing who bears pH over the limit for so long: see the chapter on giving back for flow, bleed and other ways."
    )
    if over[2] <= to_si(1.0, "weeks") * (1.0 + 1e-9):
        return [finding(rule=rule, found=found, limit=limit, source=published.source, verdict="suitable")]
    return [finding(rule=rule, found=found, limit=limit, source=published.source, verdict="with_measures", measures=(measure,))]


_NAMES: Final = {"ph": "pH", "aggressive_co2": "aggressive CO2", "sulfate": "sulfate", "magnesium": "magnesium", "ammonium": "ammonium"}


@lru_cache(maxsize=16)
def _cement(water: WaterAnalysis | None) -> Finding:
    rule = message("Water against the cement of the lining")
    limits = cement_limits("portland")
    source = limits[0].published.source
    limit = message("Limits of a factory standard, from memory; none for work in place could be read.")
    ask = message("Ask for pH, sulfate, magnesium, ammonium, calcium and temperature of the water.")
    if water is None:
        found = message("No water analysis.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="unknown", measures=(ask,))
    readings = _readings(water)
    portland, slag = _breaks(readings, "portland"), _breaks(readings, "slag")
    # Without a full analysis the free carbon dioxide is only a bound: over it nothing is proved, so that alone leaves the answer open.
    exact = water.calcium is not None
    bound_only = portland == ["aggressive_co2"] and not exact
    open_ = "aggressive_co2" in portland and not exact
    missing = [_NAMES[name] for name, reading in readings.items() if reading is None]
    hard_slag = [name for name in slag if name != "aggressive_co2" or exact]
    if hard_slag:
        found = message("Too much even for slag cement: {what}.", what=", ".join(_NAMES[name] for name in hard_slag))
        measure = message("Ask a cement chemist: Portland and slag cement do not last in this water.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="unsuitable", measures=(measure,))
    if missing or open_:
        what = ", ".join([*missing, *([_NAMES["aggressive_co2"]] if open_ else [])])
        measure = message("Have aggressive carbon dioxide worked out from a full analysis.") if bound_only and not missing else ask
        found = message("Not known, or not to be told from what is known: {what}.", what=what)
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="unknown", measures=(measure,))
    if portland:
        found = message("Too much for Portland cement: {what}.", what=", ".join(_NAMES[name] for name in portland))
        measure = message("Take a sulfate-resisting or slag cement, with the client's consent.")
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,))
    found = message("pH, aggressive CO2, sulfate, magnesium and ammonium within the limits of Portland cement.")
    return finding(rule=rule, found=found, limit=limit, source=source, verdict="suitable")


def _lead(services: Sequence[Service], *, recorded: bool) -> Finding:
    rule = message("Lead service pipes")
    ph = value("water", "lead_ph")
    limit = message("pH under {ph} where there are lead pipes: above it lead dissolves.", ph=Quantity(ph.value, "-", 1))
    lead = sum(service.material == "lead" for service in services)
    unsaid = sum(service.material is None for service in services)
    if not recorded:
        found = message("Not one connection on record for the whole main.")
        measure = message("Ask for the list of connections and what they are made of.")
        return finding(rule=rule, found=found, limit=limit, source=ph.source, verdict="with_measures", measures=(measure,))
    found = message(
        "Of {n} {n:connection/connections}: lead {lead}, material not known {unsaid}.", lead=lead, unsaid=unsaid, n=len(services)
    )
    if lead:
        measure = message(
            "Tell the client: change the lead pipes first, or hold pH under {ph} and sample the taps.", ph=Quantity(ph.value, "-", 1)
        )
        return finding(rule=rule, found=found, limit=limit, source=ph.source, verdict="with_measures", measures=(measure,))
    if unsaid:
        measure = message("Find out the material of each service pipe that is not known.")
        return finding(rule=rule, found=found, limit=limit, source=ph.source, verdict="with_measures", measures=(measure,))
    return finding(rule=rule, found=found, limit=limit, source=ph.source, verdict="suitable")


def _dialysis(services: Sequence[Service]) -> Finding:
    rule = message("Dialysis patients")
    source = Source("Cement-mortar pipes as a source of aluminum, Journal AWWA", "July 1999", "abstract", "read")
    limit = message("Told in time whatever the alkalinity: aluminium from fresh mortar has killed patients.")
    tell = message(
        "Ask clinics and the health authority for home patients before every change of supply; a pipe record knows none of them."
    )
    known = sum(service.use == "dialysis" for service in services)
    unsaid = sum(service.use is None for service in services)
    if known or unsaid:
        found = message("On record: {known}; connections of unknown use: {unsaid}.", known=known, unsaid=unsaid)
        return finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(tell,))
    found = message("None on record.")
    return finding(rule=rule, found=found, limit=limit, source=source, verdict="suitable", measures=(tell,))


def _dead_ends(features: Sequence[Feature], name: AlkalinityClass | None) -> list[Finding]:
    ends = [feature for feature in features if feature.kind == "end"]
    if not ends:
        return []
    rule = message("Dead end")
    limit = message("Standing water in a fresh lining is worse than any table.")
    found = message("End of the main at {chainage}.", chainage=Quantity(ends[-1].chainage, "m", 1))
    measure: Message = message(
        "Give the end at {chainage} a bleed or a link, and flush it until pH stays down.", chainage=Quantity(ends[-1].chainage, "m", 1)
    )
    verdict: Verdict = "suitable" if name == "over_55" else "with_measures" if name is not None else "unknown"
    source = practice_source("dead ends after lining")
    return [finding(rule=rule, found=found, limit=limit, source=source, verdict=verdict, measures=(measure,))]
