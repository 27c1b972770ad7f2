"""Pages that say how far the plan can be trusted: what changed, what to find out, what the contract lacks, warnings, assumptions, sources."""

from collections.abc import Sequence

from mainwright.paper.blocks import Block, Cell, bold, heading, paragraph, table
from mainwright.paper.pen import DASH, Pen
from mainwright.paper.summary import warning_text
from mainwright.plan.result import Plan
from mainwright.plan.sentences import assumed_value
from mainwright.standards.source import Assumed

__all__ = ["ask_pages", "assumed_pages", "assumed_table", "change_pages", "contract_pages", "source_pages", "warning_pages"]


def change_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return what this plan changed against the issued one."""
    say = pen.say
    if plan.issued is None:
        return []
    blocks: list[Block] = [heading(say.text("What changed against the issued plan"))]
    if not plan.changes:
        return [*blocks, paragraph(say.text("Nothing: every run stands as it was issued."))]
    rows: list[list[Cell]] = [[say.word(one.text)] for one in plan.changes]
    return [*blocks, table([say.text("Change")], rows, widths=["1fr"])]


def ask_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return which weak record is worth finding out about before the work."""
    say = pen.say
    if not plan.ask_first:
        return []
    rows: list[list[Cell]] = []
    for one in plan.ask_first:
        worth = DASH if one.worth is None else say.text("find out") if one.worth else say.text("leave")
        place = pen.optional(one.chainage, "m", 1)
        share = say.quantity(one.probability, "pct", 0)
        rows.append(
            [
                place,
                say.word(one.subject),
                share,
                pen.money(one.consequence),
                pen.money(one.expected),
                pen.money(one.cost_of_asking),
                bold(worth) if one.worth else worth,
            ]
        )
    money = f" [{pen.currency}]" if pen.currency else ""
    heads = [
        pen.head("Chainage", "m"), say.text("Weak record"), say.text("Chance that it is wrong"), say.text("Cost if it is") + money,
        say.text("Chance times cost") + money, say.text("Cost of finding out") + money, say.text("Advice"),
    ]  # fmt: skip
    return [
        heading(say.text("What to find out first")),
        table(heads, rows, right=(0, 2, 3, 4, 5), widths=["auto", "3fr", "1fr", "1fr", "1fr", "1fr", "auto"]),
    ]


def contract_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return what the contract must still say, to be ticked off."""
    say = pen.say
    if not plan.contract_gaps:
        return []
    rows: list[list[Cell]] = [[{"text": "", "tick": True}, say.word(one.text)] for one in plan.contract_gaps]
    return [
        heading(say.text("What the contract must still say")),
        table([say.text("Settled"), say.text("Matter")], rows, widths=["auto", "1fr"]),
    ]


def warning_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return every warning, the gravest first."""
    say = pen.say
    if not plan.warnings:
        return []
    order = {"stop": 0, "act": 1, "note": 2}
    ranked = sorted(plan.warnings, key=lambda one: order[one.severity])
    rows: list[list[Cell]] = [
        [bold(say.code(one.severity)) if one.severity != "note" else say.code(one.severity), warning_text(one, pen)] for one in ranked
    ]
    return [heading(say.text("Warnings")), table([say.text("Weight"), say.text("Warning")], rows, widths=["auto", "1fr"])]


def _value(one: Assumed, pen: Pen) -> str:
    if one.value is None:
        return DASH
    if isinstance(one.value, str):
        return pen.say.code(one.value)
    return assumed_value(one, pen.say)


def assumed_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return every value that nobody gave."""
    say = pen.say
    if not plan.assumed:
        return []
    rows: list[list[Cell]] = [[one.what, _value(one, pen), say.word(one.because)] for one in plan.assumed]
    return [
        heading(say.text("Assumed")),
        paragraph(
            say.text("Nobody gave these values. Each can be given in the job's files; then it no longer stands here."),
            quiet=True,
            leads=True,
        ),
        table([say.text("What"), say.text("Value"), say.text("Because")], rows, widths=["2.2fr", "1fr", "4fr"]),
    ]


def assumed_table(assumed: Sequence[Assumed], pen: Pen) -> list[Block]:
    """Return what was taken for granted where nobody can give it in the job's files."""
    say = pen.say
    rows: list[list[Cell]] = [
        [
            one.what,
            _value(one, pen),
            say.word(one.because),
        ]
        for one in assumed
    ]
    heads = [say.text("What"), say.text("Value"), say.text("Why")]
    return [heading(say.text("Assumed")), table(heads, rows, right=(1,), widths=("auto", "auto", "1fr"))] if rows else []


def source_pages(pen: Pen) -> list[Block]:
    """Return the sources that were named, each with how its value was come by."""
    say = pen.say
    if not pen.sources:
        return []
    rows: list[list[Cell]] = [
        [f"[{number}]", pen.joined((one.title, one.edition, one.clause)), say.code(one.status)]
        for number, one in enumerate(pen.sources, start=1)
    ]
    return [
        heading(say.text("Sources")),
        table([say.text("No."), say.text("Source"), say.text("How its value was come by")], rows, widths=["auto", "3fr", "1.2fr"]),
    ]
