"""The first page: the answer in sentences with their numbers, key figures, what stops, the whole main in one picture."""

import math

from mainwright.figures.ribbon import Lane, ribbon, ribbon_data
from mainwright.paper.blocks import Block, box, figure, heading, listing, strip
from mainwright.paper.pen import Pen
from mainwright.plan.result import Plan, PlanWarning
from mainwright.standards.source import Verdict
from mainwright.words.message import Message, Quantity, message

__all__ = ["caution_pages", "cover", "sentences", "shifts", "summary", "warning_text"]

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


def _lengths(plan: Plan) -> dict[Verdict, float]:
    found: dict[Verdict, float] = {"suitable": 0.0, "with_measures": 0.0, "unsuitable": 0.0, "unknown": 0.0}
    for one in plan.suitability:
        found[one.verdict] += one.end - one.start
    return found


def _whether(plan: Plan) -> list[Message]:
    """Return whether the main can be lined."""
    total = plan.job.main[-1].end - plan.job.main[0].start
    found = _lengths(plan)
    whole = Quantity(total, "m", 1)
    if math.isclose(found["suitable"], total):
        return [message("The whole main of {total} meets the entered requirements for lining.", total=whole)]
    said = []
    if found["suitable"] + found["with_measures"] > 0.0:
        able = Quantity(found["suitable"] + found["with_measures"], "m", 1)
        measures = Quantity(found["with_measures"], "m", 1)
        if found["suitable"] > 0.0 and found["with_measures"] > 0.0:
            text = "Of {total}, {able} meet the entered requirements for lining, {measures} of them only with the measures named."
            said.append(message(text, total=whole, able=able, measures=measures))
        elif found["with_measures"] > 0.0:
            text = "Of {total}, {able} meet the entered requirements for lining only with the measures named."
            said.append(message(text, total=whole, able=able))
        else:
            said.append(message("Of {total}, {able} meet the entered requirements for lining.", total=whole, able=able))
    no = Quantity(found["unsuitable"], "m", 1)
    if found["unsuitable"] > 0.0 and said:
        said.append(message("{length} do not meet them.", length=no))
    elif found["unsuitable"] > 0.0:
        said.append(message("Of {total}, {length} do not meet the entered requirements for lining.", total=whole, length=no))
    if math.isclose(found["unknown"], total):
        said.append(message("Whether the main of {total} can be lined is not known: what must be found out is named.", total=whole))
    elif found["unknown"] > 0.0:
        unknown = Quantity(found["unknown"], "m", 1)
        said.append(message("For {length} too little is known to say: what must be found out is named.", length=unknown))
    return said


def shifts(plan: Plan) -> int:
    """Return in how many shifts the runs fit, one after the other, with setting up and closing."""
    count, left = 0, 0.0
    for run in plan.runs:
        need = plan.job.runs.set_up + run.lining_time + plan.job.runs.close
        if need > left:
            count, left = count + 1, plan.job.shift.length
        left -= need
    return count


def _how(plan: Plan) -> list[Message]:
    """Return in how many openings and runs, with how much mortar, in which time."""
    if not plan.runs:
        return [message("No layout of openings and runs keeps all limits; the warnings say where, and which limit.")]
    longest = max(plan.runs, key=lambda run: run.length)
    hours = sum(run.lining_time for run in plan.runs)
    said = [
        message(
            "The road is opened {openings} times for {runs} runs; the longest, {name}, is {longest}.",
            openings=len(plan.openings), runs=len(plan.runs), name=longest.id, longest=Quantity(longest.length, "m", 1),
        ),
        message(
            "The runs take {mortar} of mortar from {cement} of cement; the head moves for {hours}. Setting up, lining and closing take shifts: {shifts}.",
            mortar=Quantity(sum(run.mortar for run in plan.runs), "m3", 1), cement=Quantity(sum(run.cement for run in plan.runs), "t", 1),
            hours=Quantity(hours, "hours", 1), shifts=shifts(plan),
        ),
    ]  # fmt: skip
    done = [run for run in plan.runs if run.done]
    if len(done) == 1:
        said.append(message("Run {run} is done and stands as it was issued.", run=done[0].id))
    elif done:
        said.append(message("{n} of the runs are done and stand as they were issued.", n=len(done)))
    return said


def _thickness(plan: Plan) -> list[Message]:
    aims = [stretch.aim for stretch in plan.stretches if stretch.aim is not None]
    document = plan.job.lining.governing_document
    if not aims:
        return [message("Thickness is governed by: {document}.", document=document)]
    low, high = Quantity(min(aims), "mm", 1), Quantity(max(aims), "mm", 1)
    if math.isclose(min(aims), max(aims)):
        return [message("The lining is aimed at {low}, so that no point falls under its minimum with the confidence asked; governed by: {document}.", low=low, document=document)]  # fmt: skip
    return [
        message(
            "The lining is aimed at {low} to {high}, so that no point falls under its minimum with the confidence asked; governed by: {document}.",
            low=low, high=high, document=document,
        )
    ]  # fmt: skip


def sentences(plan: Plan, pen: Pen) -> list[str]:
    """Return the answer in sentences."""
    say = pen.say
    said = [" ".join(say.word(one) for one in part) for part in (_whether(plan), _how(plan), _thickness(plan))]
    cost = plan.cost
    if cost.rate is None:
        said.append(say.text("Nothing is priced: the job has no prices for the items of the bill."))
    else:
        money = pen.sum(cost.rate)
        if cost.low is not None and cost.high is not None and cost.low < cost.high:
            text = say.word(message("The priced items of the bill come to {cost}, between {low} and {high}.", cost=money, low=pen.money(cost.low), high=pen.money(cost.high)))  # fmt: skip
        else:
            text = say.word(message("The priced items of the bill come to {cost}.", cost=money))
        if len(cost.unpriced) == 1:
            text += " " + say.text("One item has no price and is not in it.")
        elif cost.unpriced:
            text += " " + say.word(message("{n} items have no price and are not in it.", n=len(cost.unpriced)))
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
            (say.text("Runs"), say.number(len(plan.runs), 0), say.word(message("in {n} shifts", n=shifts(plan)))),
            (say.text("Mortar"), say.quantity(sum(run.mortar for run in plan.runs), "m3", 1), say.word(message("{n} batches", n=batches))),
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
