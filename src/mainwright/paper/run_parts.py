"""Parts of the evidence of one run on paper: gauges, scans, mortar, curing, camera, connections."""

from collections.abc import Sequence
from datetime import datetime
from typing import Final, TypeAlias
from zoneinfo import ZoneInfo

from mainwright.figures.operating_curve import operating_curve
from mainwright.figures.unrolled import unrolled
from mainwright.paper.blocks import Block, Cell, figure, heading, listing, paragraph, table
from mainwright.paper.pen import DASH, Pen
from mainwright.plan.result import LinedStretch
from mainwright.prove.acceptance import SHARE
from mainwright.prove.camera import SEEN
from mainwright.prove.proof import Proof, RunProof
from mainwright.prove.verdict import PartVerdict
from mainwright.units import to_si
from mainwright.words.message import Message, Quantity, message

__all__ = [
    "MATURE_AT",
    "SHORT",
    "VERDICTS",
    "Wall",
    "camera_blocks",
    "clock_span",
    "connection_blocks",
    "curing_blocks",
    "moment",
    "mortar_blocks",
    "reading_blocks",
    "scan_blocks",
    "verdict_text",
]

Wall: TypeAlias = Sequence[Sequence[float | None]]
"""Least thickness in equal steps along a run, each in equal steps of the clock from 12 o'clock clockwise; None where nothing was read. [m]"""

VERDICTS: Final = {
    "meets": message("meets the entered requirements"),
    "does_not_meet": message("does not meet the entered requirements"),
    "incomplete": message("incomplete"),
    "not_asked": message("not asked"),
}
SHORT: Final = {"meets": message("meets"), "does_not_meet": message("does not meet"), "incomplete": message("incomplete")}
"""Verdicts where a sentence beside them says of what."""

MATURE_AT: Final = Quantity(to_si(20.0, "c"), "c", 0)
"""Temperature at which ages of mortar are told."""

_STATES: Final = {"wet": message("wet"), "hard": message("hard")}
_OVER: Final = {"metal": message("sound metal"), "pit": message("a pit")}
_TESTS: Final = {"compression": message("compression"), "bending": message("bending")}
_ZONES: Final = {"end": message("end of the run"), "interior": message("interior")}


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


def scan_blocks(one: RunProof, stretches: Sequence[LinedStretch], pen: Pen, proof: Proof, wall: Wall | None) -> list[Block]:
    """Return what the ring scans of a run show, with the wall laid open."""
    say, scan = pen.say, one.scan
    if scan is None:
        return []
    blocks: list[Block] = [heading(say.word(message("Ring scans: {verdict}", verdict=VERDICTS[scan.verdict])), 2)]
    info = proof.job.info
    asked = [part for part in stretches if part.start < one.run.end and part.end > one.run.start]
    if wall and asked:
        maxima = [part.maximum for part in asked if part.maximum is not None]
        picture = unrolled(
            wall,
            scan.thin,
            start=one.run.start,
            end=one.run.end,
            minimum=max(part.minimum for part in asked),
            nominal=max(part.nominal for part in asked),
            maximum=min(maxima, default=None),
            name=one.run.id,
            width=494.0,
            language=info.language,
            units=info.units,
        )
        text = "The wall of {run} laid open: chainage by clock, thickness by the scans, thin areas outlined and in the table below."
        blocks.append(figure(picture, say.word(message(text, run=one.run.id))))
    text = "Smallest thickness {minimum}, one standard deviation {deviation} with the eccentricity that two scans cannot see ({unseen})."
    if scan.minimum is not None and scan.minimum_deviation is not None and scan.unseen is not None:
        values = {
            "minimum": say.quantity(scan.minimum, "mm", 2),
            "deviation": say.quantity(scan.minimum_deviation, "mm", 2),
            "unseen": say.quantity(scan.unseen, "mm", 2),
        }
        blocks.append(paragraph(say.word(message(text, **values))))
        if scan.unseen_because is not None:
            blocks.append(paragraph(say.word(message("Eccentricity: {because}.", because=scan.unseen_because))))
    if scan.thin:
        rows: list[list[Cell]] = [
            [
                pen.between(area.start, area.end),
                clock_span(area.clock_start, area.clock_end, pen),
                pen.optional(area.area, "cm2", 0),
                pen.optional(area.minimum, "mm", 1),
            ]
            for area in scan.thin
        ]
        heads = [pen.head("Chainage", "m"), say.text("Clock"), pen.head("Area", "cm2"), pen.head("Least", "mm")]
        blocks.append(table(heads, rows, right=(2, 3), widths=("auto", "1fr", "auto", "auto")))
    if scan.unread:
        blocks.append(paragraph(say.word(message("Metres without a reading of the scans: {n}.", n=len(scan.unread)))))
    return blocks


def reading_blocks(one: RunProof, pen: Pen, proof: Proof) -> list[Block]:
    """Return gauge readings, each kind told apart, with the operating characteristic of the rule."""
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
        alt = "How often {n} {n:reading/readings} would show a lining to be good enough, by the share of it that is under the minimum."
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


def mortar_blocks(one: RunProof, pen: Pen) -> list[Block]:
    """Return strength and batches of the mortar."""
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


def curing_blocks(one: RunProof, pen: Pen, proof: Proof) -> list[Block]:
    """Return the curing of a run."""
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
        f"{say.word(message('Age at {reference}', reference=MATURE_AT))} [{say.unit('hours')}]",
    ]
    notes = [say.word(text) for text in (*curing.because, *curing.notes)]
    # Notes stand before the table: after it, a line would be left over for the next page.
    return [heading(say.text("Curing"), 2), *([listing(notes)] if notes else []), table(heads, rows, right=(3, 4, 5, 6))]


def camera_blocks(one: RunProof, pen: Pen) -> list[Block]:
    """Return what the camera found."""
    say, camera = pen.say, one.camera
    blocks: list[Block] = []
    if camera.findings:
        rows: list[list[Cell]] = [
            [
                _pass(part.camera_pass, pen),
                pen.optional(part.chainage, "m", 1),
                clock_span(part.clock_from, part.clock_to, pen),
                say.word(SEEN[part.kind]) if part.kind in SEEN else part.kind.replace("_", " "),
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


def clock_span(low: float | None, high: float | None, pen: Pen) -> str:
    """Return a length of the clock, as its hours from one to the other."""
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
