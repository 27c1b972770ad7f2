"""What the spread of a job is drawn from: its amounts, outputs and chances in plain numbers."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from typing import Final

from mainwright.job.job import Job
from mainwright.job.office import Permit
from mainwright.plan.bill import price_of
from mainwright.plan.cost.moving import Axis, Moved, axis_of, moving_steps, new_end
from mainwright.plan.programme.laying import charge
from mainwright.plan.programme.steps import Step
from mainwright.plan.programme.street_order import ROAD, under
from mainwright.plan.result import BillLine, Opening, Run
from mainwright.plan.timetable import Programme

__all__ = ["STOP", "Model", "Three", "model_of"]

STOP: Final = 1.0
"""How long a run stands still for something in the main that no record knows. An assumption. [shifts]"""

_BY_DAY: Final = frozenset({"traffic_day", "supervision_day", "standing_plant_day"})

Three = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Model:
    """What is drawn from, in plain numbers.

    Attributes
    ----------
    fixed
        What costs the same in every draw.
    items
        Low, likely and high amount of each item.
    by_day
        Amount of what is paid by the day in the plan; it grows with the days.
    overruns
        For each permit that could be overrun: places of the activities under it, days from the beginning to midnight after its last, and what
        so many days over cost.
    steps, kinds
        Activities of the programme, and the name of the output that each goes with.
    axis
        Their working time on the calendar; None where shifts are days.
    outputs
        Low, likely and high output by shift of each kind of work, relative to the likely.
    obstructions
        How many on average, and what one costs.
    cleanings
        Places of the cleaning of each run: each obstruction stops one of them, anywhere along the main.
    samples
        Rounds, chance that one fails, shifts that a repeat takes, and what it costs.
    givings
        Places of the giving back of each block: each failed round holds up one of them.
    lost
        Share of the shifts that weather takes as a rule.
    share
        Of the spread that one common cause brings about.
    """

    fixed: float = 0.0
    items: tuple[Three, ...] = ()
    by_day: float = 0.0
    overruns: tuple[tuple[tuple[int, ...], float, Callable[[int], float]], ...] = ()
    steps: tuple[Moved, ...] = ()
    kinds: tuple[str, ...] = ()
    axis: Axis | None = None
    outputs: Mapping[str, Three] | None = None
    obstructions: tuple[float, float] = (0.0, 0.0)
    cleanings: tuple[int, ...] = ()
    samples: tuple[int, float, float, float] = (0, 0.0, 0.0, 0.0)
    givings: tuple[int, ...] = ()
    lost: float = 0.0
    share: float = 0.5

    @property
    def planned(self) -> float:
        """Days by the likely outputs without any loss."""
        return self.days(new_end(self.steps, [1.0] * len(self.steps)))

    def days(self, shifts: float) -> float:
        """Return how many calendar days have passed since the work began when so many shifts are over."""
        return shifts if self.axis is None else self.axis.day(shifts) - self.axis.zero


def model_of(
    job: Job, *, bill: Sequence[BillLine], openings: Sequence[Opening], runs: Sequence[Run], programme: Programme | None, blocks: int
) -> Model:
    """Return what the spread of a job is drawn from.

    Parameters
    ----------
    job, bill, openings, runs, programme, blocks
        As in `cost_spread`. [-]

    Returns
    -------
    Model
        An item whose price is one number, or nothing, has no spread of its own.
    """
    fixed, by_day = 0.0, 0.0
    items: list[Three] = []
    for line in bill:
        if line.rate is None:
            continue
        low, high = (line.rate if value is None else value for value in (line.low, line.high))
        if low < line.rate or line.rate < high:
            items.append((line.quantity * min(low, line.rate), line.quantity * line.rate, line.quantity * max(high, line.rate)))
        else:
            fixed += line.quantity * line.rate
        if line.item in _BY_DAY:
            by_day += line.quantity * line.rate
    steps = () if programme is None else moving_steps(job, programme, runs)
    dns = {run.id: run.dn for run in runs}
    kinds = tuple(_output(job, one.kind, dns.get(one.run or "")) for one in steps)
    length = sum(run.length for run in runs if not run.done)
    giving = job.giving_back
    rounds = 1 if giving is None or giving.sample_rounds is None else giving.sample_rounds
    waits = () if giving is None else (giving.chlorine_time, giving.laboratory)
    # Of seven days five are worked.
    again = sum(one or 0.0 for one in waits) / 86400.0 * 5.0 / 7.0
    return Model(
        fixed=fixed,
        items=tuple(items),
        by_day=by_day,
        overruns=_overruns(job, programme, steps),
        steps=steps,
        axis=None if programme is None else axis_of(job, programme),
        kinds=kinds,
        outputs={name: three for name in kinds if (three := _three(job, name)) is not None},
        obstructions=(job.money.obstructions_per_km * length / 1000.0, _obstruction(job, openings)),
        cleanings=tuple(place for place, one in enumerate(steps) if one.kind == "cleaning"),
        samples=(blocks * rounds, job.money.sample_failure, again, _price(job, "sample_round")),
        givings=tuple(place for place, one in enumerate(steps) if one.kind == "reconnection"),
        lost=job.money.lost_shifts,
        share=job.money.common_share,
    )


_SAME: Final = {"camera_cleaned": "camera", "camera_lined": "camera", "supply": "temporary_supply", "supply_removal": "temporary_supply"}


def _output(job: Job, kind: str, dn: int | None) -> str:
    """Return the name of the output that an activity goes with, as the programme reads it."""
    plain = _SAME.get(kind, kind)
    own = f"{plain}_dn{dn}"
    return own if any(one.activity == own for one in job.outputs) else plain


def _three(job: Job, name: str) -> Three | None:
    """Return low, likely and high output by the likely; None where the job gives none or only one number."""
    found = next((one for one in job.outputs if one.activity == name and one.rate), None)
    if found is None or not found.rate:
        return None
    # An output of nothing would never end.
    least, most = min(found.low or found.rate, found.rate) / found.rate, max(found.high or found.rate, found.rate) / found.rate
    return (least, 1.0, most) if least < most else None


def _price(job: Job, item: str) -> float:
    found = price_of(job, item)
    return 0.0 if found is None or found.rate is None else found.rate


def _obstruction(job: Job, openings: Sequence[Opening]) -> float:
    """Return what one thing in the way costs: its own price, or one more opening, as they cost here on average, and one more run."""
    own = _price(job, "obstruction")
    costs = [one.cost for one in openings if one.cost is not None]
    return own or (math.fsum(costs) / len(costs) if costs else 0.0) + _price(job, "set_up_run")


def _overruns(
    job: Job, programme: Programme | None, steps: Sequence[Moved]
) -> tuple[tuple[tuple[int, ...], float, Callable[[int], float]], ...]:
    if programme is None or not steps:
        return ()
    zero = min(one.begin for one in programme.activities if not one.done)
    morning = datetime.combine(zero.date(), time.min)
    found = []
    for permit in job.permits:
        if permit.last_day is None or permit.overrun_first_rate is None:
            continue
        places = tuple(
            place
            for place, one in enumerate(steps)
            if one.kind in ROAD and under(permit, Step("", one.kind, 0, one.start, one.end, one.run, 0.0))
        )
        if places:
            last = (permit.last_day - zero.date()).days + 1.0 - (zero - morning).total_seconds() / 86400.0
            found.append((places, last, _charging(permit)))
    return tuple(found)


def _charging(permit: Permit) -> Callable[[int], float]:
    def over(days: int) -> float:
        return charge(permit, days) or 0.0

    return over
