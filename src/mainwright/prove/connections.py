"""Connections reconciled three ways: what the list says, what was seen, what was cleared; each with its state before and after."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import ConnectionCleared, ConnectionFound, Records
from mainwright.job.survey import Service
from mainwright.plan.hold_points import clearing_pressure
from mainwright.plan.mortar_day import mortar_day
from mainwright.plan.result import Run
from mainwright.prove.timeline import Timeline
from mainwright.prove.verdict import PartVerdict
from mainwright.words.message import Message, Quantity, message

__all__ = ["CLOCKS", "NEAR", "ConnectionProof", "ConnectionsProof", "judge_connections"]

NEAR: Final = 1.0
"""A connection that was seen within this of a listed one, and is not named, is taken for it; an assumption. [m]"""

CLOCKS: Final = 1.5
"""So far round the clock two places are still the same connection; an assumption. [h]"""


@dataclass(frozen=True, slots=True)
class ConnectionProof:
    """One connection.

    Attributes
    ----------
    ref, chainage, side, use
        As listed; a connection on no list has the place where it was seen.
    listed, live
        Whether the job lists it, and whether it is live; ``live`` None where that is not known.
    camera, street
        Whether it was seen; None where nothing at all was seen that way in this run, so nobody looked.
    holds, flow_before, flow_after, method, air, cleared
        State before and after: stop tap, flows [m3/s], method, air pressure, gauge [Pa], moment of clearing.
    since_pass
        From the pass of the head to the clearing. [s]
    verdict, problems
        What is open or wrong with it.
    """

    ref: str
    chainage: float | None
    side: str | None
    use: str | None
    listed: bool
    live: bool | None
    camera: bool | None
    street: bool | None
    holds: bool | None
    flow_before: float | None
    flow_after: float | None
    method: str | None
    air: float | None
    cleared: datetime | None
    since_pass: float | None
    verdict: PartVerdict
    problems: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class ConnectionsProof:
    """All connections of one run, in order of chainage, with the worst of their verdicts."""

    verdict: PartVerdict
    connections: tuple[ConnectionProof, ...]


def judge_connections(job: Job, run: Run, records: Records, coats: Sequence[Timeline], *, last: bool) -> ConnectionsProof:
    """Return the connections of a run.

    Parameters
    ----------
    job : Job
        The job, with its list of connections. [-]
    run : Run
        The run. [-]
    records : Records
        What happened. [-]
    coats : sequence of Timeline
        The run against the clock; the last coat is the one that connections are cleared from. [-]
    last : bool
        Whether the run ends where the main ends: then a connection at its very end is its own. [-]

    Returns
    -------
    ConnectionsProof
        A live connection without a record that it is clear, or one that was seen and stands on no list, leaves it incomplete; no flow
        afterwards, or air over what is allowed, does not meet what was asked.
    """

    def inside(chainage: float) -> bool:
        return run.start <= chainage < run.end or (last and chainage == run.end)

    listed = [one for one in job.services if inside(one.chainage)]
    seen = [one for one in records.connections_found if inside(one.chainage)]
    matched, strangers = _matched(listed, seen)
    looked = {way: any(one.seen_by == way for one in seen) for way in ("camera", "street")}
    cleared = {one.ref: one for one in records.connections}
    found = []
    for place, service in enumerate(listed):
        ways = {one.seen_by for one in matched[place]}
        ref = service.ref or next((one.ref for one in matched[place] if one.ref), None) or ""
        row = cleared.get(ref)
        since = None if row is None else _since(coats, service.chainage, row.time_cleared)
        found.append(_judged(service, ref, row, since=since, ways=ways, looked=looked, problems=_after_clearing(job, row, since)))
    found += [_stranger(one, looked, cleared) for one in strangers]
    found.sort(key=lambda one: (one.chainage or 0.0, one.ref))
    verdicts = {one.verdict for one in found}
    verdict: PartVerdict = "not_asked"
    if verdicts:
        verdict = "does_not_meet" if "does_not_meet" in verdicts else "incomplete" if "incomplete" in verdicts else "meets"
    return ConnectionsProof(verdict, tuple(found))


def _apart(one: float | None, other: float | None) -> float:
    if one is None or other is None:
        return 0.0
    around = abs(one - other) % 12.0
    return min(around, 12.0 - around)


def _matched(listed: Sequence[Service], seen: Sequence[ConnectionFound]) -> tuple[list[list[ConnectionFound]], list[ConnectionFound]]:
    """Give each sighting to the connection of its name, or else to the nearest that the same eyes have not seen yet."""
    matched: list[list[ConnectionFound]] = [[] for _ in listed]
    names = {one.ref: place for place, one in enumerate(listed) if one.ref}
    strangers = []
    for one in [*(one for one in seen if one.ref in names), *(one for one in seen if one.ref not in names)]:
        if one.ref in names:
            matched[names[one.ref]].append(one)
            continue
        near = [
            (abs(service.chainage - one.chainage), place)
            for place, service in enumerate(listed)
            if abs(service.chainage - one.chainage) <= NEAR
            and _apart(service.clock, one.clock) <= CLOCKS
            and all(other.seen_by != one.seen_by for other in matched[place])
        ]
        if near:
            matched[min(near)[1]].append(one)
        else:
            strangers.append(one)
    return matched, strangers


def _since(coats: Sequence[Timeline], chainage: float, cleared: datetime | None) -> float | None:
    if cleared is None or not coats:
        return None
    passed = coats[-1].passed(chainage)
    return None if passed is None else cleared.timestamp() - passed


@dataclass(slots=True)
class _Problems:
    failures: list[Message] = field(default_factory=list)
    open: list[Message] = field(default_factory=list)
    notes: list[Message] = field(default_factory=list)


def _judged(
    service: Service,
    ref: str,
    row: ConnectionCleared | None,
    *,
    since: float | None,
    ways: Collection[str | None],
    looked: Mapping[str, bool],
    problems: _Problems,
) -> ConnectionProof:
    failures, open_, notes = problems.failures, problems.open, problems.notes
    if (row is None or row.time_cleared is None) and service.live is not False:
        open_.append(message("no record that it is clear"))
    if looked["camera"] and "camera" not in ways and service.live is not False:
        open_.append(message("listed, and not seen by the camera"))
    verdict: PartVerdict = "does_not_meet" if failures else "incomplete" if open_ else "not_asked" if service.live is False else "meets"
    return ConnectionProof(
        ref=ref,
        chainage=service.chainage,
        side=service.side,
        use=service.use,
        listed=True,
        live=service.live,
        camera="camera" in ways if looked["camera"] else None,
        street="street" in ways if looked["street"] else None,
        holds=None if row is None else row.stop_tap_holds,
        flow_before=None if row is None else row.flow_before,
        flow_after=None if row is None else row.flow_after,
        method=None if row is None else row.method,
        air=None if row is None else row.air,
        cleared=None if row is None else row.time_cleared,
        since_pass=since,
        verdict=verdict,
        problems=(*failures, *open_, *notes),
    )


def _after_clearing(job: Job, row: ConnectionCleared | None, since: float | None) -> _Problems:
    found = _Problems()
    if row is None or row.time_cleared is None:
        return found
    failures, open_, notes = found.failures, found.open, found.notes
    allowed = clearing_pressure()
    if row.air is not None and row.air > allowed.value * (1.0 + 1e-9):
        failures.append(
            message(
                "air {air}; at most {limit} is published ({source}), and the contract's own number goes first",
                air=Quantity(row.air, "bar", 2),
                limit=Quantity(allowed.value, "bar", 2),
                source=allowed.source.title,
            )
        )
    if row.flow_after is not None and row.flow_after <= 0.0:
        failures.append(message("no flow after the works"))
    elif row.flow_after is not None and row.flow_before is not None and row.flow_after < row.flow_before:
        open_.append(
            message(
                "less flow after the works ({after}) than before ({before})",
                after=Quantity(row.flow_after, "l_min", 1),
                before=Quantity(row.flow_before, "l_min", 1),
            )
        )
    elif row.flow_after is None:
        notes.append(message("flow after the works not on record"))
    if since is not None and since < 0.0:
        open_.append(message("cleared before the head passed: the time cannot be right"))
    elif since is not None and row.method in ("air", "suction"):
        notes += _in_time(job, since)
    return found


def _in_time(job: Job, since: float) -> list[Message]:
    """Return what the job's own set time says of a clearing; without tested minutes it says nothing."""
    if {"mortar.set_minutes", "mortar.clearing_from_minutes"} & set(job.defaulted):
        return []
    day = mortar_day(job)
    if since > day.set_time:
        text = "cleared {since} after the pass; by the job's own set time it was to be within {limit}"
        return [message(text, since=Quantity(since, "minutes", 0), limit=Quantity(day.set_time, "minutes", 0))]
    if since < day.clearing_from:
        text = "cleared {since} after the pass, before the lining was stiff enough at {limit}"
        return [message(text, since=Quantity(since, "minutes", 0), limit=Quantity(day.clearing_from, "minutes", 0))]
    return []


def _stranger(one: ConnectionFound, looked: Mapping[str, bool], cleared: Mapping[str, ConnectionCleared]) -> ConnectionProof:
    row = cleared.get(one.ref or "")
    return ConnectionProof(
        ref=one.ref or "",
        chainage=one.chainage,
        side=None,
        use=None,
        listed=False,
        live=None,
        camera=one.seen_by == "camera" if looked["camera"] else None,
        street=one.seen_by == "street" if looked["street"] else None,
        holds=None if row is None else row.stop_tap_holds,
        flow_before=None if row is None else row.flow_before,
        flow_after=None if row is None else row.flow_after,
        method=None if row is None else row.method,
        air=None if row is None else row.air,
        cleared=None if row is None else row.time_cleared,
        since_pass=None,
        verdict="incomplete",
        problems=(message("seen, and on no list: whose it is must be found out"),),
    )
