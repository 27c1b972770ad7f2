"""Prices, crews, outputs, permits and the calendar: what the office keeps for a job."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

__all__ = ["CalendarDay", "CrewMember", "Money", "Output", "Permit", "Price", "ProgrammeRules"]


@dataclass(frozen=True, slots=True)
class Price:
    """A row of ``prices.csv``: three-point price in the job's currency by ``unit``."""

    item: str
    unit: str | None = None
    low: float | None = None
    rate: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class CrewMember:
    """A row of ``crews.csv``."""

    crew: str
    skill: str | None = None
    count: int | None = None
    first_day: date | None = None
    last_day: date | None = None


@dataclass(frozen=True, slots=True)
class Output:
    """A row of ``outputs.csv``: output by shift, in ``unit``."""

    activity: str
    unit: str | None = None
    low: float | None = None
    rate: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Permit:
    """A row of ``permits.csv``: a length of street [m], its days, what each day over them costs, and permits that are not open at the same time."""

    ref: str
    start: float | None = None
    end: float | None = None
    street: str | None = None
    first_day: date | None = None
    last_day: date | None = None
    hours: str | None = None
    overrun_first_days: int | None = None
    overrun_first_rate: float | None = None
    overrun_later_rate: float | None = None
    not_with: str | None = None


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """A row of ``calendar.csv``."""

    day: date
    kind: Literal["holiday", "extra_shift", "no_work"]
    crew: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class ProgrammeRules:
    """``[programme]`` of ``job.toml``: what weather and client forbid, and how long the client takes at hold points [s].

    Attributes
    ----------
    frost_from, frost_to
        First and last day on which no mortar is sprayed; what was sprayed has cured before.
    hold_cleaned, hold_lined, hold_tested, hold_released
        From the camera in the cleaned bore to its acceptance, from that in the lining, from the pressure test, and from the laboratory's answer;
        None asks for no time.
    """

    frost_from: date | None = None
    frost_to: date | None = None
    hold_cleaned: float | None = None
    hold_lined: float | None = None
    hold_tested: float | None = None
    hold_released: float | None = None


@dataclass(frozen=True, slots=True)
class Money:
    """What the money of a job is reckoned with beside its prices: shares [-], times [s], a price by kWh; see ``[money]`` of ``job.toml``."""

    margin: float
    common_share: float
    obstructions_per_km: float
    sample_failure: float
    lost_shifts: float
    interest: float
    horizon: float
    energy_price: float | None
    pump_efficiency: float
    pumped_share: float
    life_lined: float
    life_new_pipe: float
    life_slip_lining: float
    life_spraying: float
