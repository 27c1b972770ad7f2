"""Pages that say what the main is and what it becomes: suitability, lining, hydraulics."""

import math
from collections.abc import Sequence

from mainwright.figures.ribbon import ribbon, ribbon_data, sheets
from mainwright.figures.section import bore_section
from mainwright.paper.blocks import Block, Cell, bold, heading, landscape, paragraph, table
from mainwright.paper.origin_pages import origin_note
from mainwright.paper.pen import DASH, Pen
from mainwright.plan.result import HydraulicResult, LinedStretch, Plan
from mainwright.standards.source import Verdict
from mainwright.words.message import message

__all__ = ["hydraulic_pages", "lining_pages", "ribbon_pages", "suitability_pages", "verdict_text"]

_SECTIONS = 6


def verdict_text(verdict: Verdict, pen: Pen) -> str:
    """Return the words of a verdict: never more than what was asked."""
    said = {
        "suitable": "meets the entered requirements",
        "with_measures": "meets the entered requirements with measures",
        "unsuitable": "does not meet the entered requirements",
        "unknown": "not known, must be found out",
    }
    return pen.say.text(said[verdict])


def ribbon_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return the ribbon in sheets, a turned page each."""
    info, say = plan.job.info, pen.say
    data = ribbon_data(plan)
    pages: list[Block] = []
    for sheet in sheets(data):
        svg = ribbon(data, start=sheet.start, end=sheet.end, width=775.0, span=sheet.span, language=info.language, units=info.units)
        title = say.word(
            message(
                "The main along its length, sheet {n} of {count}: {length}",
                n=sheet.number,
                count=sheet.count,
                length=pen.length(sheet.start, sheet.end),
            )
        )
        pages.append(landscape(svg, title, title, first=not pages))
    return pages


def _merged(parts: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return lengths in order, those that touch as one."""
    found: list[tuple[float, float]] = []
    for start, end in sorted(parts):
        if found and abs(found[-1][1] - start) < 1e-6:
            found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return found


def _places(parts: Sequence[tuple[float, float]], plan: Plan, pen: Pen) -> str:
    """Return where something holds: everywhere, or the lengths."""
    merged = _merged(parts)
    main = plan.job.main
    if len(merged) == 1 and math.isclose(merged[0][0], main[0].start) and math.isclose(merged[0][1], main[-1].end):
        return pen.say.text("everywhere")
    return ", ".join(pen.between(start, end) for start, end in merged)


def _verdict_rows(plan: Plan, pen: Pen) -> list[list[Cell]]:
    """Return a row for each stretch: what it is, its verdict, and the rules that do not say plainly yes."""
    say = pen.say
    pipes = {(one.start, one.end): f"DN {one.dn} {say.code(one.material)}" for one in plan.job.main}
    rows: list[list[Cell]] = []
    for one in plan.suitability:
        rules = "; ".join(say.word(reason.rule) for reason in one.reasons if reason.verdict != "suitable")
        rows.append(
            [pen.between(one.start, one.end), pipes.get((one.start, one.end), ""), bold(verdict_text(one.verdict, pen)), rules or DASH]
        )
    return rows


def _rule_rows(plan: Plan, pen: Pen) -> list[list[Cell]]:
    """Return each rule with what it allows and its source once, and under it what was found where."""
    say = pen.say
    rules: dict[tuple[str, str, str], dict[tuple[str, Verdict], list[tuple[float, float]]]] = {}
    for one in plan.suitability:
        for reason in one.reasons:
            key = (say.word(reason.rule), say.word(reason.limit), pen.source(reason.source))
            rules.setdefault(key, {}).setdefault((say.word(reason.found), reason.verdict), []).append((one.start, one.end))
    rows: list[list[Cell]] = []
    for (rule, limit, source), answers in rules.items():
        rows.append([{"text": rule, "bold": True, "lead": f"{limit} {source}", "span": 3}])
        for (found, verdict), parts in answers.items():
            said = say.code(verdict)
            rows.append([_places(parts, plan, pen), found, said if verdict == "suitable" else bold(said)])
    return rows


def suitability_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return the verdict of each stretch, each rule with its source and what was found, and what would change the answer."""
    say = pen.say
    if not plan.suitability:
        return []
    measures: dict[str, list[tuple[float, float]]] = {}
    for one in plan.suitability:
        for measure in one.measures:
            measures.setdefault(say.word(measure), []).append((one.start, one.end))
    blocks: list[Block] = [
        heading(say.text("Can it be lined")),
        paragraph(
            say.text("The verdict of a stretch is the worst of its rules. Numbers in brackets lead to the sources."), quiet=True, leads=True
        ),
        table(
            [pen.head("Chainage", "m"), say.text("Pipe"), say.text("Verdict"), say.text("Because of")],
            _verdict_rows(plan, pen),
            widths=["auto", "auto", "1.6fr", "3fr"],
        ),
    ]
    if measures:
        rows: list[list[Cell]] = [[_places(parts, plan, pen), text] for text, parts in measures.items()]
        blocks += [
            heading(say.text("What would change it"), 2),
            table([pen.head("Chainage", "m"), say.text("Measure")], rows, widths=["1fr", "3fr"]),
        ]
    heads = [pen.head("Chainage", "m"), say.text("Found"), say.text("Says")]
    blocks += [
        heading(say.text("Rule by rule: what is allowed, and what was found"), 2),
        table(heads, _rule_rows(plan, pen), widths=["1.2fr", "3fr", "auto"]),
    ]
    return blocks


def _sections(plan: Plan, pen: Pen) -> list[Block]:
    """Return a row of cross-sections, one of each kind of pipe, the longest first chosen."""
    info = plan.job.info
    rows = {(one.start, one.end): one for one in plan.job.main}
    chosen: dict[tuple[int, str], tuple[float, LinedStretch]] = {}
    for lined in plan.stretches:
        stretch = rows.get((lined.start, lined.end))
        if stretch is None or lined.aim is None:
            continue
        key = (stretch.dn, stretch.material)
        if key not in chosen or lined.end - lined.start > chosen[key][0]:
            chosen[key] = (lined.end - lined.start, lined)
    kept = sorted(sorted(chosen.values(), key=lambda one: -one[0])[:_SECTIONS], key=lambda one: one[1].start)
    if not kept:
        return []
    items = []
    for _, lined in kept:
        stretch = rows[(lined.start, lined.end)]
        svg = bore_section(stretch, lined, width=100.0, language=info.language, units=info.units)
        caption = f"DN {stretch.dn} {pen.say.code(stretch.material)}, {pen.length(lined.start, lined.end)}"
        items.append({"svg": svg, "alt": caption, "caption": caption})
    return [{"kind": "row", "items": items, "count": max(4, len(items))}]


def lining_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return thickness and bore by stretch."""
    say = pen.say
    rows: list[list[Cell]] = [
        [
            pen.between(one.start, one.end), f"DN {one.dn}", pen.optional(one.bore_clean, "mm", 1), say.code(one.bore_source),
            pen.optional(one.minimum, "mm", 1), pen.optional(one.nominal, "mm", 1), pen.optional(one.maximum, "mm", 1),
            bold(pen.optional(one.aim, "mm", 1)), pen.optional(one.bore_lined, "mm", 1), pen.optional(one.deposits, "l_m", 1),
        ]
        for one in plan.stretches
    ]  # fmt: skip
    heads = [
        pen.head("Chainage", "m"), say.text("Pipe"), pen.head("Clean bore", "mm"), say.text("from"), pen.head("Minimum", "mm"), pen.head("Nominal", "mm"),
        pen.head("Maximum", "mm"), pen.head("Aim", "mm"), pen.head("Lined bore", "mm"), pen.head("Deposits", "l_m"),
    ]  # fmt: skip
    lining = plan.job.lining
    confidence = say.word(message("No point under the minimum with a confidence of {confidence}; the document that governs: {document}.", confidence=say.quantity(lining.confidence, "pct", 0), document=lining.governing_document))  # fmt: skip
    return [
        heading(say.text("Lining")),
        paragraph(confidence, leads=True),
        *origin_note(plan, pen, ("lining", "by_dn")),
        *_sections(plan, pen),
        table(heads, rows, right=(2, 4, 5, 6, 7, 8, 9), widths=["auto", "auto", "1fr", "auto", "1fr", "1fr", "1fr", "0.8fr", "1fr", "1fr"]),
    ]


def hydraulic_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return what the client gains in the pipe."""
    say = pen.say
    if not plan.hydraulics:
        return []

    def ratio(value: float | None) -> str:
        return DASH if value is None else "×" + say.space + say.number(value, 2)

    def row(one: HydraulicResult) -> list[Cell]:
        return [
            pen.between(one.start, one.end), pen.optional(one.flow, "l_s", 1), pen.optional(one.roughness_before, "mm", 2), pen.optional(one.roughness_after, "mm", 2),
            pen.optional(one.velocity_before, "m_s", 2), pen.optional(one.velocity_after, "m_s", 2), pen.optional(one.head_loss_before, "m", 2),
            pen.optional(one.head_loss_after, "m", 2), pen.optional(one.local_loss_after, "m", 2),
            DASH if one.hazen_williams_after is None else say.number(one.hazen_williams_after, 0), bold(ratio(one.capacity_gain)),
        ]  # fmt: skip

    heads = [
        pen.head("Chainage", "m"), pen.head("Flow", "l_s"), pen.head("k today", "mm"), pen.head("k lined", "mm"), pen.head("Velocity today", "m_s"),
        pen.head("lined", "m_s"), pen.head("Head loss today", "m"), pen.head("lined", "m"), pen.head("local, lined", "m"), say.text("C lined"), say.text("Capacity"),
    ]  # fmt: skip
    note = say.text("Capacity: flow of the lined main at today's head loss, against today's. Head losses are friction along the stretch; local losses stand apart. C: Hazen-Williams.")  # fmt: skip
    return [
        heading(say.text("Hydraulics, today and lined")),
        table(heads, [row(one) for one in plan.hydraulics], right=tuple(range(1, 11)), widths=["auto"] + ["1fr"] * 10),
        paragraph(note, quiet=True),
    ]
