"""What must be released before a run may go on, in the order of the work."""

from typing import Final

from mainwright.job.job import Job
from mainwright.job.survey import Feature
from mainwright.plan.layout.solution import LayoutRun
from mainwright.plan.result import HoldPoint
from mainwright.standards.published import Published, value
from mainwright.words.message import Quantity, message

__all__ = ["clearing_pressure", "hold_points"]

_LINE_VALVES: Final = ("gate_valve", "butterfly_valve")


def _valve_outside(job: Job, *, chainage: float, up: bool) -> Feature | None:
    """Return the nearest line valve beyond one end of a run; one that stands in the opening itself is taken out."""
    found = [one for one in job.features if one.kind in _LINE_VALVES and (one.chainage > chainage if up else one.chainage < chainage)]
    return None if not found else min(found, key=lambda one: (abs(one.chainage - chainage), one.chainage))


def _doubtful(job: Job, run: LayoutRun) -> list[HoldPoint]:
    """Return a point of its own for each line valve next to the run that is not known to hold."""
    points = []
    for valve in (_valve_outside(job, chainage=run.start, up=False), _valve_outside(job, chainage=run.end, up=True)):
        if valve is None or valve.state == "holds":
            continue
        place = Quantity(valve.chainage, "m")
        text = (
            message("The valve at {place} was never tried: try it before anything depends on it.", place=place)
            if valve.state is None
            else message("The valve at {place} does not hold ({state}): isolate further out.", place=place, state=valve.state)
        )
        points.append(HoldPoint("valve_doubtful", text))
    return points


def _connections(run: LayoutRun) -> HoldPoint:
    services = [one.service for one in run.lining.passes]
    doubtful = sum(service.stop_tap != "holds" for service in services)
    text = (
        message(
            "{n:The/All} {n} {n:connection/connections}: stop tap holds, drained, house back-feed shut, flow taken. {doubtful} of them {doubtful:has/have} no stop tap that is known to hold.",
            n=len(services),
            doubtful=doubtful,
        )
        if doubtful
        else message(
            "{n:The/All} {n} {n:connection/connections}: stop tap holds, drained, house back-feed shut, flow taken.", n=len(services)
        )
    )
    return HoldPoint("connections_ready", text)


def clearing_pressure() -> Published:
    """Return the greatest air pressure at a connection that is published; the contract's own number goes first.

    Returns
    -------
    Published
        Gauge pressure with its source. [Pa]
    """
    return value("return_to_use", "blow_back")


def hold_points(job: Job, run: LayoutRun) -> tuple[HoldPoint, ...]:
    """Return the hold points of one run.

    Parameters
    ----------
    job : Job
        The job. [-]
    run : LayoutRun
        The run as the layout chose it. [-]

    Returns
    -------
    tuple of HoldPoint
        In the order of the work. Each is released by name and time, on the sheet or in the record.
    """
    points = [
        HoldPoint(
            "isolation",
            message("Isolation holds at both ends: valves shut, locked and tried, nothing runs in, live ends blocked against thrust."),
        ),
        *_doubtful(job, run),
        HoldPoint(
            "bore_accepted",
            message("Cleaned bore accepted by the client on camera, bore measured at both ends, no loose deposits, no standing water."),
        ),
        HoldPoint(
            "cleaned_hours",
            message(
                "Hours since cleaning are within what {document} allows; where it says nothing, look again by camera on the day: bare iron rusts.",
                document=job.lining.governing_document,
            ),
        ),
        HoldPoint(
            "temperatures",
            message(
                "Mortar and wall measured. This sheet reckons with {mortar} and {wall}: with others the minutes change, and frost stops the work.",
                mortar=Quantity(job.mortar.mortar_temperature, "c", 0),
                wall=Quantity(job.mortar.wall_temperature, "c", 0),
            ),
        ),
        HoldPoint("pump_tested", message("Pump timed today through the whole hose with today's mortar; the setting is corrected by it.")),
    ]
    if run.lining.passes:
        points.append(_connections(run))
    points.append(HoldPoint("hose_full", message("Hose full and purged: mortar as mixed leaves the turning head before it moves.")))
    if run.lining.passes:
        points.append(
            HoldPoint(
                "clearing_gauge",
                message(
                    "Before clearing: gauge in sight, cap on, house plumbing disconnected, air at no more than the contract allows; "
                    "where it says nothing, {limit} ({source}).",
                    limit=Quantity(clearing_pressure().value, "bar", 2),
                    source=clearing_pressure().source.title,
                ),
            )
        )
    points.append(
        HoldPoint("ends_closed", message("Both ends closed at once after the head is out, and kept closed and damp until released."))
    )
    return tuple(points)
