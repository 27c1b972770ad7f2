"""The section ``supply`` of ``plan.json``, and ``supply.json`` with what stands beside it."""

import json
from collections.abc import Callable
from typing import Final

from mainwright import __version__
from mainwright.plan.result import Plan
from mainwright.plan.result_supply import SupplyLine, SupplyPoint, TemporarySupply
from mainwright.plan.supply.care import gates
from mainwright.units import from_si, significant
from mainwright.words.message import Message

__all__ = ["supply_document", "supply_json"]

_KEYS: Final = ("pipes", "nodes", "cost", "closed_blocks", "without_supply")
_Word = Callable[[Message], str]


def _number(value: float | None, unit: str = "") -> float | None:
    if value is None:
        return None
    number = significant(from_si(value, unit) if unit else value)
    return number if number != 0.0 else 0.0


def _pipe(one: SupplyLine) -> dict[str, object]:
    return {
        "id": one.id,
        "from_node": one.start,
        "to_node": one.end,
        "stock": one.stock,
        "bore_mm": _number(one.bore, "mm"),
        "roughness_mm": _number(one.roughness, "mm"),
        "length_m": _number(one.length),
        "flow_l_s": _number(one.flow, "l_s"),
        "head_loss_m": _number(one.head_loss),
    }


def _node(one: SupplyPoint) -> dict[str, object]:
    return {
        "id": one.id,
        "chainage_m": _number(one.chainage),
        "side": one.side,
        "demand_l_s": _number(one.demand, "l_s"),
        "head_m": _number(one.head),
        "pressure_bar": _number(one.pressure, "bar"),
        "feeds": list(one.feeds),
    }


def supply_document(found: TemporarySupply | None, word: _Word) -> dict[str, object]:
    """Return the section ``supply`` of ``plan.json``.

    Parameters
    ----------
    found : TemporarySupply or None
        The temporary supply. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    dict
        Null inside where the job lacks the input. Flow and loss count from ``from_node`` to ``to_node``; ``feeds`` lists the connections of a node.
    """
    if found is None:
        return dict.fromkeys(_KEYS)
    return {
        "pipes": None if found.lines is None else [_pipe(one) for one in found.lines],
        "nodes": None if found.points is None else [_node(one) for one in found.points],
        "cost": _number(found.cost),
        "closed_blocks": None
        if found.closed_blocks is None
        else [
            {
                "id": one.id,
                "from_m": _number(one.start),
                "to_m": _number(one.end),
                "start_valve": one.start_valve,
                "end_valve": one.end_valve,
                "runs": list(one.runs),
                "customers": one.customers,
                "dwellings": one.dwellings,
                "closed_h": _number(one.closed, "hours"),
            }
            for one in found.closed_blocks
        ],
        "without_supply": None
        if found.without is None
        else [
            {
                "ref": one.ref,
                "chainage_m": _number(one.chainage),
                "side": one.side,
                "use": one.use,
                "hours": _number(one.time, "hours"),
                "because": word(one.because),
            }
            for one in found.without
        ],
    }


def supply_json(plan: Plan, *, word: _Word) -> bytes:
    """Return the bytes of ``supply.json``: the section with its rule, parts, feeds, water age, chlorine, and what must be known of it.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    bytes
        UTF-8, indented, with a newline at the end.
    """
    found = plan.supply
    document: dict[str, object] = {"mainwright": __version__, "job": plan.job.info.name, "revision": plan.job.revision}
    document["supply"] = supply_document(found, word)
    if found is not None:
        document |= {
            "demand_rule": found.rule,
            "sizes_proven_cheapest": found.exact,
            "pressure_min_bar": _number(found.wanted, "bar"),
            "last_node": found.last,
            "fire_l_s": _number(found.fire, "l_s"),
            "fire_greatest_l_s": _number(found.fire_most, "l_s"),
            "feeds": [{"id": one.id, "flow_l_s": _number(one.given, "l_s")} for one in found.points or () if one.source],
            "water_age_h": {one.id: _number(one.age, "hours") for one in found.points or () if one.feeds},
            "parts": [{"item": one.item, "size": one.size, "quantity": _number(one.quantity), "unit": one.unit} for one in found.parts],
            "handling": [
                {
                    "stock": one.stock,
                    "length_m": _number(one.length),
                    "volume_l": _number(one.volume, "l"),
                    "chlorine_g": _number(one.chlorine * 1e3),
                    "flush_l_s": _number(one.flush_flow, "l_s"),
                    "flush_at_least_l": _number(one.flush_volume, "l"),
                    "freezes_after_h": _number(one.freezes_after, "hours"),
                    "sun_temperature_c": _number(one.sun_temperature, "c"),
                }
                for one in found.handling
            ],
            "gates": [] if found.lines is None else [{"code": code, "text": word(text)} for code, text in gates()],
            "assumed": [{"what": one.what, "value": one.value, "unit": one.unit, "because": word(one.because)} for one in found.assumed],
            "warnings": [{"code": code, "severity": "act" if act else "note", "text": word(text)} for code, act, text in found.warnings],
            "sources": [{"title": one.title, "edition": one.edition, "clause": one.clause, "status": one.status} for one in found.sources],
        }
    return (json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8")
