"""What must not be overlooked. An alarm goes up at one value and comes down at another, so that it does not flutter."""

import math
from dataclasses import dataclass
from typing import Final

from mainwright.line.advice import advise
from mainwright.line.events import AlarmCleared, AlarmRaised
from mainwright.line.state import RunState
from mainwright.plan.result import ConnectionWindow
from mainwright.science.bore.ring import deposit_area

__all__ = ["CODES", "AlarmRules", "dry_at", "watch"]

CODES: Final = (
    "thin",
    "thick",
    "stall",
    "overspeed",
    "pressure",
    "old_mortar",
    "mortar_short",
    "connection_due",
    "ends_open",
    "head_slow",
    "flow_lost",
    "turned_back",
    "mixer_behind",
    "silent",
    "odometer_jump",
)
"""Every alarm, in the order of the screen."""


@dataclass(frozen=True, slots=True)
class AlarmRules:
    """When alarms go up and come down; shares of a limit [-] and times [s]. All are settings, none is published.

    Attributes
    ----------
    slack
        By how much a value must be better than its limit before the alarm comes down.
    pressure_share
        Share of the greatest pressure at which a blockage is feared.
    head_share
        Share of its best air pressure or speed under which a head slows.
    stall_speed
        Share of the planned speed under which the head stands.
    warn_connection
        Time before the latest minute of a connection.
    close_ends_within
        Time after the end of the run.
    turned_back
        How far back the head may sway. [m]
    silent
        Time without a reading, or a mark by hand, while the head goes. [s]
    silent_by_hand
        The same where marks by hand are the record. [s]
    """

    slack: float = 0.03
    pressure_share: float = 0.9
    head_share: float = 0.8
    stall_speed: float = 0.1
    warn_connection: float = 600.0
    close_ends_within: float = 1800.0
    turned_back: float = 0.2
    silent: float = 15.0
    silent_by_hand: float = 300.0


def watch(
    state: RunState,
    *,
    now: float,
    windows: tuple[ConnectionWindow, ...] = (),
    rules: AlarmRules | None = None,
    heard: float | None = None,
) -> tuple[AlarmRaised | AlarmCleared, ...]:
    """Return the alarms that go up or come down now, as events that the caller appends to the record and applies.

    Parameters
    ----------
    state : RunState
        The run so far. [-]
    now : float
        Seconds since 1970 UTC. [s]
    windows : tuple of ConnectionWindow
        When connections must be clear, from the start of the head. [-]
    rules : AlarmRules or None
        When alarms go up; the usual where not given. [-]
    heard : float or None
        When the latest reading came, by the same clock as now; None where that is not known. [s]

    Returns
    -------
    tuple of AlarmRaised or AlarmCleared
        In the order of `CODES`.
    """
    rules = rules or AlarmRules()
    found: list[AlarmRaised | AlarmCleared] = []
    levels = {**_of_run(state, now, rules), **_of_head(state, rules), **_of_mortar(state), **_of_people(state, now, windows, rules)}
    levels |= _of_senders(state, now, heard, rules)
    chainage = state.plan.chainage(state.deposit.way)
    for code in CODES:
        level = levels.get(code)
        alarm = state.alarms.get(code)
        up = alarm is not None and alarm.active
        if level is None:
            if up and state.phase == "ended" and code != "ends_open":
                found.append(AlarmCleared(now, code))
            continue
        value, over = level
        if over > 0.0 and not up:
            found.append(AlarmRaised(now, code, chainage, value))
        elif over < -rules.slack and up:
            found.append(AlarmCleared(now, code))
    return tuple(found)


_Levels = dict[str, tuple[float, float]]
"""Code to the value that is shown and how far it is over its limit, relative: positive raises, below minus the slack clears."""


def _of_run(state: RunState, now: float, rules: AlarmRules) -> _Levels:
    if state.phase not in ("running", "stopped"):
        return {}
    levels: _Levels = {}
    advice = advise(state)
    if advice.thickness is not None:
        levels["thin"] = (advice.thickness, 1.0 - advice.thickness / advice.minimum)
        if advice.maximum is not None:
            levels["thick"] = (advice.thickness, advice.thickness / advice.maximum - 1.0)
    here = state.plan.at(advice.way)
    if advice.speed is not None and 0.0 < advice.way < state.plan.length:
        pumping = advice.flow is not None and advice.flow > 0.05 * state.plan.flow
        standing = 1.0 if pumping and state.phase == "running" and advice.speed < rules.stall_speed * here.speed else -1.0
        levels["stall"] = (advice.speed, standing)
        if advice.speed_high is not None and advice.speed_high > 0.0:
            # Without a flow there is no speed that would be right; that it gets thin is another alarm.
            fast = advice.speed / advice.speed_high - 1.0 if pumping and state.phase == "running" else -1.0
            levels["overspeed"] = (advice.speed, fast)
    if state.pressure is not None and state.plan.pressure_max is not None:
        levels["pressure"] = (state.pressure, state.pressure / (rules.pressure_share * state.plan.pressure_max) - 1.0)
    levels["flow_lost"] = (now, -1.0 if state.flow_measured else 1.0)
    levels["turned_back"] = (state.deposit.turned_back, 1.0 if state.deposit.furthest - advice.way > rules.turned_back else -1.0)
    return levels


def _of_head(state: RunState, rules: AlarmRules) -> _Levels:
    """Litres per metre can be right while a slow head lays them in the invert."""
    if state.phase not in ("running", "stopped"):
        return {}
    shares = [
        now / best
        for now, best in ((state.head_air, state.best_head_air), (state.head_speed, state.best_head_speed))
        if now is not None and best is not None and best > 0.0
    ]
    return {"head_slow": (min(shares), 1.0 - min(shares) / rules.head_share)} if shares else {}


def _of_mortar(state: RunState) -> _Levels:
    if state.phase not in ("running", "stopped"):
        return {}
    levels: _Levels = {}
    plan = state.plan
    age = state.age_at_head()
    if age is not None and plan.usable is not None:
        levels["old_mortar"] = (age, age / plan.usable - 1.0)
    stock = state.in_stock()
    if stock is not None:
        poured = {one.number for one in state.stream}
        to_come = math.fsum(one.volume for one in plan.batches if one.number not in poured)
        reach = dry_at(state, stock + to_come)
        levels["mortar_short"] = (plan.chainage(min(reach, plan.length)), 1.0 if reach < plan.length else -1.0)
        flow = state.deposit.flow()
        if plan.cycle is not None and flow is not None and flow > 0.0:
            # The hopper is empty before another batch can be mixed.
            left = max(stock, 0.0) / flow
            levels["mixer_behind"] = (left, 1.0 - left / plan.cycle if dry_at(state, stock) < plan.length else -1.0)
    return levels


def _of_senders(state: RunState, now: float, heard: float | None, rules: AlarmRules) -> _Levels:
    if state.phase != "running":
        return {}
    levels: _Levels = {}
    if heard is not None:
        limit = rules.silent_by_hand if state.hand_mode else rules.silent
        levels["silent"] = (now - heard, (now - heard) / limit - 1.0)
    # Up until somebody has seen it: whether the wheel slipped or the head moved only a person can say.
    levels["odometer_jump"] = (state.jumped or 0.0, -1.0 if state.jumped is None else 1.0)
    return levels


def dry_at(state: RunState, stock: float) -> float:
    """Return the way at which the stock that is poured runs out at the pump, at the planned litres by length. [m]."""
    plan, way = state.plan, state.deposit.way
    left = stock * plan.deposit_efficiency
    for one in plan.lengths:
        if one.end <= way:
            continue
        begin = max(one.start, way)
        area = deposit_area(thickness=one.aim, bore=one.bore, pit_allowance=plan.pit_allowance)
        need = area * (one.end - begin)
        if need > left:
            return begin + max(left, 0.0) / area
        left -= need
    return math.inf


def _of_people(state: RunState, now: float, windows: tuple[ConnectionWindow, ...], rules: AlarmRules) -> _Levels:
    levels: _Levels = {}
    if state.started is not None:
        open_ = [
            window.latest + state.started - now for window in windows if window.latest is not None and window.chainage not in state.cleared
        ]
        if open_:
            levels["connection_due"] = (min(open_), 1.0 if min(open_) < rules.warn_connection else -1.0)
    if state.ended is not None:
        waited = now - state.ended
        late = state.ends_closed is None and waited > rules.close_ends_within
        levels["ends_open"] = (waited, 1.0 if late else -1.0)
    return levels
