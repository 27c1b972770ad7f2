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

_LANES: tuple[Lane, ...] = ("axis", "fittings")
_MARKS = 24
_MARK_ROWS = 6
_MARK_COLUMNS = 2
_WINDOW_ROWS = 3
_WINDOW_COLUMNS = 3
_WIDTH = 521.5
_ROOM = 759.0
_NARROW = 580.0
"""Width and height of a page between its margins; a sheet that is higher is set smaller, and as much wider. [point]"""


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
    coats = say.word(message("in {n} {n:coat/coats}", n=run.coats)) if run.coats > 1 else say.text("mean of the ring")
    mortar = say.word(message("{n} {n:batch/batches}, {bags} {bags:bag/bags}", n=run.batches, bags=run.bags))
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


def _parts(
    rows: Sequence[Sequence[Cell]], heads: Sequence[str], *, least: int, most: int, widths: Sequence[str], right: Sequence[int]
) -> list[Block]:
    """Return rows in as many tables side by side as keep each short."""
    if not rows:
        return []
    count = min(most, math.ceil(len(rows) / least))
    each = math.ceil(len(rows) / count)
    return [table(heads, rows[at : at + each], right=right, widths=widths) for at in range(0, len(rows), each)]


def _thinned(marks: Sequence[Mark], run: Run) -> list[Mark]:
    """Return as many marks as a sheet takes: of more every second, third and so on, but never without the ends and the changes of bore."""
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
        "parts": _parts(rows, heads, least=_MARK_ROWS, most=_MARK_COLUMNS, widths=["1fr", "1fr", "1.2fr"], right=(0, 1)),
    }


def _minutes(earliest: float, latest: float, pen: Pen) -> str:
    """Return a window in whole minutes that lie inside it."""
    return f"{pen.say.number(math.ceil(earliest / 60.0), 0)}{DASH}{pen.say.number(math.floor(latest / 60.0), 0)}"


def _windows(plan: Plan, run: Run, pen: Pen) -> Block:
    say = pen.say
    uses = {(service.chainage, service.ref): service.use for service in plan.job.services}
    sides = {(service.chainage, service.ref): service.side for service in plan.job.services}
    ordered: list[ConnectionWindow] = sorted(run.windows, key=lambda window: window.pass_at)
    rows: list[list[Cell]] = []
    for one in ordered:
        use = uses.get((one.chainage, one.ref))
        side = sides.get((one.chainage, one.ref))
        name = (one.ref or DASH) + (f" {say.code(side)}" if side else "")
        marked = use in ("dialysis", "hospital", "school")
        place = pen.optional(one.chainage, "m", 1)
        rows.append([bold(f"{name} !") if marked else name, place, pen.clock(one.pass_at), bold(_minutes(one.earliest, one.latest, pen)) if one.earliest is not None and one.latest is not None else DASH, ""])  # fmt: skip
    heads = [say.text("Ref."), pen.head("Chainage", "m"), say.text("passed"), pen.head("clear", "minutes"), say.text("cleared")]
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
        "parts": _parts(
            rows, heads, least=_WINDOW_ROWS, most=_WINDOW_COLUMNS, widths=["1.85fr", "1.05fr", "0.9fr", "1.15fr", "0.8fr"], right=(1, 2, 3)
        ),
        "note": note,
    }


def _batches(plan: Plan, run: Run, pen: Pen) -> Block:
    say = pen.say
    if run.batch_clock:
        rows: list[list[Cell]] = [
            [str(one.number), pen.optional(one.volume, "l", 0), bold(pen.clock(one.mixing)), pen.clock(one.placed_to) if one.placed_to is not None else say.text("in hose"), bold(pen.clock(one.latest)), ""] for one in run.batch_clock
        ]  # fmt: skip
        heads = [say.text("No."), say.unit("l"), say.text("mix at"), say.text("placed"), say.text("dead at"), say.text("was")]
        widths = ["auto", "auto", "1fr", "1fr", "1fr", "1fr"]
        right: tuple[int, ...] = (0, 1, 2, 3, 4)
    else:
        size = next((mixer.batch for mixer in plan.job.plant.mixers if mixer.name == run.mixer), None)
        rows = [[say.text("full"), pen.optional(size, "l", 0), ""], [say.text("last"), pen.optional(run.last_batch, "l", 0), ""]]
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
    return max(1, math.ceil(text_width(text, size) * 1.01 / width))


def _height(sheet: Block, *, width: float, picture: float) -> float:
    """Return about how high a sheet is set at a width, in points.

    Measuring it while it is set would be exact and double the time of the whole paper; a test counts the pages.
    """
    marks, batches, windows, hold, speed = (_table_of(sheet, name) for name in ("marks", "batches", "windows", "hold", "speed"))
    danger = sum(1.0 + 9.7 * _lines(text, width - 22.0, 8.5) for text in _texts(sheet["cautions"]))
    held = sum(4.2 + 9.6 * _lines(text, width - 160.0, 8.5) for text in _texts(hold["items"]))
    beside = max(
        12.8 * (_rows(marks["parts"]) + 1), 12.8 * (_rows([batches["table"]]) + 1) + 10.0 * _lines(str(batches["note"]), width * 0.42, 8.0)
    )
    # In a narrow setting heads of columns and of the batches take two lines.
    narrow = 10.0 if width < _NARROW else 0.0
    three = isinstance(windows["parts"], list) and len(windows["parts"]) == _WINDOW_COLUMNS
    row = 17.0 if three and width < 1.13 * _NARROW else 12.8
    cleared = row * (_rows(windows["parts"]) + 1) + (28.0 if narrow or three else 18.0) if windows["parts"] else 0.0
    noted = 12.0 * _lines(str(windows["note"]), width, 8.0) if windows["note"] else 0.0
    head = 26.0 + 11.0 * _lines(str(sheet["line"]), width - 70.0, 9.0)
    return (
        head
        + 66.0
        + 24.0
        + danger
        + picture
        + 30.0
        + 14.0 * _rows([speed["table"]])
        + 18.0
        + 2.0 * narrow
        + beside
        + cleared
        + noted
        + 28.0
        + held
        + 32.0
    )


def _table_of(sheet: Block, name: str) -> Block:
    part = sheet[name]
    return part if isinstance(part, dict) else {}


def _texts(value: object) -> list[str]:
    return [str(one) for one in value] if isinstance(value, list) else []


def _rows(parts: object) -> int:
    return max((len(one["rows"]) for one in parts), default=0) if isinstance(parts, list) else 0


def _share(sheet: Block, picture: float) -> float:
    """Return by how much a sheet must be set smaller to stay one page: smaller type in a wider setting takes fewer lines."""
    low, high = 0.4, 1.0
    if _height(sheet, width=_WIDTH, picture=picture) <= _ROOM:
        return 1.0
    for _ in range(20):
        middle = (low + high) / 2
        fits = _height(sheet, width=_WIDTH / middle, picture=picture) * middle <= _ROOM
        low, high = (middle, high) if fits else (low, middle)
    return low


def run_sheet(plan: Plan, run: Run, pen: Pen) -> Block:
    """Return the data of one run's sheet."""
    say = pen.say
    forward = run.direction == "increasing"
    number = opening_number(plan, pump_place(run))
    at = say.word(message("pump at opening {n}, {place}", n=number, place=Quantity(pump_place(run), "m", 1))) if number else say.word(message("pump at {place}", place=Quantity(pump_place(run), "m", 1)))  # fmt: skip
    way = say.word(message("head travels {way}", way=run.direction))
    gear = pen.joined(
        f"{name}\u00a0{value}"
        for name, value in (
            (say.text("pump"), run.pump), (say.text("hose"), run.hose), (say.text("head"), run.lining_head), (say.text("rope"), run.rope), (say.text("mixer"), run.mixer),
        )
        if value
    )  # fmt: skip
    bends = say.word(message("bends {angle} in all", angle=Quantity(run.bends_total, "deg", 1))) if run.bends_total else ""
    pressure = (
        say.word(message("hose pressure about {pressure}", pressure=Quantity(run.hose_pressure, "bar", 0)))
        if run.hose_pressure is not None
        else ""
    )
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
        "alt": say.word(message("Run {run}: its fittings", run=run.id)),
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
    drawn = _picture(plan, run, _WIDTH)
    # Above the first sheet stands the heading of them all.
    share = _share(sheet, _drawn_height(drawn) + (16.0 if run is plan.runs[0] else 0.0))
    return sheet | {"share": share, "svg": drawn if share == 1.0 else _picture(plan, run, _WIDTH / share)}


def _picture(plan: Plan, run: Run, width: float) -> str:
    info = plan.job.info
    return ribbon(
        ribbon_data(plan),
        start=run.start,
        end=run.end,
        width=width,
        language=info.language,
        units=info.units,
        lanes=_LANES,
        label_room=72.0,
    )


def _drawn_height(svg: str) -> float:
    found = re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', svg)
    return float(found[1]) if found else 0.0
