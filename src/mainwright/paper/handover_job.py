"""What belongs to the whole job in the client's file: water, pressure test, obstructions, measured quantities, what is claimed without proof."""

from collections.abc import Mapping, Sequence

from mainwright.paper.blocks import Block, Cell, bold, box, heading, listing, paragraph, sign, table
from mainwright.paper.end_pages import assumed_table
from mainwright.paper.pen import DASH, Pen
from mainwright.paper.photos import photo_block
from mainwright.paper.run_parts import moment, verdict_text
from mainwright.paper.signature_blocks import signature_blocks
from mainwright.prove.obstructions import ObstructionProof
from mainwright.prove.proof import Proof
from mainwright.prove.water import WaterVerdict
from mainwright.words.message import Quantity, message

__all__ = ["job_pages", "obstruction_photos", "obstruction_table", "spans", "water_verdict"]

_WATER = {
    "released": message("released by its samples"),
    "not_released": message("not released"),
    "missing": message("not released: results are missing"),
}


def water_verdict(verdict: WaterVerdict, pen: Pen) -> str:
    """Return the verdict of the gate in words."""
    return pen.say.word(_WATER[verdict])


def job_pages(proof: Proof, pen: Pen, photos: Mapping[str, bytes]) -> list[Block]:
    """Return the pages of the whole job.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    pen : Pen
        Of the paper. [-]
    photos : mapping
        Usable files of photographs by their names. [-]

    Returns
    -------
    list of Block
        Certificates of water and pressure, obstructions, measured quantities, what no record shows, what was assumed, signatures.
    """
    say = pen.say
    return [
        *_water(proof, pen),
        *_pressure(proof, pen),
        *_obstructions(proof, pen, photos),
        *_measured(proof, pen),
        *assumed_table(proof.assumed, pen),
        heading(say.text("Signatures")),
        paragraph(
            say.text(
                "Signed is that these pages were read against the records of the revision at their foot. A dissent is written beside the name."
            )
        ),
        sign(
            [say.text("Contractor, name and date"), say.text("Client: accepts, name and date"), say.text("Client: dissents, name and date")]
        ),
    ]


def _water(proof: Proof, pen: Pen) -> list[Block]:
    say, water, zone = pen.say, proof.water, proof.job.info.time_zone
    blocks: list[Block] = [heading(say.text("Water: the gate before customers"))]
    blocks.append(
        box(
            "note" if water.verdict == "released" else "stop",
            water_verdict(water.verdict, pen),
            [
                *(say.word(text) for text in water.because),
                say.text(
                    "What the local authority and the client's laboratory ask goes before this gate; it is never opened by a program."
                ),
            ],
        )
    )
    blocks += signature_blocks(proof.signing, zone, pen)
    for one in water.deviations:
        text = "Signed deviation, {when}, {who}: {note}"
        blocks.append(box("stop", "", [say.word(message(text, when=moment(one.time, zone, pen), who=one.who or DASH, note=one.note))]))
    if water.tests:
        rows: list[list[Cell]] = []
        for part in water.tests:
            limits = DASH
            if part.high is not None:
                limits = f"{say.number(part.low, 1) if part.low is not None else 0}{DASH}{say.number(part.high, 1)}" if part.high else "0"
            state = DASH if part.passes is None else say.text("within") if part.passes else bold(say.text("outside"))
            value = DASH if part.test.value is None else say.number(part.test.value, 0 if part.test.value == int(part.test.value) else 2)
            rows.append(
                [
                    part.test.point,
                    moment(part.test.time, zone, pen),
                    part.test.parameter,
                    value,
                    part.test.unit or DASH,
                    limits,
                    state if part.counts else say.text("before the lining"),
                    part.test.lab or DASH,
                ]
            )
        heads = [
            say.text("Point"),
            say.text("Taken"),
            say.text("Parameter"),
            say.text("Result"),
            say.text("Unit"),
            say.text("Limits"),
            say.text("Verdict"),
            say.text("Laboratory"),
        ]
        blocks.append(table(heads, rows, right=(3,), widths=("auto", "auto", "1fr", "auto", "auto", "auto", "auto", "1fr")))
        sources = {part.source for part in water.tests if part.source is not None}
        blocks += [
            paragraph(f"{source.title}, {source.clause} ({say.code(source.status)})", quiet=True)
            for source in sorted(sources, key=lambda one: one.title)
        ]
    return blocks


def _pressure(proof: Proof, pen: Pen) -> list[Block]:
    say, pressure, zone = pen.say, proof.pressure, proof.job.info.time_zone
    if pressure.rule is None and not pressure.sections:
        return []
    title = say.word(message("Pressure test: {verdict}", verdict=verdict_text(pressure.verdict, pen)))
    blocks: list[Block] = [heading(title)]
    text = "Rule: {rule}. Greatest pressure that the client allows in this pipe: {limit}."
    limit = DASH if pressure.limit is None else say.quantity(pressure.limit, "bar", 1)
    blocks.append(paragraph(say.word(message(text, rule=pressure.rule or DASH, limit=limit))))
    for one in pressure.sections:
        hour = 3600.0
        rows: list[list[Cell]] = [
            [
                one.section,
                moment(one.readings[0].time, zone, pen),
                pen.optional(one.duration, "hours", 1),
                pen.optional(one.highest, "bar", 2),
                pen.optional(one.last, "bar", 2),
                pen.optional(one.added, "l", 1),
                pen.optional(None if one.loss is None else one.loss * hour, "l", 2),
                pen.optional(None if one.allowed is None else one.allowed * hour, "l", 2),
                pen.optional(None if one.make_up is None else one.make_up.leak * hour, "l", 2),
            ]
        ]
        heads = [
            say.text("Section"),
            say.text("Begun"),
            pen.head("Lasted", "hours"),
            pen.head("Highest", "bar"),
            pen.head("Last", "bar"),
            pen.head("Added", "l"),
            pen.head("An hour", "l"),
            pen.head("Allowed", "l"),
            pen.head("Goes on", "l"),
        ]
        blocks.append(table(heads, rows, right=(2, 3, 4, 5, 6, 7, 8)))
        trace: list[list[Cell]] = [
            [
                moment(row.time, zone, pen),
                pen.optional(row.pressure, "bar", 2),
                pen.optional(row.added, "l", 2),
                row.gauge or DASH,
                row.who or DASH,
            ]
            for row in one.readings
        ]
        heads = [say.text("Time"), pen.head("Pressure", "bar"), pen.head("Added", "l"), say.text("Gauge"), say.text("Who")]
        blocks.append(table(heads, trace, right=(1, 2), widths=("auto", "auto", "auto", "auto", "1fr")))
        if one.because:
            blocks.append(listing([say.word(text) for text in one.because]))
        if one.make_up is not None:
            note = "Goes on: the part of the make-up that does not fall with time, which is a leak; the rest falls with the root of time and soaks into the mortar."
            blocks.append(paragraph(say.text(note), quiet=True))
    if pressure.notes:
        blocks.append(listing([say.word(text) for text in pressure.notes]))
    return blocks


def obstruction_table(found: Sequence[ObstructionProof], pen: Pen, zone: str) -> Block:
    """Return obstructions with the state of the drawings.

    Parameters
    ----------
    found : sequence of ObstructionProof
        In order of chainage. [-]
    pen : Pen
        Of the paper. [-]
    zone : str
        Time zone of the job. [-]

    Returns
    -------
    Block
        The table.
    """
    say = pen.say
    rows: list[list[Cell]] = []
    for one in found:
        record = one.record
        drawn = DASH if record.on_drawing is None else say.text("yes") if record.on_drawing else say.text("no")
        state = say.word(one.drawings)
        if one.contradicted:
            state = f"{state}. {say.text('The record says that it was not drawn: the client will ask.')}"
        rows.append(
            [
                pen.optional(record.chainage, "m", 1),
                moment(record.time, zone, pen),
                say.code(record.kind) if record.kind else DASH,
                drawn,
                state,
                pen.optional(record.duration, "minutes", 0),
                record.photo or say.text("none"),
                record.note or DASH,
            ]
        )
    heads = [
        pen.head("Chainage", "m"),
        say.text("Found"),
        say.text("Kind"),
        say.text("Drawn"),
        say.text("State of the drawings"),
        pen.head("Cost", "minutes"),
        say.text("Photograph"),
        say.text("Note"),
    ]
    return table(heads, rows, right=(0, 5), widths=("auto", "auto", "auto", "auto", "1.2fr", "auto", "auto", "1fr"))


def obstruction_photos(found: Sequence[ObstructionProof], pen: Pen, photos: Mapping[str, bytes]) -> list[Block]:
    """Return the photographs of obstructions.

    Parameters
    ----------
    found : sequence of ObstructionProof
        In order of chainage. [-]
    pen : Pen
        Of the paper. [-]
    photos : mapping
        Usable files by their names. [-]

    Returns
    -------
    list of Block
        One block, or none.
    """
    say = pen.say
    names = {
        one.record.photo: say.word(
            message(
                "{photo}: {kind} at {place}",
                photo=one.record.photo,
                kind=one.record.kind or DASH,
                place=Quantity(one.record.chainage, "m", 1),
            )
        )
        for one in found
        if one.record.photo
    }
    return photo_block(names, photos)


def _obstructions(proof: Proof, pen: Pen, photos: Mapping[str, bytes]) -> list[Block]:
    if not proof.obstructions:
        return []
    return [
        heading(pen.say.text("Obstructions")),
        obstruction_table(proof.obstructions, pen, proof.job.info.time_zone),
        *obstruction_photos(proof.obstructions, pen, photos),
    ]


def spans(records: Sequence[str]) -> list[str]:
    """Return rows of records with neighbours as one span: ``runs_done.csv:1–3``."""
    found: list[tuple[str, int, int]] = []
    for record in records:
        file, _, row = record.rpartition(":")
        number = int(row)
        if found and found[-1][0] == file and number == found[-1][2] + 1:
            found[-1] = (file, found[-1][1], number)
        else:
            found.append((file, number, number))
    return [f"{file}:{low}" if low == high else f"{file}:{low}{DASH}{high}" for file, low, high in found]


def _measured(proof: Proof, pen: Pen) -> list[Block]:
    say = pen.say
    digits = {"m": 1, "t": 2}
    blocks: list[Block] = [heading(say.text("Measured quantities"))]
    if proof.measured:
        rows: list[list[Cell]] = [
            [
                one.item,
                DASH if one.text is None else say.word(one.text),
                say.number(one.quantity, digits.get(one.unit, 0)),
                say.bill_unit(one.unit),
                ", ".join(spans(one.records)),
            ]
            for one in proof.measured
        ]
        heads = [say.text("Item"), say.text("What it is"), say.text("Quantity"), say.text("Unit"), say.text("Records behind it")]
        blocks.append(table(heads, rows, right=(2,), widths=("auto", "1fr", "auto", "auto", "1.1fr")))
    else:
        blocks.append(paragraph(say.text("No record of anything done: nothing can be claimed.")))
    if proof.unproven:
        lines: list[list[Cell]] = [
            [
                one.item,
                say.word(one.text),
                say.number(one.planned, digits.get(one.unit, 0)),
                say.number(one.proven, digits.get(one.unit, 0)),
                bold(say.number(one.planned - one.proven, digits.get(one.unit, 0))),
                say.bill_unit(one.unit),
            ]
            for one in proof.unproven
        ]
        heads = [
            say.text("Item"),
            say.text("What it is"),
            say.text("Planned"),
            say.text("On record"),
            say.text("Without proof"),
            say.text("Unit"),
        ]
        blocks += [
            heading(say.text("Without proof: not to be claimed as it is"), 2),
            table(heads, lines, right=(2, 3, 4), widths=("auto", "1fr", "auto", "auto", "auto", "auto")),
        ]
    return blocks
