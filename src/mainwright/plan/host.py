"""What is there: each row of the main with the bore and the lining values that the plan reckons with."""

from dataclasses import dataclass

from mainwright.job.survey import Material, Stretch
from mainwright.plan.result import PlanWarning
from mainwright.standards.source import Assumed, Source

__all__ = ["BoreLength", "Host", "HostLining", "HostStretch"]


@dataclass(frozen=True, slots=True)
class HostLining:
    """What the contract asks of the lining in one stretch: thicknesses and widest crack [m], and the document that says so."""

    nominal: float
    minimum: float
    mean_minimum: float | None
    maximum: float | None
    single_coat_max: float | None
    crack_limit: float | None
    document: str


@dataclass(frozen=True, slots=True)
class HostStretch:
    """A row of the main, resolved.

    Attributes
    ----------
    start, end
        Chainage. [m]
    dn
        Nominal size, a label. [-]
    bore
        Clean inside diameter that the plan reckons with. [m]
    bore_source
        ``readings`` (mean of readings in this stretch), the job's own source (``record`` where it names none), ``table`` (of the
        standards), or ``dn`` (nothing known: the size itself was taken).
    bore_today
        Clean bore less twice the deposits, None where those are not known. [m]
    lining
        What the contract asks here.
    row
        The row as the job gives it.
    """

    start: float
    end: float
    dn: int
    material: Material
    bore: float
    bore_source: str
    bore_today: float | None
    lining: HostLining
    row: Stretch


@dataclass(frozen=True, slots=True)
class BoreLength:
    """One length of one bore and one set of lining values: neighbouring stretches that differ in neither are one. Metres."""

    start: float
    end: float
    dn: int
    bore: float
    lining: HostLining


@dataclass(frozen=True, slots=True)
class Host:
    """The whole main, resolved; every list in order of chainage.

    Attributes
    ----------
    start, end
        First and last chainage. [m]
    sources
        Published tables that were used.
    """

    start: float
    end: float
    stretches: tuple[HostStretch, ...]
    lengths: tuple[BoreLength, ...]
    warnings: tuple[PlanWarning, ...]
    assumed: tuple[Assumed, ...]
    sources: tuple[Source, ...]
