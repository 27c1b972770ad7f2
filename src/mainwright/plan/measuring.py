"""From metres of main to metres that are paid: the contract's rules of measurement, for the bill and for what was done alike."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.job.job import Job
from mainwright.job.measurement import Measurement
from mainwright.words.message import Message, Quantity, message

__all__ = ["MeasuringRule", "joined_spans", "measured_length", "measuring_rules", "priced_dn", "rounded"]

_IN_LINE: Final = ("gate_valve", "butterfly_valve", "check_valve", "tee", "cross", "reducer", "meter", "flange_adaptor", "repair_clamp")
"""Features that take up length of the main; bends are pipe."""

_SAME: Final = 1e-6
"""Lengths closer than this are the same. [m]"""


def priced_dn(rules: Measurement, dn: int) -> int:
    """Return the DN under which a size is priced.

    Parameters
    ----------
    rules : Measurement
        The contract's rules. [-]
    dn : int
        Size of the main. [-]

    Returns
    -------
    int
        That of its class, both edges of a class included; its own where it is in none.
    """
    return next((one.dn for one in rules.classes if one.dn_from <= dn <= one.dn_to), dn)


def rounded(rules: Measurement, length: float) -> float:
    """Return a length rounded as the contract says.

    Parameters
    ----------
    rules : Measurement
        The contract's rules. [-]
    length : float
        Length. [m]

    Returns
    -------
    float
        Length, the same where nothing is rounded. [m]
    """
    step = rules.rounding
    if step <= 0.0:
        return length
    steps = length / step
    match rules.round_to:
        case "down":
            whole = math.floor(steps + _SAME)
        case "up":
            whole = math.ceil(steps - _SAME)
        case _:
            whole = math.floor(steps + 0.5 + _SAME)
    return round(whole * step, 9)


def joined_spans(spans: Iterable[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Return spans of chainage joined where they overlap or touch: each place once.

    Parameters
    ----------
    spans : iterable of tuple
        Lower and higher chainage of each. [m]

    Returns
    -------
    tuple of tuple
        In order of chainage.
    """
    joined: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + _SAME:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return tuple(joined)


def measured_length(job: Job, spans: Sequence[tuple[float, float]], *, whole: bool) -> float:
    """Return the length that is paid for one run.

    Parameters
    ----------
    job : Job
        The job with its rules and fittings. [-]
    spans : sequence of tuple
        Lower and higher chainage of each length that counts. [m]
    whole : bool
        Whether the run is done whole: only then is the least length paid. [-]

    Returns
    -------
    float
        First fittings are deducted, where they are: one at the end of a length takes half of its own from it. Then the least length is paid, then
        it is rounded. [m]
    """
    rules = job.measurement
    length = math.fsum(high - low for low, high in spans)
    if rules.fittings == "deducted" and rules.fitting_length is not None:
        for one in job.features:
            if one.kind in _IN_LINE:
                length -= rules.fitting_length * sum(_share(one.chainage, low, high) for low, high in spans)
    length = max(0.0, length)
    if whole and spans:
        length = max(length, rules.minimum_length)
    return rounded(rules, length)


def _share(place: float, low: float, high: float) -> float:
    if abs(place - low) <= _SAME or abs(place - high) <= _SAME:
        return 0.5
    return 1.0 if low < place < high else 0.0


@dataclass(frozen=True, slots=True)
class MeasuringRule:
    """One rule of measurement: its key in ``[measurement]``, what it says, and whether nobody gave it."""

    key: str
    text: Message
    assumed: bool


def measuring_rules(job: Job) -> tuple[MeasuringRule, ...]:
    """Return the rules by which metres become quantities that are paid, in words.

    Parameters
    ----------
    job : Job
        The job with its rules. [-]

    Returns
    -------
    tuple of MeasuringRule
        Deductions, least length, rounding, what is lined again, extras, then sizes priced together, in the order in which they apply.
    """
    rules = job.measurement
    said = {
        "fittings": message("Fittings in the line of the main are paid with the length.")
        if rules.fittings == "included" or rules.fitting_length is None
        else message("For each fitting in the line of the main {length} is deducted, at the end of a run half of it.", length=Quantity(rules.fitting_length, "m", 2)),
        "minimum_length_m": message("No least length: a short run is paid by its metres.")
        if rules.minimum_length <= 0.0
        else message("A run that is done whole is paid as {length} at least.", length=Quantity(rules.minimum_length, "m", 1)),
        "rounding_m": message("Lengths are not rounded.")
        if rules.rounding <= 0.0
        else message(_ROUNDED[rules.round_to], step=Quantity(rules.rounding, "m", 2)),
        "redone": message("What is lined again is not paid again.")
        if rules.redone == "not_paid"
        else message("What is lined again is paid again."),
        "extras": message("Daywork and standing time count with a signature of the same day.")
        if rules.extras == "same_day"
        else message("Daywork and standing time count with a signature, of whatever day."),
    }  # fmt: skip
    found = [MeasuringRule(key, text, f"measurement.{key}" in job.defaulted) for key, text in said.items()]
    for one in rules.classes:
        text = message("DN {low} to {high} are priced as DN {dn}.", low=f"{one.dn_from}", high=f"{one.dn_to}", dn=f"{one.dn}")
        found.append(MeasuringRule("classes", text, assumed=False))
    return tuple(found)


_ROUNDED: Final = {
    "nearest": "The length of each run is rounded to the nearest {step}.",
    "down": "The length of each run is rounded down to the next {step}.",
    "up": "The length of each run is rounded up to the next {step}.",
}
