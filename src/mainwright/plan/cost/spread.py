"""Three-point prices and outputs, and chances that several items share, to what the works may cost and how long they may take."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Final

from mainwright.job.job import Job
from mainwright.plan.cost.model import STOP, Model, model_of
from mainwright.plan.cost.moving import new_ends
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

__all__ = ["CAUSES", "DRAWS", "MARGINS", "SETS", "cost_assumed", "cost_spread", "draw"]

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


@dataclass(frozen=True, slots=True)
class _Chances:
    """One draw: a probability for each thing."""

    items: Sequence[float]
    outputs: Mapping[str, float]
    weather: float
    obstructions: float
    samples: float
    place: float
    block: float


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
    rounds, chance, repeat, each = model.samples
    failed = binomial_quantile(chances.samples, tries=rounds, chance=chance) if rounds else 0
    mean, one = model.obstructions
    met = poisson_quantile(chances.obstructions, mean) if mean > 0.0 else 0
    cost += failed * each + met * one
    held = _spread_over(model.cleanings, met, chances.place, STOP)
    held |= _spread_over(model.givings, failed, chances.block, repeat)
    ends = new_ends(model.steps, [slower.get(kind, 1.0 / (1.0 - lost)) for kind in model.kinds], held)
    days = model.days(max(ends, default=0.0))
    if planned > 0.0:
        cost += model.by_day * (days / planned - 1.0)
        for places, last, over in model.overruns:
            late = math.ceil(model.days(max(ends[place] for place in places)) - last - 1e-9)
            if late > 0:
                cost += over(late)
    return cost, days


def _spread_over(places: Sequence[int], count: int, chance: float, time_lost: float) -> dict[int, float]:
    """Return by how much each place is held up by so many events: the first by chance, the others evenly after it."""
    found: dict[int, float] = {}
    for number in range(count if places else 0):
        place = places[int((chance + number / count) % 1.0 * len(places))]
        found[place] = found.get(place, 0.0) + time_lost
    return found


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
        weather, obstructions, samples, run, block = (strata(count, generator) for _ in range(5))
        made = [
            _outcome(
                model,
                _Chances(
                    [one[place] for one in items],
                    {name: outputs[name][place] for name in names},
                    weather[place],
                    obstructions[place],
                    samples[place],
                    run[place],
                    block[place],
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


def _causes(model: Model) -> tuple[tuple[CauseOfCost, ...], float]:
    """Return the cost with each cause at its 10 and 90 %, everything else in the middle, and the cost with all of them there."""
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
                0.5,
                0.5,
            ),
            planned,
        )[0]

    found = [CauseOfCost(name, text, cost(name, -_SCORE), cost(name, _SCORE)) for name, text in CAUSES.items()]
    swinging = sorted((one for one in found if one.swing > 0.0), key=lambda one: (-one.swing, one.name))
    return tuple(swinging), cost("", 0.0)


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
    causes, centre = _causes(model)
    return CostSpread(
        cost=_spread(costs),
        curve=tuple((step / 20.0, quantile(every, step / 20.0)) for step in range(1, 20)),
        days=_spread(days) if model.planned > 0.0 else None,
        planned_days=model.planned if model.planned > 0.0 else None,
        causes=causes,
        centre=centre,
        tender=_tender(every, rate, job.money.margin),
        draws=SETS * DRAWS,
    )


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
            "cost.obstruction_shifts",
            STOP,
            "",
            message("So many shifts a run stands still for something in the main that no record knows."),
        ),
        Assumed(
            "cost.single_numbers",
            "as entered",
            "",
            message(
                "A price or an output in one number has no spread, and neither has the allowance for a step that the job names no output of: the true spread is wider."
            ),
        ),
        Assumed(
            "cost.duration",
            "the order stays",
            "",
            message("Each activity moves with all that it waits for and with its crew; the order stays, and nobody plans anew."),
        ),
    )
