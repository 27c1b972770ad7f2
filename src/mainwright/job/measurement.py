"""How quantities are measured and money is claimed: ``[measurement]`` and ``[payment]`` of ``job.toml``, in SI."""

from dataclasses import dataclass
from typing import Literal

__all__ = ["DnClass", "Measurement", "Payment"]


@dataclass(frozen=True, slots=True)
class DnClass:
    """A row of ``classes``: sizes from one DN to another, both included, are priced as ``dn``."""

    dn_from: int
    dn_to: int
    dn: int


@dataclass(frozen=True, slots=True)
class Measurement:
    """``[measurement]``: the rules by which metres of cleaning, lining and camera become quantities that are paid.

    Attributes
    ----------
    fittings
        Whether the length of fittings in the line of the main is paid with the rest.
    fitting_length
        What is deducted for each of them, None where nobody said. [m]
    rounding, round_to
        Step to which the length of each run is rounded, 0 for none [m], and which way.
    minimum_length
        Least length that is paid for a run that was done whole. [m]
    redone
        Whether a length that was lined again is paid again.
    extras
        Whether daywork and standing time count only with a signature of the same day.
    classes
        Sizes that are priced together.
    """

    fittings: Literal["included", "deducted"] = "included"
    fitting_length: float | None = None
    rounding: float = 0.0
    round_to: Literal["nearest", "down", "up"] = "nearest"
    minimum_length: float = 0.0
    redone: Literal["not_paid", "paid"] = "not_paid"
    extras: Literal["same_day", "any_day"] = "same_day"
    classes: tuple[DnClass, ...] = ()


@dataclass(frozen=True, slots=True)
class Payment:
    """``[payment]``: shares of the sum that is due [-].

    Attributes
    ----------
    retention
        Share of each valuation that the client keeps back.
    retention_limit
        Greatest retention by the sum of the bill; None is no limit.
    lining
        Whether lining is claimed once it is lined, or only where the run meets what was entered.
    """

    retention: float = 0.0
    retention_limit: float | None = None
    lining: Literal["lined", "met"] = "lined"
