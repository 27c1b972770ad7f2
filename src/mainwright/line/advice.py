"""What the operator should do now, in one number: the speed to change to."""

import math
from dataclasses import dataclass

from mainwright.line.state import RunState
from mainwright.science.bore.ring import deposit_area

__all__ = ["Advice", "advise"]

_RECENT = 1.0
"""Length over which the thickness that lies there is judged. [m]"""

_TREND = 5.0
"""Length before that against which its trend is seen. [m]"""


@dataclass(frozen=True, slots=True)
class Advice:
    """What stands on the screen; None where readings are still missing.

    Attributes
    ----------
    speed, change_to, speed_low, speed_high
        Speed now, the one that makes the aim with the flow of now, and the band of it. [m/s]
    thickness, trend
        Over the last metre, and against the five metres before it. [m]
    aim, minimum, maximum
        At the head. [m]
    to_next_bore
        Way to the next change of bore; None where there is none ahead. [m]
    to_end, end_in
        Way [m] and time [s] to the end of the run, at the speed of now.
    """

    way: float
    chainage: float
    speed: float | None
    change_to: float | None
    speed_low: float | None
    speed_high: float | None
    flow: float | None
    thickness: float | None
    trend: float | None
    aim: float
    minimum: float
    maximum: float | None
    to_next_bore: float | None
    to_end: float
    end_in: float | None


def advise(state: RunState) -> Advice:
    """Return what to do now.

    Parameters
    ----------
    state : RunState
        The run so far. [-]

    Returns
    -------
    Advice
        The speed to change to follows from the flow of the last ten seconds and the aim at the head; its band scales with it. It is never
        over what the head can do, and never backwards: nobody goes back over fresh lining.
    """
    plan, deposit = state.plan, state.deposit
    way = deposit.way
    here = plan.at(way)
    flow, speed = deposit.flow(), deposit.speed()
    change_to = low = high = None
    if flow is not None and flow > 0.0:
        area = deposit_area(thickness=here.aim, bore=here.bore, pit_allowance=plan.pit_allowance)
        change_to = plan.deposit_efficiency * flow / area
        scale = change_to / here.speed
        low, high = here.speed_low * scale, here.speed_high * scale
        if plan.speed_max is not None:
            change_to, high = min(change_to, plan.speed_max), min(high, plan.speed_max)
    recent = deposit.recent(_RECENT)
    before = _before(state)
    ahead = [one.start - way for one in plan.lengths if one.start > way]
    to_end = max(plan.length - way, 0.0)
    return Advice(
        way=way,
        chainage=plan.chainage(way),
        speed=speed,
        change_to=change_to,
        speed_low=low,
        speed_high=high,
        flow=flow,
        thickness=recent,
        trend=None if recent is None or before is None else recent - before,
        aim=here.aim,
        minimum=here.minimum,
        maximum=here.maximum,
        to_next_bore=min(ahead, default=None),
        to_end=to_end,
        end_in=None if speed is None or speed <= 0.0 else to_end / speed,
    )


def _before(state: RunState) -> float | None:
    deposit = state.deposit
    last = math.floor((deposit.way - _RECENT) / deposit.bin_length) - 1
    first = max(0, last + 1 - round(_TREND / deposit.bin_length))
    found = [one for number in range(first, min(last + 1, len(deposit.volumes))) if (one := deposit.thickness(number)) is not None]
    return math.fsum(found) / len(found) if found else None
