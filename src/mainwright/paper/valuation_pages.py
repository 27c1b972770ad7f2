"""A valuation to read: what is due, what it is made of with the records behind each quantity, and what is not in the sum and why."""

from mainwright.paper.blocks import Block, Cell, Tone, bold, box, listing, paragraph, strip, table
from mainwright.paper.handover_job import spans
from mainwright.paper.pen import DASH, Pen
from mainwright.prove.valuation import Valuation
from mainwright.words.message import Quantity, message
from mainwright.words.wording import Wording
from mainwright.workflow.sheets import Section

__all__ = ["amount_text", "percent_of", "valuation_blocks", "valuation_sections", "valuation_strip", "valuation_summary"]

_DIGITS = {"m": 1, "t": 2, "hour": 1}


def amount_text(pen: Pen, value: float | None) -> str:
    """Return money to the hundredth, for it is owed and no estimate; a dash where it is not known."""
    return DASH if value is None else pen.say.number(value, 2)


def percent_of(share: float) -> Quantity:
    """Return a share in per cent, without decimals where it has none."""
    value = round(share * 100.0, 6)
    return Quantity(share, "pct", 0 if value == round(value) else 2)


def _quantity(pen: Pen, value: float, unit: str) -> str:
    return pen.say.number(value, _DIGITS.get(unit, 0 if value == round(value) else 2))


def _sum(pen: Pen, value: float | None) -> str:
    text = amount_text(pen, value)
    return text if value is None or not pen.currency else f"{text}{pen.say.space}{pen.currency}"


def valuation_strip(made: Valuation, pen: Pen) -> Block:
    """Return the sums that matter, side by side."""
    say, sums = pen.say, made.sums
    held = sum(one.amount or 0.0 for one in made.held)
    return strip(
        [
            (say.text("Due now"), _sum(pen, sums.due), say.text("more was paid than is proven") if sums.due < 0.0 else ""),
            (say.text("Proven so far"), _sum(pen, sums.gross), say.text("measured and extras")),
            (say.text("Paid"), _sum(pen, sums.paid), ""),
            (say.text("Not in the sum"), _sum(pen, held), say.text("its proof or its rate is missing")),
        ]
    )


def valuation_summary(made: Valuation, pen: Pen) -> list[Block]:
    """Return how the sum that is due comes about.

    Parameters
    ----------
    made : Valuation
        The valuation. [-]
    pen : Pen
        Of the paper. [-]

    Returns
    -------
    list of Block
        Key figures, the reckoning, and what to know before it leaves the office.
    """
    say, sums, rules = pen.say, made.sums, made.job.payment
    share = percent_of(rules.retention)
    kept = message("Kept back by the client, {share}", share=share)
    if rules.retention_limit is not None:
        kept = message(
            "Kept back by the client, {share}, at most {limit} of the bill",
            share=share,
            limit=percent_of(rules.retention_limit),
        )
    freed: list[list[Cell]] = [[say.text("Of that freed by the client"), amount_text(pen, sums.released)]] if sums.released else []
    rows: list[list[Cell]] = [
        [say.text("Measured quantities at their rates"), amount_text(pen, sums.measured)],
        [say.text("Extras with their proof"), amount_text(pen, sums.extras)],
        [say.word(kept), amount_text(pen, -sums.retention)],
*freed,
        [say.text("Payments that came"), amount_text(pen, -sums.paid)],
        [bold(say.text("Due now")), bold(amount_text(pen, sums.due))],
    ]  # fmt: skip
    blocks: list[Block] = [
        valuation_strip(made, pen),
        table([say.text("Reckoning"), _head(pen, say.text("Total"))], rows, right=(1,), widths=("1fr", "auto"), total=True),
    ]
    tone: Tone = "act"
    if made.held:
        text = message("Entries without proof or rate: {n}. They stand below with the reason and are not in the sum.", n=len(made.held))
        blocks.append(box(tone, say.text("Before it leaves the office"), [say.word(text), *(say.word(one) for one in made.notes)]))
    elif made.notes:
        blocks.append(box(tone, say.text("Before it leaves the office"), [say.word(one) for one in made.notes]))
    blocks.append(paragraph(say.text("Without tax. What is owed is decided by the contract and its partners; this is the reckoning by the records."), quiet=True))  # fmt: skip
    return blocks


def _head(pen: Pen, name: str) -> str:
    return f"{name} [{pen.currency}]" if pen.currency else name


def valuation_blocks(made: Valuation, pen: Pen) -> list[tuple[str, list[Block]]]:
    """Return the parts of a valuation, each with its heading.

    Parameters
    ----------
    made : Valuation
        The valuation. [-]
    pen : Pen
        Of the paper. [-]

    Returns
    -------
    list of tuple
        Measured quantities, extras, what is not in the sum, what the bill has beyond that; parts with nothing in them are left out.
    """
    say = pen.say
    parts: list[tuple[str, list[Block]]] = [(say.text("Measured quantities at their rates"), _lines(made, pen))]
    if made.extras:
        parts.append((say.text("Extras with their proof"), [_extras(made, pen)]))
    if made.held:
        parts.append((say.text("Not in the sum: proof or rate is missing"), [_held(made, pen)]))
    if made.not_yet:
        parts.append((say.text("In the plan's bill and not on record"), [_not_yet(made, pen)]))
    if made.assumed:
        taken = [f"{one.what} = {one.value}: {say.word(one.because)}" for one in made.assumed]
        parts.append((say.text("Rules that were taken for granted"), [listing(taken)]))
    return parts


def _lines(made: Valuation, pen: Pen) -> list[Block]:
    say = pen.say
    if not made.lines:
        return [paragraph(say.text("No record of anything done: nothing can be claimed."))]
    rows: list[list[Cell]] = [
        [
            say.word(one.text),
            _quantity(pen, one.planned, one.unit),
            bold(_quantity(pen, one.quantity, one.unit)),
            say.bill_unit(one.unit),
            amount_text(pen, one.rate),
            amount_text(pen, one.amount),
            ", ".join(spans(one.records)),
        ]
        for one in made.lines
    ]
    rows.append([say.text("Sum"), "", "", "", "", amount_text(pen, made.sums.measured), ""])
    heads = [say.text("Item"), say.text("Planned"), say.text("Measured"), say.text("Unit"), say.text("Rate"), _head(pen, say.text("Total")), say.text("Records behind it")]  # fmt: skip
    return [table(heads, rows, right=(1, 2, 4, 5), widths=("1.2fr", "auto", "auto", "auto", "auto", "auto", "1fr"), total=True)]


def _extras(made: Valuation, pen: Pen) -> Block:
    say = pen.say
    rows: list[list[Cell]] = [
        [say.word(one.text), _quantity(pen, one.quantity, one.unit), say.bill_unit(one.unit), amount_text(pen, one.rate), amount_text(pen, one.amount), ", ".join(spans(one.records))]
        for one in made.extras
    ]  # fmt: skip
    rows.append([say.text("Sum"), "", "", "", amount_text(pen, made.sums.extras), ""])
    heads = [
        say.text("What"),
        say.text("Quantity"),
        say.text("Unit"),
        say.text("Rate"),
        _head(pen, say.text("Total")),
        say.text("Records behind it"),
    ]
    return table(heads, rows, right=(1, 3, 4), widths=("2fr", "auto", "auto", "auto", "auto", "1fr"), total=True)


def _held(made: Valuation, pen: Pen) -> Block:
    say = pen.say
    rows: list[list[Cell]] = [
        [
            say.word(one.text),
            _quantity(pen, one.quantity, one.unit),
            say.bill_unit(one.unit) if one.unit else "",
            amount_text(pen, one.amount),
            "; ".join(say.word(text) for text in one.why),
            ", ".join(spans(one.records)),
        ]
        for one in made.held
    ]
    heads = [
        say.text("What"),
        say.text("Quantity"),
        say.text("Unit"),
        _head(pen, say.text("Would be")),
        say.text("Why not"),
        say.text("Records"),
    ]
    return table(heads, rows, right=(1, 3), widths=("1.2fr", "auto", "auto", "auto", "1.4fr", "1fr"))


def _not_yet(made: Valuation, pen: Pen) -> Block:
    say = pen.say
    rows: list[list[Cell]] = [
        [
            say.word(one.text),
            _quantity(pen, one.planned, one.unit),
            _quantity(pen, one.proven, one.unit),
            bold(_quantity(pen, one.planned - one.proven, one.unit)),
            say.bill_unit(one.unit),
            amount_text(pen, one.amount),
        ]
        for one in made.not_yet
    ]
    heads = [
        say.text("Item"),
        say.text("Planned"),
        say.text("Proven"),
        say.text("Rest"),
        say.text("Unit"),
        _head(pen, say.text("Would be")),
    ]
    return table(heads, rows, right=(1, 2, 3, 5), widths=("1fr", "auto", "auto", "auto", "auto", "auto"))


def valuation_sections(made: Valuation, say: Wording) -> tuple[Section, ...]:
    """Return a valuation as sections of a page.

    Parameters
    ----------
    made : Valuation
        The valuation. [-]
    say : Wording
        Of the reader. [-]

    Returns
    -------
    tuple of Section
        What is due first; rules that were taken for granted are folded.
    """
    pen = Pen(say, made.job.info.currency)
    parts = valuation_blocks(made, pen)
    taken = say.text("Rules that were taken for granted")
    return (
        Section(say.text("What is owed for what is on record"), valuation_summary(made, pen)),
        *(Section(head, blocks, folded=head == taken) for head, blocks in parts),
    )
