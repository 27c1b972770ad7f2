"""What the page in the van shows of a run, from its state."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from mainwright.line.advice import advise
from mainwright.line.alarms import dry_at
from mainwright.workflow.live_ports import BatchOnScreen, ConnectionOnScreen, FeedStatus, RunKey, Screen, Strip

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.line.state import RunState
    from mainwright.words.message import Message

__all__ = ["screen_of", "strip_of"]

_MOST_POINTS: Final = 400
"""Of the strip: more than a screen has room for is not seen."""


def strip_of(state: RunState) -> Strip:
    """Return the thickness along the main so far, in order of chainage.

    Parameters
    ----------
    state : RunState
        The run. [-]

    Returns
    -------
    Strip
        Bins side by side are taken together where there are many: their mean, and the mean of their deviations, which is on the safe side.
    """
    profile = state.deposit.profile()
    count = len(profile.ways)
    if not count:
        return Strip()
    together = max(1, math.ceil(len(state.deposit.volumes) / _MOST_POINTS))
    points = []
    for first in range(0, count, together):
        last = min(first + together, count)
        size = last - first
        points.append(
            (
                state.plan.chainage(0.5 * (profile.ways[first] + profile.ways[last - 1])),
                math.fsum(profile.thicknesses[first:last]) / size,
                math.fsum(profile.deviations[first:last]) / size,
            )
        )
    if state.plan.direction == "decreasing":
        points.reverse()
    chainages, thicknesses, deviations = zip(*points, strict=True)
    return Strip(chainages, thicknesses, deviations)


def screen_of(
    state: RunState,
    *,
    key: RunKey,
    now: float,
    durable: int,
    strip: Strip,
    feeds: Sequence[FeedStatus] = (),
    trouble: Message | None = None,
) -> Screen:
    """Return all that the page shows at one moment.

    Parameters
    ----------
    state : RunState
        The run. [-]
    key : RunKey
        Its name. [-]
    now : float
        Seconds since 1970 UTC. [s]
    durable : int
        How many entries are on disk. [-]
    strip : Strip
        Its thickness along the main. [-]
    feeds : sequence of FeedStatus
        The senders. [-]
    trouble : Message or None
        What stands over everything else. [-]

    Returns
    -------
    Screen
        In SI.
    """
    plan, deposit = state.plan, state.deposit
    stock = state.in_stock()
    reach = None if stock is None else dry_at(state, stock)
    started = state.started
    poured = {one.number: one.mixing for one in state.stream}
    planned = {one.number: one for one in plan.batches}
    volumes = {}
    before = 0.0
    for one in state.stream:
        volumes[one.number] = one.until - before
        before = one.until
    batches = tuple(
        BatchOnScreen(
            number,
            volumes.get(number, planned[number].volume if number in planned else 0.0),
            None if number not in planned or started is None else started + planned[number].mixing,
            poured.get(number),
        )
        for number in sorted({*planned, *poured})
    )
    connections = tuple(
        ConnectionOnScreen(
            one.ref,
            one.chainage,
            None if one.earliest is None or started is None else started + one.earliest,
            None if one.latest is None or started is None else started + one.latest,
            state.cleared.get(one.chainage),
        )
        for one in plan.windows
    )
    return Screen(
        key=key,
        now=now,
        phase=state.phase,
        outcome=state.outcome,
        event=state.events,
        durable=durable,
        started=started,
        ended=state.ended,
        ends_closed=state.ends_closed,
        start=plan.start,
        end=plan.end,
        direction=plan.direction,
        advice=advise(state) if deposit.readings else None,
        strip=strip,
        alarms=tuple(state.alarms.values()),
        age_at_head=state.age_at_head(),
        usable=plan.usable,
        in_stock=stock,
        dry_at=None if reach is None or reach >= plan.length else plan.chainage(reach),
        pumped=deposit.pumped,
        deposited=deposit.deposited,
        pressure=state.pressure,
        pressure_max=plan.pressure_max,
        head_air=state.head_air,
        head_speed=state.head_speed,
        cover_proved=state.cover_proved,
        hand_mode=state.hand_mode,
        batches=batches,
        connections=connections,
        feeds=tuple(feeds),
        in_charge=state.in_charge,
        trouble=trouble,
    )
