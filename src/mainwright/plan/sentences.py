"""What a plan says, in sentences with their numbers: the first thing that a person reads of it, on paper and on pages."""

import math
from dataclasses import replace

from mainwright.plan.result import Plan
from mainwright.standards.source import Assumed, Verdict
from mainwright.words.message import Message, Quantity, message
from mainwright.words.wording import Wording

__all__ = ["assumed_value", "how", "shifts", "thickness", "whether"]


def _lengths(plan: Plan) -> dict[Verdict, float]:
    found: dict[Verdict, float] = {"suitable": 0.0, "with_measures": 0.0, "unsuitable": 0.0, "unknown": 0.0}
    for one in plan.suitability:
        found[one.verdict] += one.end - one.start
    return found


def whether(plan: Plan) -> list[Message]:
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


def how(plan: Plan) -> list[Message]:
    """Return in how many openings and runs, with how much mortar, in which time."""
    if not plan.runs:
        return [message("No layout of openings and runs keeps all limits; the warnings say where, and which limit.")]
    longest = max(plan.runs, key=lambda run: run.length)
    hours = sum(run.lining_time for run in plan.runs)
    said = [
        message(
            "The road is opened {openings} {openings:time/times} for {runs} {runs:run/runs}; {runs:/the longest, }{name}{runs:/,} is {longest}.",
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
        said.append(message("{n} of the runs {n:is done and stands as it was/are done and stand as they were} issued.", n=len(done)))
    return said


def thickness(plan: Plan) -> list[Message]:
    """Return how thick the lining is meant to be, and by whose rule."""
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


def assumed_value(one: Assumed, say: Wording) -> str:
    """Return a value that nobody gave, as a reader reads it.

    Parameters
    ----------
    one : Assumed
        The value under its key. [-]
    say : Wording
        Of the reader. [-]

    Returns
    -------
    str
        A value whose key names its unit stands in that unit, as it would be typed; any other in the reader's.
    """
    if one.value is None:
        return "–"
    if isinstance(one.value, str):
        return say.code(one.value)
    key = one.what.partition("[")[0]
    typed = bool(one.unit) and key.endswith(f"_{one.unit}")
    return (replace(say, units="metric") if typed else say).as_given(one.value, one.unit)
