"""Whether each stretch of the main can be lined: the worst of its reasons, and what would change it."""

from bisect import bisect_right
from collections.abc import Sequence
from typing import TypeVar

from mainwright.job.job import Job
from mainwright.job.survey import Feature, Service
from mainwright.plan.customer_reasons import customer_findings
from mainwright.plan.finding import Finding, worst
from mainwright.plan.host import Host, HostStretch
from mainwright.plan.host_reasons import host_findings
from mainwright.plan.result import Suitability
from mainwright.plan.water_reasons import stay_in_main, water_findings

__all__ = ["assess"]

_Placed = TypeVar("_Placed", Feature, Service)


def assess(job: Job, host: Host) -> tuple[Suitability, ...]:
    """Return the verdict for each stretch of the main.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]

    Returns
    -------
    tuple of Suitability
        One for each row of the main, in order of chainage.

    Notes
    -----
    From the best to the worst: ``suitable``, ``with_measures``, ``unknown``, ``unsuitable``; the verdict is the worst of the reasons.
    What is not known counts as worse than what a known measure cures, so that leaving a cell empty never makes a verdict better than
    ``unknown`` was. A fitting at the joint of two stretches belongs to the later one, the last stretch has its end.
    """
    stay = stay_in_main(host)
    found = []
    features = _by_stretch(job.features, host.stretches)
    services = _by_stretch(job.services, host.stretches)
    for stretch, fittings, connections in zip(host.stretches, features, services, strict=True):
        findings = host_findings(job, stretch=stretch, features=fittings)
        findings += water_findings(job, stretch=stretch, stay=stay, features=fittings, services=connections)
        findings += customer_findings(job, connections)
        found.append(_of(stretch, findings))
    return tuple(found)


def _by_stretch(things: Sequence[_Placed], stretches: Sequence[HostStretch]) -> list[list[_Placed]]:
    """Return what stands in each stretch; at a joint the later one has it, at the end of the main the last, beyond the ends none."""
    found: list[list[_Placed]] = [[] for _ in stretches]
    starts = [stretch.start for stretch in stretches]
    for one in things:
        home = bisect_right(starts, one.chainage) - 1
        if home >= 0 and one.chainage <= stretches[home].end:
            found[home].append(one)
    return found


def _of(stretch: HostStretch, findings: Sequence[Finding]) -> Suitability:
    measures = dict.fromkeys(measure for one in findings for measure in one.measures)
    reasons = tuple(one.reason for one in findings)
    return Suitability(stretch.start, stretch.end, worst([reason.verdict for reason in reasons]), reasons, tuple(measures))
