"""What the works may cost, what that hangs on, which margin goes with which chance, and other ways over the years."""

from mainwright.figures.cost_causes import cost_causes
from mainwright.figures.cost_curve import cost_curve
from mainwright.paper.blocks import Block, Cell, bold, figure, heading, listing, paragraph, strip, table
from mainwright.paper.pen import DASH, Pen
from mainwright.plan.cost.whole_life import CHANGES
from mainwright.plan.options import USUAL_SAVING
from mainwright.plan.result import Plan
from mainwright.words.message import Quantity, message

__all__ = ["cost_pages", "life_pages"]

_WIDTH = 480.0


def cost_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return the spread of the cost, its causes, and the tender.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    pen : Pen
        Writes in the language of the reader. [-]

    Returns
    -------
    list of Block
        Nothing where nothing is priced.
    """
    say, found = pen.say, plan.spread
    if found is None or plan.cost.rate is None:
        return []
    language, rate = plan.job.info.language, plan.cost.rate
    cost, days, tender = found.cost, found.days, found.tender
    items = [
        (say.text("10 % stay under"), pen.sum(cost.low), ""),
        (say.text("Half stay under"), pen.sum(cost.middle), say.word(message("the bill says {sum}", sum=pen.sum(rate)))),
        (say.text("90 % stay under"), pen.sum(cost.high), ""),
        (
            say.text("The tender"),
            pen.sum(tender.price),
            say.word(message("margin {margin}, chance of a loss {chance}", margin=Quantity(tender.margin, "pct", 0), chance=Quantity(tender.chance_of_loss, "pct", 0))),
        ),
    ]  # fmt: skip
    told = [
        say.word(
            message(
                "To lose no oftener than one time in ten takes a margin of {margin} on the bill at its rates; half of the time {even} is enough.",
                margin=Quantity(tender.safe_margin, "pct", 0),
                even=Quantity(tender.even_margin, "pct", 0),
            )
        )
    ]
    if days is not None and found.planned_days is not None:
        told.append(
            say.word(
                message(
                    "The programme takes {planned} of the calendar as planned; half of the time {middle}, and nine times in ten at most {high}.",
                    planned=Quantity(found.planned_days * 86400.0, "days", 0),
                    middle=Quantity(days.middle * 86400.0, "days", 0),
                    high=Quantity(days.high * 86400.0, "days", 0),
                )
            )
        )
    told.append(
        say.word(
            message(
                "From {n} {n:draw/draws}; one standard error of the three sums is {a}, {b} and {c}. The spread is no better than the low and high prices that were entered.",
                n=found.draws, a=pen.sum(cost.errors[0]), b=pen.sum(cost.errors[1]), c=pen.sum(cost.errors[2]),
            )
        )
    )  # fmt: skip
    blocks: list[Block] = [
        heading(say.text("What it may cost")),
        strip(items),
        figure(
            cost_curve(found, rate=rate, width=_WIDTH, currency=pen.currency, language=language),
            say.text("The chance that the works stay under a sum rises from left to right; the bill and the tender are marked."),
        ),
        listing(told),
    ]
    if found.causes:
        heads = [say.text("Cause"), _head(pen, "At its 10 %"), _head(pen, "At its 90 %"), _head(pen, "Swing")]
        rows: list[list[Cell]] = [
            [bold(say.word(one.text)), pen.money(one.low), pen.money(one.high), pen.money(one.swing)] for one in found.causes
        ]
        blocks += [
            heading(say.text("What that hangs on"), 2),
            figure(
                cost_causes(found.causes, middle=found.centre, width=_WIDTH, currency=pen.currency, language=language),
                say.text("Each cause alone from its 10 to its 90 %, everything else in the middle; the same numbers stand in the table."),
            ),
            table(heads, rows, right=(1, 2, 3), widths=("1fr", "auto", "auto", "auto")),
        ]
    heads = [say.text("Margin on the bill"), *(say.quantity(margin, "pct", 0) for margin, _ in tender.margins)]
    chances: list[Cell] = [bold(say.text("Chance of a loss")), *(say.quantity(chance, "pct", 0) for _, chance in tender.margins)]
    blocks += [
        heading(say.text("Margin against risk"), 2),
        table(heads, [chances], right=tuple(range(1, len(heads))), widths=("1fr", *("auto" for _ in tender.margins))),
    ]
    return blocks


def life_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return other ways over the years, and from what length a run pays.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    pen : Pen
        Writes in the language of the reader. [-]

    Returns
    -------
    list of Block
        Nothing where there is nothing to compare.
    """
    say = pen.say
    blocks: list[Block] = []
    if plan.life:
        money = plan.job.money
        heads = [
            say.text("Way"),
            _head(pen, "First cost"),
            pen.head("Life", "years"),
            _head(pen, "Energy a year"),
            _head(pen, "A year"),
            _head(pen, "Worth today"),
        ]
        rows: list[list[Cell]] = [
            [
                bold(say.word(one.text)), pen.money(one.first), pen.optional(one.life, "years", 0), pen.money(one.energy), pen.money(one.yearly),
                bold(pen.money(one.worth)) if one.worth is not None else say.word(message("no price: {items}", items=", ".join(one.missing) or DASH)),
            ]
            for one in plan.life
        ]  # fmt: skip
        changes = list(CHANGES.items())
        known = [one for one in plan.life if one.worth is not None]
        shifted: list[list[Cell]] = [[bold(say.word(one.text)), *(pen.money(value) for _, value in one.sensitivity)] for one in known]
        blocks += [
            heading(say.text("Ways over the years")),
            paragraph(
                say.word(
                    message(
                        "First cost over each way's own life and pumping against friction, worth today over {years} at {interest} interest a year above the rise of prices.",
                        years=Quantity(money.horizon, "years", 0),
                        interest=Quantity(money.interest, "pct", 1),
                    )
                ),
                leads=True,
            ),
            table(heads, rows, right=(1, 2, 3, 4, 5), widths=("1.6fr", "auto", "auto", "auto", "auto", "1fr")),
        ]
        if shifted:
            blocks += [
                heading(say.text("Worth today if one thing is otherwise"), 2),
                table(
                    [_head(pen, "Way"), *(say.word(text) for _, text in changes)],
                    shifted, right=tuple(range(1, 1 + len(changes))), widths=("1.6fr", *("1fr" for _ in changes)),
                ),
            ]  # fmt: skip
    if plan.break_even:
        heads = [
            "DN",
            _head(pen, "Set-up of a run"),
            _per_metre(pen, "Lining"),
            _per_metre(pen, "New pipe"),
            pen.head("Pays from", "m"),
            pen.head("Under a new pipe", "pct"),
        ]
        rows = [
            [bold(str(one.dn)) if one.here else str(one.dn), pen.money(one.set_up), pen.money(one.by_length), pen.money(one.new_pipe), say.text("never") if one.length is None else pen.optional(one.length, "m", 0), bold(say.measure(one.saving, "pct", 0))]
            for one in plan.break_even
        ]  # fmt: skip
        blocks += [
            heading(say.text("From what length a run pays"), 2),
            table(heads, rows, right=(1, 2, 3, 4, 5), widths=("auto", "1fr", "1fr", "1fr", "1fr", "1fr")),
            paragraph(say.text("Sizes of the main in bold, the others of the price list to compare. The last column takes set-ups, openings and all else of the bill as they are here, with runs as long as here on average."), quiet=True),
        ]  # fmt: skip
    if plan.life or plan.break_even:
        blocks += [heading(say.text("Against what the trade knows"), 2), listing(_check_value(plan, pen))]
    return blocks


def _check_value(plan: Plan, pen: Pen) -> list[str]:
    """Return the check value of the trade beside this job and its price list, and what would break it."""
    say, (low, high) = pen.say, USUAL_SAVING
    costs = {one.name: one.cost for one in plan.comparisons}
    lined, new = costs.get("lined"), costs.get("new_pipe_same")
    said = [
        message(
            "Lining usually comes {low} to {high} under a new pipe, by diameter: common practice of the trade, without a source.",
            low=Quantity(low, "pct", 0),
            high=Quantity(high, "pct", 0),
        )
    ]
    if lined is not None and new:
        here = 1.0 - lined / new
        said.append(
            message("Here it comes {saving} under, which is as usual.", saving=Quantity(here, "pct", 0))
            if low <= here <= high
            else message(
                "Here it comes {saving} under, which is not as usual: look at the prices, and at what is named below.",
                saving=Quantity(here, "pct", 0),
            )
        )
    odd = [one for one in plan.break_even if not low <= one.saving <= high]
    if odd:
        names = ", ".join(f"DN {one.dn} ({say.quantity(one.saving, 'pct', 0)})" for one in odd)
        said.append(message("Outside it with runs as they are here: {names}.", names=names))
    elif plan.break_even:
        said.append(
            message(
                "Every size of the price list keeps to it with runs as they are here: DN {first} to {last}.",
                first=str(plan.break_even[0].dn),
                last=str(plan.break_even[-1].dn),
            )
        )
    said.append(
        message(
            "What breaks it: many openings in dear road, short runs, a long temporary supply, a new pipe that can be laid in soft ground beside the road, or a price of a new pipe that leaves out road, connections and taking away the old one."
        )
    )
    return [say.word(one) for one in said]


def _head(pen: Pen, name: str) -> str:
    return f"{pen.say.text(name)} [{pen.currency}]" if pen.currency else pen.say.text(name)


def _per_metre(pen: Pen, name: str) -> str:
    # Prices are by metre in every price list.
    return f"{pen.say.text(name)} [{pen.currency}/m]" if pen.currency else f"{pen.say.text(name)} [1/m]"
