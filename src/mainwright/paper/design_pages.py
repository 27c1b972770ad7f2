"""Pages that say what the main is and what it becomes: suitability, lining, hydraulics."""

from mainwright.figures.ribbon import ribbon, ribbon_data, sheets
from mainwright.figures.section import bore_section
from mainwright.paper.blocks import Block, Cell, bold, heading, landscape, listing, paragraph, table
from mainwright.paper.pen import DASH, Pen
from mainwright.plan.result import HydraulicResult, LinedStretch, Plan, Suitability
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


def _groups(plan: Plan) -> list[tuple[list[Suitability], Suitability]]:
    """Return stretches that have the same reasons together, in order of their first chainage."""
    found: list[tuple[list[Suitability], Suitability]] = []
    for one in plan.suitability:
        same = next(
            (group for group, head in found if (head.verdict, head.reasons, head.measures) == (one.verdict, one.reasons, one.measures)),
            None,
        )
        if same is None:
            found.append(([one], one))
        else:
            same.append(one)
    return found


def suitability_pages(plan: Plan, pen: Pen) -> list[Block]:
    """Return the verdict of each stretch with its reasons and their sources."""
    say = pen.say
    blocks: list[Block] = [
        heading(say.text("Can it be lined")),
        paragraph(say.text("Each rule is applied by itself; the verdict of a stretch is the worst of its rules. Numbers in brackets lead to the sources."), quiet=True, leads=True),
    ]  # fmt: skip
    for group, head in _groups(plan):
        places = ", ".join(pen.length(one.start, one.end) for one in group)
        blocks.append(heading(f"{places}: {verdict_text(head.verdict, pen)}", 2))
        rows: list[list[Cell]] = []
        for reason in head.reasons:
            verdict = say.code(reason.verdict)
            rows.append(
                [say.word(reason.rule), say.word(reason.found), say.word(reason.limit), verdict if reason.verdict == "suitable" else bold(verdict), pen.source(reason.source)]
            )  # fmt: skip
        heads = [say.text("Rule"), say.text("Found"), say.text("Allowed"), say.text("Says"), ""]
        blocks.append(table(heads, rows, widths=["2.2fr", "3fr", "3fr", "1.3fr", "auto"]))
        if head.measures:
            blocks.append(paragraph(say.text("What would change it:"), leads=True))
            blocks.append(listing([say.word(one) for one in head.measures]))
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
