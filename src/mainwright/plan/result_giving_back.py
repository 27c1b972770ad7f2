"""The nouns of giving a main back, in SI; None where the job does not give enough, never a made-up value."""

from dataclasses import dataclass
from datetime import date

from mainwright.standards.source import Source
from mainwright.words.message import Message

__all__ = [
    "Alternative",
    "Block",
    "BlockReturn",
    "Chlorination",
    "CureTime",
    "Flush",
    "Keeping",
    "Neutralising",
    "Notice",
    "ReturnToService",
    "RunReturn",
    "Step",
    "TapForecast",
    "TapPh",
    "TapWater",
    "Told",
    "TrialPressure",
]


@dataclass(frozen=True, slots=True)
class Told:
    """Something that must be said, between two chainages [m] where it has a place; made a warning of the plan."""

    code: str
    start: float | None
    end: float | None
    text: Message
    act: bool


@dataclass(frozen=True, slots=True)
class Block:
    """A length that is out of use at once, between two valves that hold, or an end of the main: chainage [m], its runs by id."""

    id: str
    start: float
    end: float
    start_valve: str | None
    end_valve: str | None
    runs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CureTime:
    """When a lining may be filled, from the closing of its ends.

    Attributes
    ----------
    floor
        The document's own floor, by the clock. [s]
    time
        The later of the floor and the age by maturity; what is planned with. [s]
    by_maturity
        When the mortar is as old as the floor at 20 degC, by the slower of two laws; None where it freezes. [s]
    temperature
        Forecast of the wall. [K]
    quick
        Signed for by whom, where the floor is set aside by a signed deviation.
    """

    floor: float | None
    time: float | None
    by_maturity: float | None
    temperature: float
    quick: str | None = None


@dataclass(frozen=True, slots=True)
class TrialPressure:
    """The pressure test of one block.

    Attributes
    ----------
    rule
        As the job names it.
    kind
        Which arithmetic it is: ``own``, ``en805``, ``c600``; None where the name says nothing that is known.
    pressure
        The client's written limit, gauge. [Pa]
    allowed_volume, allowed_flow
        Greatest loss as the rule counts it: a volume [m3] or a make-up flow [m3/s].
    drop
        Drop of pressure that a volume belongs to. [Pa]
    thrust_start, thrust_end
        Force on the closed ends at that pressure. [N]
    source
        Of the arithmetic.
    """

    rule: str | None
    kind: str | None
    pressure: float | None
    allowed_volume: float | None
    allowed_flow: float | None
    drop: float | None
    thrust_start: float | None
    thrust_end: float | None
    time: float | None
    source: Source | None


@dataclass(frozen=True, slots=True)
class Flush:
    """Flow [m3/s] that gives the velocity in the largest bore, what is really reached [m/s], water [m3], time [s]."""

    flow: float
    wanted_velocity: float
    velocity: float
    volume: float | None
    time: float | None


@dataclass(frozen=True, slots=True)
class Chlorination:
    """Chlorine for one block: doses [kg/m3], chlorine [kg], product [m3], flows [m3/s], times [s].

    ``active`` is the share of the chlorine that is hypochlorous acid at the pH that the water is forecast to have at the end of the
    contact. [-]
    """

    method: str
    dose: float
    contact: float | None
    residual: float | None
    mass: float
    strength: float | None
    product: float | None
    water_flow: float | None
    dosing_flow: float | None
    time: float | None
    slug_length: float | None
    slug_velocity: float | None
    ph: float | None
    active: float | None


@dataclass(frozen=True, slots=True)
class Neutralising:
    """What takes the chlorine away: by stoichiometry and as practice does it, for all the chlorine that was dosed. [kg]."""

    agent: str
    least: float | None
    practice: float
    source: Source


@dataclass(frozen=True, slots=True)
class Step:
    """One step of giving back; times count from the closing of the block's last ends. [s].

    Attributes
    ----------
    gate
        What must be seen and signed before the next step; no gate is skipped, only signed with a reason.
    missing
        Keys of the job that would give the duration.
    at_least
        Least time at which it can end where a duration is missing: the sum of those that are known.
    critical
        Whether giving back waits for it.
    """

    code: str
    text: Message
    duration: float | None
    start: float | None
    finish: float | None
    at_least: float
    gate: Message | None
    missing: tuple[str, ...]
    critical: bool


@dataclass(frozen=True, slots=True)
class BlockReturn:
    """One block with its quantities and its time line: length [m], water [m3], greatest bore [m]."""

    block: Block
    length: float
    volume: float
    bore: float
    cure: CureTime
    fill_flow: float | None
    fill_time: float | None
    test: TrialPressure
    flush: Flush | None
    chlorine: Chlorination | None
    neutralising: Neutralising | None
    steps: tuple[Step, ...]
    give_back: float | None
    at_least: float


@dataclass(frozen=True, slots=True)
class RunReturn:
    """When a run may be filled, from the closing of its own ends. [s]."""

    run: str
    block: str
    fill_from: float | None


@dataclass(frozen=True, slots=True)
class TapPh:
    """pH at one place and age: with nothing precipitated, and with all the calcite that can fall out; the water is between the two."""

    age: float
    ph: float
    ph_at_calcite: float


@dataclass(frozen=True, slots=True)
class TapForecast:
    """The water at one place of the main under one flow.

    Attributes
    ----------
    chainage
        Of the connection or the end. [m]
    refs
        Connections there.
    case
        ``day``, ``night`` or ``standing``.
    stay
        In the lined main until there; None where it stands. [s]
    series
        pH at each age.
    over_limit, over_lead
        Time from placing until the pH stays under the upper limit, and under that of lead: low, middle, high. [s]
    """

    chainage: float
    refs: tuple[str, ...]
    case: str
    stay: float | None
    series: tuple[TapPh, ...]
    over_limit: tuple[float, float, float] | None
    over_lead: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True)
class Keeping:
    """What keeps the whole main under the upper limit at one age.

    Attributes
    ----------
    age
        Since placing. [s]
    bleed
        Flow that must run to waste (or on, by a link) at the end, on top of the least flow of the job; 0 where none is needed, None where
        no flow does it. [m3/s]
    flush_every
        Longest time between two whole changes of standing water; infinite where it may stand. [s]
    """

    age: float
    bleed: float | None
    flush_every: float


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another way, with the time over the upper limit at the last connection: low, middle, high [s]; None where it was not worked out."""

    name: str
    text: Message
    over_limit: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True)
class TapWater:
    """What the fresh lining does to this water along the main."""

    cement: str
    direction: str | None
    taps: tuple[TapForecast, ...]
    keeping: tuple[Keeping, ...]
    alternatives: tuple[Alternative, ...]
    tell: tuple[Message, ...]
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class Notice:
    """Whom to tell by when: the customers of one street and need.

    Attributes
    ----------
    street
        As the permits name it; None where none does.
    need
        ``dialysis``, ``hospital``, ``school``, ``shop``, ``works``, ``farm``, ``fire_line``, ``dwelling`` or ``unknown``.
    refs
        Connections.
    start, end
        First and last chainage of them. [m]
    closing
        First day on which they may be off the main.
    latest
        Last day on which they can be told; None where the job names no notice, or no first day.
    back
        Earliest day on which the main can be back; None where the time line has no end.
    """

    street: str | None
    need: str
    refs: tuple[str, ...]
    start: float
    end: float
    block: str
    closing: date | None
    latest: date | None
    back: date | None
    lead: bool


@dataclass(frozen=True, slots=True)
class ReturnToService:
    """All of it: blocks in order of chainage, runs, the water at the taps, and whom to tell by when, dated by the programme or not."""

    blocks: tuple[BlockReturn, ...]
    runs: tuple[RunReturn, ...]
    water: TapWater | None
    notices: tuple[Notice, ...]
    told: tuple[Told, ...]
    sources: tuple[Source, ...]
    programmed: bool = False
