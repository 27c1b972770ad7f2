"""The first page: the answer in sentences with their numbers, key figures, what stops, the whole main in one picture."""

import math

from mainwright.figures.ribbon import Lane, ribbon, ribbon_data
from mainwright.paper.blocks import Block, box, figure, heading, listing, strip
from mainwright.paper.pen import Pen
from mainwright.plan.result import Plan, PlanWarning
from mainwright.plan.sentences import how, shifts, thickness, whether
from mainwright.words.message import Quantity, message

__all__ = ["caution_pages", "cover", "sentences", "summary", "warning_text"]

_OVERVIEW: tuple[Lane, ...] = ("axis", "surface", "host", "verdict", "work")


def cover(plan: Plan, pen: Pen) -> Block:
    """Return the title block."""
    info, say = plan.job.info, pen.say
    facts = [
        (say.text("Client"), info.client or "–"),
        (say.text("Reference"), info.reference or "–"),
        (say.text("First day"), say.day(info.first_day) if info.first_day else "–"),
        (say.text("Revision"), plan.job.revision[:12]),
    ]
    over = say.text("Plan for cleaning and cement mortar lining")
    if plan.issued:
        over += " · " + say.word(message("follows the plan issued as {revision}", revision=plan.issued[:12]))
    return {"over": over, "title": info.name, "facts": [{"name": name, "value": value} for name, value in facts]}


def sentences(plan: Plan, pen: Pen) -> list[str]:
    """Return the answer in sentences."""
    say = pen.say
    said = [" ".join(say.word(one) for one in part) for part in (whether(plan), how(plan), thickness(plan))]
    cost = plan.cost
    if cost.rate is None:
        said.append(say.text("Nothing is priced: the job has no prices for the items of the bill."))
    else:
        money = pen.sum(cost.rate)
        if cost.low is not None and cost.high is not None and cost.low < cost.high:
            text = say.word(message("The priced items of the bill come to {cost}, between {low} and {high}.", cost=money, low=pen.money(cost.low), high=pen.money(cost.high)))  # fmt: skip
        else:
            text = say.word(message("The priced items of the bill come to {cost}.", cost=money))
        if cost.unpriced:
            text += " " + say.word(message("{n} {n:item has no price and is/items have no price and are} not in it.", n=len(cost.unpriced)))
        said.append(text)
    return said


def warning_text(warning: PlanWarning, pen: Pen) -> str:
    """Return a warning with its place before it."""
    say = pen.say
    text = say.word(warning.text)
    if warning.start is None:
        return text
    if warning.end is None or math.isclose(warning.start, warning.end):
        return f"{say.quantity(warning.start, 'm', 1)}: {text}"
    return f"{pen.length(warning.start, warning.end)}: {text}"


def _figures(plan: Plan, pen: Pen) -> Block:
    say = pen.say
    lined = sum(run.length for run in plan.runs)
    batches = sum(run.batches for run in plan.runs)
    cost = plan.cost
    span = f"{pen.money(cost.low)}–{pen.money(cost.high)}" if cost.low is not None and cost.high is not None else ""
    return strip(
        [
            (say.text("Lined"), say.quantity(lined, "m", 0), say.word(message("of {total}", total=Quantity(plan.job.main[-1].end - plan.job.main[0].start, "m", 0)))),
            (say.text("Openings"), say.number(len(plan.openings), 0), say.word(message("{n} with the pump", n=sum(one.pump_here for one in plan.openings)))),
            (say.text("Runs"), say.number(len(plan.runs), 0), say.word(message("in {n} {n:shift/shifts}", n=shifts(plan)))),
            (say.text("Mortar"), say.quantity(sum(run.mortar for run in plan.runs), "m3", 1), say.word(message("{n} {n:batch/batches}", n=batches))),
            (say.text("Cost"), pen.sum(cost.rate), span),
        ]
    )  # fmt: skip


def caution_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return what is read before anything else; dangers of one run stand on its sheet, those of a kind of work at its pages."""
    if not plan.cautions:
        return []
    return [
        heading(pen.say.text("Before anything else")),
        box("caution", "", [pen.say.word(one.text) for one in plan.cautions]),
    ]


def _first(texts: list[str], count: int, pen: Pen) -> list[str]:
    """Return the first of several texts, and how many more there are."""
    if len(texts) <= count:
        return texts
    return [*texts[:count], pen.say.word(message("{n} more under Warnings.", n=len(texts) - count))]


def summary(plan: Plan, pen: Pen) -> list[Block]:
    """Return the blocks of the first page."""
    say, job = pen.say, plan.job
    blocks: list[Block] = [listing(sentences(plan, pen)), _figures(plan, pen)]
    stops = _first([warning_text(one, pen) for one in plan.warnings if one.severity == "stop"], 8, pen)
    acts = _first([warning_text(one, pen) for one in plan.warnings if one.severity == "act"], 4, pen)
    if stops:
        blocks.append(box("stop", say.text("Stops the work until it is settled"), stops))
    if acts:
        blocks.append(box("act", say.text("To be done"), acts))
    data = ribbon_data(plan)
    svg = ribbon(
        data, start=job.main[0].start, end=job.main[-1].end, width=560.0, language=job.info.language, units=job.info.units, lanes=_OVERVIEW
    )
    blocks.append(figure(svg, say.text("The whole main: surface, host pipe, verdict, openings and runs"), caption=""))
    blocks.append(box("note", "", [say.text("A plan meets the entered requirements or does not; acceptance is the client's signature. Local codes and licensed practice come first.")]))  # fmt: skip
    return blocks
