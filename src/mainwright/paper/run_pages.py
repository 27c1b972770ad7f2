"""The sheet of one run: a page for the crew, in big numbers, with room to write."""

import math
import re
from collections.abc import Sequence

from mainwright.figures.metrics import text_width
from mainwright.figures.ribbon import Lane, ribbon, ribbon_data
from mainwright.paper.blocks import Block, Cell, bold, table
from mainwright.paper.pen import DASH, Pen, pump_place
from mainwright.paper.work_pages import opening_number
from mainwright.plan.result import ConnectionWindow, Mark, Plan, Run
from mainwright.words.message import Quantity, message

__all__ = ["run_sheet"]

_LANES: tuple[Lane, ...] = ("axis", "fittings", "connections")
_MARK_ROWS = 5
_WINDOW_ROWS = 4
_COLUMNS = 3
_MARKS = 24
_ROOM = 768.0
"""Height of a page between its margins; a sheet that is higher is set as much smaller. [point]"""


def _big(name: str, value: str, unit: str, note: str) -> Block:
    return {"name": name, "value": value, "unit": unit, "note": note}


def _numbers(run: Run, pen: Pen) -> list[Block]:
    say = pen.say
    band = say.word(message("{low} to {high}", low=say.measure(run.speed_low, "m_min", 2), high=say.measure(run.speed_high, "m_min", 2)))
    speed = say.measure(run.speed, "m_min", 2)
    if len({round(one.speed, 9) for one in run.settings}) > 1:
        band = say.text("mean; see the speed card")
    flow = say.quantity(run.flow, "l_min", 1)
    if run.pump_setting is None:
        setting = _big(
            say.text("Pump output"), say.measure(run.flow, "l_min", 1), say.unit("l_min"), say.text("no pump test: setting not known")
        )
    else:
        spread = ""
        if run.setting_low is not None and run.setting_high is not None:
            spread = say.word(message(", {low} to {high}", low=say.number(run.setting_low, 1), high=say.number(run.setting_high, 1)))
        setting = _big(say.text("Pump setting"), say.number(run.pump_setting, 1), "", f"{flow}{spread}")
    coats = say.word(message("in {n} coats", n=run.coats)) if run.coats > 1 else say.text("mean of the ring")
    mortar = say.word(message("{n} batches, {bags} bags", n=run.batches, bags=run.bags))
    return [
        _big(say.text("Speed"), speed, say.unit("m_min"), band),
        setting,
        _big(say.text("Aim"), say.measure(run.aim, "mm", 1), say.unit("mm"), coats),
        _big(say.text("Mortar to mix"), say.measure(run.mortar, "l", 0), say.unit("l"), mortar),
        _big(say.text("Head moves for"), pen.clock(run.lining_time), say.text("min:s"), say.quantity(run.length, "m", 1)),
    ]


def _speed_card(run: Run, pen: Pen) -> Block:
    """Return a line for each change of bore, in the order in which the head meets them."""
    say = pen.say
    settings = run.settings if run.direction == "increasing" else tuple(reversed(run.settings))
    rows: list[list[Cell]] = []
    for one in settings:
        ends = (one.start, one.end) if run.direction == "increasing" else (one.end, one.start)
        place = f"{say.measure(ends[0], 'm', 1)} → {say.measure(ends[1], 'm', 1)}"
        rows.append(
            [
                place, pen.optional(one.bore, "mm", 1), pen.optional(one.aim, "mm", 1), pen.optional(one.mortar_per_length, "l_m", 2),
                bold(pen.optional(one.speed, "m_min", 2)), f"{pen.optional(one.speed_low, 'm_min', 2)}{DASH}{pen.optional(one.speed_high, 'm_min', 2)}", "",
            ]
        )  # fmt: skip
    heads = [
        pen.head("Chainage", "m"), pen.head("Bore", "mm"), pen.head("Aim", "mm"), pen.head("Mortar", "l_m"), pen.head("Speed", "m_min"),
        say.text("never outside"), say.text("measured"),
    ]  # fmt: skip
    return {
        "title": say.text("Speed card"),
        "table": table(heads, rows, right=(1, 2, 3, 4, 5), widths=["1.6fr", "1fr", "1fr", "1fr", "1fr", "1.4fr", "1.4fr"]),
    }


def _parts(rows: Sequence[Sequence[Cell]], heads: Sequence[str], least: int, widths: Sequence[str], right: Sequence[int]) -> list[Block]:
    """Return rows in as many columns of tables as keep each short, at most three."""
    if not rows:
        return []
    count = min(_COLUMNS, math.ceil(len(rows) / least))
    each = math.ceil(len(rows) / count)
    return [table(heads, rows[at : at + each], right=right, widths=widths) for at in range(0, len(rows), each)]


def _thinned(marks: Sequence[Mark], run: Run) -> list[Mark]:
    """Return at most three columns of marks: of more every second, third and so on, but never without the ends and the changes of bore."""
    keep = {round(place, 6) for one in run.settings for place in (one.start, one.end)}
    step = math.ceil(len(marks) / _MARKS)
    return [mark for index, mark in enumerate(marks) if index % step == 0 or round(mark.chainage, 6) in keep]


def _marks(run: Run, pen: Pen) -> Block:
    say = pen.say
    ordered = sorted(run.marks, key=lambda mark: mark.elapsed)
    rows: list[list[Cell]] = [[pen.optional(mark.chainage, "m", 1), bold(pen.clock(mark.elapsed)), ""] for mark in _thinned(ordered, run)]
    heads = [pen.head("Chainage", "m"), say.text("min:s"), say.text("was")]
    return {
        "title": say.text("Where the spray plane is, from the moment the head first moves"),
        "parts": _parts(rows, heads, _MARK_ROWS, ["1fr", "1fr", "1.2fr"], (0, 1)),
    }


def _minutes(earliest: float, latest: float, pen: Pen) -> str:
    """Return a window in whole minutes that lie inside it."""
    return f"{pen.say.number(math.ceil(earliest / 60.0), 0)}{DASH}{pen.say.number(math.floor(latest / 60.0), 0)}"


def _windows(plan: Plan, run: Run, pen: Pen) -> Block:
    say = pen.say
    uses = {(service.chainage, service.ref): service.use for service in plan.job.services}
    ordered: list[ConnectionWindow] = sorted(run.windows, key=lambda window: window.pass_at)
    rows: list[list[Cell]] = []
    for one in ordered:
        use = uses.get((one.chainage, one.ref))
        name = one.ref or DASH
        marked = use in ("dialysis", "hospital", "school")
        place = pen.optional(one.chainage, "m", 1)
        rows.append([bold(f"{name} !") if marked else name, place, pen.clock(one.pass_at), bold(_minutes(one.earliest, one.latest, pen)) if one.earliest is not None and one.latest is not None else DASH, ""])  # fmt: skip
    heads = [say.text("Ref."), pen.head("Chainage", "m"), say.text("passed"), pen.head("clear within", "minutes"), say.text("cleared")]
    note = ""
    if any(one.earliest is None for one in ordered):
        note = say.text(
            "No countdown where the job's own tested minutes are missing: test the mortar of the day first, then write the times in."
        )
    special = [
        f"{one.ref or DASH} {say.code(uses[(one.chainage, one.ref)] or '')}"
        for one in ordered
        if uses.get((one.chainage, one.ref)) in ("dialysis", "hospital", "school")
    ]
    if special:
        note = f"! {', '.join(special)}. {note}"
    return {
        "title": say.text("Connections, minutes from the moment the head first moves"),
        "parts": _parts(rows, heads, _WINDOW_ROWS, ["1fr", "1fr", "0.8fr", "1.5fr", "1fr"], (1, 2, 3)),
        "note": note,
    }


def _batches(plan: Plan, run: Run, pen: Pen) -> Block:
    say = pen.say
    if run.batch_clock:
        rows: list[list[Cell]] = [
            [str(one.number), pen.optional(one.volume, "l", 0), bold(pen.clock(one.mixing)), pen.clock(one.placed_to), bold(pen.clock(one.latest)), ""] for one in run.batch_clock
        ]  # fmt: skip
        heads = [say.text("No."), say.unit("l"), say.text("mix at"), say.text("placed"), say.text("dead at"), say.text("was")]
        widths = ["auto", "auto", "1fr", "1fr", "1fr", "1fr"]
        right: tuple[int, ...] = (0, 1, 2, 3, 4)
    else:
        size = next((mixer.batch for mixer in plan.job.plant.mixers if mixer.name == run.mixer), None)
        rows = [[say.text("each"), pen.optional(size, "l", 0), ""], [say.text("last"), pen.optional(run.last_batch, "l", 0), ""]]
        heads, widths, right = [say.text("Batch"), say.unit("l"), say.text("was")], ["1fr", "1fr", "1fr"], (1,)
    first = run.batch_clock[0] if run.batch_clock else None
    recipe = ""
    if first is not None:
        recipe = say.word(
            message(
                "A full batch: {cement} of cement, {sand} of sand, {water} of water. ",
                cement=Quantity(first.cement, "kg", 0), sand=Quantity(first.sand, "kg", 0), water=Quantity(first.water, "l", 1),
            )
        )  # fmt: skip
    filling = say.word(
        message(
            "The hose holds {filling}: it is filled before the head moves, and pumped out at the end before it sets.",
            filling=Quantity(run.hose_filling, "l", 0),
        )
    )
    return {
        "title": say.text("Batches, minutes from the moment the head first moves"),
        "table": table(heads, rows, right=right, widths=widths),
        "note": recipe + filling,
    }


def _lines(text: str, width: float, size: float) -> int:
    return max(1, math.ceil(text_width(text, size) * 1.06 / width))


def _height(sheet: Block) -> float:
    """Return about how high a sheet is set; measuring it while it is set would double the time of the whole paper, in points."""

    def rows(part: object) -> int:
        parts = part["parts"] if isinstance(part, dict) and "parts" in part else [part["table"]] if isinstance(part, dict) else []
        return max((len(one["rows"]) for one in parts), default=-2)

    found = re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', str(sheet["svg"]))
    picture = float(found[1]) if found else 0.0
    cautions, hold, batches = sheet["cautions"], sheet["hold"], sheet["batches"]
    if not (isinstance(cautions, list) and isinstance(hold, dict) and isinstance(batches, dict)):
        return math.inf
    danger = sum(13.0 * _lines(text, 505.0, 9.0) for text in cautions)
    held = sum(7.5 + 10.0 * _lines(text, 150.0, 8.5) for text in hold["items"])
    mixed = 14.5 * rows(batches) + 10.0 * _lines(str(batches["note"]), 225.0, 8.0)
    windows = sheet["windows"]
    noted = 0.0
    if isinstance(windows, dict):
        noted = 13.0 * _lines(windows["note"], 505.0, 8.0) * bool(windows["note"]) + 25.0 * (len(windows["parts"]) == _COLUMNS)
    return (
        102.0 + danger + picture + 36.0 + 17.0 * rows(sheet["speed"]) + 31.0 + 14.6 * rows(sheet["marks"]) + 31.0 + 14.6 * rows(sheet["windows"])
        + max(held, mixed) + 54.0 + noted
    )  # fmt: skip


def run_sheet(plan: Plan, run: Run, pen: Pen) -> Block:
    """Return the data of one run's sheet."""
    say, info = pen.say, plan.job.info
    forward = run.direction == "increasing"
    number = opening_number(plan, pump_place(run))
    at = say.word(message("pump at opening {n}, {place}", n=number, place=Quantity(pump_place(run), "m", 1))) if number else say.word(message("pump at {place}", place=Quantity(pump_place(run), "m", 1)))  # fmt: skip
    way = say.word(message("head travels {way}", way=run.direction))
    gear = pen.joined(
        f"{say.text(name)}\u00a0{value}" for name, value in (("pump", run.pump), ("hose", run.hose), ("head", run.lining_head), ("rope", run.rope), ("mixer", run.mixer)) if value
    )  # fmt: skip
    bends = say.word(message("bends {angle} in all", angle=Quantity(run.bends_total, "deg", 1))) if run.bends_total else ""
    pressure = (
        say.word(message("hose pressure about {pressure}", pressure=Quantity(run.hose_pressure, "bar", 0)))
        if run.hose_pressure is not None
        else ""
    )
    lanes = tuple(lane for lane in _LANES if lane != "connections" or run.windows)
    svg = ribbon(ribbon_data(plan), start=run.start, end=run.end, width=521.0, language=info.language, units=info.units, lanes=lanes)
    sheet: Block = {
        "kind": "run",
        "id": run.id,
        "heading": f"{run.id}, {pen.length(run.start, run.end)}",
        "low": say.quantity(run.start, "m", 1),
        "high": say.quantity(run.end, "m", 1),
        "forward": forward,
        "line": " · ".join(part for part in (f"DN {run.dn}", way, at, bends, pressure, gear) if part),
        "state": say.text("done") if run.done else "",
        "big": _numbers(run, pen),
        "cautions": [say.word(one.text) for one in run.cautions],
        "caution-title": say.text("Danger"),
        "svg": svg,
        "alt": say.word(message("Run {run}: fittings and connections", run=run.id)),
        "speed": _speed_card(run, pen),
        "marks": _marks(run, pen),
        "windows": _windows(plan, run, pen),
        "hold": {
            "title": say.text("Not before each of these is released"),
            "heads": ["", say.text("Hold point"), say.text("Name"), say.text("Time")],
            "items": [say.word(one.text) for one in run.hold_points],
        },
        "batches": _batches(plan, run, pen),
        "sign": [say.text("Date"), say.text("Head starts at (clock)"), say.text("Head out at (clock)"), say.text("Foreman")],
    }
    return sheet | {"share": min(1.0, _ROOM / _height(sheet))}
