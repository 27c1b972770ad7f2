"""The mean thickness of a run by each kind of evidence, each with its uncertainty, and whether they agree."""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from mainwright.job.job import Job
from mainwright.job.records import ThicknessReading
from mainwright.plan.result import Run
from mainwright.prove.balance import MassBalance
from mainwright.prove.thickness import Laid
from mainwright.science.bore.ring import thickness_of_deposit
from mainwright.words.message import Message, Quantity, message

__all__ = ["APART", "BATCH", "GAUGE", "SCAN", "Agreement", "Evidence", "agree"]

BATCH: Final = 0.03
"""Deviation of what was batched: scales, water meter, air in the mortar, what stuck in the mixer; relative, an assumption of this program."""

GAUGE: Final = 0.2e-3
"""Deviation of one gauge that all its readings share; an assumption of this program. [m]"""

SCAN: Final = 0.1e-3
"""Deviation of the mean thickness by two ring scans; an assumption of this program. [m]"""

APART: Final = 2.0
"""Two kinds of evidence differ where they lie more than so many of their common deviations apart."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """Mean thickness of a run by one kind of evidence: its value and one standard deviation [m], and of how many readings it comes."""

    kind: Literal["readings", "batches", "gauge", "scan"]
    mean: float
    deviation: float
    count: int


@dataclass(frozen=True, slots=True)
class Agreement:
    """All kinds together.

    Attributes
    ----------
    evidence
        Kind by kind.
    mean, deviation
        All of them weighed by their deviations; None without any. [m]
    differs
        Where two kinds contradict each other, in words; empty where they agree.
    """

    evidence: tuple[Evidence, ...]
    mean: float | None
    deviation: float | None
    differs: tuple[Message, ...]


_NAMES: Final = {
    "readings": message("odometer and pump"),
    "batches": message("what was batched"),
    "gauge": message("gauge readings of the interior"),
    "scan": message("ring scans"),
}


def agree(
    job: Job,
    run: Run,
    laid: Laid | None,
    balance: MassBalance | None,
    gauged: Sequence[ThicknessReading],
    *,
    scanned: Evidence | None = None,
) -> Agreement:
    """Return the mean thickness of a run by every kind of evidence that there is.

    Parameters
    ----------
    job : Job
        The job. [-]
    run : Run
        The run. [-]
    laid : Laid or None
        What lies there by odometer and pump. [-]
    balance : MassBalance or None
        What was batched, returned and wasted. [-]
    gauged : sequence of ThicknessReading
        Readings of the run. [-]
    scanned : Evidence, optional
        By ring scans. [-]

    Returns
    -------
    Agreement
        Hand-finished ends and pits are no sample of the interior and are left out. What was batched is less the filling of the hose.
    """
    found = []
    if laid is not None and laid.thicknesses:
        count = len(laid.thicknesses)
        shared = math.fsum(laid.shared) / count
        own = (
            math.sqrt(math.fsum(max(one * one - part * part, 0.0) for one, part in zip(laid.deviations, laid.shared, strict=True))) / count
        )
        found.append(Evidence("readings", math.fsum(laid.thicknesses) / count, math.hypot(shared, own), count))
    batched = _by_batches(job, run, balance)
    if batched is not None:
        found.append(batched)
    values = [one.thickness for one in gauged if one.zone == "interior" and one.over != "pit"]
    if len(values) > 1:
        found.append(
            Evidence("gauge", statistics.fmean(values), math.hypot(GAUGE, statistics.stdev(values) / math.sqrt(len(values))), len(values))
        )
    if scanned is not None:
        found.append(scanned)
    weights = [1.0 / one.deviation**2 for one in found if one.deviation > 0.0]
    mean = deviation = None
    if weights and len(weights) == len(found):
        mean = math.fsum(weight * one.mean for weight, one in zip(weights, found, strict=True)) / math.fsum(weights)
        deviation = 1.0 / math.sqrt(math.fsum(weights))
    return Agreement(tuple(found), mean, deviation, tuple(_contradictions(found)))


def _by_batches(job: Job, run: Run, balance: MassBalance | None) -> Evidence | None:
    if balance is None or balance.batched is None or run.length <= 0.0 or not run.settings:
        return None
    placed = balance.batched - balance.returned - balance.wasted - run.hose_filling
    if placed <= 0.0:
        return None
    planned = math.fsum(one.mortar_per_length * (one.end - one.start) for one in run.settings)
    if planned <= 0.0:
        return None
    # The lengths of other bores share what was placed as the plan meant it.
    share = placed * job.lining.deposit_efficiency
    pits = math.fsum(math.pi * one.bore * job.lining.pit_allowance * (one.end - one.start) for one in run.settings)
    factor = share / (planned + pits)
    means, slopes = [], []
    for one in run.settings:
        area = factor * (one.mortar_per_length + math.pi * one.bore * job.lining.pit_allowance)
        if area > 0.24 * math.pi * one.bore**2:
            return None
        thickness = thickness_of_deposit(area=area, bore=one.bore, pit_allowance=job.lining.pit_allowance)
        means.append(thickness * (one.end - one.start))
        slopes.append(area / (math.pi * (one.bore - 2.0 * thickness)) * (one.end - one.start))
    length = math.fsum(one.end - one.start for one in run.settings)
    return Evidence("batches", math.fsum(means) / length, BATCH * math.fsum(slopes) / length, 1)


def _contradictions(found: Sequence[Evidence]) -> list[Message]:
    texts = []
    for place, one in enumerate(found):
        for other in found[place + 1 :]:
            apart = math.hypot(one.deviation, other.deviation)
            if abs(one.mean - other.mean) > APART * apart:
                texts.append(
                    message(
                        "{one} say {first}, {other} say {second}: more apart than their deviations explain",
                        one=_NAMES[one.kind],
                        first=Quantity(one.mean, "mm", 2),
                        other=_NAMES[other.kind],
                        second=Quantity(other.mean, "mm", 2),
                    )
                )
    return texts
