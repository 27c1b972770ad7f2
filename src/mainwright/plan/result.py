"""The nouns of a plan: what each part of it decides, in SI. Written out by ``paper`` under the names of the file contract."""

from dataclasses import dataclass
from typing import Literal

from mainwright.job.job import Job
from mainwright.job.survey import Surface
from mainwright.plan.result_cost import BreakEven, CostSpread, LifeWay
from mainwright.plan.result_giving_back import ReturnToService
from mainwright.plan.result_supply import TemporarySupply
from mainwright.plan.timetable import Programme
from mainwright.standards.source import Assumed, Reason, Source, Verdict
from mainwright.words.message import Message

__all__ = [
    "Alternative",
    "AskFirst",
    "Batch",
    "BillLine",
    "Caution",
    "Change",
    "Cleaning",
    "Comparison",
    "ConnectionWindow",
    "ContractGap",
    "Cost",
    "Direction",
    "HoldPoint",
    "HydraulicResult",
    "Layout",
    "LimitPrice",
    "LinedStretch",
    "Mark",
    "Opening",
    "Plan",
    "PlanWarning",
    "Run",
    "RunSetting",
    "Severity",
    "Suitability",
]

Direction = Literal["increasing", "decreasing"]
Severity = Literal["stop", "act", "note"]


@dataclass(frozen=True, slots=True)
class PlanWarning:
    """Something that the reader must know, between two chainages [m] where it has a place."""

    code: str
    start: float | None
    end: float | None
    text: Message
    severity: Severity


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger at a place of the work: shown where the work is done, never in an appendix."""

    code: str
    text: Message


@dataclass(frozen=True, slots=True)
class Suitability:
    """Verdict for one stretch, the worst of its reasons; ``measures`` would change it."""

    start: float
    end: float
    verdict: Verdict
    reasons: tuple[Reason, ...]
    measures: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class LinedStretch:
    """A row of ``main.csv`` with its lining: thicknesses and bores [m], deposits by length [m3/m]. ``aim`` None where nothing is lined."""

    start: float
    end: float
    dn: int
    bore_clean: float
    bore_source: str
    nominal: float
    minimum: float
    mean_minimum: float | None
    maximum: float | None
    aim: float | None
    bore_lined: float | None
    deposits: float | None
    document: str


@dataclass(frozen=True, slots=True)
class HydraulicResult:
    """One stretch before and after, None where an input is not known: flow [m3/s], velocities [m/s], head losses [m]."""

    start: float
    end: float
    flow: float | None
    velocity_before: float | None
    velocity_after: float | None
    reynolds_after: float | None
    friction_before: float | None
    friction_after: float | None
    head_loss_before: float | None
    head_loss_after: float | None
    local_loss_after: float | None
    hazen_williams_after: float | None
    capacity_gain: float | None
    roughness_before: float | None
    roughness_after: float


@dataclass(frozen=True, slots=True)
class Opening:
    """Where the road is opened: chainage [m], price in the job's currency (None where nothing is priced)."""

    chainage: float
    reasons: tuple[Message, ...]
    surface: Surface | None
    cover: float | None
    pump_here: bool
    cost: float | None
    must: bool
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True)
class RunSetting:
    """One length of one bore inside a run: chainage, bore, aim [m], mortar by length [m3/m], speeds [m/s]."""

    start: float
    end: float
    bore: float
    aim: float
    mortar_per_length: float
    speed: float
    speed_low: float
    speed_high: float


@dataclass(frozen=True, slots=True)
class Mark:
    """Where the spray plane should be so long after the head first moved [s]; chainage [m]."""

    chainage: float
    elapsed: float


@dataclass(frozen=True, slots=True)
class HoldPoint:
    """Work may not go on before this is released."""

    code: str
    text: Message


@dataclass(frozen=True, slots=True)
class ConnectionWindow:
    """When a connection is cleared, from the start of the head [s]; None where the job's own tested minutes are missing."""

    chainage: float
    ref: str | None
    pass_at: float
    earliest: float | None
    latest: float | None


@dataclass(frozen=True, slots=True)
class Batch:
    """One batch of the mixer, with its own clock.

    Attributes
    ----------
    number
        From 1, in the order of mixing. [-]
    volume, cement, sand, water
        Mortar [m3], dry cement and moist sand [kg], mixing water to add [m3].
    mixing, placed_from, placed_to
        When mixing begins, and when its first and its last mortar leaves the head, from the start of the head;
        negative before it moves, None where none of it leaves the head (it stays in the hose). [s]
    latest
        Until when all of it must be placed; None where the usable minutes are not the job's own. [s]
    """

    number: int
    volume: float
    cement: float
    sand: float
    water: float
    mixing: float
    placed_from: float | None
    placed_to: float | None
    latest: float | None


@dataclass(frozen=True, slots=True)
class Run:
    """One pass of the head between two openings.

    Attributes
    ----------
    start, end, length
        Chainage and length; ``start`` < ``end`` whatever the direction. [m]
    bends_total
        Sum of the bends strictly inside. [rad]
    aim
        Mean thickness aimed at; with several bores the greatest of the settings. [m]
    mortar_per_length
        Ring of the aim, mean by length, nothing added. [m3/m]
    mortar
        What is to be mixed: ring over the deposit efficiency, joints, pitting, hose filling, waste. [m3]
    hose_filling
        Mortar that the hose holds. [m3]
    batches, last_batch
        Batches of the mixer, and the size of the last. [-] [m3]
    cement, sand, water
        Masses [kg] (sand moist as delivered) and mixing water [m3].
    pump_setting, setting_low, setting_high
        Setting of the pump for `flow` with its inverse-prediction interval; None without a pump test. [-]
    flow
        Pump output during the run. [m3/s]
    speed, speed_low, speed_high
        Length over lining time, and the band. [m/s]
    lining_time
        Sum of the settings' lengths over their speeds. [s]
    limit
        Which limit governs the length.
    coats
        How many coats the aim is laid in. [-]
    hose_pressure
        At the pump, whole hose, None where the mortar's flow is not known. [Pa]
    batch_clock
        The batches one by one; empty where no mixer is known.
    longest_stop
        How long the head may stand still before some mortar is too old, None without the job's own tested minutes or a mixer. [s]
    coat_settings
        With several coats, the settings of each, first to last: what is really driven. Each coat has the bore that the one before
        left; ``settings`` then stand for all of them together.
    bags
        Whole bags of cement. [-]
    done
        Whether records say that it is lined: then everything stands as it was issued.
    """

    id: str
    start: float
    end: float
    direction: Direction
    length: float
    dn: int
    bends_total: float
    connections: int
    aim: float
    mortar_per_length: float
    mortar: float
    hose_filling: float
    batches: int
    last_batch: float
    cement: float
    sand: float
    water: float
    pump_setting: float | None
    setting_low: float | None
    setting_high: float | None
    flow: float
    speed: float
    speed_low: float
    speed_high: float
    lining_time: float
    limit: str
    limit_text: Message
    coats: int
    hose_pressure: float | None
    pump: str | None
    hose: str | None
    lining_head: str | None
    rope: str | None
    mixer: str | None
    settings: tuple[RunSetting, ...]
    marks: tuple[Mark, ...]
    windows: tuple[ConnectionWindow, ...]
    hold_points: tuple[HoldPoint, ...]
    cautions: tuple[Caution, ...]
    done: bool = False
    batch_clock: tuple[Batch, ...] = ()
    bags: int = 0
    coat_settings: tuple[tuple[RunSetting, ...], ...] = ()
    longest_stop: float | None = None


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another layout under the same limits. ``name``: ``least_cost``, ``fewest_openings`` or ``shortest_closing``."""

    name: str
    openings: tuple[float, ...]
    runs: tuple[tuple[float, float, Direction], ...]
    total_cost: float
    longest_closing: float


@dataclass(frozen=True, slots=True)
class LimitPrice:
    """What the next step of a limit that pays would save, in the job's currency; `step` in SI, `unit` for display."""

    limit: str
    step: float
    unit: str
    saves: float


@dataclass(frozen=True, slots=True)
class Layout:
    """The chosen layout; ``total_cost`` None where no layout keeps the limits."""

    total_cost: float | None
    openings: int
    runs: int
    candidates: int
    alternatives: tuple[Alternative, ...]
    limit_prices: tuple[LimitPrice, ...]


@dataclass(frozen=True, slots=True)
class Cleaning:
    """How one run is cleaned: volumes [m3], masses [kg], pulls and working load [N]; None where not known."""

    run: str
    method: str
    method_text: Message
    source: Source
    passes: int
    deposits: float | None
    deposits_mass: float | None
    loads: int | None
    water: float | None
    pull_low: float | None
    pull_high: float | None
    rope_working_load: float | None


@dataclass(frozen=True, slots=True)
class BillLine:
    """One item of the bill: quantity in `unit`, three-point price, and where the quantity comes from."""

    item: str
    text: Message
    unit: str
    quantity: float
    low: float | None
    rate: float | None
    high: float | None
    basis: Message


@dataclass(frozen=True, slots=True)
class Cost:
    """Sum of the priced lines of the bill in the job's currency, None where nothing is priced; ``unpriced`` names the items left out."""

    low: float | None
    rate: float | None
    high: float | None
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """The lined main against another way; costs in the job's currency, bore [m], capacity as a ratio of flows."""

    name: str
    text: Message
    cost_low: float | None
    cost: float | None
    cost_high: float | None
    bore: float | None
    capacity_gain: float | None
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AskFirst:
    """A weak record: dig or ask where probability times consequence is more than what finding out costs."""

    subject: Message
    chainage: float | None
    probability: float
    consequence: float | None
    expected: float | None
    cost_of_asking: float | None
    worth: bool | None


@dataclass(frozen=True, slots=True)
class ContractGap:
    """Something that the contract must still say."""

    code: str
    text: Message


@dataclass(frozen=True, slots=True)
class Change:
    """What a new plan changed against the issued one, in plain words with its numbers."""

    subject: str
    text: Message
    before: float | None
    after: float | None


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole plan of one revision of a job. Lists are in order of chainage.

    ``issued`` is the revision of the plan that this one follows, None for a first plan. ``retired`` are the ids of runs of
    earlier issues that no longer stand and are never given again.
    """

    job: Job
    issued: str | None
    assumed: tuple[Assumed, ...]
    warnings: tuple[PlanWarning, ...]
    suitability: tuple[Suitability, ...]
    stretches: tuple[LinedStretch, ...]
    hydraulics: tuple[HydraulicResult, ...]
    openings: tuple[Opening, ...]
    runs: tuple[Run, ...]
    layout: Layout
    cleaning: tuple[Cleaning, ...]
    bill: tuple[BillLine, ...]
    comparisons: tuple[Comparison, ...]
    ask_first: tuple[AskFirst, ...]
    contract_gaps: tuple[ContractGap, ...]
    changes: tuple[Change, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]
    cost: Cost = Cost(None, None, None, ())
    retired: tuple[str, ...] = ()
    programme: Programme | None = None
    return_to_service: ReturnToService | None = None
    supply: TemporarySupply | None = None
    spread: CostSpread | None = None
    life: tuple[LifeWay, ...] = ()
    break_even: tuple[BreakEven, ...] = ()
