"""The chainage ribbon: everything that hangs on the length of the main, in lanes that share one axis, zero at the left."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from mainwright.errors import InputError
from mainwright.figures import ribbon_ground, ribbon_pipe, ribbon_supply, ribbon_work
from mainwright.figures.frame import GAP, SMALL, Frame
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.svg import Drawing
from mainwright.figures.symbols import fitting
from mainwright.job.job import Job
from mainwright.job.survey import FeatureKind
from mainwright.plan.result import LinedStretch, Opening, Plan, Run, Suitability
from mainwright.plan.result_supply import TemporarySupply
from mainwright.words.message import Quantity, message
from mainwright.words.wording import UnitSystem, Wording

__all__ = ["LANES", "Lane", "RibbonData", "Sheet", "ribbon", "ribbon_data", "ribbon_rows", "sheets"]

Lane = Literal["axis", "surface", "profile", "host", "verdict", "fittings", "work", "connections", "supply", "aim", "legend"]
LANES: Final[tuple[Lane, ...]] = (
    "axis",
    "surface",
    "profile",
    "host",
    "verdict",
    "fittings",
    "work",
    "connections",
    "supply",
    "aim",
    "legend",
)
_MARGIN: Final = 92.0
_RIGHT: Final = 16.0
_FIT: Final = 46
"""So many fittings and openings stand well on a sheet's width."""


@dataclass(frozen=True, slots=True)
class RibbonData:
    """What the ribbon shows; without a plan the lists are empty and their lanes stay away."""

    job: Job
    stretches: tuple[LinedStretch, ...] = ()
    suitability: tuple[Suitability, ...] = ()
    openings: tuple[Opening, ...] = ()
    runs: tuple[Run, ...] = ()
    planned: bool = False
    supply: TemporarySupply | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of a ribbon that is cut for paper: number, of how many, chainages, and the length that fills its width, in metres."""

    number: int
    count: int
    start: float
    end: float
    span: float


def ribbon_data(plan: Plan) -> RibbonData:
    """Return what the ribbon shows of a plan.

    Parameters
    ----------
    plan : Plan
        The plan. [-]

    Returns
    -------
    RibbonData
        Its parts along the main.
    """
    return RibbonData(plan.job, plan.stretches, plan.suitability, plan.openings, plan.runs, planned=True, supply=plan.supply)


def sheets(data: RibbonData) -> tuple[Sheet, ...]:
    """Return the sheets of a ribbon: the longest round length on which every label finds room, the last at the same scale.

    Parameters
    ----------
    data : RibbonData
        What is shown. [-]

    Returns
    -------
    tuple of Sheet
        In order of chainage, without gap.
    """
    start, end = data.job.main[0].start, data.job.main[-1].end
    marks = sorted([one.chainage for one in data.job.features] + [one.chainage for one in data.openings])

    def crowded(span: float) -> bool:
        edges = range(math.ceil((end - start) / span))
        return any(sum(start + k * span <= mark <= start + (k + 1) * span for mark in marks) > _FIT for k in edges)

    length = end - start
    wanted = min(max(400.0, length / 12.0), 1000.0)
    tried = (max(1, math.ceil(length / (wanted * share) - 0.15)) for share in (1.0, 0.75, 0.5, 0.35, 0.25, 0.15))
    spans = [(count, math.ceil(length / count / 10.0 - 1e-9) * 10.0 if count > 1 else length) for count in tried]
    count, span = next(((count, span) for count, span in spans if not crowded(span)), spans[-1])
    count = max(1, math.ceil(length / span - 1e-9))
    return tuple(Sheet(k + 1, count, start + k * span, min(end, start + (k + 1) * span), span) for k in range(count))


def ribbon(
    data: RibbonData,
    *,
    start: float,
    end: float,
    width: float,
    theme: Theme = "light",
    language: str = "en",
    units: UnitSystem = "metric",
    lanes: Sequence[Lane] = LANES,
    span: float | None = None,
    label_room: float = 92.0,
    window: bool = False,
) -> str:
    """Return the ribbon between two chainages as SVG text.

    Parameters
    ----------
    data : RibbonData
        What is shown. [-]
    start, end : float
        Chainages. [m]
    width : float
        Of the drawing. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language, units : str
        Of the reader. [-]
    lanes : sequence of str
        Which lanes, from the top. [-]
    span : float, optional
        Length that fills the width of a sheet of several: the last may be shorter, and the ends that go on are marked. [m]
    label_room : float
        Height for the upright labels of fittings. [point]
    window : bool
        Whether a window shows no more than a part of it at once: then what is counted is counted along the whole main. [-]

    Returns
    -------
    str
        SVG, the same text for the same data.

    Raises
    ------
    InputError
        If the length is nothing, or outside the main.
    """
    main = data.job.main
    if not (end > start >= main[0].start - 1e-6 and end <= main[-1].end + 1e-6):
        raise InputError("ribbon", f"{start:g} to {end:g}", "m", f"a length within {main[0].start:g} to {main[-1].end:g} m")
    reader = Wording(language, units, "\u00a0")
    title = reader.word(
        message("{name}: ribbon from {start} to {end}", name=data.job.info.name, start=Quantity(start, "m", 1), end=Quantity(end, "m", 1))
    )
    drawing = Drawing(width=width, height=0.0, title=title)
    frame = Frame(drawing, PALETTES[theme], reader, start, end, _MARGIN, (width - _MARGIN - _RIGHT) / (span or end - start), not window)
    top = 2.0
    tops: dict[Lane, float] = {}
    for lane in lanes:
        tops[lane] = top
        height = _draw(frame, top, lane, data, label_room) if lane != "legend" else _legend(frame, top, data, lanes)
        if height > 0.0:
            top += height + 5.0
            if lane not in ("axis", "legend", "surface"):
                frame.rule(top - 2.5)
    if "surface" in tops:
        _zones(frame, tops.get("host", top) - 3.0, data)
    if span is not None:
        _ends(frame, tops.get("legend", top) - 4.0, tops.get("fittings", tops.get("work", 20.0)) + 16.0, data)
    drawing.height = top
    drawing.ground = PALETTES[theme].paper
    return drawing.svg()


def _draw(frame: Frame, top: float, lane: Lane, data: RibbonData, label_room: float) -> float:
    job = data.job
    draws: dict[Lane, Callable[[], float]] = {
        "axis": lambda: ribbon_ground.axis(frame, top),
        "surface": lambda: ribbon_ground.surface(frame, top, job) if job.ground else 0.0,
        "profile": lambda: ribbon_ground.profile(frame, top, job, [one.chainage for one in data.openings]),
        "host": lambda: ribbon_pipe.host(frame, top, job, data.stretches),
        "verdict": lambda: ribbon_pipe.verdicts(frame, top, data.suitability),
        "fittings": lambda: ribbon_pipe.fittings(frame, top, job, room=label_room)[0] if job.features else 0.0,
        "work": lambda: ribbon_work.work(frame, top, job, data.openings, data.runs) if data.planned else 0.0,
        "connections": lambda: ribbon_work.connections(frame, top, job),
        "supply": lambda: ribbon_supply.supply(frame, top, data.supply),
        "aim": lambda: ribbon_work.aim(frame, top, data.stretches, data.runs),
    }
    return draws[lane]()


def _zones(frame: Frame, bottom: float, data: RibbonData) -> None:
    """Draw the edges of the no-dig zones through surface and profile."""
    frame.drawing.layer(beneath=True)
    for start, end, _ in ribbon_ground.forbidden_zones(data.job):
        for place in (start, end):
            if frame.shows(place):
                frame.drawing.line(frame.x(place), 16.0, frame.x(place), bottom, ink=frame.look.forbidden, weight=0.6, dash="1.5 2.5")
    frame.drawing.layer(beneath=False)


def _ends(frame: Frame, bottom: float, note: float, data: RibbonData) -> None:
    """Draw where a sheet goes on."""
    draw, look, main = frame.drawing, frame.look, data.job.main
    draw.layer(beneath=True)
    for place, outer in ((frame.start, main[0].start), (frame.end, main[-1].end)):
        if abs(place - outer) > 1e-6:
            draw.line(frame.x(place), 4.0, frame.x(place), bottom, ink=look.ink, weight=0.7, dash="9 2.5 2 2.5")
            said = frame.reader.word(message("matches at {place}", place=Quantity(place, "m", 1)))
            draw.text(
                frame.x(place) + (8.0 if place > frame.start else -4.0), note, said, size=SMALL, ink=look.quiet, anchor="end", turned=True
            )
    draw.layer(beneath=False)


def _signs(frame: Frame, lane: Lane, data: RibbonData) -> list[tuple[str, Callable[[float, float], None]]]:
    """Return the signs of one lane: their words, and what draws each at a place."""
    draw, look, reader = frame.drawing, frame.look, frame.reader
    entries: list[tuple[str, Callable[[float, float], None]]] = []
    if lane == "fittings":
        entries = [
            (reader.code(kind), _sign(frame, kind)) for kind in sorted({one.kind for one in data.job.features if frame.shows(one.chainage)})
        ]
    elif lane == "surface":
        kinds = sorted({one.surface for one in data.job.ground if one.surface and frame.clipped(one.start, one.end)})
        entries = [(reader.code(kind), _swatch(frame, ribbon_ground.surface_fill(frame, kind))) for kind in kinds]
    elif lane == "host" and any(stretch.deposit for stretch in data.job.main):
        said = reader.word(message("deposits, drawn {n} times as thick", n=int(ribbon_pipe.DEPOSIT_SCALE)))
        entries = [(said, _swatch(frame, "url(#deposit)"))]
    elif lane == "work" and data.planned:
        entries = [
            (reader.text("opening"), lambda x, y: draw.rect(x - 3.6, y - 5.0, 7.2, 10.0, fill=look.opening, ink=look.ink, weight=1.0)),
            (reader.text("opening with the pump"), _pump(frame)),
            (reader.text("run, the way the head travels"), _arrow(frame)),
        ]
    elif lane == "connections" and any(one.material == "lead" for one in data.job.services):
        entries = [(reader.text("lead connection"), lambda x, y: draw.circle(x, y, 1.9, fill=look.paper, ink=look.ink, weight=0.8))]
    elif lane == "supply":
        entries = ribbon_supply.signs(frame, data.supply)
    elif lane == "aim":
        entries = _aim_signs(frame, data)
    return entries


def _aim_signs(frame: Frame, data: RibbonData) -> list[tuple[str, Callable[[float, float], None]]]:
    draw, look, reader = frame.drawing, frame.look, frame.reader
    entries: list[tuple[str, Callable[[float, float], None]]] = []
    if data.stretches:
        entries.append((reader.text("minimum"), lambda x, y: draw.line(x - 6, y, x + 6, y, ink=look.ink, weight=1.3)))
        entries.append((reader.text("nominal"), lambda x, y: draw.line(x - 6, y, x + 6, y, ink=look.quiet, weight=0.7, dash="4 2.4")))
    if any(one.maximum is not None for one in data.stretches):
        entries.append((reader.text("maximum"), lambda x, y: draw.line(x - 6, y, x + 6, y, ink=look.quiet, weight=0.5)))
    if data.runs:
        entries.append((reader.text("aim"), lambda x, y: draw.line(x - 6, y, x + 6, y, ink=look.run, weight=2.0)))
    return entries


def _legend(frame: Frame, top: float, data: RibbonData, lanes: Sequence[Lane]) -> float:
    """Explain the signs that stand in this drawing, in as many lines as they need, and return their height."""
    draw, look, reader = frame.drawing, frame.look, frame.reader
    entries = [entry for lane in LANES if lane in lanes for entry in _signs(frame, lane, data)]
    draw.open_group("legend", reader.text("Signs"))
    right = draw.width - _RIGHT
    x, y = _MARGIN, top + 9.0
    frame.title(y + 2.0, reader.text("Signs"))
    for text, sign in entries:
        room = 18.0 + text_width(text, SMALL) + GAP * 3
        if x + room > right and x > _MARGIN:
            x, y = _MARGIN, y + 12.5
        sign(x + 7.0, y)
        draw.text(x + 17.0, y + 2.2, text, size=SMALL, ink=look.ink)
        x += room
    draw.close_group()
    return y - top + 8.0


def _sign(frame: Frame, kind: FeatureKind) -> Callable[[float, float], None]:
    return lambda x, y: fitting(frame.drawing, frame.look, x, y, kind)


def _swatch(frame: Frame, fill: str) -> Callable[[float, float], None]:
    return lambda x, y: frame.drawing.rect(x - 6.0, y - 4.0, 12.0, 8.0, fill=fill, ink=frame.look.quiet, weight=0.5)


def _pump(frame: Frame) -> Callable[[float, float], None]:
    def sign(x: float, y: float) -> None:
        frame.drawing.rect(x - 3.6, y - 5.0, 7.2, 10.0, fill=frame.look.pump)
        frame.drawing.circle(x, y, 1.7, fill=frame.look.paper)

    return sign


def _arrow(frame: Frame) -> Callable[[float, float], None]:
    def sign(x: float, y: float) -> None:
        points = [(x - 6, y - 4), (x + 2, y - 4), (x + 6, y), (x + 2, y + 4), (x - 6, y + 4)]
        frame.drawing.path(points, fill=frame.look.run, closed=True)

    return sign


def ribbon_rows(data: RibbonData, *, language: str = "en", units: UnitSystem = "metric") -> list[tuple[str, str, str]]:
    """Return what the ribbon shows as a table, for readers who do not see it.

    Parameters
    ----------
    data : RibbonData
        What is shown. [-]
    language, units : str
        Of the reader. [-]

    Returns
    -------
    list of (str, str, str)
        Where (chainage or length), what, and how: in order of chainage.
    """
    reader = Wording(language, units)
    rows: list[tuple[float, int, str, str, str]] = []

    def between(start: float, end: float) -> str:
        return f"{reader.measure(start, 'm', 1)}–{reader.quantity(end, 'm', 1)}"

    for stretch in data.job.main:
        said = f"DN {stretch.dn} {reader.code(stretch.material)}"
        rows.append((stretch.start, 0, between(stretch.start, stretch.end), reader.text("Host pipe"), said))
    for ground in data.job.ground:
        said = reader.code(ground.surface) if ground.surface else reader.text("surface not known")
        said += f", {reader.text('no digging')}" if ground.dig is False else ""
        rows.append((ground.start, 1, between(ground.start, ground.end), reader.text("Surface"), said))
    rows += [
        (one.start, 2, between(one.start, one.end), reader.text("Can it be lined"), reader.code(one.verdict)) for one in data.suitability
    ]
    for feature in data.job.features:
        angle = f" {reader.quantity(feature.angle, 'deg', 1)}" if feature.angle else ""
        rows.append(
            (feature.chainage, 3, reader.quantity(feature.chainage, "m", 1), reader.text("Fitting"), reader.code(feature.kind) + angle)
        )
    for number, opening in enumerate(data.openings, start=1):
        said = f"{number}{', ' + reader.text('with the pump') if opening.pump_here else ''}"
        rows.append((opening.chainage, 4, reader.quantity(opening.chainage, "m", 1), reader.text("Opening"), said))
    for run in data.runs:
        said = f"{run.id}, {reader.code(run.direction)}, {reader.text('aim')} {reader.quantity(run.aim, 'mm', 1)}, {reader.word(run.limit_text)}"
        rows.append((run.start, 5, between(run.start, run.end), reader.text("Run"), said))
    for service in data.job.services:
        said = ", ".join(reader.code(part) for part in (service.side, service.use, service.ref) if part)
        rows.append((service.chainage, 6, reader.quantity(service.chainage, "m", 1), reader.text("Connection"), said))
    rows += [
        (at, 7, between(at, end) if end > at else reader.quantity(at, "m", 1), what, how)
        for at, end, what, how in ribbon_supply.rows(data.supply, reader)
    ]
    return [(where, what, how) for _, _, where, what, how in sorted(rows, key=lambda row: (row[0], row[1]))]
