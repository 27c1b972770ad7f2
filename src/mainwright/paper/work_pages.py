"""Pages that say what is done and what it costs: openings, runs, cleaning, bill, other ways, other layouts."""

from mainwright.figures.cost_bars import CostBar, cost_bars
from mainwright.paper.blocks import Block, Cell, bold, box, figure, heading, paragraph, table
from mainwright.paper.origin_pages import origin_note, price_origin
from mainwright.paper.pen import DASH, Pen, pump_place
from mainwright.plan.measuring import measuring_rules
from mainwright.plan.result import BillLine, Plan, Run
from mainwright.words.message import message

__all__ = ["bill_pages", "cleaning_pages", "layout_pages", "opening_number", "opening_pages", "other_ways", "run_pages"]


_PLANT = ("pump", "hose", "lining_head", "rope", "mixer", "crew", "mortar_flow")


def opening_number(plan: Plan, chainage: float) -> int | None:
    """Return the number of the opening at a chainage, as on the ribbon."""
    return next((number for number, one in enumerate(plan.openings, start=1) if abs(one.chainage - chainage) < 1e-6), None)


def opening_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return where the road is opened."""
    say = pen.say
    blocks: list[Block] = [heading(say.text("Openings"))]
    if not plan.openings:
        return [*blocks, paragraph(say.text("There are none: no layout keeps the limits."))]
    blocks.append(
        box(
            "caution",
            say.text("At every opening"),
            [
                say.text("Services are located before digging; the sides are supported or battered before anybody goes in; the edge is kept clear of spoil and plant."),
                say.text("Traffic management stands before the first cut. Cut ends face live valves: valves locked and ends blocked against thrust before a pipe is cut."),
            ],
        )
    )  # fmt: skip
    rows: list[list[Cell]] = []
    for number, one in enumerate(plan.openings, start=1):
        reasons = "; ".join(say.word(reason) for reason in one.reasons)
        place = pen.optional(one.chainage, "m", 1)
        surface = say.code(one.surface) if one.surface else say.text("not known")
        pump = say.text("yes") if one.pump_here else DASH
        rows.append([bold(str(number)), bold(place), reasons, surface, pen.optional(one.cover, "m", 1), pump, pen.money(one.cost)])
    heads = [
        say.text("No."),
        pen.head("Chainage", "m"),
        say.text("Why here"),
        say.text("Surface"),
        pen.head("Cover", "m"),
        say.text("Pump"),
        _cost_head(pen),
    ]
    blocks.append(table(heads, rows, right=(1, 4, 6), widths=["auto", "auto", "3fr", "1.4fr", "auto", "auto", "auto"]))
    return blocks


def _cost_head(pen: Pen, name: str = "Cost") -> str:
    return f"{pen.say.text(name)} [{pen.currency}]" if pen.currency else pen.say.text(name)


def run_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return the runs in one table; each has a sheet of its own at the end."""
    say = pen.say
    if not plan.runs:
        return []

    def row(run: Run) -> list[Cell]:
        arrow = "→" if run.direction == "increasing" else "←"
        number = opening_number(plan, pump_place(run))
        state = f" ({say.text('done')})" if run.done else ""
        return [
            bold(run.id + state), f"{say.measure(run.start, 'm', 1)}\u00a0{arrow}\u00a0{say.measure(run.end, 'm', 1)}", pen.optional(run.length, "m", 1), str(run.dn),
            DASH if number is None else str(number), pen.optional(run.aim, "mm", 1), pen.optional(run.mortar, "l", 0), str(run.bags),
            pen.optional(run.speed, "m_min", 2), pen.optional(run.lining_time, "minutes", 0), str(run.connections), say.word(run.limit_text),
        ]  # fmt: skip

    heads = [
        say.text("Run"), pen.head("Chainage", "m"), pen.head("Length", "m"), "DN", say.text("Pump at"), pen.head("Aim", "mm"), pen.head("Mortar", "l"),
        say.text("Bags"), pen.head("Speed", "m_min"), pen.head("Time", "minutes"), say.text("Connections"), say.text("What limits it"),
    ]  # fmt: skip
    total: list[Cell] = [
        bold(say.text("Sum")), "", bold(pen.optional(sum(run.length for run in plan.runs), "m", 1)), "", "", "",
        bold(pen.optional(sum(run.mortar for run in plan.runs), "l", 0)), bold(str(sum(run.bags for run in plan.runs))), "",
        bold(pen.optional(sum(run.lining_time for run in plan.runs), "minutes", 0)), bold(str(sum(run.connections for run in plan.runs))), "",
    ]  # fmt: skip
    note = say.text("The arrow is the way the head travels while lining; the pump stands where it arrives. Speed is the length over the lining time: the sheet of each run gives the speed for each bore.")  # fmt: skip
    widths = ["auto", "auto", "1fr", "0.6fr", "0.8fr", "0.9fr", "1fr", "0.8fr", "1.1fr", "0.9fr", "1.5fr", "3.4fr"]
    return [heading(say.text("Runs")), table(heads, [*map(row, plan.runs), total], right=(2, 3, 4, 5, 6, 7, 8, 9, 10), widths=widths, total=True), *origin_note(plan, pen, _PLANT), paragraph(note, quiet=True)]  # fmt: skip


def cleaning_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return how the main is cleaned."""
    say = pen.say
    if not plan.cleaning:
        return []
    methods: dict[str, list[str]] = {}
    rows: list[list[Cell]] = []
    for one in plan.cleaning:
        methods.setdefault(f"{say.word(one.method_text)} {pen.source(one.source)}", []).append(one.run)
        pull = (
            DASH
            if one.pull_low is None or one.pull_high is None
            else f"{pen.optional(one.pull_low, 'kn', 1)}{DASH}{pen.optional(one.pull_high, 'kn', 1)}"
        )
        rows.append(
            [
                bold(one.run), str(one.passes), pen.optional(one.deposits, "l", 0), pen.optional(one.deposits_mass, "t", 2),
                DASH if one.loads is None else str(one.loads), pen.optional(one.water, "m3", 1), pull, pen.optional(one.rope_working_load, "kn", 1),
            ]
        )  # fmt: skip
    heads = [
        say.text("Run"), say.text("Passes"), pen.head("Deposits", "l"), pen.head("Mass", "t"), say.text("Loads"), pen.head("Water", "m3"),
        pen.head("Pull", "kn"), pen.head("Working load", "kn"),
    ]  # fmt: skip
    how: list[list[Cell]] = [[", ".join(runs), text] for text, runs in methods.items()]
    caution = box(
        "caution",
        say.text("Ropes and jets"),
        [
            say.text("The pull is an estimate: the winch's limit is set to the rope's working load whatever it says. A snag reaches winch stall in seconds; nobody stands in the line of the rope."),
            say.text("Jetting cuts: no hand in front of the nozzle, the pump stopped before it leaves the pipe. Deposits: class of disposal is asked of the authority, never guessed."),
        ],
    )  # fmt: skip
    return [
        heading(say.text("Cleaning")),
        caution,
        table([say.text("Runs"), say.text("Method")], how, widths=["1fr", "3fr"]),
        table(heads, rows, right=(1, 2, 3, 4, 5, 6, 7), widths=["auto"] + ["1fr"] * 7),
    ]


def _product(line: BillLine, price: float | None) -> float | None:
    return None if price is None else line.quantity * price


def bill_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return quantities and cost."""
    say = pen.say
    if not plan.bill:
        return []
    rows: list[list[Cell]] = []
    for line in plan.bill:
        digits = 0 if line.quantity == round(line.quantity) else 1 if line.quantity >= 100 else 2
        rows.append(
            [
                say.word(line.text), say.word(line.basis), say.number(line.quantity, digits), say.bill_unit(line.unit), pen.money(_product(line, line.low)),
                bold(pen.money(_product(line, line.rate))) if line.rate is not None else bold(say.text("no price")), pen.money(_product(line, line.high)),
            ]
        )  # fmt: skip
    cost = plan.cost
    rows.append(
        [
            bold(say.text("Sum of what is priced")),
            "",
            "",
            "",
            bold(pen.money(cost.low)),
            bold(pen.money(cost.rate)),
            bold(pen.money(cost.high)),
        ]
    )
    heads = [
        say.text("Item"),
        say.text("Quantity from"),
        say.text("Quantity"),
        say.text("Unit"),
        _cost_head(pen, "Low"),
        _cost_head(pen, "Rate"),
        _cost_head(pen, "High"),
    ]
    widths = ["2.4fr", "2.2fr", "auto", "auto", "auto", "auto", "auto"]
    if any(one.table == "prices" and one.stands is not None for one in plan.job.origins):
        heads.append(say.text("Price from"))
        widths.append("1.6fr")
        for row, line in zip(rows, plan.bill, strict=False):
            row.append(price_origin(plan, pen, line.item))
        rows[-1].append("")
    note = say.text("Quantities are in the units of the price list. The low sum takes every low price at once, and the high sum every high one: the prices together go less far, delays and finds come on top. The workbook holds the prices.")  # fmt: skip
    return [
        heading(say.text("Quantities and cost")),
        table(heads, rows, right=(2, 4, 5, 6), widths=widths, total=True),
        paragraph(note, quiet=True),
        heading(say.text("How lengths are measured and paid"), 2),
        table(
            [say.text("Rule"), say.text("Given by")],
            [[say.word(one.text), say.text("assumed") if one.assumed else f"job.toml: {one.key}"] for one in measuring_rules(plan.job)],
            widths=("3fr", "1fr"),
        ),
    ]


def other_ways(plan: Plan, pen: Pen) -> list[Block]:
    """Return the lined main against other ways."""
    say = pen.say
    if not plan.comparisons:
        return []
    bars = [CostBar(say.word(one.text), one.cost_low, one.cost, one.cost_high) for one in plan.comparisons]
    rows: list[list[Cell]] = []
    for one in plan.comparisons:
        gain = DASH if one.capacity_gain is None else "×" + say.space + say.number(one.capacity_gain, 2)
        missing = ", ".join(one.missing) if one.missing else DASH
        rows.append(
            [
                bold(say.word(one.text)),
                pen.money(one.cost_low),
                pen.money(one.cost),
                pen.money(one.cost_high),
                pen.optional(one.bore, "mm", 0),
                gain,
                missing,
            ]
        )
    heads = [
        say.text("Way"),
        _cost_head(pen, "Low"),
        _cost_head(pen),
        _cost_head(pen, "High"),
        pen.head("Bore", "mm"),
        say.text("Capacity"),
        say.text("Prices missing"),
    ]
    priced = any(bar.rate is not None for bar in bars)
    picture = (
        [figure(cost_bars(bars, width=500.0, currency=pen.currency, language=plan.job.info.language), say.text("Cost of each way"))]
        if priced
        else []
    )
    return [
        heading(say.text("Against other ways")),
        *picture,
        table(heads, rows, right=(1, 2, 3, 4, 5), widths=["2fr", "auto", "auto", "auto", "auto", "auto", "1.4fr"]),
    ]


def layout_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return other layouts under the same limits, and what a wider limit would save."""
    say, layout = pen.say, plan.layout
    if not layout.alternatives:
        return []
    rows: list[list[Cell]] = [
        [
            bold(say.code(one.name)),
            str(len(one.openings)),
            str(len(one.runs)),
            pen.optional(one.longest_closing, "hours", 1),
            pen.money(one.total_cost),
        ]
        for one in layout.alternatives
    ]
    heads = [say.text("Layout"), say.text("Openings"), say.text("Runs"), pen.head("Longest closing", "hours"), _cost_head(pen)]
    note = say.word(
        message("Chosen among {n} {n:place/places}; the cost here is the part that depends on where the openings are.", n=layout.candidates)
    )
    blocks: list[Block] = [
        heading(say.text("Other layouts")),
        paragraph(note, leads=True),
        table(heads, rows, right=(1, 2, 3, 4), widths=["2fr", "1fr", "1fr", "1fr", "1fr"]),
    ]
    if layout.limit_prices:
        steps: list[list[Cell]] = [
            [say.code(one.limit), say.quantity(one.step, one.unit), pen.money(one.saves)] for one in layout.limit_prices
        ]
        heads = [say.text("Limit"), say.text("wider by"), _cost_head(pen, "Saves")]
        blocks += [heading(say.text("What a wider limit would save"), 2), table(heads, steps, right=(1, 2), widths=["2fr", "1fr", "1fr"])]
    return blocks
