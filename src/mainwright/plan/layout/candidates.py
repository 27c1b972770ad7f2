"""Where the road may be opened: every place that a run may begin or end, with what is there and what it costs."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.job.survey import Feature, Ground
from mainwright.plan.host import Host
from mainwright.plan.layout.money import Rates
from mainwright.words.message import Message, Quantity, message

__all__ = ["ANGLE_SLACK", "BY_HAND", "LENGTH_SLACK", "Candidate", "KnownPlaces", "find_candidates", "known_places", "no_dig_zones"]

LENGTH_SLACK: Final = 1e-6
"""Chainages nearer than this are one, and a length over a limit by no more keeps it: what binary numbers do to decimal ones. [m]"""

ANGLE_SLACK: Final = 1e-9
"""The same for angles. [rad]"""

BY_HAND: Final = message("fixed by hand")
"""Why a place is opened that somebody fixed."""

_MUST_KINDS: Final = frozenset({"tee", "cross", "gate_valve", "butterfly_valve", "check_valve", "meter", "reducer", "end"})
_MOST_CANDIDATES: Final = 2_000_000


@dataclass(frozen=True, slots=True)
class Candidate:
    """A place where an opening may be.

    Attributes
    ----------
    chainage
        [m]
    reasons
        What is here, in the order in which it was found; for a plain point of the grid that alone.
    must
        No run may pass: a written or ruled ``must``, an end of the main, a place that was fixed by hand.
    dn_change, bore_step
        Whether the nominal size changes here, and by how much the bore does within one size. [m]
    bends
        Angles of the bends here. [rad]
    branches
        Branches here, which a run may be lined past.
    ground
        What lies over it; None where the survey is silent.
    price
        Of an opening here, in the job's currency; None where nothing of it is priced.
    no_dig
        The zone strictly inside of which this lies, although nobody may dig there; None for all that may be dug. [m]
    closed
        No candidate at all: nobody may open here, but a run that passes has its bends and branches.
    """

    chainage: float
    reasons: tuple[Message, ...]
    must: bool
    dn_change: bool
    bore_step: float
    bends: tuple[float, ...]
    branches: int
    ground: Ground | None
    price: float | None
    no_dig: tuple[float, float] | None
    closed: bool = False


@dataclass(slots=True)
class _Place:
    chainage: float
    reasons: list[Message] = field(default_factory=list)
    must: bool = False
    dn_change: bool = False
    bore_step: float = 0.0
    bends: list[float] = field(default_factory=list)
    branches: int = 0
    plain: bool = False


class _Places:
    """Places by their chainage: what is nearer than the slack is one."""

    def __init__(self, found: dict[int, _Place] | None = None) -> None:
        self.found: dict[int, _Place] = {} if found is None else found

    def number(self, chainage: float) -> int | None:
        """Return under which number a place is kept, None where there is none yet."""
        number = round(chainage / LENGTH_SLACK)
        return next((near for near in (number, number - 1, number + 1) if near in self.found), None)

    def at(self, chainage: float) -> _Place:
        number = self.number(chainage)
        return self.found.setdefault(round(chainage / LENGTH_SLACK), _Place(chainage)) if number is None else self.found[number]


@dataclass(frozen=True, slots=True)
class KnownPlaces:
    """Every place of a job as it is before anybody fixes or rules one out, for the next question about the same job.

    Attributes
    ----------
    places
        By number.
    made
        The candidate of each, None where nobody may open and nothing is passed.
    zones
        Where nobody may dig. [m]
    ground
        Rows of ground in order.
    """

    job: Job
    host: Host
    rates: Rates
    places: dict[int, _Place]
    made: dict[int, Candidate | None]
    zones: tuple[tuple[float, float], ...]
    ground: tuple[Ground, ...]


def no_dig_zones(ground: Iterable[Ground]) -> tuple[tuple[float, float], ...]:
    """Return the stretches that may not be dug; those that touch are one.

    Parameters
    ----------
    ground : iterable of Ground
        In any order. [-]

    Returns
    -------
    tuple of pair
        Start and end, in order. [m]
    """
    zones: list[tuple[float, float]] = []
    for start, end in sorted((one.start, one.end) for one in ground if one.dig is False):
        if zones and start <= zones[-1][1] + LENGTH_SLACK:
            zones[-1] = (zones[-1][0], max(zones[-1][1], end))
        else:
            zones.append((start, end))
    return tuple(zones)


def _zone_around(chainage: float, zones: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    return next((zone for zone in zones if zone[0] + LENGTH_SLACK < chainage < zone[1] - LENGTH_SLACK), None)


def _feature_reason(feature: Feature) -> Message:
    if feature.ref:
        return message("{kind} {ref}", kind=feature.kind, ref=feature.ref)
    return message("{kind}", kind=feature.kind)


def _add_features(places: _Places, job: Job, host: Host) -> None:
    for feature in job.features:
        if not host.start - LENGTH_SLACK <= feature.chainage <= host.end + LENGTH_SLACK:
            continue
        place = places.at(feature.chainage)
        place.reasons.append(_feature_reason(feature))
        if feature.opening == "must" or (feature.opening is None and feature.kind in _MUST_KINDS):
            place.must = True
        if feature.kind == "bend" and feature.angle:
            place.bends.append(feature.angle)
        place.branches += feature.kind == "branch"


def _add_changes(places: _Places, job: Job, host: Host) -> None:
    for before, after in zip(host.stretches, host.stretches[1:], strict=False):
        step = abs(after.bore - before.bore)
        if before.dn != after.dn:
            place = places.at(after.start)
            place.dn_change = True
            place.reasons.append(message("DN {before} to DN {after}", before=before.dn, after=after.dn))
        elif step > job.runs.bore_step_max + LENGTH_SLACK:
            place = places.at(after.start)
            place.bore_step = max(place.bore_step, step)
            place.reasons.append(message("bore {before} to {after}", before=Quantity(before.bore, "mm"), after=Quantity(after.bore, "mm")))


def _add_grid(places: _Places, host: Host, grid: float) -> None:
    if not grid > 0.0:
        raise InputError("opening_spacing_grid", grid, "m", "more than 0")
    steps = int((host.end - host.start) / grid + LENGTH_SLACK)
    if steps > _MOST_CANDIDATES:
        raise InputError("opening_spacing_grid", grid, "m", f"such that the main has at most {_MOST_CANDIDATES} candidates")
    for step in range(1, steps + 1):
        chainage = host.start + step * grid
        if chainage < host.end - LENGTH_SLACK:
            place = places.at(chainage)
            if not place.reasons:
                place.reasons.append(message("reach of the runs: multiple of {grid}", grid=Quantity(grid, "m")))
                place.plain = True


def _ground_at(chainage: float, ground: Sequence[Ground], host: Host, rates: Rates) -> Ground | None:
    """Return what lies over a point: where several meet, the cheapest that may be dug; None where the survey is silent."""
    here = [one for one in ground if one.start - LENGTH_SLACK <= chainage <= one.end + LENGTH_SLACK]
    diggable = [one for one in here if one.dig is not False]
    if not diggable and here:
        silent_before = chainage > host.start + LENGTH_SLACK and not any(one.start < chainage - LENGTH_SLACK for one in here)
        silent_after = chainage < host.end - LENGTH_SLACK and not any(one.end > chainage + LENGTH_SLACK for one in here)
        if silent_before or silent_after:
            return None
    choice = diggable or here
    return min(choice, key=lambda one: rates.opening(one) or 0.0, default=None)


def _in_order(ground: Sequence[Ground], places: Sequence[_Place]) -> list[list[Ground]]:
    """Return for each place the rows of ground that touch it, by one walk over both."""
    rows = sorted(ground, key=lambda one: (one.start, one.end))
    open_rows: list[Ground] = []
    following = 0
    found = []
    for place in places:
        while following < len(rows) and rows[following].start <= place.chainage + LENGTH_SLACK:
            open_rows.append(rows[following])
            following += 1
        open_rows = [one for one in open_rows if one.end >= place.chainage - LENGTH_SLACK]
        found.append(list(open_rows))
    return found


def known_places(job: Job, host: Host, rates: Rates) -> KnownPlaces:
    """Return what `find_candidates` knows of a job whatever is fixed and ruled out.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    rates : Rates
        Its prices. [-]

    Returns
    -------
    KnownPlaces
        For any number of questions about this job.
    """
    places = _Places()
    for chainage, reason in ((host.start, message("start of the main")), (host.end, message("end of the main"))):
        place = places.at(chainage)
        place.must = True
        place.reasons.append(reason)
    _add_changes(places, job, host)
    _add_features(places, job, host)
    zones = no_dig_zones(job.ground)
    for chainage in (edge for zone in zones for edge in zone if host.start < edge < host.end):
        places.at(chainage).reasons.append(message("edge of what may not be dug"))
    _add_grid(places, host, job.runs.opening_spacing_grid)
    known = KnownPlaces(job, host, rates, places.found, {}, zones, tuple(sorted(job.ground, key=lambda one: (one.start, one.end))))
    numbers = sorted(places.found, key=lambda number: places.found[number].chainage)
    ordered = [places.found[number] for number in numbers]
    for number, place, rows in zip(numbers, ordered, _in_order(job.ground, ordered), strict=True):
        known.made[number] = _candidate(known, place, rows, barred=False)
    return known


def find_candidates(
    job: Job,
    host: Host,
    rates: Rates,
    *,
    locked: Sequence[float] = (),
    forbidden: Sequence[float] = (),
    known: KnownPlaces | None = None,
) -> tuple[Candidate, ...]:
    """Return every candidate opening in order of chainage; the first and the last are the ends of the main.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    rates : Rates
        Its prices. [-]
    locked : sequence of float
        Chainages that must be opened whatever stands there. [m]
    forbidden : sequence of float
        Chainages that may not be opened; where something must come out they stay, and the plan warns. [m]
    known : KnownPlaces, optional
        What an earlier question about the same job, main and prices found. [-]

    Returns
    -------
    tuple of Candidate
        Ends of the main, changes of size and bore, features, edges of what may not be dug, and the grid.

    Notes
    -----
    Nothing lies strictly inside a zone that may not be dug but what must come out there: it is kept, marked by its zone. Bends and
    branches inside that a run passes stay in the list as ``closed``, for the sake of its sums.
    """
    known = known or known_places(job, host, rates)
    places, changed = _Places(dict(known.places)), set[int]()
    for chainage in locked:
        if not host.start - LENGTH_SLACK <= chainage <= host.end + LENGTH_SLACK:
            raise InputError("locked opening", chainage, "m", f"{host.start:g} to {host.end:g} m, on the main")
        changed.add(_fix(places, chainage))
    barred = {round(chainage / LENGTH_SLACK) for chainage in forbidden}
    made = {number: one for number, one in known.made.items() if number in places.found}
    for number in sorted(changed | _numbers(places, barred)):
        place = places.found[number]
        rows = [one for one in known.ground if one.start <= place.chainage + LENGTH_SLACK and one.end >= place.chainage - LENGTH_SLACK]
        made[number] = _candidate(known, place, rows, barred=round(place.chainage / LENGTH_SLACK) in barred)
    return tuple(sorted((one for one in made.values() if one is not None), key=lambda one: one.chainage))


def _numbers(places: _Places, barred: set[int]) -> set[int]:
    """Return under which numbers places are kept whose chainage is one of these."""
    near = {other for number in barred for other in (number - 1, number, number + 1)}
    return {number for number in near & places.found.keys() if round(places.found[number].chainage / LENGTH_SLACK) in barred}


def _fix(places: _Places, chainage: float) -> int:
    """Have a place opened, whatever stands there, and return its number; a plain point of the grid becomes that place."""
    number = places.number(chainage)
    if number is None:
        number = round(chainage / LENGTH_SLACK)
        places.found[number] = _Place(chainage, [BY_HAND], must=True)
        return number
    place = places.found[number]
    if place.plain:
        del places.found[number]
        number = round(chainage / LENGTH_SLACK)
        places.found[number] = _Place(chainage, [BY_HAND], must=True)
    else:
        places.found[number] = replace(place, reasons=[*place.reasons, BY_HAND], must=True)
    return number


def _candidate(known: KnownPlaces, place: _Place, rows: Sequence[Ground], *, barred: bool) -> Candidate | None:
    """Return the candidate at a place, None where nobody may open and nothing is passed."""
    zone = _zone_around(place.chainage, known.zones)
    if zone is None and barred:
        zone = (place.chainage, place.chainage)
    closed = zone is not None and not _stands(place, known.job, known.host)
    if closed and not place.bends and not place.branches:
        return None
    ground = _ground_at(place.chainage, rows, known.host, known.rates)
    return Candidate(
        chainage=place.chainage,
        reasons=tuple(place.reasons),
        must=place.must,
        dn_change=place.dn_change,
        bore_step=place.bore_step,
        bends=tuple(place.bends),
        branches=place.branches,
        ground=ground,
        price=None if ground is None else known.rates.opening(ground),
        no_dig=None if closed else zone,
        closed=closed,
    )


def _stands(place: _Place, job: Job, host: Host) -> bool:
    """Return whether no run can pass here, so that the place stays a candidate wherever it lies."""
    if place.must or place.dn_change or place.bore_step > 0.0:
        return True
    if not place.bends:
        return False
    sizes = {one.dn for one in host.stretches if one.start <= place.chainage <= one.end}
    passed = [
        math.inf if head.bend_max is None else head.bend_max
        for head in job.plant.heads
        if any(head.dn_from <= dn <= head.dn_to for dn in sizes)
    ]
    return max(place.bends) > min(job.runs.max_bend, max(passed, default=math.inf)) + ANGLE_SLACK
