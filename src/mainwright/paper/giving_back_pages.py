"""Pages on giving the main back: time line with its gates, quantities, what fresh mortar does to the water, whom to tell by when."""

import math
from collections.abc import Sequence

from mainwright.figures.ph_curve import ph_curve
from mainwright.figures.time_line import time_line
from mainwright.paper.blocks import Block, Cell, bold, box, figure, heading, listing, paragraph, strip, table
from mainwright.paper.pen import DASH, Pen
from mainwright.plan.result import Plan
from mainwright.plan.result_giving_back import BlockReturn, ReturnToService, TapForecast, TapWater
from mainwright.standards.published import value
from mainwright.units import to_si
from mainwright.words.message import Quantity, message
from mainwright.words.wording import Wording

__all__ = ["block_name", "giving_back_pages", "notice_rows", "water_pages"]

_MOST_PLACES = 14


def giving_back_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return how and when the main is given back."""
    found, say = plan.return_to_service, pen.say
    if found is None or not found.blocks:
        return []
    caution = box(
        "caution",
        say.text("Before anybody drinks from it"),
        [
            say.text("No relined main and no temporary main is used before its hygiene is proved. A gate is signed or refused with its reason; none is skipped."),
            say.text("The pressure is the client's written limit for this old pipe, never a new pipe's rule. Ends are anchored; nobody stands before them; air is out before pressure is on."),
            say.text("Chlorine: goggles, gloves, air; never near acid. Water with chlorine, and water that has stood in fresh mortar, goes to no stream or drain without treatment and leave."),
            say.text("The local code, the health authority and licensed practice come first; this is a proposal to them."),
        ],
    )  # fmt: skip
    blocks: list[Block] = [heading(say.text("Giving the main back")), caution]
    for one in found.blocks:
        blocks += _block(one, pen, first=found.blocks[0])
    return [*blocks, *water_pages(plan, pen), *_told(found, pen)]


def block_name(one: BlockReturn, say: Wording) -> str:
    """Return what a block is called in the heading of its time line."""
    text = "Block {block}: {start} to {end}"
    return say.word(message(text, block=one.block.id, start=Quantity(one.block.start, "m", 1), end=Quantity(one.block.end, "m", 1)))


def _hours(pen: Pen, time: float | None) -> str:
    return DASH if time is None else pen.say.quantity(time, "hours", 0 if time >= to_si(10.0, "hours") else 1)


def _block(one: BlockReturn, pen: Pen, *, first: BlockReturn) -> list[Block]:
    say = pen.say
    valves = message(
        "From {start} to {end}; runs {runs}. Hours count from the closing of the block's last ends.",
        start=one.block.start_valve or message("the end of the main"),
        end=one.block.end_valve or message("the end of the main"),
        runs=", ".join(one.block.runs),
    )
    back = _hours(pen, one.give_back) if one.give_back is not None else f"≥\u00a0{_hours(pen, one.at_least)}"
    facts = [
        (say.text("Fill not before"), _hours(pen, one.cure.time), say.text("after the last ends are closed")),
        (say.text("Water in the block"), say.quantity(one.volume, "m3", 1), pen.joined((say.quantity(one.length, "m", 1),))),
        (
            say.text("Chlorine"),
            DASH if one.chlorine is None else say.quantity(one.chlorine.mass, "kg", 2),
            "" if one.chlorine is None else say.quantity(one.chlorine.dose, "mg_l", 0),
        ),
        (say.text("Back not before"), back, say.text("working hours not reckoned")),
    ]
    rows: list[list[Cell]] = []
    for number, step in enumerate(one.steps, start=1):
        text = say.word(step.text)
        same = one is not first and any(other.text == step.text and other.gate == step.gate for other in first.steps)
        if same:
            text = say.word(message("As in block {block}.", block=first.block.id))
        elif step.gate is not None:
            text += f" {say.text('Gate')}: {say.word(step.gate)}"
        if step.missing:
            text += f" {say.text('Not given')}: {', '.join(step.missing)}."
        ends = DASH if step.finish is None else say.measure(step.finish, "hours", 1)
        rows.append(
            [
                bold(str(number)),
                bold(say.code(step.code)),
                text,
                pen.optional(step.duration, "hours", 1),
                ends,
                {"text": "", "tick": True} if step.gate else "",
            ]
        )
    heads = [
        say.text("No."),
        say.text("Work step"),
        say.text("What, and what must be signed"),
        pen.head("Takes", "hours"),
        pen.head("Ends at", "hours"),
        say.text("Signed"),
    ]
    language = say.language
    return [
        heading(block_name(one, say), 2),
        paragraph(say.word(valves), leads=True),
        strip(facts),
        figure(time_line(one.steps, width=500.0, language=language), say.text("Steps of giving back: bars are the time they take, diamonds are gates.")),
        table(heads, rows, right=(3, 4), widths=["auto", "auto", "4fr", "auto", "auto", "auto"]),
        *_amounts(one, pen),
    ]  # fmt: skip


def _amounts(one: BlockReturn, pen: Pen) -> list[Block]:
    say = pen.say
    rows: list[list[Cell]] = []

    def row(name: str, amount: float | None, unit: str, digits: int, note: str = "") -> None:
        if amount is not None and math.isfinite(amount):
            rows.append([say.text(name), say.quantity(amount, unit, digits), note])

    row("Fill at no more than", one.fill_flow, "l_s", 2)
    test, source = one.test, "" if one.test.source is None else pen.source(one.test.source)
    row(
        "Test pressure, gauge",
        test.pressure,
        "bar",
        1,
        say.word(message("rule: {rule}; the client's written limit", rule=test.rule or DASH)),
    )
    row("The test may lose", test.allowed_volume, "l", 2, source)
    if test.allowed_flow is not None:
        row("The test may lose, each hour", test.allowed_flow * to_si(1.0, "hours"), "l", 2, source)
    row("Thrust on the end at the start", test.thrust_start, "kn", 0)
    row("Thrust on the end at the far side", test.thrust_end, "kn", 0)
    if one.flush is not None:
        wanted = message("{velocity} in the largest bore; wanted {wanted}", velocity=Quantity(one.flush.velocity, "m_s", 2), wanted=Quantity(one.flush.wanted_velocity, "m_s", 2))  # fmt: skip
        row("Flush with", one.flush.flow, "l_s", 1, say.word(wanted))
        row("Water of one flush", one.flush.volume, "m3", 0)
    chlorine = one.chlorine
    if chlorine is not None:
        strength = (
            ""
            if chlorine.strength is None
            else say.word(message("at {strength} on the day", strength=Quantity(chlorine.strength, "pct", 1)))
        )
        row("Chlorine solution", chlorine.product, "l", 1, strength)
        if chlorine.dosing_flow is not None:
            flow = (
                ""
                if chlorine.water_flow is None
                else say.word(message("into {flow} of water", flow=Quantity(chlorine.water_flow, "l_s", 2)))
            )
            row("Dosing, each hour", chlorine.dosing_flow * to_si(1.0, "hours"), "l", 2, flow)
        row("Length of the slug", chlorine.slug_length, "m", 0)
        row("Velocity of the slug", chlorine.slug_velocity, "m_min", 2)
        row("pH at the end of the contact, forecast", chlorine.ph, "-", 1)
        row(
            "Of the chlorine is active then",
            chlorine.active,
            "pct",
            1,
            say.text("the rest is hypochlorite, which disinfects far more weakly"),
        )
    if one.neutralising is not None:
        note = f"{say.code(one.neutralising.agent)}; {say.text('field-derived, for all the chlorine that was dosed')} {pen.source(one.neutralising.source)}"
        row("Neutralise with", one.neutralising.practice, "kg", 2, note)
        row("By stoichiometry alone", one.neutralising.least, "kg", 2)
    return [table([say.text("Quantity"), say.text("Amount"), say.text("Note")], rows, right=(1,), widths=["1.4fr", "auto", "2fr"])]


def _weeks(pen: Pen, found: tuple[float, float, float] | None) -> str:
    if found is None:
        return DASH
    low, middle, high = (pen.say.number(time / to_si(1.0, "weeks"), 1 if time < to_si(10.0, "weeks") else 0) for time in found)
    return f"{middle} ({low}{DASH}{high})"


def _chosen(taps: Sequence[TapForecast]) -> list[float]:
    """Return the places that are shown: spread along the main, the last always among them."""
    places = sorted({tap.chainage for tap in taps})
    if len(places) <= _MOST_PLACES:
        return places
    step = (len(places) - 1) / (_MOST_PLACES - 1)
    return sorted({places[round(step * k)] for k in range(_MOST_PLACES)})


def water_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return what fresh mortar does to the water, what keeps it down, and who must be told."""
    say = pen.say
    water = None if plan.return_to_service is None else plan.return_to_service.water
    blocks: list[Block] = [heading(say.text("What fresh mortar does to the water"))]
    if water is None:
        return [
            *blocks,
            paragraph(say.text("Not known: there is no analysis of the water with its alkalinity. Get one before the offer is made.")),
        ]
    least = "night" if any(tap.case == "night" for tap in water.taps) else "day"
    moving = [tap for tap in water.taps if tap.case == least]
    worst = max(moving or water.taps, key=lambda tap: (tap.over_limit or (0.0, 0.0, 0.0))[1])
    there = [tap for tap in water.taps if tap.chainage == worst.chainage]
    limits = (value("water", "ph_high").value, value("water", "lead_ph").value)
    source = pen.source(value("leaching", "rate").source)
    say_place = say.word(message("pH at {place}, where it stays up longest with its flow. Lines: nothing falls out; bands reach down to where all calcite has.", place=Quantity(worst.chainage, "m", 1)))  # fmt: skip
    blocks += [
        paragraph(
            say.word(
                message(
                    "Lime from the wall, by its age and by the stay of the water, mixed into this water. The law is fitted to nine field durations and is good to a factor of two or three; "
                    "a first reading of pH after filling says more. Cement: {cement}.",
                    cement=water.cement,
                )
            )
            + f" {source}",
            leads=True,
        ),
        figure(ph_curve(there, limits=limits, width=500.0, language=say.language), say_place, caption=say_place),
        _tap_table(water, pen, least),
        *_keeping(water, pen, least),
        heading(say.text("Other ways"), 2),
        table(
            [say.text("Way"), f"{say.text('Over pH 9.5')} [{say.text('weeks')}]"],
            [[say.word(one.text), _weeks(pen, one.over_limit)] for one in water.alternatives],
            right=(1,),
            widths=["4fr", "1.3fr"],
        ),
        heading(say.text("Who must be told of the water"), 2),
        listing([say.word(one) for one in water.tell]),
    ]
    return blocks


def _tap_table(water: TapWater, pen: Pen, least: str) -> Block:
    say = pen.say
    rows: list[list[Cell]] = []
    for place in _chosen(water.taps):
        cases = {tap.case: tap for tap in water.taps if tap.chainage == place}
        moving, still = cases.get(least), cases["standing"]
        shown = still if moving is None else moving
        told = [
            say.number(one.ph, 1) for one in shown.series if one.age in (to_si(1.0, "weeks"), to_si(4.0, "weeks"), to_si(13.0, "weeks"))
        ]
        rows.append(
            [
                bold(say.measure(place, "m", 1)),
                ", ".join(shown.refs) or say.text("end of the main"),
                DASH if moving is None else pen.optional(moving.stay, "hours", 1),
                *told,
                _weeks(pen, None if moving is None else moving.over_limit),
                _weeks(pen, still.over_limit),
            ]
        )
    case = say.code(least)
    heads = [
        pen.head("Chainage", "m"), say.text("Connection"), f"{say.text('Stay')}, {case} [{say.unit('hours')}]", say.text("pH at 1 week"), say.text("at 4"), say.text("at 13"),
        f"{say.text('Over pH 9.5')}, {case} [{say.text('weeks')}]", f"{say.text('Over pH 9.5')}, {say.code('standing')} [{say.text('weeks')}]",
    ]  # fmt: skip
    return table(heads, rows, right=(0, 2, 3, 4, 5, 6, 7), widths=["auto", "1.6fr", "1fr", "auto", "auto", "auto", "1.5fr", "1.5fr"])


def _keeping(water: TapWater, pen: Pen, least: str) -> list[Block]:
    say = pen.say
    rows: list[list[Cell]] = []
    for one in water.keeping:
        bleed = DASH if one.bleed is None else say.text("none needed") if one.bleed == 0.0 else say.quantity(one.bleed, "l_s", 2)
        if one.bleed is None and water.direction is not None:
            bleed = say.text("no flow is enough")
        every = say.text("it may stand") if math.isinf(one.flush_every) else say.quantity(one.flush_every, "hours", 1)
        rows.append([bold(say.number(one.age / to_si(1.0, "weeks"), 0)), bleed, every])
    heads = [say.text("Weeks since placing"), say.text("Flow at the end, by bleed or link"), say.text("Or the whole water changed every")]
    night = (
        say.text("On top of the flow of the night.")
        if least == "night"
        else say.text("On top of the flows given: the night's flow is not known.")
    )
    return [
        heading(say.text("What keeps it under pH 9.5"), 2),
        paragraph(night, quiet=True, leads=True),
        table(heads, rows, right=(0, 1, 2), widths=["1fr", "1fr", "1fr"]),
    ]


def notice_rows(found: ReturnToService, pen: Pen) -> list[list[Cell]]:
    """Return whom to tell by when, one row each."""
    say = pen.say
    rows: list[list[Cell]] = []
    for one in found.notices:
        street = one.street or pen.length(one.start, one.end)
        lead = f" ({say.text('lead pipes among them')})" if one.lead else ""
        rows.append(
            [
                street,
                bold(say.code(one.need)),
                ", ".join(one.refs) + lead,
                one.block,
                DASH if one.latest is None else bold(say.day(one.latest)),
                DASH if one.closing is None else say.day(one.closing),
                DASH if one.back is None else say.day(one.back),
            ]
        )
    return rows


def _told(found: ReturnToService, pen: Pen) -> list[Block]:
    say = pen.say
    if not found.notices:
        return []
    heads = [
        say.text("Street"),
        say.text("Need"),
        say.text("Connections"),
        say.text("Block"),
        say.text("Tell by"),
        say.text("Off the main from"),
        say.text("Back not before"),
    ]
    note = say.text(
        "Days are worked back from the programme: a block is closed when it is isolated, and the last day to tell is a working day of the calendar. The command giveback writes the letters and a log to fill in."
        if found.programmed
        else "Days are worked back from one run a working day in order, which nobody can beat, and the last day to tell is a working day of the calendar. The command giveback writes the letters and a log to fill in."
    )
    return [
        heading(say.text("Whom to tell by when")),
        paragraph(note, leads=True),
        table(heads, notice_rows(found, pen), widths=["1.4fr", "auto", "2.4fr", "auto", "auto", "auto", "auto"]),
    ]
