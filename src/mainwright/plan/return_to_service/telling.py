"""What the reader must be told of giving back: what is missing, what is dangerous, and how mortar, pH and chlorine act on each other."""

from collections.abc import Sequence
from typing import Final

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.plan.host import Host
from mainwright.plan.result_giving_back import BlockReturn, CureTime, Notice, TapForecast, TapWater, Told
from mainwright.standards.published import value
from mainwright.units import to_si
from mainwright.words.message import Quantity, message

__all__ = ["told_of"]

_SHORTEST: Final = to_si(12.0, "hours")
_WEAK: Final = 0.05
"""Share of active chlorine under which the interplay is told as something to act on: a judgement."""


def told_of(
    job: Job, host: Host, *, cure: CureTime, blocks: Sequence[BlockReturn], water: TapWater | None, notices: Sequence[Notice]
) -> tuple[Told, ...]:
    """Return everything that must be told of giving back.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main. [-]
    cure : CureTime
        When it may be filled. [-]
    blocks : sequence of BlockReturn
        Its blocks. [-]
    water : TapWater or None
        The forecast of the pH. [-]
    notices : sequence of Notice
        Whom to tell. [-]

    Returns
    -------
    tuple of Told
        Made warnings of the plan.
    """
    asked = job.giving_back or GivingBack()
    return (
        *_gaps(blocks, asked),
        *_cure(cure, asked),
        *_pressure(job, host, blocks),
        *_valves(job, blocks),
        *_chlorine(asked, blocks),
        *_water(job, water, since=min((one.at_least for one in blocks), default=0.0)),
        *_notices(job, asked, notices),
    )


def _gaps(blocks: Sequence[BlockReturn], asked: GivingBack) -> list[Told]:
    missing = list(dict.fromkeys(key for one in blocks for step in one.steps for key in step.missing))
    if not missing:
        return []
    least = max(one.at_least for one in blocks)
    text = message(
        "When the main is given back cannot be told; at least {least} after the last ends are closed. Nobody gave: {keys}.",
        least=Quantity(least, "hours", 0),
        keys=", ".join(missing),
    )
    found = [Told("giving_back_open", None, None, text, act=True)]
    if asked.neutraliser is None or asked.discharge_to is None:
        text = message("Say what takes the chlorine away and where the water goes (giving_back.neutraliser, giving_back.discharge_to): chlorine kills fish in traces, and water from fresh mortar is caustic.")  # fmt: skip
        found.append(Told("discharge_open", None, None, text, act=True))
    return found


def _cure(cure: CureTime, asked: GivingBack) -> list[Told]:
    found = []
    if cure.floor is not None and cure.by_maturity is None:
        found.append(
            Told(
                "frost",
                None,
                None,
                message("The forecast of the wall is frost: the lining does not harden and may be ruined. Heat the main or wait."),
                act=True,
            )
        )
    if asked.quick_return is None:
        return found
    quick = Quantity(asked.quick_return, "hours", 0)
    if not asked.quick_return_signed:
        text = message(
            "A quick return after {quick} is asked for and nobody has signed it: it is not used. It is a deviation, never a default.",
            quick=quick,
        )
        found.append(Told("quick_return_unsigned", None, None, text, act=True))
    elif cure.quick is not None:
        text = message(
            "Filled after {quick} by a deviation that {who} signed, against the document's floor of {floor}. Watch what washes out, velocity, pH and colour, and look again by camera.",
            quick=quick,
            who=cure.quick,
            floor=Quantity(cure.floor or 0.0, "hours", 0),
        )
        found.append(Told("quick_return", None, None, text, act=True))
    if asked.quick_return < _SHORTEST:
        text = message(
            "A quick return before {shortest} is not done by anybody that is known of.", shortest=Quantity(_SHORTEST, "hours", 0)
        )
        found.append(Told("quick_return_too_quick", None, None, text, act=True))
    return found


def _pressure(job: Job, host: Host, blocks: Sequence[BlockReturn]) -> list[Told]:
    found = []
    working = max((one.row.pressure for one in host.stretches if one.row.pressure is not None), default=None)
    for one in blocks:
        test = one.test
        if test.pressure is None:
            continue
        ends = [force for force in (test.thrust_start, test.thrust_end) if force is not None]
        if ends:
            text = message(
                "Block {block}: at the test pressure of {pressure} a closed end pushes with up to {thrust}. Ends are anchored before water goes in, and nobody stands before them.",
                block=one.block.id,
                pressure=Quantity(test.pressure, "bar", 1),
                thrust=Quantity(max(ends), "kn", 0),
            )
            found.append(Told("thrust", one.block.start, one.block.end, text, act=True))
        if test.kind is None or (test.allowed_volume is None and test.allowed_flow is None):
            text = message(
                "Block {block}: what the test may lose is not known. The rule {rule} has no number here; no other rule is put in its place.",
                block=one.block.id,
                rule=test.rule or "-",
            )
            found.append(Told("test_loss_unknown", one.block.start, one.block.end, text, act=True))
    pressure = None if job.test is None else job.test.pressure
    if pressure is not None and working is not None and pressure > 1.5 * working:
        text = message(
            "The test pressure of {pressure} is more than one and a half times the working pressure of {working}: ask the client again whether this old pipe bears it.",
            pressure=Quantity(pressure, "bar", 1),
            working=Quantity(working, "bar", 1),
        )
        found.append(Told("test_pressure_high", None, None, text, act=True))
    return found


def _valves(job: Job, blocks: Sequence[BlockReturn]) -> list[Told]:
    found = []
    for one in blocks:
        doubtful = [
            feature.ref or f"{feature.chainage:g}"
            for feature in job.features
            if feature.kind in ("gate_valve", "butterfly_valve")
            and feature.state != "holds"
            and one.block.start < feature.chainage < one.block.end
        ]
        if doubtful:
            text = message(
                "Block {block} reaches over the valves {valves}, which do not hold or were never tried: with one that holds, part of it could come back sooner.",
                block=one.block.id,
                valves=", ".join(doubtful),
            )
            found.append(Told("wide_block", one.block.start, one.block.end, text, act=False))
    return found


def _chlorine(asked: GivingBack, blocks: Sequence[BlockReturn]) -> list[Told]:
    found = []
    for one in blocks:
        chlorine = one.chlorine
        if chlorine is not None and chlorine.ph is not None and chlorine.active is not None:
            text = message(
                "Block {block}: fresh mortar brings the chlorinated water to about pH {ph} by the end of the contact, and then {active} of the chlorine is the acid that "
                "disinfects. Flush first, dose fresh water, hold the whole contact, measure residual and pH at the far end, and let the samples decide.",
                block=one.block.id,
                ph=Quantity(chlorine.ph, "-", 1),
                active=Quantity(chlorine.active, "pct", 1),
            )
            found.append(Told("mortar_and_chlorine", one.block.start, one.block.end, text, act=chlorine.active < _WEAK))
        if one.flush is not None and one.flush.velocity < one.flush.wanted_velocity * (1.0 - 1e-9):
            text = message(
                "Block {block}: source and drain bear {flow}, which moves the water at {velocity} and not at {wanted} in the largest bore: flush in parts, or swab.",
                block=one.block.id,
                flow=Quantity(one.flush.flow, "l_s", 1),
                velocity=Quantity(one.flush.velocity, "m_s", 2),
                wanted=Quantity(one.flush.wanted_velocity, "m_s", 2),
            )
            found.append(Told("flush_slow", one.block.start, one.block.end, text, act=True))
    return found


def _long(time: float) -> Quantity:
    """Return a duration in days up to two weeks, then in weeks."""
    return Quantity(time, "days", 1) if time < to_si(2.0, "weeks") else Quantity(time, "weeks", 0)


def _worst(taps: Sequence[TapForecast], *, standing: bool) -> TapForecast | None:
    found = [tap for tap in taps if (tap.case == "standing") == standing and tap.over_limit is not None]
    return max(found, key=lambda tap: (tap.over_limit or (0.0, 0.0, 0.0))[1], default=None)


def _water(job: Job, water: TapWater | None, *, since: float) -> list[Told]:
    """Return what the water does; what is over before the main can be back is not told."""
    if water is None:
        text = message(
            "No analysis of the water with its alkalinity: what fresh mortar does to it cannot be told. Get one before the offer is made."
        )
        return [Told("water_unknown", None, None, text, act=True)]
    found = []
    upper = Quantity(value("water", "ph_high").value, "-", 1)
    moving, still = _worst(water.taps, standing=False), _worst(water.taps, standing=True)
    for tap, words in (
        (moving, "With its flow the water at {place} is over pH {ph} for about {middle} ({low} to {high}) from placing."),
        (
            still,
            "Standing water at {place} is over pH {ph} for about {middle} ({low} to {high}) from placing: dead ends are worse than any table.",
        ),
    ):
        if tap is not None and tap.over_limit is not None and tap.over_limit[2] > since:
            low, middle, high = (_long(one) for one in tap.over_limit)
            text = message(words, place=Quantity(tap.chainage, "m", 1), ph=upper, low=low, middle=middle, high=high)
            found.append(Told("ph_over_limit", tap.chainage, tap.chainage, text, act=True))
    first = water.keeping[0] if water.keeping else None
    if first is not None and first.bleed is None and water.direction is not None:
        text = message("A week after placing no flow keeps the main under pH {ph}: choose another way before the offer is made.", ph=upper)
        found.append(Told("no_flow_is_enough", None, None, text, act=True))
    elif first is not None and first.bleed:
        text = message(
            "A week after placing a flow of {bleed} at the end ({daily} a day), by bleed or link, keeps the main under pH {ph}; the table gives less for later.",
            bleed=Quantity(first.bleed, "l_s", 2),
            daily=Quantity(first.bleed * to_si(1.0, "days"), "m3", 0),
            ph=upper,
        )
        found.append(Told("bleed", None, None, text, act=True))
    if (job.giving_back or GivingBack()).night_share is None:
        text = message(
            "The flow of the night was not given (giving_back.night_flow_pct): the pH of the night is between that of the day and that of standing water."
        )
        found.append(Told("night_unknown", None, None, text, act=True))
    if water.direction is None:
        text = message("The flow is not known everywhere: the pH is told for standing water alone.")
        found.append(Told("flow_unknown", None, None, text, act=True))
    lead = [service for service in job.services if service.material == "lead"]
    names = {service.ref or f"{service.chainage:g}" for service in lead}
    risky = [tap for tap in water.taps if tap.over_lead is not None and tap.over_lead[2] > since and set(tap.refs) & names]
    if risky:
        longest = max(risky, key=lambda tap: (tap.over_lead or (0.0, 0.0, 0.0))[2])
        over = longest.over_lead or (0.0, 0.0, 0.0)
        text = message(
            "At lead pipes ({refs}) water that stands or moves slowly can be over pH {ph} for up to {weeks}: lead dissolves. Change them first, or flush and sample each.",
            refs=", ".join(sorted({ref for tap in risky for ref in tap.refs} & names)),
            ph=Quantity(value("water", "lead_ph").value, "-", 1),
            weeks=_long(over[2]),
        )
        found.append(Told("ph_at_lead", risky[0].chainage, risky[-1].chainage, text, act=True))
    return found


def _notices(job: Job, asked: GivingBack, notices: Sequence[Notice]) -> list[Told]:
    found = []
    if notices and job.info.first_day is None:
        found.append(Told("notices_undated", None, None, message("No first day is named: the notices have no dates."), act=True))
    if notices and asked.notice is None:
        text = message("How long before customers must be told was not given (giving_back.notice_days): the notices have no last day.")
        found.append(Told("notices_undated", None, None, text, act=True))
    for one in notices:
        if one.latest is not None and job.info.first_day is not None and one.need == "dialysis":
            text = message(
                "Dialysis patients on record at {refs}: told by {day}, and again before the main is given back.",
                refs=", ".join(one.refs),
                day=one.latest,
            )
            found.append(Told("dialysis", one.start, one.end, text, act=True))
    return found
