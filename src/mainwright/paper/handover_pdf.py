"""The client's file on paper: ``handover.pdf``, verdicts first, and the same-day evidence sheet of one run."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from mainwright import __version__
from mainwright.figures.as_built import as_built
from mainwright.paper.blocks import Block, Cell, bold, box, figure, heading, listing, paragraph, sign, strip, table
from mainwright.paper.handover_job import job_pages, obstruction_photos, obstruction_table, water_verdict
from mainwright.paper.pen import DASH, Pen
from mainwright.paper.run_evidence import EVENTS, defect_table, run_evidence
from mainwright.paper.run_parts import SHORT, Wall, moment, verdict_text
from mainwright.paper.signature_blocks import signature_text
from mainwright.paper.typeset import typeset
from mainwright.plan.result import LinedStretch
from mainwright.prove.proof import Proof, RunProof
from mainwright.words.message import Quantity, message
from mainwright.words.wording import Wording

__all__ = ["evidence_pages", "handover_pages", "render_evidence", "render_handover"]


def handover_pages(
    proof: Proof,
    stretches: Sequence[LinedStretch],
    *,
    photos: Mapping[str, bytes] = MappingProxyType({}),
    walls: Mapping[str, Wall] = MappingProxyType({}),
) -> dict[str, object]:
    """Return everything that the client's file prints, as the template takes it.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    photos : mapping
        Usable files of photographs by the names that the records give them. [-]
    walls : mapping
        Walls of the scanned runs, by their ids: least thickness in steps along the run and round the clock. [m]

    Returns
    -------
    dict
        Texts, tables and figures in their order.
    """
    pen = _pen(proof)
    say = pen.say
    info = proof.job.info
    return _document(
        proof,
        pen,
        over=say.text("What the records prove"),
        title=info.name,
        contents=say.text("Contents"),
        summary=_summary(proof, pen),
        blocks=[
            *_built(proof, stretches, pen),
            *_defects(proof, pen),
            *(
                block
                for one in proof.runs
                if _recorded(one)
                for block in run_evidence(one, stretches, pen, proof, fresh=True, wall=walls.get(one.run.id))
            ),
            *_unread(proof, pen),
            *job_pages(proof, pen, photos),
        ],
    )


def render_handover(
    proof: Proof,
    stretches: Sequence[LinedStretch],
    *,
    photos: Mapping[str, bytes] = MappingProxyType({}),
    walls: Mapping[str, Wall] = MappingProxyType({}),
) -> bytes:
    """Return the client's file as a PDF, the same bytes for the same proof.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    photos : mapping
        Usable files of photographs by the names that the records give them. [-]
    walls : mapping
        Walls of the scanned runs, by their ids: least thickness in steps along the run and round the clock. [m]

    Returns
    -------
    bytes
        The document, for the archive (PDF/A-2a) and tagged for screen readers (PDF/UA-1).
    """
    return typeset("plan.typ", handover_pages(proof, stretches, photos=photos, walls=walls), day=proof.job.info.first_day, archive=True)


def evidence_pages(
    proof: Proof,
    run: str,
    stretches: Sequence[LinedStretch],
    *,
    photos: Mapping[str, bytes] = MappingProxyType({}),
    walls: Mapping[str, Wall] = MappingProxyType({}),
) -> dict[str, object]:
    """Return everything that the evidence sheet of one run prints, to be signed on the same day.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    run : str
        Id of the run. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    photos : mapping
        Usable files of photographs by the names that the records give them. [-]
    walls : mapping
        Walls of the scanned runs, by their ids: least thickness in steps along the run and round the clock. [m]

    Returns
    -------
    dict
        Texts, tables and figures in their order.
    """
    pen = _pen(proof)
    say = pen.say
    one = next(part for part in proof.runs if part.run.id == run)
    zone = proof.job.info.time_zone
    found = [part for part in proof.obstructions if part.run == run]
    blocks = run_evidence(one, stretches, pen, proof, fresh=False, wall=walls.get(run))
    if one.events:
        rows: list[list[Cell]] = [
            [
                moment(event.time, zone, pen, day=False),
                say.word(EVENTS[event.kind]) if event.kind in EVENTS else event.kind,
                pen.optional(event.chainage, "m", 1),
                DASH if event.value is None else say.as_given(event.value, event.unit or ""),
                event.note or "",
                event.who or DASH,
            ]
            for event in one.events
        ]
        heads = [say.text("Time"), say.text("Event"), pen.head("Chainage", "m"), say.text("Value"), say.text("Note"), say.text("Who")]
        blocks += [
            heading(say.text("Events"), 2),
            table(heads, rows, right=(2, 3), widths=("auto", "auto", "auto", "auto", "1fr", "auto")),
        ]
    if found:
        blocks += [heading(say.text("Obstructions"), 2), obstruction_table(found, pen, zone), *obstruction_photos(found, pen, photos)]
    blocks.append(sign([say.text("Operator"), say.text("Supervisor"), say.text("Inspector: agrees / disagrees, with reason")]))
    done = one.done[0] if one.done else None
    summary: list[Block] = []
    if done is not None:
        text = "Lined {start} to {end}, from {begin} until {over}."
        values = {
            "start": say.measure(done.start, "m", 1),
            "end": say.quantity(done.end, "m", 1),
            "begin": moment(done.time_from, zone, pen),
            "over": moment(done.time_to, zone, pen, day=False),
        }
        summary.append(paragraph(say.word(message(text, **values))))
    summary += _remarks(proof, pen)
    title = say.word(message("Run {run}: evidence of the day", run=run))
    return _document(proof, pen, over=proof.job.info.name, title=title, contents="", summary=summary, blocks=blocks)


def render_evidence(
    proof: Proof,
    run: str,
    stretches: Sequence[LinedStretch],
    *,
    photos: Mapping[str, bytes] = MappingProxyType({}),
    walls: Mapping[str, Wall] = MappingProxyType({}),
) -> bytes:
    """Return the evidence sheet of one run as a PDF.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    run : str
        Id of the run. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    photos : mapping
        Usable files of photographs by the names that the records give them. [-]
    walls : mapping
        Walls of the scanned runs, by their ids: least thickness in steps along the run and round the clock. [m]

    Returns
    -------
    bytes
        The document, as the client's file.
    """
    return typeset(
        "plan.typ", evidence_pages(proof, run, stretches, photos=photos, walls=walls), day=proof.job.info.first_day, archive=True
    )


def _pen(proof: Proof) -> Pen:
    info = proof.job.info
    return Pen(Wording(info.language, info.units, "\u00a0"), info.currency)


def _document(
    proof: Proof, pen: Pen, *, over: str, title: str, contents: str, summary: Sequence[Block], blocks: Sequence[Block]
) -> dict[str, object]:
    info, say = proof.job.info, pen.say
    facts = [
        (say.text("Client"), info.client or DASH),
        (say.text("Reference"), info.reference or DASH),
        (say.text("Revision of the job"), proof.job.revision[:12]),
        (say.text("Revision of the records"), proof.records[:12]),
    ]
    foot = message("Job {revision}, records {records}", revision=proof.job.revision[:16], records=proof.records[:16])
    return {
        "language": info.language if info.language in ("en", "de") else "en",
        "title": f"{info.name}: {say.text('what the records prove')}",
        "author": info.client,
        "keywords": [info.reference, proof.job.revision, proof.records],
        "footer": {
            "left": pen.joined((info.reference, info.name)),
            "middle": f"{say.word(foot)} · Mainwright {__version__}",
            "page": say.text("Page"),
        },
        "cover": {"over": over, "title": title, "facts": [{"name": name, "value": value} for name, value in facts]},
        "contents": contents,
        "summary": list(summary),
        "blocks": list(blocks),
        "runs": [],
    }


def _recorded(one: RunProof) -> bool:
    """Return whether anything at all is on record of a run."""
    return bool(
        one.laid is not None
        or one.readings.groups
        or one.mortar.sets
        or one.mortar.batches
        or one.curing.readings
        or any(part.rows for part in one.camera.passes)
    )


def _remarks(proof: Proof, pen: Pen) -> list[Block]:
    return [box("note", "", [pen.say.word(text) for text in proof.remarks])] if proof.remarks else []


def _summary(proof: Proof, pen: Pen) -> list[Block]:
    say = pen.say
    counts = {verdict: sum(one.verdict == verdict for one in proof.runs) for verdict in ("meets", "does_not_meet", "incomplete")}
    thin = sum(part.end - part.start for one in proof.runs if one.thickness for part in one.thickness.under_minimum)
    blocks: list[Block] = [
        strip(
            [
                (say.text("Runs"), str(len(proof.runs)), ""),
                (say.text("Meet what was entered"), str(counts["meets"]), ""),
                (say.text("Do not meet it"), str(counts["does_not_meet"]), ""),
                (say.text("Incomplete"), str(counts["incomplete"]), ""),
                (say.text("Under the minimum"), say.quantity(thin, "m", 1), say.text("by the readings")),
            ]
        ),
        table(
            [say.text("Of the whole job"), say.text("Verdict")],
            [
                [say.text("Water: the gate before customers"), bold(water_verdict(proof.water.verdict, pen))],
                [say.text("Pressure test"), bold(verdict_text(proof.pressure.verdict, pen))],
            ],
            widths=("auto", "1fr"),
        ),
    ]
    if proof.missing:
        blocks.append(box("stop", say.text("Missing for the whole job"), [say.word(text) for text in proof.missing]))
    return [
        *blocks,
        *_verdicts(proof, pen),
        paragraph(
            say.text("A run meets the entered requirements, does not, or is incomplete. Acceptance is the client's signature."), quiet=True
        ),
        *_remarks(proof, pen),
    ]


def _built(proof: Proof, stretches: Sequence[LinedStretch], pen: Pen) -> list[Block]:
    say, info = pen.say, proof.job.info
    silent = sum(gap.end - gap.start for one in proof.runs if one.laid for gap in one.laid.gaps)
    unread = sum(one.run.length for one in proof.runs if one.laid is None)
    return [
        heading(say.text("The main as it was built")),
        figure(
            as_built(proof, stretches, width=494.0, language=info.language, units=info.units),
            say.text(
                "The main as it was built: each run with its verdict, the thickness along it by its readings, and every length that is not as it was asked."
            ),
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


def _verdicts(proof: Proof, pen: Pen) -> list[Block]:
    say = pen.say
    rows: list[list[Cell]] = []
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
                bold(say.word(SHORT[one.verdict])),
                "; ".join([*(say.word(text) for text in (*one.because, *one.missing)), *_signed(one, proof, pen)]),
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
        say.text("Why"),
    ]
    return [
        heading(say.text("Verdicts")),
        table(heads, rows, right=(2, 3, 4, 5), widths=(*("auto",) * 7, "1fr")),
    ]


def _signed(one: RunProof, proof: Proof, pen: Pen) -> list[str]:
    return [] if one.signing.last is None else [signature_text(one.signing.last, proof.job.info.time_zone, pen)]


def _defects(proof: Proof, pen: Pen) -> list[Block]:
    found = [(one.run.id, part) for one in proof.runs for part in one.defects]
    if not found:
        return []
    note = "Each remedy is a proposal with its quantities; what is done, the client agrees first, and the governing document decides."
    return [
        heading(pen.say.text("What is not as it was asked")),
        defect_table(found, pen, named=True),
        paragraph(pen.say.text(note), quiet=True),
    ]


def _unread(proof: Proof, pen: Pen) -> list[Block]:
    say = pen.say
    rows: list[list[Cell]] = [
        [bold(one.run.id), pen.between(one.run.start, one.run.end), "; ".join(say.word(text) for text in (*one.because, *one.missing))]
        for one in proof.runs
        if not _recorded(one)
    ]
    if not rows:
        return []
    heads = [say.text("Run"), pen.head("Chainage", "m"), say.text("Missing")]
    return [heading(say.text("Runs without readings")), table(heads, rows, widths=("auto", "auto", "1fr"))]
