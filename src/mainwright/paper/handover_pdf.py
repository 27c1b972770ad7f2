"""The client's file on paper: ``handover.pdf``, verdicts first."""

from collections.abc import Sequence

from mainwright import __version__
from mainwright.figures.thickness_strip import thickness_strip
from mainwright.paper.blocks import Block, bold, box, figure, heading, listing, paragraph, strip, table
from mainwright.paper.pen import DASH, Pen
from mainwright.paper.typeset import typeset
from mainwright.plan.result import LinedStretch
from mainwright.prove.proof import Proof, RunProof
from mainwright.words.message import Quantity, message
from mainwright.words.wording import Wording

__all__ = ["handover_pages", "render_handover"]

_VERDICTS = {
    "meets": message("meets the entered requirements"),
    "does_not_meet": message("does not meet the entered requirements"),
    "incomplete": message("incomplete"),
}


def handover_pages(proof: Proof, stretches: Sequence[LinedStretch]) -> dict[str, object]:
    """Return everything that the paper prints, as the template takes it.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]

    Returns
    -------
    dict
        Texts, tables and figures in their order.
    """
    info = proof.job.info
    pen = Pen(Wording(info.language, info.units, "\u00a0"), info.currency)
    say = pen.say
    when = say.day(info.first_day) if info.first_day else say.text("first day not set")
    facts = [
        (say.text("Client"), info.client or DASH),
        (say.text("Reference"), info.reference or DASH),
        (say.text("First day"), say.day(info.first_day) if info.first_day else DASH),
        (say.text("Revision"), proof.job.revision[:12]),
    ]
    return {
        "language": info.language if info.language in ("en", "de") else "en",
        "title": f"{info.name}: {say.text('what the records prove')}",
        "author": info.client,
        "keywords": [info.reference, proof.job.revision],
        "footer": {
            "left": pen.joined((info.reference, info.name)),
            "middle": f"{say.word(message('Revision {revision}', revision=proof.job.revision[:16]))} · {when} · Mainwright {__version__}",
            "page": say.text("Page"),
        },
        "cover": {
            "over": say.text("What the records prove"),
            "title": info.name,
            "facts": [{"name": name, "value": value} for name, value in facts],
        },
        "contents": say.text("Contents"),
        "summary": _summary(proof, pen),
        "blocks": [
            *_verdicts(proof, pen),
            *(block for one in proof.runs if one.laid for block in _run(one, stretches, pen, proof)),
            *_unread(proof, pen),
            *_end(proof, pen),
        ],
        "runs": [],
    }


def render_handover(proof: Proof, stretches: Sequence[LinedStretch]) -> bytes:
    """Return the client's file as a PDF, the same bytes for the same proof.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]

    Returns
    -------
    bytes
        The document, tagged for screen readers.
    """
    return typeset("plan.typ", handover_pages(proof, stretches), day=proof.job.info.first_day)


def _summary(proof: Proof, pen: Pen) -> list[Block]:
    say = pen.say
    counts = {verdict: sum(one.verdict == verdict for one in proof.runs) for verdict in _VERDICTS}
    thin = sum(part.end - part.start for one in proof.runs if one.thickness for part in one.thickness.under_minimum)
    silent = sum(gap.end - gap.start for one in proof.runs if one.laid for gap in one.laid.gaps)
    unread = sum(one.run.length for one in proof.runs if one.laid is None)
    blocks = [
        strip(
            [
                (say.text("Runs"), str(len(proof.runs)), ""),
                (say.text("Meet what was entered"), str(counts["meets"]), ""),
                (say.text("Do not meet it"), str(counts["does_not_meet"]), ""),
                (say.text("Incomplete"), str(counts["incomplete"]), ""),
                (say.text("Under the minimum"), say.quantity(thin, "m", 1), say.text("by the readings")),
            ]
        ),
        listing(
            [
                say.word(message("No readings on record: {length} of runs.", length=Quantity(unread, "m", 1))),
                say.word(message("Lengths driven without a reading: {length}.", length=Quantity(silent, "m", 1))),
                say.text(
                    "Litres by length prove the mean of the ring. How it is spread round the clock, they do not: that takes gauges, camera or scans."
                ),
            ]
        ),
    ]
    if proof.missing:
        blocks.append(box("stop", say.text("Missing for the whole job"), [say.word(text) for text in proof.missing]))
    blocks.append(
        box(
            "note",
            "",
            [say.text("A run meets the entered requirements, does not, or is incomplete. Acceptance is the client's signature.")],
        )
    )
    return blocks


def _verdicts(proof: Proof, pen: Pen) -> list[Block]:
    say = pen.say
    rows = []
    for one in proof.runs:
        thickness = one.thickness
        values = (thickness.mean, thickness.p05, thickness.minimum) if thickness is not None else (None, None, None)
        thin = None if thickness is None else sum(part.end - part.start for part in thickness.under_minimum)
        rows.append(
            [
                bold(one.run.id),
                pen.between(one.run.start, one.run.end),
                *(pen.optional(value, "mm", 1) for value in values),
                pen.optional(thin, "m", 1),
                bold(say.word(_VERDICTS[one.verdict])),
            ]
        )
    heads = [
        say.text("Run"),
        pen.head("Chainage", "m"),
        pen.head("Mean", "mm"),
        pen.head("5 % point", "mm"),
        pen.head("Least", "mm"),
        pen.head("Under minimum", "m"),
        say.text("Verdict"),
    ]
    return [heading(say.text("Verdicts")), table(heads, rows, right=(2, 3, 4, 5), widths=("auto",) * 6 + ("1fr",))]


def _run(one: RunProof, stretches: Sequence[LinedStretch], pen: Pen, proof: Proof) -> list[Block]:
    say = pen.say
    title = f"{one.run.id}: {pen.length(one.run.start, one.run.end)}, {say.word(_VERDICTS[one.verdict])}"
    blocks: list[Block] = [heading(title)]
    if one.laid is None:
        return blocks
    info = proof.job.info
    picture = thickness_strip(one, stretches, width=480.0, language=info.language, units=info.units)
    alt = say.word(
        message(
            "Thickness along {run} by its readings, with the minimum, nominal and maximum that were asked; its lengths under the minimum stand in the table below.",
            run=one.run.id,
        )
    )
    blocks.append(figure(picture, alt))
    if one.because:
        blocks.append(box("stop", say.text("Why not"), [say.word(text) for text in one.because]))
    if one.missing:
        blocks.append(box("act", say.text("Missing"), [say.word(text) for text in one.missing]))
    if one.balance is not None:
        balance = one.balance
        pairs = (
            ("Pumped", balance.pumped),
            ("Batched", balance.batched),
            ("Returned", balance.returned),
            ("Wasted", balance.wasted),
            ("Deposited", balance.deposited),
            ("Batched less pumped", balance.difference),
        )
        blocks.append(
            table([pen.head(name, "l") for name, _ in pairs], [[pen.optional(value, "l", 0) for _, value in pairs]], right=tuple(range(6)))
        )
    if one.thickness is not None and one.thickness.under_minimum:
        rows = [
            [pen.between(part.start, part.end), pen.optional(part.end - part.start, "m", 1), pen.optional(part.minimum, "mm", 1)]
            for part in one.thickness.under_minimum
        ]
        blocks += [
            heading(say.text("Under the minimum"), 2),
            table([pen.head("Chainage", "m"), pen.head("Length", "m"), pen.head("Least", "mm")], rows, right=(1, 2)),
        ]
    if one.laid.gaps:
        gaps = [[pen.between(gap.start, gap.end), say.word(gap.why)] for gap in one.laid.gaps]
        blocks += [
            heading(say.text("No readings"), 2),
            table([pen.head("Chainage", "m"), say.text("Why")], gaps, widths=("auto", "1fr")),
        ]
    if one.readings.count:
        read = one.readings
        row = [
            str(read.count),
            pen.optional(read.mean, "mm", 2),
            pen.optional(read.deviation, "mm", 2),
            DASH if read.k is None else say.number(read.k, 2),
            DASH if read.k_required is None else say.number(read.k_required, 2),
            say.word(_VERDICTS[read.verdict]),
        ]
        heads = [
            say.text("Readings"),
            pen.head("Mean", "mm"),
            pen.head("Deviation", "mm"),
            "k",
            say.text("k required"),
            say.text("Verdict"),
        ]
        blocks += [heading(say.text("Gauge readings of the interior"), 2), table(heads, [row], right=(0, 1, 2, 3, 4))]
    return blocks


def _spans(records: Sequence[str]) -> list[str]:
    """Return rows of records with neighbours as one span: ``runs_done.csv:1–3``."""
    spans: list[tuple[str, int, int]] = []
    for record in records:
        file, _, row = record.rpartition(":")
        number = int(row)
        if spans and spans[-1][0] == file and number == spans[-1][2] + 1:
            spans[-1] = (file, spans[-1][1], number)
        else:
            spans.append((file, number, number))
    return [f"{file}:{low}" if low == high else f"{file}:{low}{DASH}{high}" for file, low, high in spans]


def _unread(proof: Proof, pen: Pen) -> list[Block]:
    say = pen.say
    rows = [
        [bold(one.run.id), pen.between(one.run.start, one.run.end), "; ".join(say.word(text) for text in (*one.because, *one.missing))]
        for one in proof.runs
        if one.laid is None
    ]
    if not rows:
        return []
    heads = [say.text("Run"), pen.head("Chainage", "m"), say.text("Missing")]
    return [heading(say.text("Runs without readings")), table(heads, rows, widths=("auto", "auto", "1fr"))]


def _end(proof: Proof, pen: Pen) -> list[Block]:
    say = pen.say
    blocks: list[Block] = [heading(say.text("Measured quantities"))]
    if proof.measured:
        rows = [
            [one.item, say.number(one.quantity, 1 if one.unit == "m" else 0), one.unit, ", ".join(_spans(one.records))]
            for one in proof.measured
        ]
        heads = [say.text("Item"), say.text("Quantity"), say.text("Unit"), say.text("Records behind it")]
        blocks.append(table(heads, rows, right=(1,), widths=("auto", "auto", "auto", "1fr")))
    else:
        blocks.append(paragraph(say.text("No record of anything done: nothing can be claimed.")))
    blocks.append(
        paragraph(
            say.text("Ring scans are not judged in this release: their results go to the client as they are."),
            quiet=True,
        )
    )
    return blocks
