"""The evidence of one run on paper: every part with its verdict, then what lies behind each."""

from collections.abc import Sequence
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from mainwright.figures.operating_curve import operating_curve
from mainwright.figures.thickness_strip import thickness_strip
from mainwright.paper.blocks import Block, Cell, bold, box, figure, heading, listing, paragraph, table
from mainwright.paper.pen import DASH, Pen
from mainwright.plan.result import LinedStretch
from mainwright.prove.acceptance import SHARE
from mainwright.prove.defects import Defect
from mainwright.prove.proof import Proof, RunProof
from mainwright.prove.verdict import PartVerdict
from mainwright.words.message import Message, message

__all__ = [
    "EVENTS",
    "SHORT",
    "VERDICTS",
    "balance_blocks",
    "connection_blocks",
    "defect_rows",
    "defect_table",
    "moment",
    "run_evidence",
    "verdict_text",
]

VERDICTS: Final = {
    "meets": message("meets the entered requirements"),
    "does_not_meet": message("does not meet the entered requirements"),
    "incomplete": message("incomplete"),
    "not_asked": message("not asked"),
}
SHORT: Final = {"meets": message("meets"), "does_not_meet": message("does not meet"), "incomplete": message("incomplete")}
"""Verdicts where a sentence beside them says of what."""

_KINDS: Final = {
    "thin": message("thin"),
    "bare": message("bare"),
    "thick": message("over the maximum"),
    "silent": message("no readings"),
}
_STATES: Final = {"wet": message("wet"), "hard": message("hard")}
_OVER: Final = {"metal": message("sound metal"), "pit": message("a pit")}
_TESTS: Final = {"compression": message("compression"), "bending": message("bending")}
_ZONES: Final = {"end": message("end of the run"), "interior": message("interior")}
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


def verdict_text(verdict: PartVerdict, pen: Pen) -> str:
    """Return a verdict in words."""
    return pen.say.word(VERDICTS[verdict])


def moment(when: datetime | None, zone: str, pen: Pen, *, day: bool = True) -> str:
    """Return day and time by the clock of the job, or a dash.

    Parameters
    ----------
    when : datetime or None
        The moment. [-]
    zone : str
        Name of the time zone of the job. [-]
    pen : Pen
        Of the paper. [-]
    day : bool
        Whether the day is said too. [-]

    Returns
    -------
    str
        The text.
    """
    if when is None:
        return DASH
    local = when.astimezone(ZoneInfo(zone))
    clock = local.strftime("%H:%M")
    return f"{pen.say.day(local.date(), short=True)} {clock}" if day else clock


def run_evidence(one: RunProof, stretches: Sequence[LinedStretch], pen: Pen, proof: Proof, *, fresh: bool) -> list[Block]:
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

    Returns
    -------
    list of Block
        Verdicts first, then thickness, defects, readings, mortar, curing, camera, connections.
    """
    say = pen.say
    blocks: list[Block] = [heading(f"{one.run.id}: {pen.length(one.run.start, one.run.end)}, {say.word(SHORT[one.verdict])}", fresh=fresh)]
    blocks.append(_parts(one, pen))
    if one.because:
        blocks.append(box("stop", say.text("Why not"), [say.word(text) for text in one.because]))
    if one.missing:
        blocks.append(box("act", say.text("Missing"), [say.word(text) for text in one.missing]))
    if one.laid is not None:
        info = proof.job.info
        picture = thickness_strip(one, stretches, width=480.0, language=info.language, units=info.units)
        text = "Thickness along {run} by its readings, with the minimum, nominal and maximum that were asked; its lengths that are not as asked stand in the table below."
        blocks.append(figure(picture, say.word(message(text, run=one.run.id)), width="82%"))
    if one.defects:
        blocks += [
            heading(say.text("Not as it was asked"), 2),
            defect_table([(one.run.id, part) for part in one.defects], pen, named=False),
        ]
    return [
        *blocks,
        *_agreement(one, pen),
        *balance_blocks(one, pen),
        *_readings(one, pen, proof),
        *_mortar(one, pen),
        *_curing(one, pen, proof),
        *_camera(one, pen),
        *connection_blocks(one, pen),
    ]


def _parts(one: RunProof, pen: Pen) -> Block:
    say = pen.say
    thickness = one.thickness
    least = DASH if thickness is None else say.quantity(thickness.minimum, "mm", 1)
    mean = DASH if thickness is None else say.quantity(thickness.mean, "mm", 1)
    fails: PartVerdict = (
        "incomplete" if thickness is None else "does_not_meet" if any(part.kind != "silent" for part in one.defects) else "meets"
    )
    if fails == "meets" and one.laid is not None and one.laid.gaps:
        fails = "incomplete"
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
        [say.text("Curing"), say.word(message("{hours} old at 20 °C by the log", hours=hours)), verdict_text(one.curing.verdict, pen)],
        [say.text("Camera"), say.word(message("{n} rows of both passes", n=seen)), verdict_text(one.camera.verdict, pen)],
        [
            say.text("Connections"),
            say.word(message("{n} of {all} on record as clear", n=clear, all=len(one.connections.connections))),
            verdict_text(one.connections.verdict, pen),
        ],
    ]
    return table([say.text("Part"), say.text("What is on record"), say.text("Verdict")], rows, widths=("auto", "1fr", "auto"))


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
        pen.head("Worst", "mm"),
        pen.head("Misses by", "mm"),
        say.text("Likely cause"),
        say.text("Remedy proposed"),
    ]
    widths = ("auto", "auto", "auto", "auto", "1fr", "1.2fr")
    if named:
        heads, widths = [say.text("Run"), *heads], ("auto", *widths)  # type: ignore[assignment]
    first = 1 if named else 0
    return table(heads, defect_rows(defects, pen, named=named), right=(first + 2, first + 3), widths=widths)


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


def _readings(one: RunProof, pen: Pen, proof: Proof) -> list[Block]:
    say, read = pen.say, one.readings
    if not read.groups:
        return []
    rows: list[list[Cell]] = [
        [
            say.word(_ZONES[group.zone]) if group.zone else DASH,
            say.word(_STATES[group.state]) if group.state else DASH,
            say.word(_OVER[group.over]) if group.over else DASH,
            str(group.count),
            pen.optional(group.mean, "mm", 2),
            pen.optional(group.deviation, "mm", 2),
            pen.optional(group.least, "mm", 2),
        ]
        for group in read.groups
    ]
    heads = [
        say.text("Zone"),
        say.text("State"),
        say.text("Over"),
        say.text("Readings"),
        pen.head("Mean", "mm"),
        pen.head("Deviation", "mm"),
        pen.head("Least", "mm"),
    ]
    blocks: list[Block] = [
        heading(say.text("Gauge readings"), 2),
        table(heads, rows, right=(3, 4, 5, 6), widths=("1fr", "auto", "auto", "auto", "auto", "auto", "auto")),
    ]
    if read.k is not None and read.k_required is not None:
        text = "Interior, not over pits: k is {k}, required {required} for {share} of all places with {confidence} confidence. Hand-finished ends are no sample of the interior."
        values = {
            "k": say.number(read.k, 2),
            "required": say.number(read.k_required, 2),
            "share": say.quantity(SHARE, "pct", 0),
            "confidence": say.quantity(proof.job.lining.confidence, "pct", 0),
        }
        blocks.append(paragraph(say.word(message(text, **values))))
        picture = operating_curve(count=read.count, k=read.k_required, share=SHARE, width=300.0, language=proof.job.info.language)
        alt = "How often {n} readings would show a lining to be good enough, by the share of it that is under the minimum."
        blocks.append(figure(picture, say.word(message(alt, n=read.count)), width="62%"))
    asked = proof.job.acceptance is not None and "interior_readings" in proof.job.acceptance.evidence
    if read.needed and (asked or read.count):
        blocks.append(
            paragraph(
                say.word(message("Readings of the interior still needed for a verdict at this mean and scatter: {n}.", n=read.needed)),
                quiet=True,
            )
        )
    return blocks


def _mortar(one: RunProof, pen: Pen) -> list[Block]:
    say, mortar = pen.say, one.mortar
    blocks: list[Block] = []
    if mortar.sets:
        rows: list[list[Cell]] = [
            [
                part.batch or DASH,
                say.word(_TESTS[part.kind]) if part.kind in _TESTS else part.kind,
                DASH if part.age is None else say.measure(part.age, "days", 0),
                str(len(part.strengths)),
                str(part.discarded),
                pen.optional(part.mean, "mpa", 1),
                verdict_text(part.verdict, pen) if part.because is None else f"{verdict_text(part.verdict, pen)}: {say.word(part.because)}",
            ]
            for part in mortar.sets
        ]
        heads = [
            say.text("Batch"),
            say.text("Test"),
            pen.head("Age", "days"),
            say.text("Results"),
            say.text("Left out"),
            pen.head("Mean", "mpa"),
            say.text("Verdict"),
        ]
        blocks += [
            heading(say.text("Strength of the mortar"), 2),
            table(heads, rows, right=(2, 3, 4, 5), widths=("auto", "auto", "auto", "auto", "auto", "auto", "1fr")),
        ]
    if mortar.batches:
        lines: list[list[Cell]] = [
            [
                part.batch,
                DASH if part.start is None or part.end is None else pen.between(part.start, part.end),
                DASH if part.water_per_cement is None else say.number(part.water_per_cement, 2),
                pen.optional(part.spread, "mm", 0),
                pen.optional(part.temperature, "c", 1),
                pen.optional(part.oldest, "minutes", 0),
                pen.optional(part.usable, "minutes", 0),
            ]
            for part in mortar.batches
        ]
        heads = [
            say.text("Batch"),
            pen.head("Lies at", "m"),
            say.text("Water by cement"),
            pen.head("Spread", "mm"),
            pen.head("Temperature", "c"),
            pen.head("Oldest when placed", "minutes"),
            pen.head("Usable for", "minutes"),
        ]
        blocks += [heading(say.text("Batches"), 2), table(heads, lines, right=(2, 3, 4, 5, 6), widths=("auto", "1fr", *("auto",) * 5))]
    if mortar.notes:
        blocks.append(listing([say.word(text) for text in mortar.notes]))
    return blocks


def _curing(one: RunProof, pen: Pen, proof: Proof) -> list[Block]:
    say, curing, zone = pen.say, one.curing, proof.job.info.time_zone
    if not curing.readings and curing.closed is None:
        return []
    rows: list[list[Cell]] = [
        [
            moment(curing.closed, zone, pen),
            moment(curing.floor_at, zone, pen),
            moment(curing.log_to, zone, pen),
            pen.optional(curing.coldest, "c", 1),
            pen.optional(curing.warmest, "c", 1),
            pen.optional(curing.driest, "pct", 0),
            DASH
            if curing.age_low is None or curing.age_high is None
            else f"{say.measure(curing.age_low, 'hours', 1)}{DASH}{say.measure(curing.age_high, 'hours', 1)}",
        ]
    ]
    heads = [
        say.text("Ends closed"),
        say.text("Hours of the document over"),
        say.text("Log until"),
        pen.head("Coldest", "c"),
        pen.head("Warmest", "c"),
        pen.head("Driest", "pct"),
        pen.head("Age at 20 °C", "hours"),
    ]
    blocks = [heading(say.text("Curing"), 2), table(heads, rows, right=(3, 4, 5, 6))]
    notes = [say.word(text) for text in (*curing.because, *curing.notes)]
    return [*blocks, listing(notes)] if notes else blocks


def _camera(one: RunProof, pen: Pen) -> list[Block]:
    say, camera = pen.say, one.camera
    blocks: list[Block] = []
    if camera.findings:
        rows: list[list[Cell]] = [
            [
                _pass(part.camera_pass, pen),
                pen.optional(part.chainage, "m", 1),
                _clock(part.clock_from, part.clock_to, pen),
                part.kind.replace("_", " "),
                pen.optional(part.size, "mm", 2),
                pen.optional(part.limit, "mm", 2),
                DASH
                if part.verdict == "not_asked"
                else verdict_text(part.verdict, pen)
                if part.because is None
                else say.word(part.because),
            ]
            for part in camera.findings
        ]
        heads = [
            say.text("Pass"),
            pen.head("Chainage", "m"),
            say.text("Clock"),
            say.text("Seen"),
            pen.head("Size", "mm"),
            pen.head("May stay", "mm"),
            say.text("Verdict"),
        ]
        blocks += [heading(say.text("Findings of the camera"), 2), table(heads, rows, right=(1, 4, 5), widths=(*("auto",) * 6, "1fr"))]
    if camera.notes:
        blocks.append(listing([say.word(text) for text in camera.notes]))
    return blocks


def _pass(name: str, pen: Pen) -> str:
    if not name:
        return DASH
    # The same word as in the notes of the camera.
    return pen.say.word(message("cleaned bore") if name != "lined" else message("lining"))


def _clock(low: float | None, high: float | None, pen: Pen) -> str:
    if low is None:
        return DASH
    first = pen.say.number(low, 0 if low == int(low) else 1)
    return first if high is None or high == low else f"{first}{DASH}{pen.say.number(high, 0 if high == int(high) else 1)}"


def connection_blocks(one: RunProof, pen: Pen) -> list[Block]:
    """Return the connections of a run, each with its state before and after."""
    say = pen.say
    if not one.connections.connections:
        return []
    yes = {True: say.text("yes"), False: say.text("no"), None: DASH}
    rows: list[list[Cell]] = []
    for part in one.connections.connections:
        state: Message = VERDICTS[part.verdict]
        text = "; ".join(say.word(problem) for problem in part.problems)
        if not text:
            text = say.text("not live") if part.live is False else say.text("clear") if part.verdict == "meets" else say.word(state)
        rows.append(
            [
                part.ref or DASH,
                pen.optional(part.chainage, "m", 1),
                f"{yes[part.listed]} / {yes[part.camera]} / {yes[part.street]}",
                yes[part.holds],
                pen.optional(part.flow_before, "l_min", 0),
                pen.optional(part.flow_after, "l_min", 0),
                pen.optional(part.air, "bar", 2),
                pen.optional(part.since_pass, "minutes", 0),
                text,
            ]
        )
    heads = [
        say.text("Ref."),
        pen.head("Chainage", "m"),
        say.text("List / camera / street"),
        say.text("Tap holds"),
        pen.head("Before", "l_min"),
        pen.head("After", "l_min"),
        pen.head("Air", "bar"),
        pen.head("After pass", "minutes"),
        say.text("State"),
    ]
    return [
        heading(say.text("Connections"), 2),
        table(heads, rows, right=(1, 4, 5, 6, 7), widths=("auto", "auto", "auto", "auto", "auto", "auto", "auto", "auto", "1fr")),
    ]
