"""Whether each stretch of the main can be lined: the worst of its reasons, and what would change it."""

from collections.abc import Sequence
from typing import TypeVar

from mainwright.job.job import Job
from mainwright.job.survey import Feature, Service
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
    for stretch in host.stretches:
        last = stretch is host.stretches[-1]
        features = _inside(job.features, stretch, last=last)
        services = _inside(job.services, stretch, last=last)
        findings = host_findings(job, stretch=stretch, features=features)
        findings += water_findings(job, stretch=stretch, stay=stay, features=features, services=services)
        found.append(_of(stretch, findings))
    return tuple(found)


def _inside(things: Sequence[_Placed], stretch: HostStretch, *, last: bool) -> list[_Placed]:
    return [one for one in things if stretch.start <= one.chainage < stretch.end or (last and one.chainage == stretch.end)]


def _of(stretch: HostStretch, findings: Sequence[Finding]) -> Suitability:
    measures = dict.fromkeys(measure for one in findings for measure in one.measures)
    reasons = tuple(one.reason for one in findings)
    return Suitability(stretch.start, stretch.end, worst([reason.verdict for reason in reasons]), reasons, tuple(measures))
