"""Gauge readings judged by variables, each kind told apart: hand-finished ends are no sample of the interior, a pit is no thickness over metal."""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from mainwright.job.job import Job
from mainwright.job.records import ThicknessReading
from mainwright.plan.result import LinedStretch
from mainwright.prove.verdict import Verdict
from mainwright.science.measurement.acceptance import readings_needed
from mainwright.science.measurement.tolerance import one_sided_factor

__all__ = ["SHARE", "Acceptance", "ReadingGroup", "accept"]

SHARE: Final = 0.95
"""Of all places of the interior that shall not be under the minimum, by readings; an assumption of this program."""

_MOST: Final = 10_000
"""Readings by which no verdict can be had any more."""


@dataclass(frozen=True, slots=True)
class ReadingGroup:
    """Readings of one kind: where, in which state and over what they were taken; mean, deviation and least [m]."""

    zone: Literal["end", "interior"] | None
    state: Literal["wet", "hard"] | None
    over: Literal["metal", "pit"] | None
    count: int
    mean: float
    deviation: float | None
    least: float


@dataclass(frozen=True, slots=True)
class Acceptance:
    """Gauge readings of the interior judged by variables.

    Attributes
    ----------
    count, mean, deviation
        Of the readings that are judged: interior, not over a pit, of one state where both were read. None where there are too few. [m]
    k, k_required
        Mean margin over the minimum by its deviation, and what it must be at least. [-]
    needed
        How many readings more would show it at this mean and deviation; 0 where no more are needed, None where no number would.
    state
        Which state was judged, None where the record does not tell.
    under
        Readings anywhere that are under the minimum of their place; one alone is a fact, whatever the statistics say.
    groups
        All readings, told apart.
    verdict
        Of the interior by its readings.
    """

    count: int
    mean: float | None
    deviation: float | None
    k: float | None
    k_required: float | None
    verdict: Verdict
    needed: int | None = None
    state: Literal["wet", "hard"] | None = None
    under: tuple[ThicknessReading, ...] = ()
    groups: tuple[ReadingGroup, ...] = ()


def accept(job: Job, gauged: Sequence[ThicknessReading], stretches: Sequence[LinedStretch]) -> Acceptance:
    """Return what the gauge readings of a run show.

    Parameters
    ----------
    job : Job
        The job, whose confidence is asked. [-]
    gauged : sequence of ThicknessReading
        Readings of the run. [-]
    stretches : sequence of LinedStretch
        The main with what the contract asks, in order of chainage. [-]

    Returns
    -------
    Acceptance
        Fewer than two readings of the interior leave it incomplete. Where wet and hard ones were both taken, the hard ones are judged
        if there are two of them, else the wet ones; they are never thrown together.
    """
    groups = _groups(gauged)
    under = tuple(one for one in gauged if one.over != "pit" and one.thickness < _minimum(stretches, one.chainage))
    interior = [one for one in gauged if one.zone == "interior" and one.over != "pit"]
    hard = [one for one in interior if one.state == "hard"]
    wet = [one for one in interior if one.state == "wet"]
    fair = interior if not (hard and wet) else hard if len(hard) > 1 else wet
    state = fair[0].state if fair and len({one.state for one in fair}) == 1 else None
    values = [one.thickness for one in fair]
    if len(values) < 2:
        return Acceptance(len(values), values[0] if values else None, None, None, None, "incomplete", 2 - len(values), state, under, groups)
    # The margin over the minimum of its own place makes readings of several stretches comparable.
    margins = [one.thickness - _minimum(stretches, one.chainage) for one in fair]
    deviation = statistics.stdev(margins)
    confidence = job.lining.confidence
    required = one_sided_factor(count=len(margins), share=SHARE, confidence=confidence)
    margin = statistics.fmean(margins)
    k = math.inf if deviation == 0.0 and margin >= 0.0 else margin / deviation if deviation > 0.0 else -math.inf
    total = readings_needed(k=k, share=SHARE, confidence=confidence, most=_MOST)
    return Acceptance(
        count=len(values),
        mean=statistics.fmean(values),
        deviation=deviation,
        k=k if math.isfinite(k) else None,
        k_required=required,
        verdict="meets" if k >= required else "does_not_meet",
        needed=None if total is None else max(0, total - len(values)),
        state=state,
        under=under,
        groups=groups,
    )


def _minimum(stretches: Sequence[LinedStretch], chainage: float) -> float:
    return next((one for one in stretches if chainage <= one.end), stretches[-1]).minimum


def _groups(gauged: Sequence[ThicknessReading]) -> tuple[ReadingGroup, ...]:
    kinds: dict[tuple[str, str, str], list[ThicknessReading]] = {}
    for one in gauged:
        kinds.setdefault((one.zone or "", one.state or "", one.over or ""), []).append(one)
    found = []
    for _, rows in sorted(kinds.items()):
        values = [one.thickness for one in rows]
        found.append(
            ReadingGroup(
                rows[0].zone,
                rows[0].state,
                rows[0].over,
                len(values),
                statistics.fmean(values),
                statistics.stdev(values) if len(values) > 1 else None,
                min(values),
            )
        )
    return tuple(found)
