"""The section ``cost`` of ``plan.json``."""

from collections.abc import Callable, Sequence

from mainwright.plan.measuring import measuring_rules
from mainwright.plan.result import Plan
from mainwright.plan.result_cost import BreakEven, CauseOfCost, LifeWay, Spread, Tender
from mainwright.units import from_si, significant
from mainwright.words.message import Message

__all__ = ["cost_document"]

_Word = Callable[[Message], str]


def _number(value: float | None, unit: str = "") -> float | None:
    return None if value is None else significant(from_si(value, unit)) or 0.0


def cost_document(plan: Plan, word: _Word) -> dict[str, object]:
    """Return the section ``cost``: the bill's sums, their spread, the tender, and ways over the years.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Money in the job's currency; nulls where nothing is priced.
    """
    found = plan.spread
    cost = None if found is None else found.cost
    days = None if found is None else found.days
    return {
        "low": _number(plan.cost.low),
        "rate": _number(plan.cost.rate),
        "high": _number(plan.cost.high),
        "p10": None if cost is None else _number(cost.low),
        "p50": None if cost is None else _number(cost.middle),
        "p90": None if cost is None else _number(cost.high),
        "standard_errors": _errors(cost),
        "draws": None if found is None else found.draws,
        "curve": [] if found is None else [{"probability": _number(share), "cost": _number(value)} for share, value in found.curve],
        "centre": None if found is None else _number(found.centre),
        "causes": [] if found is None else [_cause(one, word) for one in found.causes],
        "duration_days": None
        if found is None or days is None
        else {"planned": _number(found.planned_days), "p10": _number(days.low), "p50": _number(days.middle), "p90": _number(days.high)},
        "tender": None if found is None else _tender(found.tender),
        "ways": [_way(one, word) for one in plan.life],
        "break_even": [_break_even(one) for one in plan.break_even],
        "measurement": [{"rule": one.key, "text": word(one.text), "assumed": one.assumed} for one in measuring_rules(plan.job)],
        "unpriced": list(plan.cost.unpriced),
    }


def _errors(spread: Spread | None) -> Sequence[float | None] | None:
    return None if spread is None else [_number(one) for one in spread.errors]


def _cause(one: CauseOfCost, word: _Word) -> dict[str, object]:
    return {"name": one.name, "text": word(one.text), "low": _number(one.low), "high": _number(one.high)}


def _tender(one: Tender) -> dict[str, object]:
    return {
        "margin": _number(one.margin),
        "price": _number(one.price),
        "chance_of_loss": _number(one.chance_of_loss),
        "margin_even": _number(one.even_margin),
        "margin_90": _number(one.safe_margin),
        "margins": [{"margin": _number(margin), "chance_of_loss": _number(chance)} for margin, chance in one.margins],
    }


def _way(one: LifeWay, word: _Word) -> dict[str, object]:
    return {
        "name": one.name,
        "text": word(one.text),
        "first_cost": _number(one.first),
        "life_years": _number(one.life, "years"),
        "energy_a_year": _number(one.energy),
        "cost_a_year": _number(one.yearly),
        "present_value": _number(one.worth),
        "sensitivity": {name: _number(value) for name, value in one.sensitivity},
        "missing": list(one.missing),
    }


def _break_even(one: BreakEven) -> dict[str, object]:
    return {
        "dn": one.dn,
        "set_up": _number(one.set_up),
        "per_m": _number(one.by_length),
        "new_pipe_per_m": _number(one.new_pipe),
        "from_m": _number(one.length),
        "saving": _number(one.saving),
        "in_main": one.here,
    }
