"""One table of water analyses in, what each means for a fresh lining out."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from mainwright.job.water import WaterAnalysis
from mainwright.plan.water import WaterAssessment, assess_waters
from mainwright.units import from_si
from mainwright.words.message import Message

__all__ = ["COLUMNS", "Judged", "NamedWater", "WaterTableRead", "judge_waters", "notes_of", "plain_rows"]

COLUMNS = (
    "id",
    "saturation_index",
    "dissolution_capacity_mg_l",
    "aggressive_co2_mg_l",
    "ion_balance_percent",
    "alkalinity_class",
    "weeks_over_ph_9_5_low",
    "weeks_over_ph_9_5",
    "weeks_over_ph_9_5_high",
)
"""Columns of the answer, in order; ``ph_after_lime`` follows where lime was asked for."""


@dataclass(frozen=True, slots=True)
class NamedWater:
    """One row of the table."""

    id: str
    water: WaterAnalysis


class WaterTableRead(Protocol):
    """What was read of a table; no rows where it has faults."""

    @property
    def waters(self) -> Sequence[NamedWater]:
        """The rows."""
        ...

    @property
    def faults(self) -> Sequence[object]:
        """What is wrong, with its place."""
        ...

    @property
    def unknown(self) -> Sequence[object]:
        """Columns that are not used."""
        ...


@dataclass(frozen=True, slots=True)
class Judged:
    """The table and what it means; no answers where it has faults."""

    read: WaterTableRead
    answers: tuple[WaterAssessment, ...]
    limed: bool


def judge_waters(
    read: WaterTableRead, *, stay: float, bore: float, lime: float | None, write: Callable[[list[dict[str, str | float | None]]], None]
) -> Judged:
    """Assess every row and write the answer; nothing is written where the table has faults.

    Parameters
    ----------
    read : WaterTableRead
        The table. [-]
    stay : float
        Stay in the lined main. [s]
    bore : float
        Bore of the lining. [m]
    lime : float, optional
        Ca(OH)2 that dissolves. [mol/m3]
    write : callable
        Writes the rows of the answer. [-]

    Returns
    -------
    Judged
        The answers.
    """
    if read.faults:
        return Judged(read, (), lime is not None)
    answers = assess_waters([row.water for row in read.waters], stay=stay, bore=bore, lime=lime)
    judged = Judged(read, answers, lime is not None)
    write(plain_rows(judged))
    return judged


def _in(amount: float | None, unit: str) -> float | None:
    return None if amount is None else from_si(amount, unit)


def plain_rows(judged: Judged) -> list[dict[str, str | float | None]]:
    """Return the answer as rows in the units of the file, None where it is not known.

    Parameters
    ----------
    judged : Judged
        The answers. [-]

    Returns
    -------
    list of dict
        One for each row of the table.
    """
    rows: list[dict[str, str | float | None]] = []
    for named, one in zip(judged.read.waters, judged.answers, strict=True):
        low, middle, high = one.over_ph_9_5 or (None, None, None)
        values = (
            named.id,
            one.saturation_index,
            _in(one.capacity, "mg_l"),
            _in(one.aggressive, "mg_l"),
            _in(one.ion_balance, "pct"),
            one.name,
            _in(low, "weeks"),
            _in(middle, "weeks"),
            _in(high, "weeks"),
        )
        row: dict[str, str | float | None] = dict(zip(COLUMNS, values, strict=True))
        if judged.limed:
            row["ph_after_lime"] = one.ph_after_lime
        rows.append(row)
    return rows


def notes_of(judged: Judged) -> dict[Message, list[str]]:
    """Return every note once, with the rows that it is about.

    Parameters
    ----------
    judged : Judged
        The answers. [-]

    Returns
    -------
    dict
        Note to ids, in the order of the table.
    """
    told: dict[Message, list[str]] = {}
    for place, (named, one) in enumerate(zip(judged.read.waters, judged.answers, strict=True), start=1):
        for note in one.notes:
            told.setdefault(note, []).append(named.id or f"row {place}")
    return told
