"""The daily report of a run that was followed: every deviation with its chainage and minute, what was done, the thickness, the mortar, the record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING, Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from mainwright import __version__
from mainwright.figures.thickness_strip import thickness_strip
from mainwright.line.assumed import assumed_of_run
from mainwright.line.events import (
    AlarmAcknowledged,
    AlarmCleared,
    AlarmRaised,
    BatchPoured,
    ClockSet,
    ConnectionDone,
    Ended,
    EndsClosed,
    FlowFallback,
    LitresLost,
    OdometerSet,
    Remark,
    Restarted,
    SignalNoted,
    Started,
    Stopped,
    StrokesSet,
)
from mainwright.paper.blocks import Block, Cell, bold, box, figure, heading, listing, paragraph, strip, table
from mainwright.paper.end_pages import assumed_table
from mainwright.paper.pen import DASH, Pen
from mainwright.paper.typeset import typeset
from mainwright.words.message import Message, Quantity, message
from mainwright.words.wording import Wording

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.job.job import Job
    from mainwright.line.state import Happened
    from mainwright.plan.result import LinedStretch
    from mainwright.prove.proof import RunProof
    from mainwright.workflow.run_records import Followed

__all__ = ["ReportedRun", "render_report", "report_pages"]

_ALARMS: Final = {
    "thin": (message("too thin"), "mm", 1),
    "thick": (message("too thick"), "mm", 1),
    "stall": (message("the head stands while the pump runs"), "m_min", 2),
    "overspeed": (message("too fast for the flow"), "m_min", 2),
    "pressure": (message("pressure near the limit of the hose"), "bar", 1),
    "old_mortar": (message("mortar at the head past its usable time"), "minutes", 0),
    "mortar_short": (message("the mortar will not reach the end: it runs out at"), "m", 1),
    "connection_due": (message("a connection falls due"), "minutes", 0),
    "ends_open": (message("the ends are not closed"), "minutes", 0),
    "head_slow": (message("the head slows: litres may be right while they lie in the invert"), "", 0),
    "flow_lost": (message("flow not read: the pump's setting stands for it"), "", 0),
    "turned_back": (message("the head goes back over fresh lining"), "m", 1),
    "mixer_behind": (message("the hopper is empty before the next batch is mixed"), "minutes", 1),
    "silent": (message("no readings"), "s", 0),
    "odometer_jump": (message("the odometer jumped"), "m", 2),
}
"""What each alarm says, and the unit of its value."""

_SOON: Final = 300.0
"""What is done within this time after an alarm is told beside it. [s]"""


@dataclass(frozen=True, slots=True)
class ReportedRun:
    """What a daily report tells.

    Attributes
    ----------
    parts
        The run as it was followed, part by part.
    proof
        What its records prove, None where they prove nothing yet.
    anchors
        Of each part how many entries its record holds and the hash of the last: written here, it shows later whether the record's end was cut off.
    """

    job: Job
    parts: Sequence[Followed]
    proof: RunProof | None
    stretches: Sequence[LinedStretch]
    anchors: Sequence[str] = ()


def render_report(run: ReportedRun) -> bytes:
    """Return the daily report of a run as a PDF, the same bytes for the same record.

    Parameters
    ----------
    run : ReportedRun
        The run. [-]

    Returns
    -------
    bytes
        The document, tagged for screen readers.
    """
    begun = _begun(run)
    return typeset("plan.typ", report_pages(run), day=None if begun is None else begun.date())


def report_pages(run: ReportedRun) -> dict[str, object]:
    """Return everything that the report prints, as the template takes it.

    Parameters
    ----------
    run : ReportedRun
        The run. [-]

    Returns
    -------
    dict
        Texts, tables and the figure in their order.
    """
    info = run.job.info
    pen = Pen(Wording(info.language, info.units, "\u00a0"), info.currency)
    say = pen.say
    first = run.parts[0]
    begun = _begun(run)
    day = DASH if begun is None else say.day(begun.date())
    revision = str(first.about.get("revision") or run.job.revision)
    named = {name: str(first.about.get(name) or DASH) for name in ("pump", "hose", "lining_head")}
    facts = [
        (say.text("Client"), info.client or DASH),
        (say.text("Reference"), info.reference or DASH),
        (say.text("Day"), day),
        (say.text("Run"), f"{first.key.run}, {pen.length(first.plan.start, first.plan.end)}"),
        (say.text("Pump"), named["pump"]),
        (say.text("Hose"), named["hose"]),
        (say.text("Lining head"), named["lining_head"]),
    ]
    return {
        "language": info.language if info.language in ("en", "de") else "en",
        "title": f"{info.name}: {say.text('daily report')} {first.key.run}",
        "author": info.client,
        "keywords": [info.reference, revision, *run.anchors],
        "footer": {
            "left": pen.joined((info.reference, info.name, first.key.run)),
            "middle": f"{say.word(message('Revision {revision}', revision=revision[:16]))} · {day} · Mainwright {__version__}",
            "page": say.text("Page"),
        },
        "cover": {
            "over": f"{say.text('Daily report')} {first.key.run}",
            "title": info.name,
            "facts": [{"name": name, "value": value} for name, value in facts],
        },
        "contents": say.text("Contents"),
        "summary": _summary(run, pen),
        "blocks": [
            *_thickness(run, pen),
            *_deviations(run, pen),
            *_parts(run, pen),
            *_mortar(run, pen),
            *_connections(run, pen),
            *_events(run, pen),
            *_record(run, pen),
            *assumed_table(assumed_of_run(run.parts[0].rules), pen),
            *_signatures(pen),
        ],
        "runs": [],
    }


def _zone(run: ReportedRun) -> tzinfo:
    try:
        return ZoneInfo(run.job.info.time_zone)
    except (ZoneInfoNotFoundError, ValueError):
        return UTC


def _begun(run: ReportedRun) -> datetime | None:
    started = run.parts[0].state.started
    return None if started is None else datetime.fromtimestamp(started, _zone(run))


def _at(run: ReportedRun, time: float) -> str:
    return datetime.fromtimestamp(time, _zone(run)).strftime("%H:%M:%S")


def _alarms(run: ReportedRun) -> list[tuple[Followed, int, AlarmRaised]]:
    return [
        (part, place, one.event)
        for part in run.parts
        for place, one in enumerate(part.state.happened)
        if isinstance(one.event, AlarmRaised)
    ]


def _summary(run: ReportedRun, pen: Pen) -> list[Block]:
    say = pen.say
    states = [part.state for part in run.parts]
    lined = sum(min(max(state.deposit.furthest, 0.0), state.plan.length) for state in states)
    stops = sum(isinstance(one.event, Stopped) for state in states for one in state.happened)
    thickness = None if run.proof is None else run.proof.thickness
    pumped = sum(state.deposit.pumped for state in states)
    blocks = [
        strip(
            [
                (say.text("Lined"), say.quantity(lined, "m", 1), say.word(_OUTCOMES[states[-1].outcome or "open"])),
                (say.text("Mean"), DASH if thickness is None else say.quantity(thickness.mean, "mm", 1), say.text("by the readings")),
                (say.text("Least"), DASH if thickness is None else say.quantity(thickness.minimum, "mm", 1), say.text("by the readings")),
                (say.text("Pumped"), say.quantity(pumped, "l", 0), ""),
                (say.text("Alarms"), str(len(_alarms(run))), say.word(message("stops: {n}", n=stops))),
            ]
        ),
        listing([say.word(text) for text in _plain(run)]),
    ]
    if run.proof is not None and run.proof.because:
        blocks.append(box("stop", say.text("Does not meet what was entered"), [say.word(text) for text in run.proof.because]))
    return blocks


_OUTCOMES: Final = {
    "complete": message("complete"),
    "aborted": message("aborted"),
    "split": message("split"),
    "open": message("not ended yet"),
}


def _plain(run: ReportedRun) -> list[Message]:
    """Return what stands first: what the record proves of cover, and what was not measured."""
    found = []
    states = [part.state for part in run.parts]
    if all(state.cover_proved for state in states):
        found.append(message("The head's own air pressure or speed was read all along; where it slowed, the table of deviations says so."))
    else:
        found.append(
            message("Whether the head spread the mortar all round was not read: this record proves litres by length, and no cover.")
        )
    marks = sum(state.hand_marks for state in states)
    if marks:
        found.append(
            message(
                "{n} {n:mark by hand with a stopwatch is/marks by hand with a stopwatch are} part of the record; its deviation is wider there.",
                n=marks,
            )
        )
    guessed = sum(guess > 0.0 for state in states for *_, guess in state.deposit.rows())
    count = sum(state.deposit.readings for state in states)
    if guessed and count:
        share = Quantity(guessed / count, "pct", 1)
        found.append(
            message("In {share} of the readings the flow was not measured: the pump's setting or its strokes stand for it.", share=share)
        )
    if not any(isinstance(one.event, EndsClosed) for state in states for one in state.happened):
        found.append(message("Nobody has written down that the ends were closed."))
    return found


def _thickness(run: ReportedRun, pen: Pen) -> list[Block]:
    say = pen.say
    if run.proof is None or run.proof.laid is None:
        return []
    info = run.job.info
    picture = thickness_strip(run.proof, run.stretches, width=480.0, language=info.language, units=info.units)
    alt = say.text(
        "Thickness along the run by its readings with the band of its deviation; where it fell short stands in the tables below."
    )
    blocks: list[Block] = [heading(say.text("Thickness along the run")), figure(picture, alt)]
    thickness = run.proof.thickness
    if thickness is not None and thickness.under_minimum:
        rows = [
            [pen.between(part.start, part.end), pen.optional(part.end - part.start, "m", 1), pen.optional(part.minimum, "mm", 1)]
            for part in thickness.under_minimum
        ]
        heads = [pen.head("Chainage", "m"), pen.head("Length", "m"), pen.head("Least", "mm")]
        blocks += [heading(say.text("Under the minimum"), 2), table(heads, rows, right=(1, 2))]
    thick = [one for one in run.proof.defects if one.kind == "thick"]
    if thick:
        rows = [
            [pen.between(one.start, one.end), pen.optional(one.end - one.start, "m", 1), pen.optional(one.worst, "mm", 1)] for one in thick
        ]
        heads = [pen.head("Chainage", "m"), pen.head("Length", "m"), pen.head("Greatest", "mm")]
        blocks += [heading(say.text("Over the maximum"), 2), table(heads, rows, right=(1, 2))]
    return blocks


def _deviations(run: ReportedRun, pen: Pen) -> list[Block]:
    say = pen.say
    rows: list[list[Cell]] = []
    for part, place, alarm in _alarms(run):
        told, unit, digits = _ALARMS.get(alarm.code, (message("{code}", code=alarm.code), "", 0))
        value = say.quantity(alarm.value, unit, digits) if unit else DASH
        over = next(
            (one.event.time for one in part.state.happened[place:] if isinstance(one.event, AlarmCleared) and one.event.code == alarm.code),
            None,
        )
        rows.append(
            [
                bold(_at(run, alarm.time)),
                say.measure(alarm.chainage, "m", 1),
                say.word(told),
                value,
                DASH if over is None else _at(run, over),
                _done(run, part.state.happened[place + 1 :], alarm, over, pen),
            ]
        )
    title = heading(say.text("Deviations"))
    if not rows:
        return [title, paragraph(say.text("No alarm went up."))]
    heads = [say.text("Time"), pen.head("Chainage", "m"), say.text("What"), say.text("Value"), say.text("Ended"), say.text("What was done")]
    return [title, table(heads, rows, right=(1, 3), widths=("auto", "auto", "2fr", "auto", "auto", "2fr"))]


def _done(run: ReportedRun, later: Sequence[Happened], alarm: AlarmRaised, over: float | None, pen: Pen) -> str:
    """Return what people did about an alarm: seen by whom, and what was pressed while it was up or soon after it went up."""
    say = pen.say
    until = alarm.time + _SOON if over is None else max(over, alarm.time)
    found = []
    for one in later:
        event = one.event
        if isinstance(event, AlarmAcknowledged) and event.code == alarm.code:
            who = event.who or DASH
            found.append(say.word(message("{time} seen by {who}", time=_at(run, event.time), who=who)))
            break
        if isinstance(event, AlarmRaised) and event.code == alarm.code:
            break
    pressed = (Stopped, Restarted, LitresLost, OdometerSet, BatchPoured, Remark, FlowFallback)
    found += [
        f"{_at(run, one.event.time)} {_what(one, pen)}" for one in later if one.event.time <= until and isinstance(one.event, pressed)
    ]
    return "; ".join(found) or DASH


def _what(one: Happened, pen: Pen) -> str:  # noqa: C901, PLR0911, PLR0912 - one branch an event
    """Return an event in words; empty for one that is told elsewhere or that nobody needs to read."""
    say, event = pen.say, one.event
    match event:
        case Started():
            return say.text("the head starts")
        case Stopped():
            return pen.joined((say.text("stopped"), event.why))
        case Restarted():
            return say.text("the head goes on")
        case BatchPoured():
            return say.word(message("batch {n} poured, {volume}", n=event.number, volume=Quantity(event.volume, "l", 0)))
        case LitresLost():
            return say.word(message("{volume} {kind}", volume=Quantity(event.volume, "l", 0), kind=_LOST[event.kind]))
        case ConnectionDone():
            return say.word(message("connection at {place} cleared", place=Quantity(event.chainage, "m", 1)))
        case Remark():
            return pen.joined((say.word(_REMARKS[event.kind]), event.text)) if event.kind in _REMARKS else event.text
        case OdometerSet():
            shift = Quantity(event.shift, "m", 2)
            if event.who:
                return say.word(message("odometer set by hand, {shift} added", shift=shift))
            return say.word(message("odometer was reset or jumped, {shift} added", shift=shift))
        case StrokesSet():
            return say.text("the count of strokes began anew or ran over")
        case ClockSet():
            return say.word(message("the sender's clock was set, {shift} added", shift=Quantity(event.shift, "s", 1)))
        case FlowFallback():
            return say.word(message("flow where it is not measured: {flow}", flow=Quantity(event.flow, "l_min", 1)))
        case EndsClosed():
            return say.text("both ends closed")
        case Ended():
            return pen.joined((say.text("the run ends"), say.word(_OUTCOMES[event.outcome]), event.why))
        case SignalNoted() if event.kind in ("lost", "frozen", "silent", "impossible"):
            told = _SIGNALS[event.kind]
            return say.word(message("sender {source}: {told}", source=event.source, told=message("over") if event.over else told))
    return ""


_LOST: Final = {"purge": message("purged"), "returned": message("returned"), "wasted": message("wasted")}
_REMARKS: Final = {
    "water_in_invert": message("water in the invert"),
    "valve_lets_by": message("a valve lets by"),
    "hold_point": message("hold point"),
}
_SIGNALS: Final = {
    "lost": message("connection lost"),
    "frozen": message("a value does not change"),
    "silent": message("silent"),
    "impossible": message("a value cannot be"),
}


def _parts(run: ReportedRun, pen: Pen) -> list[Block]:
    """Return the table of the run: planned and done, part by part."""
    say = pen.say
    rows = []
    for part in run.parts:
        state, plan = part.state, part.plan
        latest = state.deposit.latest()
        moved = None if latest is None or state.started is None else latest[0] - state.started
        mean = None if not moved else state.deposit.furthest / moved
        flow = None if not moved else state.deposit.pumped / moved
        reached = plan.chainage(min(max(state.deposit.furthest, 0.0), plan.length))
        rows.append(
            [
                f"{part.key.coat}.{part.key.part}",
                pen.between(plan.chainage(0.0), reached),
                DASH if state.started is None else _at(run, state.started),
                DASH if state.ended is None else _at(run, state.ended),
                pen.optional(plan.flow, "l_min", 1),
                pen.optional(flow, "l_min", 1),
                pen.optional(plan.length / sum((one.end - one.start) / one.speed for one in plan.lengths), "m_min", 2),
                pen.optional(mean, "m_min", 2),
                say.word(_OUTCOMES[state.outcome or "open"]),
            ]
        )
    heads = [
        say.text("Coat and part"),
        pen.head("Chainage", "m"),
        say.text("From"),
        say.text("To"),
        pen.head("Flow planned", "l_min"),
        pen.head("Flow, mean", "l_min"),
        pen.head("Speed planned", "m_min"),
        pen.head("Speed, mean", "m_min"),
        say.text("Outcome"),
    ]
    note = paragraph(say.text("Means are over the whole time from the start to the last reading, stops included."), quiet=True)
    return [heading(say.text("The run")), table(heads, rows, right=(4, 5, 6, 7)), note]


def _mortar(run: ReportedRun, pen: Pen) -> list[Block]:
    say = pen.say
    blocks: list[Block] = [heading(say.text("Mortar"))]
    batches = [(part, one.event) for part in run.parts for one in part.state.happened if isinstance(one.event, BatchPoured)]
    if batches:
        rows: list[list[Cell]] = [
            [
                str(event.number),
                _at(run, event.mixing),
                _at(run, event.time),
                pen.optional(event.volume, "l", 0),
                pen.optional(event.cement, "kg", 0),
                pen.optional(event.sand, "kg", 0),
                pen.optional(event.water, "l", 0),
                event.who or DASH,
            ]
            for _, event in batches
        ]
        heads = [
            say.text("Batch"),
            say.text("Mixing begins"),
            say.text("Poured"),
            pen.head("Volume", "l"),
            pen.head("Cement", "kg"),
            pen.head("Sand", "kg"),
            pen.head("Water", "l"),
            say.text("Who"),
        ]
        blocks.append(table(heads, rows, right=(0, 3, 4, 5, 6)))
    else:
        blocks.append(paragraph(say.text("No batch was written down: neither the mortar's age nor what was mixed is known.")))
    states = [part.state for part in run.parts]
    lost = {kind: sum(state.lost[kind] for state in states) for kind in ("purge", "returned", "wasted")}
    batched = sum(event.volume for _, event in batches) if batches else None
    pumped = sum(state.deposit.pumped for state in states)
    pairs = (
        (pen.head("Poured", "l"), batched),
        (pen.head("Pumped", "l"), pumped),
        (pen.head("Deposited", "l"), sum(state.deposit.deposited for state in states)),
        (pen.head("Purged", "l"), lost["purge"]),
        (pen.head("Returned", "l"), lost["returned"]),
        (pen.head("Wasted", "l"), lost["wasted"]),
        (pen.head("Poured less pumped", "l"), None if batched is None else batched - pumped),
    )
    blocks.append(table([head for head, _ in pairs], [[pen.optional(value, "l", 0) for _, value in pairs]], right=tuple(range(7))))
    filling = Quantity(run.parts[0].plan.hose_volume, "l", 0)
    blocks.append(paragraph(say.word(message("The filling of the hose, {volume}, is poured and never laid.", volume=filling)), quiet=True))
    return blocks


def _connections(run: ReportedRun, pen: Pen) -> list[Block]:
    say = pen.say
    windows = [(part, window) for part in run.parts for window in part.plan.windows]
    if not windows:
        return []
    cleared = {chainage: time for part in run.parts for chainage, time in part.state.cleared.items()}
    rows: list[list[Cell]] = []
    for part, window in windows:
        started = part.state.started
        due = None if started is None or window.latest is None else started + window.latest
        done = cleared.get(window.chainage)
        late = done is not None and due is not None and done > due
        when = DASH if done is None else _at(run, done)
        rows.append(
            [
                window.ref or DASH,
                say.measure(window.chainage, "m", 1),
                DASH if due is None else _at(run, due),
                bold(when) if late else when,
            ]
        )
    heads = [say.text("Connection"), pen.head("Chainage", "m"), say.text("Latest"), say.text("Cleared")]
    return [heading(say.text("Connections")), table(heads, rows, right=(1,))]


def _events(run: ReportedRun, pen: Pen) -> list[Block]:
    say = pen.say
    rows: list[list[Cell]] = []
    for part in run.parts:
        for one in part.state.happened:
            if isinstance(one.event, (AlarmRaised, AlarmCleared, AlarmAcknowledged, ConnectionDone)):
                continue
            text = _what(one, pen)
            if text:
                place = DASH if one.way is None else say.measure(part.plan.chainage(one.way), "m", 1)
                rows.append([_at(run, one.event.time), place, text, getattr(one.event, "who", "") or DASH])
    heads = [say.text("Time"), pen.head("Chainage", "m"), say.text("What"), say.text("Who")]
    return [heading(say.text("What happened")), table(heads, rows, right=(1,), widths=("auto", "auto", "1fr", "auto"))]


def _record(run: ReportedRun, pen: Pen) -> list[Block]:
    say = pen.say
    rows: list[list[Cell]] = []
    for place, part in enumerate(run.parts):
        anchor = run.anchors[place] if place < len(run.anchors) else DASH
        rows.append([f"{part.key.coat}.{part.key.part}", str(part.state.events), str(part.state.deposit.readings), anchor])
    heads = [say.text("Coat and part"), say.text("Entries"), say.text("Readings"), say.text("Count and hash of the last entry")]
    text = say.text(
        "Each entry of the record is chained to the one before it. What is printed here shows later whether its end was cut off."
    )
    return [
        heading(say.text("The record")),
        table(heads, rows, right=(1, 2), widths=("auto", "auto", "auto", "1fr")),
        paragraph(text, quiet=True),
    ]


def _signatures(pen: Pen) -> list[Block]:
    say = pen.say
    rows: list[list[Cell]] = [[say.text(name), "", "", ""] for name in ("Operator", "Foreman", "Inspector: agrees, or what not")]
    heads = [say.text("Signed"), say.text("Name"), say.text("Remark"), say.text("Date and time")]
    empty = say.text(
        "Crew and hours, weather and temperatures, deliveries, admixture and water meter are written in by hand; no reading tells them."
    )
    return [heading(say.text("Signatures")), paragraph(empty, quiet=True), table(heads, rows, widths=("auto", "1fr", "1fr", "auto"))]
