"""Pages of the temporary supply: what it must carry, pipes by size, pressures, parts, who is off supply, what weather and hygiene ask for."""

import math

from mainwright.figures.supply_map import supply_map
from mainwright.paper.blocks import Block, Cell, bold, box, figure, heading, listing, paragraph, strip, table
from mainwright.paper.pen import DASH, Pen
from mainwright.plan.result import Plan
from mainwright.plan.result_supply import TemporarySupply
from mainwright.plan.supply.care import gates
from mainwright.words.message import message

__all__ = ["supply_pages"]


def supply_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return the pages of the temporary supply."""
    found, say = plan.supply, pen.say
    if found is None or not found.closed_blocks:
        return []
    caution = box(
        "caution",
        say.text("Before the main is shut"),
        [
            say.text("Nobody is cut off before the temporary pipe is flushed, disinfected, sampled and found fit. Each feed has a check valve: nothing flows back into the public main."),
            say.text("Shut ends of pipe press against their valves: anchor them. Ramps, lights and signs stand before the pipe carries water."),
            say.text("Dialysis patients, clinics and fire lines are agreed with one by one. The utility's own rules and licensed practice come first."),
        ],
    )  # fmt: skip
    info = plan.job.info
    map_ = supply_map(plan.job, found, width=500.0, language=info.language, units=info.units)
    alt = say.text(
        "The main from above: what is shut, the temporary pipe along each kerb by size, feeds, crossings, and the tap with the least pressure."
    )
    blocks: list[Block] = [heading(say.text("Temporary supply")), caution, figure(map_, alt), *_network(found, pen)]
    texts = [say.word(text) for _, act, text in found.warnings if act]
    if texts:
        blocks += [paragraph(say.text("To do for it"), leads=True), listing(texts)]
    return [*blocks, *_gates(found, pen), *_closed(found, pen), *_without(found, pen)]


def _gates(found: TemporarySupply, pen: Pen) -> list[Block]:
    """Return what is signed before anybody is on the temporary pipe."""
    say = pen.say
    if found.lines is None:
        return []
    rows: list[list[Cell]] = [
        [bold(str(number)), say.word(text), {"text": "", "tick": True}, ""] for number, (_, text) in enumerate(gates(), start=1)
    ]
    heads = [say.text("No."), say.text("What, and what must be signed"), say.text("Signed"), say.text("By whom, when")]
    return [
        paragraph(say.text("Gates of the temporary pipe, before anybody is on it: none is skipped"), leads=True),
        table(heads, rows, widths=("auto", "4fr", "auto", "1fr")),
    ]


def _network(found: TemporarySupply, pen: Pen) -> list[Block]:
    say = pen.say
    if found.lines is None or found.points is None:
        return []
    taps = [one for one in found.points if one.feeds]
    least = min(taps, key=lambda one: (one.pressure, one.id))
    facts = [
        (say.text("Pipe"), say.quantity(math.fsum(one.length for one in found.lines), "m", 0), say.text("all sizes, with crossings")),
        (say.text("Peak demand"), say.quantity(math.fsum(one.demand for one in found.points), "l_s", 1), say.code(found.rule)),
        (say.text("Least pressure"), say.quantity(least.pressure, "bar", 2), least.id),
        (say.text("Price of the pipes"), pen.sum(found.cost), say.text("by the stock's prices")),
    ]
    names = {
        "pipe": say.text("Pipe"),
        "pipe_length": say.text("Whole lengths of pipe"),
        "coupling": say.text("Couplings"),
        "reducer": say.text("Reducers"),
        "connection": say.text("Customers' connections"),
        "feed_with_check_valve": say.text("Feeds with check valve and meter"),
        "road_ramp": say.text("Road ramps"),
        "valve": say.text("Valves at feeds and crossings"),
    }
    parts = [
        [
            bold(names[one.item]),
            one.size or DASH,
            say.quantity(one.quantity, "m", 0) if one.unit == "m" else say.number(one.quantity, 0),
        ]
        for one in found.parts
    ]
    care = [
        [
            bold(one.stock),
            say.measure(one.length, "m", 0),
            say.measure(one.volume, "l", 0),
            say.measure(one.chlorine, "kg", 3),
            say.measure(one.flush_flow, "l_s", 2),
            say.measure(one.flush_volume, "l", 0),
            say.measure(one.freezes_after, "hours", 1),
        ]
        for one in found.handling
    ]
    heads = [
        say.text("Size"),
        pen.head("Length", "m"),
        pen.head("Water in it", "l"),
        pen.head("Chlorine", "kg"),
        pen.head("Flush with", "l_s"),
        pen.head("Flush at least", "l"),
        pen.head("Frost after", "hours"),
    ]
    return [
        strip(facts),
        *_pipes(found, pen),
        paragraph(say.text("Parts"), leads=True),
        table([say.text("Part"), say.text("Size"), say.text("Quantity")], parts, right=(2,), widths=("1fr", "auto", "auto")),
        paragraph(say.text("Hygiene and weather: the chlorine is pure chlorine for the long stand, frost is that of standing water in a bare pipe."), leads=True),
        table(heads, care, right=range(1, 7)),
    ]  # fmt: skip


def _pipes(found: TemporarySupply, pen: Pen) -> list[Block]:
    say = pen.say
    at = {one.id: one for one in found.points or ()}
    rows = [
        [
            bold(one.id),
            one.start,
            one.end,
            one.stock,
            say.measure(one.length, "m", 1),
            say.measure(one.flow, "l_s", 2),
            say.measure(one.head_loss, "m", 2),
            say.measure(at[one.end].pressure, "bar", 2),
            ", ".join(at[one.end].feeds) or DASH,
        ]
        for one in found.lines or ()
    ]
    heads = [
        say.text("Pipe"),
        say.text("From"),
        say.text("To"),
        say.text("Size"),
        pen.head("Length", "m"),
        pen.head("Flow", "l_s"),
        pen.head("Loss", "m"),
        pen.head("Pressure at its end", "bar"),
        say.text("Customers there"),
    ]
    text = message("L and R are the left and right kerb, looking up-chainage; the number is the chainage in metres. Wanted at each tap: {wanted}.", wanted=DASH if found.wanted is None else say.quantity(found.wanted, "bar", 2))  # fmt: skip
    return [paragraph(say.word(text), leads=True), table(heads, rows, right=(4, 5, 6, 7))]


def _closed(found: TemporarySupply, pen: Pen) -> list[Block]:
    say = pen.say
    rows = [
        [
            bold(one.id),
            pen.between(one.start, one.end),
            one.start_valve or DASH,
            one.end_valve or DASH,
            say.number(one.customers, 0),
            say.number(one.dwellings, 0),
            pen.optional(one.closed, "hours", 0),
        ]
        for one in found.closed_blocks or ()
    ]
    heads = [
        say.text("Block"),
        pen.head("Between", "m"),
        say.text("Valve"),
        say.text("Valve"),
        say.text("Customers"),
        say.text("Dwellings"),
        pen.head("Shut for", "hours"),
    ]
    return [paragraph(say.text("Lengths that are shut"), leads=True), table(heads, rows, right=(1, 4, 5, 6))]


def _without(found: TemporarySupply, pen: Pen) -> list[Block]:
    say = pen.say
    if not found.without:
        return [paragraph(say.text("Every live connection in these lengths is on the temporary supply."))] if found.lines else []
    rows = [
        [bold(one.ref), say.measure(one.chainage, "m", 1), pen.optional(one.time, "hours", 0), say.word(one.because)]
        for one in found.without
    ]
    heads = [say.text("Connection"), pen.head("Chainage", "m"), pen.head("Off for", "hours"), say.text("Why")]
    return [paragraph(say.text("Without supply"), leads=True), table(heads, rows, right=(1, 2), widths=("auto", "auto", "auto", "1fr"))]
