"""How one run is cleaned: method, passes, deposits, tanker loads, water and the pull on the rope."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, pi
from typing import Final, Literal, NamedTuple

from mainwright.constants import STANDARD_GRAVITY
from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.job.plant import Rope
from mainwright.plan.finding import PRACTICE
from mainwright.plan.host import Host, HostStretch
from mainwright.plan.profile import profile_between
from mainwright.plan.result import Cleaning, Direction, PlanWarning
from mainwright.plan.wall_state import DepositKind, deposit_kind, lining_kind
from mainwright.science.bore.ring import ring_area
from mainwright.science.placement.pull import Drag, hauling_pull, rope_working_load
from mainwright.standards.published import Published, table
from mainwright.standards.source import Assumed, Source
from mainwright.units import from_si, significant
from mainwright.words.message import Message, Quantity, message

__all__ = ["cleaning_assumed", "cleaning_warnings", "plan_cleaning"]

_Method = Literal["not_before_lawful", "jetting", "rack_feed_boring", "drag_scraping", "pressure_scraping"]
_End = Literal["low", "value", "high"]

_TIGHT: Final = 0.5
"""Share of the clean bore under which a rod goes before a scraper. [-] An allowance of the trade, no source."""

_REFERENCE_SIZE: Final = 0.150
"""Size at which the table gives the mass of a tool. [m]"""


class _Part(NamedTuple):
    """One stretch inside the run: its length in it, and what is on its wall."""

    stretch: HostStretch
    length: float
    kind: DepositKind


@dataclass(frozen=True, slots=True)
class _Work:
    """The run as cleaning sees it: greatest size, worst deposit, and each stretch."""

    parts: tuple[_Part, ...]
    dn: int
    kind: DepositKind
    tight: bool

    @property
    def length(self) -> float:
        return sum(part.length for part in self.parts)

    @property
    def deposits(self) -> float | None:
        """Volume of the deposits [m3], None where a thickness is missing."""
        volumes = [_ring(part.stretch) for part in self.parts]
        known = [volume * part.length for volume, part in zip(volumes, self.parts, strict=True) if volume is not None]
        return sum(known) if len(known) == len(volumes) else None

    @property
    def volume(self) -> float:
        """Volume of the clean bore [m3]."""
        return sum(pi / 4.0 * part.stretch.bore**2 * part.length for part in self.parts)


def plan_cleaning(
    job: Job,
    host: Host,
    *,
    run_id: str,
    start: float,
    end: float,
    direction: Direction = "increasing",
    rope: Rope | None = None,
) -> Cleaning:
    """Return how one run is cleaned.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    run_id : str
        Id of the run. [-]
    start, end : float
        Chainage of its two openings, start < end. [m]
    direction : Direction
        Way of the tool; the winch stands at its end. [-]
    rope : Rope or None
        The rope of the run; without one, the strongest of the plant that is long enough. [-]

    Returns
    -------
    Cleaning
        Volumes and masses are None where a thickness of deposits is missing, pulls where the method draws no rope.

    Notes
    -----
    Deposits: the ring between today's bore and the clean one. Loads: deposits with the water taken up with them, over the tanker. The
    pull is an estimate with its spread, from the low and the high ends of the allowances in the table of cleaning; the winch's
    limit is set to the rope's working load whatever it says.
    """
    work = _work(host, start, end)
    method = _method(work)
    passes = _passes(method, work.kind)
    used = _rope_of(job, work.length) if rope is None else rope
    volume = work.deposits
    nothing = method == "not_before_lawful"
    pulls = [_pull(job, work, passes=passes, start=start, end=end, direction=direction, at=at) for at in _spread(method)]
    return Cleaning(
        run=run_id,
        method=method,
        method_text=_text(method, work),
        source=_source(method),
        passes=passes,
        deposits=volume,
        deposits_mass=_mass(work),
        loads=None if volume is None or nothing else _loads(volume),
        water=None if nothing else _water(method, work, passes),
        pull_low=pulls[0] if pulls else None,
        pull_high=pulls[1] if pulls else None,
        rope_working_load=None if used is None else rope_working_load(breaking=used.breaking, safety=used.safety),
    )


def cleaning_warnings(job: Job, host: Host, cleanings: Sequence[tuple[Cleaning, float, float]]) -> tuple[PlanWarning, ...]:
    """Return what the reader must know of the cleaning.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    cleanings : sequence of (Cleaning, float, float)
        What was planned, each with the first and last chainage of its run. [-] [m] [m]

    Returns
    -------
    tuple of PlanWarning
        In order of chainage; the class of the waste is asked for, never guessed.
    """
    found = []
    for one, start, end in cleanings:
        if one.method == "not_before_lawful":
            text = message("Run {run}: asbestos cement. Nothing is cleaned before a lawful method is approved in writing.", run=one.run)
            found.append(PlanWarning("cleaning_unlawful", start, end, text, "stop"))
        if one.pull_high is not None and one.rope_working_load is not None and one.pull_high > one.rope_working_load:
            text = message(
                "Run {run}: cleaning may pull {pull}, the rope works to {load}. More passes, a stronger rope, or a shorter run.",
                run=one.run,
                pull=Quantity(one.pull_high, "kn", 1),
                load=Quantity(one.rope_working_load, "kn", 1),
            )
            found.append(PlanWarning("cleaning_pull", start, end, text, "act"))
        if one.deposits is None:
            text = message("Run {run}: thickness of deposits not known: volume, loads and pull are open.", run=one.run)
            found.append(PlanWarning("deposits_unknown", start, end, text, "act"))
    tar = any(lining_kind(stretch.row.existing_lining) == "coal_tar" for stretch in host.stretches)
    text = (
        message("Coal tar is on record: have deposits tested for PAH before anything leaves the main, and ask for the class of the waste.")
        if tar
        else message(
            "The class of the waste is not known: have the deposits sampled and the way of disposal agreed before cleaning begins."
        )
    )
    return (*found, PlanWarning("waste_class", job.main[0].start, job.main[-1].end, text, "act"))


def cleaning_assumed(host: Host, cleanings: Sequence[Cleaning]) -> tuple[Assumed, ...]:
    """Return the allowances on which the cleaning was reckoned.

    Parameters
    ----------
    host : Host
        The main, with what is on its wall. [-]
    cleanings : sequence of Cleaning
        What was planned. [-]

    Returns
    -------
    tuple of Assumed
        Each once, in the order of the table.
    """
    methods = {one.method for one in cleanings}
    wanted = {"density", "tanker", "sludge_water"} if any(one.deposits is not None for one in cleanings) else set[str]()
    if methods & {"drag_scraping", "pressure_scraping", "rack_feed_boring"}:
        wanted.add("rinse_volumes")
    if "jetting" in methods:
        wanted |= {"jet_flow", "jet_speed"}
    if any(one.pull_high is not None for one in cleanings):
        wanted |= {"friction_rope", "friction_deposits", "scraper_stress", "tool_mass", "rope_mass", "heap_share"}
    kinds = {_kind(stretch) for stretch in host.stretches}
    listed = {_as_listed(kind) for kind in kinds} | {"unknown" if kind == "coating" else kind for kind in kinds}
    found = []
    for row in table("cleaning").rows:
        passes = row.text("key") == "passes" and row.text("method") in methods
        if (row.text("key") not in wanted and not passes) or (row.text("deposit") and row.text("deposit") not in listed):
            continue
        published = row.published
        name = ".".join(part for part in ("cleaning", row.text("key"), row.text("method"), row.text("deposit")) if part)
        shown = significant(from_si(published.value, published.unit))
        because = (
            message("An allowance for cleaning, the first run tells: {note}.", note=published.note)
            if published.note
            else message("An allowance for cleaning; the first run tells.")
        )
        found.append(Assumed(name, shown, "" if published.unit == "-" else published.unit, because))
    return tuple(found)


def _kind(stretch: HostStretch) -> DepositKind:
    """Return what has to come off the wall: a coating counts before what lies on it."""
    coated = lining_kind(stretch.row.existing_lining) in ("coal_tar", "bitumen", "resin")
    return "coating" if coated else deposit_kind(stretch.row.deposit_kind)


def _work(host: Host, start: float, end: float) -> _Work:
    parts = []
    for stretch in host.stretches:
        length = min(end, stretch.end) - max(start, stretch.start)
        if length > 0.0:
            parts.append(_Part(stretch, length, _kind(stretch)))
    order: tuple[DepositKind, ...] = ("coating", "hard", "lime", "unknown", "sand", "soft")
    kinds = [part.kind for part in parts]
    tight = any(part.stretch.bore_today is not None and part.stretch.bore_today < _TIGHT * part.stretch.bore for part in parts)
    return _Work(tuple(parts), max(part.stretch.dn for part in parts), min(kinds, key=order.index), tight)


def _ring(stretch: HostStretch) -> float | None:
    """Return the deposits by length [m3/m], None where their thickness is missing or cannot be."""
    thick = stretch.row.deposit
    if thick is None or thick < 0.0 or 2.0 * thick >= stretch.bore:
        return None
    return 0.0 if thick == 0.0 else ring_area(thickness=thick, bore=stretch.bore)


def _sizes(method: str) -> tuple[float, float]:
    row = table("cleaning").find(key="dn_range", method=method)
    if row is None:
        return (0.0, float("inf"))
    high = row.published.high
    return (row.published.value, float("inf") if high is None else high)


def _fits(method: str, dn: int) -> bool:
    low, high = _sizes(method)
    return low <= dn <= high


def _method(work: _Work) -> _Method:
    if any(part.stretch.material == "asbestos_cement" for part in work.parts):
        return "not_before_lawful"
    if work.kind == "coating":
        return "jetting"
    if (work.tight or not _fits("drag_scraping", work.dn)) and _fits("rack_feed_boring", work.dn) and work.kind not in ("soft", "sand"):
        return "rack_feed_boring"
    if _fits("drag_scraping", work.dn):
        return "drag_scraping"
    if work.kind not in ("soft", "sand") and _fits("pressure_scraping", work.dn):
        return "pressure_scraping"
    return "jetting"


def _text(method: _Method, work: _Work) -> Message:
    texts: dict[_Method, Message] = {
        "not_before_lawful": message("Asbestos cement: no cleaning until a lawful method is approved in writing."),
        "jetting": message("Jet at high pressure, coating or loose deposits down to sound metal; then camera."),
        "rack_feed_boring": message("Bore it open with rods and a turning head, then scrape, draw out and rinse; then camera."),
        "drag_scraping": message(
            "Draw spring scrapers through by winch, then a plunger and a rubber disc to draw out and dry; then camera."
        ),
        "pressure_scraping": message("Drive a scraper by water pressure, then discs to draw out and dry; then camera."),
    }
    weak = any(part.stretch.row.wall is None for part in work.parts)
    if weak and method in ("drag_scraping", "pressure_scraping", "rack_feed_boring", "jetting"):
        mild: dict[_Method, Message] = {
            "jetting": message("Jet, the pressure raised step by step, for the wall's strength is not known; then camera."),
            "rack_feed_boring": message("Bore it open gently, for the wall's strength is not known; scrape, draw out, rinse; then camera."),
            "drag_scraping": message(
                "Draw scrapers through by winch, the mildest first, for the wall's strength is not known; plunger and rubber disc; then camera."
            ),
            "pressure_scraping": message(
                "Drive a scraper by low water pressure, for the wall's strength is not known; discs; then camera."
            ),
        }
        return mild[method]
    return texts[method]


def _source(method: _Method) -> Source:
    row = table("cleaning").find(key="dn_range", method=method)
    return PRACTICE if row is None else row.published.source


def _as_listed(kind: DepositKind) -> str:
    """Return the kind of deposit under which the table of passes has it; what is not known is planned as hard."""
    return "soft" if kind in ("soft", "sand") else "coating" if kind == "coating" else "hard"


def _passes(method: _Method, kind: DepositKind) -> int:
    if method == "not_before_lawful":
        return 0
    row = table("cleaning").find(key="passes", method=method, deposit=_as_listed(kind))
    if row is None:
        row = table("cleaning").find(key="passes", method=method, deposit="hard")
    return 1 if row is None else round(row.published.value)


def _plain(key: str, **fields: str) -> Published:
    row = table("cleaning").find(key=key, **fields)
    if row is None:
        raise InputError(f"{key} in table cleaning", ", ".join(fields.values()), "", "a row of the table")
    return row.published


def _at(published: Published, at: _End) -> float:
    bound = published.low if at == "low" else published.high if at == "high" else None
    return published.value if bound is None else bound


def _mass(work: _Work) -> float | None:
    masses = []
    for part in work.parts:
        ring = _ring(part.stretch)
        if ring is None:
            return None
        kind = "unknown" if part.kind == "coating" else part.kind
        masses.append(ring * part.length * _plain("density", deposit=kind).value)
    return sum(masses)


def _loads(volume: float) -> int:
    wet = volume * (1.0 + _plain("sludge_water").value)
    return ceil(wet / _plain("tanker").value - 1e-9)


def _water(method: _Method, work: _Work, passes: int) -> float:
    if method == "jetting":
        return passes * work.length / _plain("jet_speed").value * _plain("jet_flow").value
    return passes * work.volume * _plain("rinse_volumes").value


def _rope_of(job: Job, length: float) -> Rope | None:
    long_enough = [rope for rope in job.plant.ropes if rope.length >= length]
    return max(long_enough, key=lambda rope: rope.breaking / rope.safety) if long_enough else None


def _spread(method: _Method) -> tuple[_End, ...]:
    return ("low", "high") if method == "drag_scraping" else ()


def _pull(job: Job, work: _Work, *, passes: int, start: float, end: float, direction: Direction, at: _End) -> float | None:
    """Return the greatest pull of one scraping pass [N], None where the deposits are not known."""
    volume, mass = work.deposits, _mass(work)
    if volume is None or mass is None:
        return None
    share = 1.0 / passes
    ring = volume / work.length
    size = work.dn / 1000.0
    density = _plain("density", deposit="unknown" if work.kind == "coating" else work.kind)
    weight = ring * _at(density, at) * STANDARD_GRAVITY * share * _at(_plain("heap_share"), at)
    stress = _at(_plain("scraper_stress", deposit="soft" if _as_listed(work.kind) == "soft" else "hard"), at)
    tool = _at(_plain("tool_mass"), at) * STANDARD_GRAVITY * (size / _REFERENCE_SIZE) ** 2
    friction = _at(_plain("friction_rope"), at)
    return hauling_pull(
        profile=profile_between(job, start=start, end=end, direction=direction),
        back_tension=stress * ring * share,
        rope=Drag(_at(_plain("rope_mass"), at) * STANDARD_GRAVITY, friction),
        tool=Drag(tool, friction),
        trailing=None,
        swept=Drag(weight, _at(_plain("friction_deposits"), at)),
    ).greatest
