"""Whether the customers of a stretch can do without the main while it is lined."""

from collections.abc import Sequence
from typing import Final

from mainwright.job.job import Job
from mainwright.job.survey import Service
from mainwright.plan.finding import Finding, finding, practice_source
from mainwright.words.message import message

__all__ = ["customer_findings"]

_CRITICAL: Final = ("hospital", "dialysis", "fire_line")


def customer_findings(job: Job, services: Sequence[Service]) -> list[Finding]:
    """Return how the customers of one stretch bear its closing.

    Parameters
    ----------
    job : Job
        The job with its feed points. [-]
    services : sequence of Service
        Connections of the stretch. [-]

    Returns
    -------
    list of Finding
        One.
    """
    rule = message("Customers while the main is closed")
    limit = message("Nobody is cut off before a proved temporary supply, or a closing time that they have agreed to.")
    source = practice_source("customers first")
    critical = sum(service.use in _CRITICAL for service in services)
    unsaid = sum(service.use is None for service in services)
    if not job.services:
        # A file that was not given and a main without connections look alike: only the client can tell.
        found = message("Not one connection on record for the whole main.")
        measure = message("Have the client confirm that the main has no connections, or ask for the list of them.")
        return [finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,))]
    if services and not job.feeds:
        found = message("Connections: {n}; no feed point for a temporary supply on record.", n=len(services))
        measure = message("Find hydrants or neighbouring mains that can feed a temporary supply, with their pressure and flow.")
        return [finding(rule=rule, found=found, limit=limit, source=source, verdict="unknown", measures=(measure,))]
    if critical or unsaid:
        found = message(
            "Connections: {n}; hospital, dialysis or fire line: {critical}; of unknown use: {unsaid}.",
            n=len(services),
            critical=critical,
            unsaid=unsaid,
        )
        measure = message(
            "Agree supply and hours with hospitals, dialysis patients and whoever relies on a fire line before a date is set."
        )
        return [finding(rule=rule, found=found, limit=limit, source=source, verdict="with_measures", measures=(measure,))]
    found = message("Connections: {n}; feed points on record: {feeds}.", n=len(services), feeds=len(job.feeds))
    return [finding(rule=rule, found=found, limit=limit, source=source, verdict="suitable")]
