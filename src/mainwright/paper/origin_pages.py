"""Pages that say which values of a job come from a library, and how they stand now."""

from collections.abc import Sequence

from mainwright.job.job import Job
from mainwright.paper.blocks import Block, Cell, heading, paragraph, table
from mainwright.paper.pen import DASH, Pen
from mainwright.plan.result import Plan
from mainwright.plan.taken import origin_of, source_of, taken_entries
from mainwright.words.message import message
from mainwright.words.wording import Wording

__all__ = ["origin_note", "origin_pages", "price_origin", "price_told"]


def origin_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return every entry of a library of which a value stands in the job, with the values."""
    say, entries = pen.say, taken_entries(plan.job)
    if not entries:
        return []
    rows: list[list[Cell]] = []
    for one in entries:
        number = pen.source(one.source) if one.standing else DASH
        name = pen.joined((one.source.title, one.source.edition, one.source.clause))
        rows.append([number, name, say.code(one.source.status), ", ".join(one.standing) or DASH, ", ".join(one.changed) or DASH])
    heads = [
        say.text("No."),
        say.text("Entry, revision, origin"),
        say.text("Status"),
        say.text("As taken"),
        say.text("Changed in this job since"),
    ]
    return [
        heading(say.text("Taken from the library")),
        table(heads, rows, widths=["auto", "2fr", "1fr", "3fr", "2fr"]),
    ]


def origin_note(plan: Plan, pen: Pen, tables: Sequence[str]) -> list[Block]:
    """Return a line beside the numbers of some tables that says which entries of a library they come from; nothing where none does."""
    said: list[Block] = []
    for one in taken_entries(plan.job, tables):
        name = pen.joined((one.source.title, one.source.edition))
        number = pen.source(one.source) if one.standing else ""
        text = "From the library: {name} {number}. Values as taken: {n}; changed here since: {changed}."
        told = ", ".join(one.changed) or DASH
        said.append(
            paragraph(
                pen.say.word(message(text, name=name, number=number, n=len(one.standing), changed=told)).replace(" .", "."), quiet=True
            )
        )
    return said


def price_origin(plan: Plan, pen: Pen, item: str) -> str:
    """Return where the price of an item of the bill comes from, as it stands in its row."""
    found = origin_of(plan.job, f"prices.{item}")
    if found is None:
        return DASH
    source = source_of(found)
    name = pen.joined((source.title, source.edition))
    return f"{source.title} {pen.source(source)}" if found.stands else pen.say.word(message("changed here; before: {name}", name=name))


def price_told(job: Job, item: str, say: Wording) -> str:
    """Return where the price of an item comes from, in a cell of a workbook: the row of the job, and the entry of a library behind it.

    Parameters
    ----------
    job : Job
        With its price list and what is said of where that comes from. [-]
    item : str
        Name of the item. [-]
    say : Wording
        How it is worded. [-]

    Returns
    -------
    str
        Rows are counted from the first under the head of ``prices.csv``.
    """
    place = next((row for row, one in enumerate(job.prices, start=1) if one.item == item and one.rate is not None), None)
    if place is None:
        return say.text("no rate in prices.csv")
    row = say.word(message("prices.csv, row {row}", row=place))
    found = origin_of(job, f"prices.{item}")
    if found is None:
        return row
    source = source_of(found)
    name = ", ".join(one for one in (source.title, source.edition, source.clause) if one)
    if not found.stands:
        return f"{row}: {say.word(message('changed here; before: {name}', name=name))}"
    return f"{row}: {name} ({say.code(source.status)})"
