"""The evidence of one run on paper: every part with its verdict, then what lies behind each."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from mainwright.figures.thickness_strip import thickness_strip
from mainwright.paper.blocks import Block, Cell, bold, box, figure, heading, table
from mainwright.paper.pen import DASH, Pen
from mainwright.paper.run_parts import (
    MATURE_AT,
    SHORT,
    Wall,
    camera_blocks,
    clock_span,
    connection_blocks,
    curing_blocks,
    mortar_blocks,
    reading_blocks,
    scan_blocks,
    verdict_text,
)
from mainwright.paper.signature_blocks import signature_blocks
from mainwright.plan.result import LinedStretch
from mainwright.prove.defects import Defect
from mainwright.prove.proof import Proof, RunProof
from mainwright.words.message import message

if TYPE_CHECKING:
    from mainwright.prove.verdict import PartVerdict

__all__ = ["EVENTS", "balance_blocks", "defect_rows", "defect_table", "run_evidence"]


_KINDS: Final = {
    "thin": message("thin"),
    "bare": message("bare"),
    "thick": message("over the maximum"),
    "silent": message("no readings"),
}
EVENTS: Final = {
    "start": message("start"),
    "stop": message("stop"),
    "restart": message("restart"),
    "purge": message("hose purged"),
    "returned_l": message("mortar returned"),
    "wasted_l": message("mortar thrown away"),
    "water_in_invert": message("water in the invert"),
    "valve_lets_by": message("valve lets by"),
    "alarm": message("alarm"),
    "acknowledged": message("alarm acknowledged"),
    "ends_closed": message("end closed"),
    "hold_point": message("hold point"),
    "remark": message("remark"),
    "end": message("end of the run"),
}
"""What each kind of event is called."""

_SOURCES: Final = {
    "readings": message("odometer and pump"),
    "batches": message("what was batched"),
    "gauge": message("gauge readings of the interior"),
    "scan": message("ring scans"),
}


def run_evidence(
    one: RunProof, stretches: Sequence[LinedStretch], pen: Pen, proof: Proof, *, fresh: bool, wall: Wall | None
) -> list[Block]:
    """Return the sheet of evidence of one run.

    Parameters
    ----------
    one : RunProof
        The run. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    pen : Pen
        Of the paper. [-]
    proof : Proof
        The whole. [-]
    fresh : bool
        Whether it begins a page. [-]
    wall : sequence, optional
        Wall of a scanned run: least thickness in steps along the run and round the clock. [m]

    Returns
    -------
    list of Block
        Verdicts first, then thickness, defects, readings, mortar, curing, camera, connections.
    """
    say = pen.say
    blocks: list[Block] = [heading(f"{one.run.id}: {pen.length(one.run.start, one.run.end)}, {say.word(SHORT[one.verdict])}", fresh=fresh)]
    blocks.append(_parts(one, pen))
    if one.signing.last is not None:
        blocks += signature_blocks(one.signing, proof.job.info.time_zone, pen)
    if one.because:
        blocks.append(box("stop", say.text("Why not"), [say.word(text) for text in one.because]))
    if one.missing:
        blocks.append(box("act", say.text("Missing"), [say.word(text) for text in one.missing]))
    if one.laid is not None:
        info = proof.job.info
        picture = thickness_strip(one, stretches, width=494.0, language=info.language, units=info.units)
        text = "Thickness along {run} by its readings, with the minimum, nominal and maximum that were asked; its lengths that are not as asked stand in the table below."
        blocks.append(figure(picture, say.word(message(text, run=one.run.id))))
    if one.defects:
        blocks += [
            heading(say.text("Not as it was asked"), 2),
            defect_table([(one.run.id, part) for part in one.defects], pen, named=False),
        ]
    return [
        *blocks,
        *scan_blocks(one, stretches, pen, proof, wall),
        *_agreement(one, pen),
        *balance_blocks(one, pen),
        *reading_blocks(one, pen, proof),
        *mortar_blocks(one, pen),
        *curing_blocks(one, pen, proof),
        *camera_blocks(one, pen),
        *connection_blocks(one, pen),
    ]


def _parts(one: RunProof, pen: Pen) -> Block:
    say = pen.say
    thickness = one.thickness
    least = DASH if thickness is None else say.quantity(thickness.minimum, "mm", 1)
    mean = DASH if thickness is None else say.quantity(thickness.mean, "mm", 1)
    fails: PartVerdict = (
        "incomplete"
        if thickness is None
        else "does_not_meet"
        if any(part.by == "readings" and part.kind != "silent" for part in one.defects)
        else "meets"
    )
    if fails == "meets" and one.laid is not None and one.laid.gaps:
        fails = "incomplete"
    scanned: list[list[Cell]] = []
    if one.scan is not None:
        metres = say.word(message("{n} {n:metre/metres}", n=len(one.scan.metres)))
        scanned = [[say.text("Ring scans"), metres, verdict_text(one.scan.verdict, pen)]]
    strength = DASH if one.mortar.strength is None else say.quantity(one.mortar.strength, "mpa", 1)
    hours = DASH if one.curing.age_low is None else say.quantity(one.curing.age_low, "hours", 0)
    seen = sum(part.rows for part in one.camera.passes)
    clear = sum(part.cleared is not None for part in one.connections.connections)
    gauged = say.text("none of the interior") if not one.readings.count else say.word(message("{n} of the interior", n=one.readings.count))
    read: PartVerdict = one.readings.verdict if one.readings.count else "not_asked"
    rows: list[list[Cell]] = [
        [
            say.text("Thickness by odometer and pump"),
            say.word(message("mean {mean}, least {least}", mean=mean, least=least)),
            verdict_text(fails, pen),
        ],
        [say.text("Gauge readings"), gauged, verdict_text(read, pen)],
        [say.text("Mortar"), say.word(message("strength {strength}", strength=strength)), verdict_text(one.mortar.verdict, pen)],
        [
            say.text("Curing"),
            say.word(message("{hours} old at {reference} by the log", hours=hours, reference=MATURE_AT)),
            verdict_text(one.curing.verdict, pen),
        ],
        [say.text("Camera"), say.word(message("{n} {n:row/rows} of both passes", n=seen)), verdict_text(one.camera.verdict, pen)],
        [
            say.text("Connections"),
            say.word(message("{n} of {all} on record as clear", n=clear, all=len(one.connections.connections))),
            verdict_text(one.connections.verdict, pen),
        ],
    ]
    if one.signing.last is None:
        # Who has signed has a box of its own below; that nobody has needs no more than a row.
        rows.append([say.text("Signature"), say.text("Not signed yet."), DASH])
    return table(
        [say.text("Part"), say.text("What is on record"), say.text("Verdict")],
        [*rows[:1], *scanned, *rows[1:]],
        widths=("auto", "1fr", "auto"),
    )


def defect_rows(defects: Sequence[tuple[str, Defect]], pen: Pen, *, named: bool) -> list[list[Cell]]:
    """Return a row for each length that is not as it was asked."""
    say = pen.say
    rows: list[list[Cell]] = []
    for run, one in defects:
        causes = "; ".join(say.word(text) for text in one.causes) or say.text("not known from the record")
        quantities = ""
        if one.mortar is not None and one.area is not None:
            quantities = f" ({say.quantity(one.area, 'm2', 1)}, {say.quantity(one.mortar, 'l', 0)})"
        row: list[Cell] = [
            pen.between(one.start, one.end),
            say.word(_KINDS[one.kind]),
            say.text("all round") if one.by == "readings" else clock_span(one.clock_start, one.clock_end, pen),
            pen.optional(one.worst, "mm", 1),
            pen.optional(one.depth, "mm", 1),
            causes,
            f"{say.word(one.text)}{quantities}",
        ]
        rows.append([bold(run), *row] if named else row)
    return rows


def defect_table(defects: Sequence[tuple[str, Defect]], pen: Pen, *, named: bool) -> Block:
    """Return the table of the lengths that are not as they were asked.

    Parameters
    ----------
    defects : sequence of (str, Defect)
        Run and length. [-]
    pen : Pen
        Of the paper. [-]
    named : bool
        Whether the run is named in each row. [-]

    Returns
    -------
    Block
        The table.
    """
    say = pen.say
    heads = [
        pen.head("Chainage", "m"),
        say.text("Kind"),
        say.text("Clock"),
        pen.head("Worst", "mm"),
        pen.head("Misses by", "mm"),
        say.text("Likely cause"),
        say.text("Remedy proposed"),
    ]
    widths = ("auto", "auto", "auto", "0.64fr", "0.58fr", "1.4fr", "1.4fr")
    if named:
        heads, widths = [say.text("Run"), *heads], ("auto", *widths)  # type: ignore[assignment]
    first = 1 if named else 0
    return table(heads, defect_rows(defects, pen, named=named), right=(first + 3, first + 4), widths=widths)


def _agreement(one: RunProof, pen: Pen) -> list[Block]:
    say = pen.say
    if not one.agreement.evidence:
        return []
    rows: list[list[Cell]] = [
        [say.word(_SOURCES[part.kind]), pen.optional(part.mean, "mm", 2), pen.optional(part.deviation, "mm", 2)]
        for part in one.agreement.evidence
    ]
    total = one.agreement.mean is not None and len(rows) > 1
    if total:
        rows.append(
            [bold(say.text("all together")), pen.optional(one.agreement.mean, "mm", 2), pen.optional(one.agreement.deviation, "mm", 2)]
        )
    heads = [say.text("Mean thickness by"), pen.head("Mean", "mm"), pen.head("Deviation", "mm")]
    blocks = [
        heading(say.text("Mean thickness by each kind of evidence"), 2),
        table(heads, rows, right=(1, 2), widths=("1fr", "auto", "auto"), total=total),
    ]
    if one.agreement.differs:
        blocks.append(box("act", "", [say.word(text) for text in one.agreement.differs]))
    return blocks


def balance_blocks(one: RunProof, pen: Pen) -> list[Block]:
    """Return the mass balance of a run."""
    if one.balance is None:
        return []
    balance = one.balance
    heads = [
        pen.head("Pumped", "l"),
        pen.head("Batched", "l"),
        pen.head("Returned", "l"),
        pen.head("Wasted", "l"),
        pen.head("Deposited", "l"),
        pen.head("Batched less pumped", "l"),
        pen.head("Filling of the hose by the plan", "l"),
    ]
    values = (
        balance.pumped,
        balance.batched,
        balance.returned,
        balance.wasted,
        balance.deposited,
        balance.difference,
        one.run.hose_filling,
    )
    row = [pen.optional(value, "l", 0) for value in values]
    return [heading(pen.say.text("Mass balance"), 2), table(heads, [row], right=tuple(range(len(heads))))]
