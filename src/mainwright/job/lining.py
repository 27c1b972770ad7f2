"""What the contract asks and how the work is done: the tables of ``job.toml``, in SI."""

from dataclasses import dataclass
from datetime import date, time
from typing import Literal

from mainwright.job.survey import Material

__all__ = [
    "Acceptance",
    "Curing",
    "Hydraulics",
    "JobInfo",
    "LayoutWish",
    "Lining",
    "LiningValues",
    "Mortar",
    "PressureTest",
    "RunLimits",
    "Shift",
    "SupplySpec",
]


LayoutWish = Literal["least_cost", "fewest_openings", "shortest_closing"]
"""Which of the layouts that keep every limit is taken."""


@dataclass(frozen=True, slots=True)
class JobInfo:
    """``[job]``."""

    name: str
    reference: str = ""
    client: str = ""
    currency: str = ""
    units: Literal["metric", "us"] = "metric"
    language: str = "en"
    first_day: date | None = None
    time_zone: str = "UTC"


@dataclass(frozen=True, slots=True)
class LiningValues:
    """One row of ``by_dn``: other values for a range of DN and, where given, one material. Thicknesses in metres."""

    dn_from: int
    dn_to: int
    material: Material | None = None
    nominal: float | None = None
    minimum: float | None = None
    mean_minimum: float | None = None
    maximum: float | None = None
    single_coat_max: float | None = None
    crack_limit: float | None = None


@dataclass(frozen=True, slots=True)
class Lining:
    """``[lining]``: thicknesses [m]; deviations relative [-] or [m]; pit allowance as volume by wall area [m]."""

    governing_document: str
    nominal: float
    minimum: float
    mean_minimum: float | None
    maximum: float | None
    single_coat_max: float | None
    by_dn: tuple[LiningValues, ...]
    crack_limit: float | None
    finish: Literal["as_sprayed", "smoothed"]
    deposit_efficiency: float
    flow_bias: float
    flow_deviation: float
    speed_deviation: float
    bore_deviation: float
    eccentricity: float
    pit_allowance: float
    correlation: float
    confidence: float


@dataclass(frozen=True, slots=True)
class RunLimits:
    """``[runs]``: lengths [m], angles [rad], durations [s]; ``max_length`` None = no limit of its own.

    ``choose`` says which layout of those that keep every limit; None is the least cost.
    """

    max_length: float | None
    max_bend: float
    max_bends_total: float
    opening_spacing_grid: float
    bore_step_max: float
    set_up: float
    close: float
    choose: LayoutWish | None = None


@dataclass(frozen=True, slots=True)
class Mortar:
    """``[mortar]``: mass ratios [-], densities [kg/m3], bag [kg], durations at 20 degC [s], temperatures [K]."""

    sand_per_cement: float
    water_per_cement: float
    air: float
    cement_density: float
    sand_density: float
    sand_moisture: float
    bag: float
    usable: float
    set_time: float
    clearing_from: float
    mortar_temperature: float
    wall_temperature: float
    waste: float


@dataclass(frozen=True, slots=True)
class Hydraulics:
    """``[hydraulics]``: roughness of the lined wall [m], temperature of the water [K]."""

    lined_roughness: float
    temperature: float


@dataclass(frozen=True, slots=True)
class Shift:
    """``[shift]``: start by the clock of the job's time zone, length [s]."""

    start: time
    length: float


@dataclass(frozen=True, slots=True)
class Acceptance:
    """``[acceptance]``: what evidence the contract asks; strength [Pa] at an age [s]."""

    evidence: tuple[str, ...] = ()
    readings_per_end: int | None = None
    strength: float | None = None
    strength_age: float | None = None


@dataclass(frozen=True, slots=True)
class Curing:
    """``[curing]``: the document's own floor before filling, after the ends are closed [s]."""

    fill: float | None = None


@dataclass(frozen=True, slots=True)
class PressureTest:
    """``[test]``: the client's written rule and limit for this pipe; pressure gauge [Pa]."""

    rule: str | None = None
    pressure: float | None = None


@dataclass(frozen=True, slots=True)
class SupplySpec:
    """``[supply]``: wanted pressure, gauge [Pa]; fire flow [m3/s]."""

    pressure_min: float | None = None
    sides: Literal["left", "right", "both"] | None = None
    demand_rule: str | None = None
    fire: float | None = None
