"""The whole job, as one immutable document."""

from dataclasses import dataclass, field

from mainwright.job.giving_back import GivingBack
from mainwright.job.lining import Acceptance, Curing, Hydraulics, JobInfo, Lining, Mortar, PressureTest, RunLimits, Shift, SupplySpec
from mainwright.job.measurement import Measurement, Payment
from mainwright.job.office import CalendarDay, CrewMember, Money, Output, Permit, Price, ProgrammeRules
from mainwright.job.origins import Origin
from mainwright.job.plant import Plant
from mainwright.job.survey import Alignment, BoreReading, Feature, Feed, Ground, Level, OpeningChoice, Service, Stretch
from mainwright.job.water import WaterAnalysis

__all__ = ["Job"]


@dataclass(frozen=True, slots=True)
class Job:
    """A job: everything that a plan is made from, in SI.

    Attributes
    ----------
    main, bores, features, ground, levels, services, feeds, openings
        In order of chainage.
    defaulted
        Dotted keys (``lining.confidence``) whose value nobody gave and that hold the documented default.
    revision
        SHA-256 of the canonical document, as hexadecimal text.
    origins
        Where values come from that were taken from a library or a document.
    """

    info: JobInfo
    lining: Lining
    runs: RunLimits
    mortar: Mortar
    hydraulics: Hydraulics
    shift: Shift
    acceptance: Acceptance | None
    curing: Curing | None
    test: PressureTest | None
    supply: SupplySpec | None
    main: tuple[Stretch, ...]
    bores: tuple[BoreReading, ...]
    features: tuple[Feature, ...]
    ground: tuple[Ground, ...]
    levels: tuple[Level, ...]
    services: tuple[Service, ...]
    feeds: tuple[Feed, ...]
    water: WaterAnalysis | None
    plant: Plant
    prices: tuple[Price, ...]
    crews: tuple[CrewMember, ...]
    outputs: tuple[Output, ...]
    permits: tuple[Permit, ...]
    calendar: tuple[CalendarDay, ...]
    alignment: Alignment | None
    money: Money
    defaulted: tuple[str, ...]
    revision: str
    giving_back: GivingBack | None = None
    programme: ProgrammeRules | None = None
    openings: tuple[OpeningChoice, ...] = ()
    measurement: Measurement = field(default_factory=Measurement)
    payment: Payment = field(default_factory=Payment)
    origins: tuple[Origin, ...] = ()
