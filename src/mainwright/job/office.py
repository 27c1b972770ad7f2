"""Prices, crews, outputs, permits and the calendar: what the office keeps for a job."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

__all__ = ["CalendarDay", "CrewMember", "Output", "Permit", "Price"]


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
    """A row of ``permits.csv``: a length of street [m], its days, and what each day over them costs."""

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


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """A row of ``calendar.csv``."""

    day: date
    kind: Literal["holiday", "extra_shift", "no_work"]
    crew: str | None = None
    note: str | None = None
