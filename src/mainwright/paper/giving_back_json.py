"""The section ``return_to_service`` of ``plan.json``: the nouns of giving back in the units of the trade."""

import math
from collections.abc import Callable
from typing import Final

from mainwright.plan.result_giving_back import (
    BlockReturn,
    Chlorination,
    Flush,
    Neutralising,
    Notice,
    ReturnToService,
    Step,
    TapForecast,
    TapWater,
    TrialPressure,
)
from mainwright.units import from_si, significant
from mainwright.words.message import Message

__all__ = ["giving_back_document"]

_Word = Callable[[Message], str]

_KEYS: Final = ("fill_from_h", "flush_flow_l_s", "chlorine_kg", "give_back_h", "give_back_at_least_h")


def giving_back_document(found: ReturnToService | None, word: _Word) -> dict[str, object]:
    """Return the section; null inside where the job does not give enough, lists empty where nothing is lined.

    Parameters
    ----------
    found : ReturnToService or None
        What was worked out. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    dict
        Hours count from the closing of the last ends of a block.
    """
    if found is None:
        return dict.fromkeys(_KEYS) | {"timeline": [], "blocks": [], "runs": [], "water": None, "notices": []}
    fills = [one.cure.time for one in found.blocks]
    backs = [one.give_back for one in found.blocks]
    flows = [None if one.flush is None else one.flush.flow for one in found.blocks]
    chlorine = [None if one.chlorine is None else one.chlorine.mass for one in found.blocks]
    return {
        "fill_from_h": _most(fills, "hours"),
        "flush_flow_l_s": _most(flows, "l_s"),
        "chlorine_kg": None if any(one is None for one in chlorine) else _number(math.fsum(one or 0.0 for one in chlorine)),
        "give_back_h": _most(backs, "hours"),
        "give_back_at_least_h": _most([one.at_least for one in found.blocks], "hours"),
        "timeline": [{"block": one.block.id, **_step(step, word)} for one in found.blocks for step in one.steps],
        "blocks": [_block(one, word) for one in found.blocks],
        "runs": [{"run": one.run, "block": one.block, "fill_from_h": _number(one.fill_from, "hours")} for one in found.runs],
        "water": None if found.water is None else _water(found.water, word),
        "notices": [_notice(one) for one in found.notices],
    }


def _number(value: float | None, unit: str = "") -> float | None:
    if value is None or not math.isfinite(value):
        return None
    number = significant(from_si(value, unit))
    return number if number != 0.0 else 0.0


def _most(values: list[float | None], unit: str) -> float | None:
    known = [value for value in values if value is not None]
    return _number(max(known), unit) if known and len(known) == len(values) else None


def _step(step: Step, word: _Word) -> dict[str, object]:
    return {
        "code": step.code,
        "text": word(step.text),
        "duration_h": _number(step.duration, "hours"),
        "from_h": _number(step.start, "hours"),
        "to_h": _number(step.finish, "hours"),
        "at_least_h": _number(step.at_least, "hours"),
        "gate": None if step.gate is None else word(step.gate),
        "missing": list(step.missing),
        "critical": step.critical,
    }


def _block(one: BlockReturn, word: _Word) -> dict[str, object]:
    return {
        "id": one.block.id,
        "from_m": _number(one.block.start),
        "to_m": _number(one.block.end),
        "from_valve": one.block.start_valve,
        "to_valve": one.block.end_valve,
        "runs": list(one.block.runs),
        "length_m": _number(one.length),
        "water_m3": _number(one.volume),
        "bore_max_mm": _number(one.bore, "mm"),
        "curing": {
            "floor_h": _number(one.cure.floor, "hours"),
            "by_maturity_h": _number(one.cure.by_maturity, "hours"),
            "fill_from_h": _number(one.cure.time, "hours"),
            "wall_c": _number(one.cure.temperature, "c"),
            "quick_return_signed": one.cure.quick,
        },
        "fill_flow_l_s": _number(one.fill_flow, "l_s"),
        "fill_h": _number(one.fill_time, "hours"),
        "pressure_test": _test(one.test),
        "flush": None if one.flush is None else _flush(one.flush),
        "chlorine": None if one.chlorine is None else _chlorine(one.chlorine),
        "neutralising": None if one.neutralising is None else _neutralising(one.neutralising),
        "give_back_h": _number(one.give_back, "hours"),
        "give_back_at_least_h": _number(one.at_least, "hours"),
        "timeline": [_step(step, word) for step in one.steps],
    }


def _test(test: TrialPressure) -> dict[str, object]:
    return {
        "rule": test.rule,
        "arithmetic": test.kind,
        "pressure_bar": _number(test.pressure, "bar"),
        "allowed_l": _number(test.allowed_volume, "l"),
        "allowed_l_h": None if test.allowed_flow is None else _number(test.allowed_flow * 3600.0, "l"),
        "drop_bar": _number(test.drop, "bar"),
        "thrust_from_kn": _number(test.thrust_start, "kn"),
        "thrust_to_kn": _number(test.thrust_end, "kn"),
        "duration_h": _number(test.time, "hours"),
        "source": None if test.source is None else test.source.title,
        "source_status": None if test.source is None else test.source.status,
    }


def _flush(flush: Flush) -> dict[str, object]:
    return {
        "flow_l_s": _number(flush.flow, "l_s"),
        "velocity_wanted_m_s": _number(flush.wanted_velocity),
        "velocity_m_s": _number(flush.velocity),
        "water_m3": _number(flush.volume),
        "duration_h": _number(flush.time, "hours"),
    }


def _chlorine(chlorine: Chlorination) -> dict[str, object]:
    return {
        "method": chlorine.method,
        "dose_mg_l": _number(chlorine.dose, "mg_l"),
        "contact_h": _number(chlorine.contact, "hours"),
        "residual_mg_l": _number(chlorine.residual, "mg_l"),
        "chlorine_kg": _number(chlorine.mass),
        "product_strength_pct": _number(chlorine.strength, "pct"),
        "product_l": _number(chlorine.product, "l"),
        "water_flow_l_s": _number(chlorine.water_flow, "l_s"),
        "dosing_l_h": None if chlorine.dosing_flow is None else _number(chlorine.dosing_flow * 3600.0, "l"),
        "duration_h": _number(chlorine.time, "hours"),
        "slug_m": _number(chlorine.slug_length),
        "slug_velocity_m_s": _number(chlorine.slug_velocity),
        "ph_at_end": _number(chlorine.ph),
        "active_share": _number(chlorine.active),
    }


def _neutralising(one: Neutralising) -> dict[str, object]:
    return {
        "agent": one.agent,
        "stoichiometric_kg": _number(one.least),
        "practice_kg": _number(one.practice),
        "source": one.source.title,
        "source_status": one.source.status,
    }


def _weeks(found: tuple[float, float, float] | None, name: str) -> dict[str, object]:
    low, middle, high = found or (None, None, None)
    return {f"{name}_low": _number(low, "weeks"), name: _number(middle, "weeks"), f"{name}_high": _number(high, "weeks")}


def _tap(tap: TapForecast) -> dict[str, object]:
    return {
        "chainage_m": _number(tap.chainage),
        "refs": list(tap.refs),
        "case": tap.case,
        "stay_h": _number(tap.stay, "hours"),
        **_weeks(tap.over_limit, "weeks_over_ph_9_5"),
        **_weeks(tap.over_lead, "weeks_over_ph_10_5"),
        "ph": [
            {"age_days": _number(one.age, "days"), "ph": _number(one.ph), "ph_at_calcite": _number(one.ph_at_calcite)} for one in tap.series
        ],
    }


def _water(water: TapWater, word: _Word) -> dict[str, object]:
    return {
        "cement": water.cement,
        "flows": water.direction,
        "taps": [_tap(tap) for tap in water.taps],
        "keeping": [
            {
                "age_days": _number(one.age, "days"),
                "bleed_l_s": _number(one.bleed, "l_s"),
                "flush_every_h": _number(one.flush_every, "hours"),
                "may_stand": math.isinf(one.flush_every),
            }
            for one in water.keeping
        ],
        "alternatives": [
            {"name": one.name, "text": word(one.text), **_weeks(one.over_limit, "weeks_over_ph_9_5")} for one in water.alternatives
        ],
        "tell": [word(one) for one in water.tell],
    }


def _notice(one: Notice) -> dict[str, object]:
    return {
        "street": one.street,
        "need": one.need,
        "refs": list(one.refs),
        "from_m": _number(one.start),
        "to_m": _number(one.end),
        "block": one.block,
        "closing_day": None if one.closing is None else one.closing.isoformat(),
        "tell_by": None if one.latest is None else one.latest.isoformat(),
        "back_not_before": None if one.back is None else one.back.isoformat(),
        "lead": one.lead,
    }
