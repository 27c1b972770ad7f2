"""A plan in plain lines for a terminal: what was decided, what stands against it, what to do first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from mainwright.cli.terminal import counted, paragraph, table
from mainwright.words.wording import Wording

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mainwright.plan.result import Plan, PlanWarning, Severity

__all__ = ["ask_lines", "assumed_lines", "contract_lines", "decision_lines", "run_lines", "warning_lines", "wording_of"]

_VERDICTS: Final = {
    "suitable": "suitable",
    "with_measures": "with measures",
    "unsuitable": "unsuitable",
    "unknown": "not known yet",
}
_SEVERITIES: Final[dict[Severity, str]] = {"stop": "STOP", "act": "act", "note": "note"}

_MINUTE: Final = 60.0


def wording_of(plan: Plan) -> Wording:
    """Return how a plan is worded at a prompt: in English, in the units of the job."""
    return Wording("en", plan.job.info.units)


def decision_lines(plan: Plan) -> list[str]:
    """Return in a few lines what was decided."""
    say = wording_of(plan)
    job = plan.job
    length = job.main[-1].end - job.main[0].start
    reference = f" ({job.info.reference})" if job.info.reference else ""
    count = len(job.main)
    lines = [f"{job.info.name}{reference}: {say.quantity(length, 'm')} in {counted(count, 'stretch', 'stretches')}"]
    rows = [("Can it be lined", _suitability(plan, say))]
    if plan.layout.total_cost is None:
        rows.append(("Openings and runs", "NO LAYOUT keeps all limits; the warnings say where, and which limit to relax"))
    else:
        rows.append(
            (
                "Openings and runs",
                f"{counted(plan.layout.openings, 'opening')}, {counted(plan.layout.runs, 'run')}, the least cost of all layouts",
            )
        )
        rows += [("", text) for text in _alternatives(plan, say)]
    if plan.runs:
        mortar = sum(run.mortar for run in plan.runs)
        bags = sum(run.bags for run in plan.runs)
        thick = sorted(run.aim for run in plan.runs)
        aims = (
            say.quantity(thick[0], "mm") if thick[0] == thick[-1] else f"{say.measure(thick[0], 'mm')} to {say.quantity(thick[-1], 'mm')}"
        )
        rows.append(
            (
                "Mortar",
                f"aim {aims}; {say.quantity(mortar, 'm3', 2)} to mix, {say.number(bags, 0)} {'bag' if bags == 1 else 'bags'} of cement",
            )
        )
    rows.append(("Cost", _cost(plan, say)))
    wide = max(len(head) for head, _ in rows) + 2
    for head, text in rows:
        lines.append(paragraph(text, first="  " + head.ljust(wide)))
    return lines


def _suitability(plan: Plan, say: Wording) -> str:
    lengths: dict[str, float] = {}
    for one in plan.suitability:
        lengths[one.verdict] = lengths.get(one.verdict, 0.0) + one.end - one.start
    return ", ".join(f"{say.quantity(lengths[verdict], 'm')} {text}" for verdict, text in _VERDICTS.items() if verdict in lengths)


def _alternatives(plan: Plan, say: Wording) -> list[str]:
    texts = {"fewest_openings": "fewest openings", "shortest_closing": "shortest closing"}
    money = plan.job.info.currency
    return [
        f"{texts[one.name]}: {counted(len(one.openings), 'opening')}, {say.number(one.total_cost, 0)} {money} against {say.number(plan.layout.total_cost or 0.0, 0)},"
        f" longest closing {say.quantity(one.longest_closing, 'hours')}"
        for one in plan.layout.alternatives
        if one.name in texts and (one.total_cost, len(one.openings)) != (plan.layout.total_cost, plan.layout.openings)
    ]


def _cost(plan: Plan, say: Wording) -> str:
    cost = plan.cost
    if cost.rate is None:
        return "nothing is priced"
    text = f"{say.number(cost.rate, 0)} {plan.job.info.currency}".rstrip()
    if cost.low is not None and cost.high is not None:
        text += f" ({say.number(cost.low, 0)} to {say.number(cost.high, 0)})"
    return text + (f"; {counted(len(cost.unpriced), 'item')} without a price" if cost.unpriced else "")


def run_lines(plan: Plan) -> list[str]:
    """Return the runs as a table."""
    say = wording_of(plan)
    heads = (
        "run",
        f"from {say.unit('m')}",
        f"to {say.unit('m')}",
        "DN",
        f"aim {say.unit('mm')}",
        f"speed {say.unit('m_min')}",
        "min",
        "way",
        "limited by",
    )
    rows = [
        (
            run.id + (" done" if run.done else ""),
            say.measure(run.start, "m"),
            say.measure(run.end, "m"),
            str(run.dn),
            say.measure(run.aim, "mm"),
            say.measure(run.speed, "m_min"),
            say.measure(run.lining_time, "minutes") if run.lining_time >= _MINUTE else "<1",
            "up" if run.direction == "increasing" else "down",
            say.code(run.limit).replace("_", " "),
        )
        for run in plan.runs
    ]
    return table(heads, rows, right="lrrrrrrll")


def _place(say: Wording, start: float | None, end: float | None) -> str:
    if start is None:
        return ""
    if end is None or end == start:
        return f"{say.quantity(start, 'm')}: "
    return f"{say.measure(start, 'm')} to {say.quantity(end, 'm')}: "


def warning_lines(plan: Plan, severities: Iterable[Severity] = ("stop", "act", "note")) -> list[str]:
    """Return the warnings, the gravest first; what is said of many lengths is said once."""
    say = wording_of(plan)
    lines = []
    for severity in severities:
        alike: dict[tuple[str, str], list[PlanWarning]] = {}
        for one in plan.warnings:
            if one.severity == severity:
                # A stop is told at each of its places.
                key = (one.code, one.text.text if severity != "stop" else f"{one.text} {one.start} {one.end}")
                alike.setdefault(key, []).append(one)
        for found in alike.values():
            first = found[0]
            more = f" ({len(found) - 1} more like this)" if len(found) > 1 else ""
            text = _place(say, first.start, first.end) + say.word(first.text) + more
            lines.append(paragraph(text, first=f"  {_SEVERITIES[severity].ljust(4)}  "))
    return lines


def assumed_lines(plan: Plan) -> list[str]:
    """Return every value that nobody gave, with its origin."""
    say = wording_of(plan)
    rows = []
    for one in plan.assumed:
        value = "nothing" if one.value is None else say.number(one.value) if isinstance(one.value, float) else str(one.value)
        rows.append((one.what, f"{value} {_label(one.unit, say)}".rstrip(), say.word(one.because)))
    return table(("value", "taken", "because"), rows)


def _label(unit: str, say: Wording) -> str:
    from mainwright.units import UNITS

    del say
    return UNITS[unit].label if unit in UNITS else unit


def ask_lines(plan: Plan, *, most: int = 10) -> list[str]:
    """Return what to find out first: what is worth a question before the rest, and no more than `most`."""
    say = wording_of(plan)
    money = plan.job.info.currency
    ranked = sorted(plan.ask_first, key=lambda one: {True: 0, None: 1, False: 2}[one.worth])
    lines = []
    for one in ranked[:most]:
        text = f"{say.word(one.subject)}: {say.number(100.0 * one.probability, 0)} % likely to be wrong"
        if one.consequence is not None:
            text += f", which would cost {say.number(one.consequence, 0)} {money}".rstrip()
        if one.cost_of_asking:
            text += f"; finding out costs {say.number(one.cost_of_asking, 0)} {money}".rstrip()
        text += {True: ": find out.", False: ": not worth it.", None: "."}[one.worth]
        lines.append(paragraph(text, first="  - "))
    if len(ranked) > most:
        lines.append(f"  and {len(ranked) - most} more, which weigh less (all are in plan.json)")
    return lines


def contract_lines(plan: Plan) -> list[str]:
    """Return what the contract must still say."""
    say = wording_of(plan)
    return [paragraph(say.word(one.text), first="  - ") for one in plan.contract_gaps]
