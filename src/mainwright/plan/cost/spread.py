"""Three-point prices and outputs, and chances that several items share, to what the works may cost and how long they may take."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Final

from mainwright.job.job import Job
from mainwright.job.office import Permit
from mainwright.plan.bill import price_of
from mainwright.plan.cost.moving import Moved, moving_steps, new_end
from mainwright.plan.programme.laying import charge
from mainwright.plan.result import BillLine, Opening, Run
from mainwright.plan.result_cost import CauseOfCost, CostSpread, Spread, Tender
from mainwright.plan.timetable import Programme
from mainwright.science.money.sampling import (
    binomial_quantile,
    common_cause,
    normal_probability,
    normal_strata,
    poisson_quantile,
    quantile,
    replicate_error,
    strata,
)
from mainwright.science.money.three_point import triangular_quantile
from mainwright.standards.source import Assumed
from mainwright.words.message import Message, message

__all__ = ["CAUSES", "DRAWS", "MARGINS", "SETS", "Model", "Three", "cost_assumed", "cost_spread", "draw", "model_of"]

SETS: Final = 10
"""Sets of draws that are made apart, from which the standard error comes."""

DRAWS: Final = 100
"""Draws of a set, one from each of so many equal shares of every chance."""

_SEED: Final = 20260413
_SCORE: Final = 1.2815515655446004
"""A normal value stays under it with 90 %."""

_WORST_WEATHER: Final = 3.0
"""The most shifts that weather takes, as a multiple of the usual share; the least are none. An assumption."""

MARGINS: Final = (0.0, 0.05, 0.10, 0.15, 0.20, 0.25)

CAUSES: Final[Mapping[str, Message]] = {
    "price_level": message("level of all prices"),
    "productivity": message("output of the crews"),
    "weather": message("shifts lost to weather"),
    "obstructions": message("things in the main that no record knows"),
    "samples": message("water samples that fail"),
}
"""Each cause that several items share."""

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
        For each permit that could be overrun: working days to spare, share of the programme at which its work ends, and what so many days over cost.
    steps, kinds
        Activities of the programme, and the name of the output that each goes with.
    outputs
        Low, likely and high output by shift of each kind of work, relative to the likely.
    obstructions
        How many on average, and what one costs.
    samples
        Rounds, chance that one fails, days by which a repeat moves the end, and what it costs.
    lost
        Share of the shifts that weather takes as a rule.
    share
        Of the spread that one common cause brings about.
    """

    fixed: float = 0.0
    items: tuple[Three, ...] = ()
    by_day: float = 0.0
    overruns: tuple[tuple[float, float, Callable[[int], float]], ...] = ()
    steps: tuple[Moved, ...] = ()
    kinds: tuple[str, ...] = ()
    outputs: Mapping[str, Three] | None = None
    obstructions: tuple[float, float] = (0.0, 0.0)
    samples: tuple[int, float, float, float] = (0, 0.0, 0.0, 0.0)
    lost: float = 0.0
    share: float = 0.5

    @property
    def planned(self) -> float:
        """Days by the likely outputs without any loss."""
        return new_end(self.steps, [1.0] * len(self.steps))


@dataclass(frozen=True, slots=True)
class _Chances:
    """One draw: a probability for each thing."""

    items: Sequence[float]
    outputs: Mapping[str, float]
    weather: float
    obstructions: float
    samples: float


def _outcome(model: Model, chances: _Chances, planned: float) -> tuple[float, float]:
    """Return cost and days of one draw; `planned` are the days without any loss."""
    cost = model.fixed
    for probability, (low, likely, high) in zip(chances.items, model.items, strict=True):
        cost += triangular_quantile(probability, low=low, likely=likely, high=high)
    lost = triangular_quantile(chances.weather, low=0.0, likely=model.lost, high=min(_WORST_WEATHER * model.lost, 0.9))
    slower = {
        name: 1.0 / (triangular_quantile(chances.outputs[name], low=three[0], likely=three[1], high=three[2]) * (1.0 - lost))
        for name, three in (model.outputs or {}).items()
    }
    days = new_end(model.steps, [slower.get(kind, 1.0 / (1.0 - lost)) for kind in model.kinds])
    rounds, chance, repeat, each = model.samples
    failed = binomial_quantile(chances.samples, tries=rounds, chance=chance) if rounds else 0
    days += failed * repeat
    cost += failed * each
    mean, one = model.obstructions
    if mean > 0.0:
        cost += one * poisson_quantile(chances.obstructions, mean)
    if planned > 0.0:
        cost += model.by_day * (days / planned - 1.0)
        for spare, where, over in model.overruns:
            late = math.ceil((days - planned) * where - spare - 1e-9)
            if late > 0:
                cost += over(late)
    return cost, days


def draw(model: Model, *, seed: int = _SEED, sets: int = SETS, count: int = DRAWS) -> tuple[list[list[float]], list[list[float]]]:
    """Return what the works cost and how long they take in each draw, set by set.

    Parameters
    ----------
    model : Model
        What is drawn from. [-]
    seed : int
        The same gives the same draws. [-]
    sets, count : int
        Sets, and draws of each. [-]

    Returns
    -------
    tuple of list
        Costs in the currency of the model, and days.
    """
    generator = Random(seed)  # noqa: S311 - chance, not secrecy
    names, planned = sorted(model.outputs or {}), model.planned
    costs, days = [], []
    for _ in range(sets):
        level, output = normal_strata(count, generator), normal_strata(count, generator)
        items = [common_cause(level, normal_strata(count, generator), share=model.share) for _ in model.items]
        outputs = {name: common_cause(output, normal_strata(count, generator), share=model.share) for name in names}
        weather, obstructions, samples = (strata(count, generator) for _ in range(3))
        made = [
            _outcome(
                model,
                _Chances(
                    [one[place] for one in items],
                    {name: outputs[name][place] for name in names},
                    weather[place],
                    obstructions[place],
                    samples[place],
                ),
                planned,
            )
            for place in range(count)
        ]
        costs.append([cost for cost, _ in made])
        days.append([day for _, day in made])
    return costs, days


def _spread(sets: Sequence[Sequence[float]]) -> Spread:
    every = sorted(value for one in sets for value in one)
    found = [quantile(every, share) for share in (0.1, 0.5, 0.9)]
    errors = [replicate_error([quantile(sorted(one), share) for one in sets]) for share in (0.1, 0.5, 0.9)]
    return Spread(found[0], found[1], found[2], (errors[0], errors[1], errors[2]))


def _causes(model: Model) -> tuple[CauseOfCost, ...]:
    """Return the cost with each cause at its 10 and 90 %, everything else in the middle."""
    names, planned = sorted(model.outputs or {}), model.planned
    root = math.sqrt(model.share)

    def cost(name: str, score: float) -> float:
        shared, alone = normal_probability(root * score), normal_probability(score)
        return _outcome(
            model,
            _Chances(
                [shared if name == "price_level" else 0.5 for _ in model.items],
                # A good day is one with much output.
                dict.fromkeys(names, 1.0 - shared if name == "productivity" else 0.5),
                alone if name == "weather" else 0.5,
                alone if name == "obstructions" else 0.5,
                alone if name == "samples" else 0.5,
            ),
            planned,
        )[0]

    found = [CauseOfCost(name, text, cost(name, -_SCORE), cost(name, _SCORE)) for name, text in CAUSES.items()]
    return tuple(sorted((one for one in found if one.swing > 0.0), key=lambda one: (-one.swing, one.name)))


def _tender(costs: Sequence[float], rate: float, margin: float) -> Tender:
    def loss(share: float) -> float:
        price = rate * (1.0 + share)
        return sum(cost > price for cost in costs) / len(costs)

    return Tender(
        margin=margin,
        price=rate * (1.0 + margin),
        chance_of_loss=loss(margin),
        margins=tuple((share, loss(share)) for share in MARGINS),
        even_margin=quantile(costs, 0.5) / rate - 1.0,
        safe_margin=quantile(costs, 0.9) / rate - 1.0,
    )


def cost_spread(
    job: Job, *, bill: Sequence[BillLine], openings: Sequence[Opening], runs: Sequence[Run], programme: Programme | None, blocks: int
) -> CostSpread | None:
    """Return what the works may cost and how long they may take.

    Parameters
    ----------
    job : Job
        The job with its prices, outputs and chances. [-]
    bill : sequence of BillLine
        Of the plan. [-]
    openings, runs : sequence
        What the plan decided. [-]
    programme : Programme or None
        Of the plan. [-]
    blocks : int
        Blocks that are given back, each with its sample rounds. [-]

    Returns
    -------
    CostSpread or None
        None where nothing is priced.
    """
    rate = math.fsum(line.quantity * line.rate for line in bill if line.rate is not None)
    if rate <= 0.0:
        return None
    model = model_of(job, bill=bill, openings=openings, runs=runs, programme=programme, blocks=blocks)
    costs, days = draw(model)
    every = sorted(value for one in costs for value in one)
    return CostSpread(
        cost=_spread(costs),
        curve=tuple((step / 20.0, quantile(every, step / 20.0)) for step in range(1, 20)),
        days=_spread(days) if model.planned > 0.0 else None,
        planned_days=model.planned if model.planned > 0.0 else None,
        causes=_causes(model),
        tender=_tender(every, rate, job.money.margin),
        draws=SETS * DRAWS,
    )


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
        if line.item == "traffic_day":
            by_day = line.quantity * line.rate
    steps = () if programme is None else moving_steps(programme)
    dns = {run.id: run.dn for run in runs}
    kinds = tuple(_output(job, one.kind, dns.get(one.run or "")) for one in steps)
    length = sum(run.length for run in runs if not run.done)
    giving = job.giving_back
    rounds = 1 if giving is None or giving.sample_rounds is None else giving.sample_rounds
    repeat = 0.0 if giving is None or giving.laboratory is None else giving.laboratory / 86400.0
    return Model(
        fixed=fixed,
        items=tuple(items),
        by_day=by_day,
        overruns=_overruns(job, programme),
        steps=steps,
        kinds=kinds,
        outputs={name: three for name in kinds if (three := _three(job, name)) is not None},
        obstructions=(job.money.obstructions_per_km * length / 1000.0, _obstruction(job, openings)),
        samples=(blocks * rounds, job.money.sample_failure, repeat / max(blocks, 1), _price(job, "sample_round")),
        lost=job.money.lost_shifts,
        share=job.money.common_share,
    )


_SAME: Final = {"camera_cleaned": "camera", "camera_lined": "camera", "supply": "temporary_supply"}


def _output(job: Job, kind: str, dn: int | None) -> str:
    """Return the name of the output that an activity goes with, as the programme reads it."""
    plain = _SAME.get(kind, kind)
    own = f"{plain}_dn{dn}"
    return own if any(one.activity == own for one in job.outputs) else plain


def _three(job: Job, name: str) -> Three | None:
    found = next((one for one in job.outputs if one.activity == name and one.rate), None)
    if found is None or not found.rate:
        return None
    low, high = (found.rate if value is None else value for value in (found.low, found.high))
    return (min(low, found.rate) / found.rate, 1.0, max(high, found.rate) / found.rate) if low < high else None


def _price(job: Job, item: str) -> float:
    found = price_of(job, item)
    return 0.0 if found is None or found.rate is None else found.rate


def _obstruction(job: Job, openings: Sequence[Opening]) -> float:
    """Return what one thing in the way costs: its own price, or one more opening, as they cost here on average, and one more run."""
    own = _price(job, "obstruction")
    costs = [one.cost for one in openings if one.cost is not None]
    return own or (math.fsum(costs) / len(costs) if costs else 0.0) + _price(job, "set_up_run")


def _overruns(job: Job, programme: Programme | None) -> tuple[tuple[float, float, Callable[[int], float]], ...]:
    if programme is None:
        return ()
    whole = max((programme.last_day - programme.first_day).days, 1)
    permits = {one.ref: one for one in job.permits}
    found = []
    for used in programme.permits:
        permit = permits.get(used.ref)
        if permit is None or used.spare is None or used.last is None or permit.overrun_first_rate is None:
            continue
        found.append((float(used.spare), (used.last - programme.first_day).days / whole, _charging(permit)))
    return tuple(found)


def _charging(permit: Permit) -> Callable[[int], float]:
    def over(days: int) -> float:
        return charge(permit, days) or 0.0

    return over


def cost_assumed(found: CostSpread | None) -> tuple[Assumed, ...]:
    """Return what the spread takes for granted beside the job's own ``[money]``.

    Parameters
    ----------
    found : CostSpread or None
        None takes nothing for granted. [-]

    Returns
    -------
    tuple of Assumed
        One for each.
    """
    if found is None:
        return ()
    return (
        Assumed("cost.shape", "triangle", "", message("Between low, rate and high each price and output is spread as a triangle.")),
        Assumed(
            "cost.draws", float(found.draws), "", message("So many draws, with a seed of their own: the same job gives the same figures.")
        ),
        Assumed("cost.worst_weather", _WORST_WEATHER, "", message("Weather takes at most so many times the usual share of the shifts.")),
        Assumed(
            "cost.duration",
            "the order stays",
            "",
            message(
                "Each activity moves with the one that decides when it begins and with its crew; the order stays, and nobody plans anew."
            ),
        ),
    )
