"""The plan as a document of plain values: the names and units of the file contract, numbers with ten significant digits."""

import json
from collections.abc import Callable, Sequence

from mainwright import __version__
from mainwright.job.lining import JobInfo
from mainwright.job.origins import Origin
from mainwright.paper.cost_json import cost_document
from mainwright.paper.giving_back_json import giving_back_document
from mainwright.paper.programme_json import programme_document
from mainwright.paper.supply_json import supply_document
from mainwright.plan.result import (
    AskFirst,
    BillLine,
    Cleaning,
    Comparison,
    HydraulicResult,
    Layout,
    LinedStretch,
    Mark,
    Opening,
    Plan,
    PlanWarning,
    Run,
    RunSetting,
    Suitability,
)
from mainwright.plan.run_sheet import marks
from mainwright.standards.source import Assumed, Source
from mainwright.units import from_si, significant
from mainwright.words.message import Message

__all__ = ["Word", "plan_document", "plan_json"]

Word = Callable[[Message], str]
"""Turns a message into text in the language and units of the job."""


def plan_document(plan: Plan, *, word: Word) -> dict[str, object]:
    """Return the plan as the document ``plan.json``.

    Parameters
    ----------
    plan : Plan
        The plan, in SI. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    dict
        Keys and units of the file contract; each list in order of chainage. Money is in the job's currency.
    """
    return {
        "mainwright": __version__,
        "job": _job(plan.job.info),
        "revision": plan.job.revision,
        "issued": plan.issued,
        "assumed": [_assumed(item, word) for item in plan.assumed],
        "warnings": [_warning(item, word) for item in plan.warnings],
        "suitability": [_suitability(item, word) for item in plan.suitability],
        "stretches": [_stretch(item) for item in plan.stretches],
        "hydraulics": [_hydraulics(item) for item in plan.hydraulics],
        "openings": [_opening(item, word) for item in plan.openings],
        "runs": [_run(item, word) for item in plan.runs],
        "layout": _layout(plan.layout),
        "cleaning": [_cleaning(item, word) for item in plan.cleaning],
        "supply": supply_document(plan.supply, word),
        "return_to_service": giving_back_document(plan.return_to_service, word),
        "programme": programme_document(plan.programme, zone=plan.job.info.time_zone, word=word),
        "cost": cost_document(plan, word),
        "bill": [_bill_line(item, word) for item in plan.bill],
        "comparisons": [_comparison(item, word) for item in plan.comparisons],
        "ask_first": [_ask_first(item, word) for item in plan.ask_first],
        "contract_gaps": [{"code": item.code, "text": word(item.text)} for item in plan.contract_gaps],
        "changes": [
            {"subject": item.subject, "text": word(item.text), "before": _number(item.before), "after": _number(item.after)}
            for item in plan.changes
        ],
        "cautions": [{"code": item.code, "text": word(item.text)} for item in plan.cautions],
        "sources": [_source(item) for item in plan.sources],
        "retired_ids": list(plan.retired),
        "origins": [_origin(item) for item in plan.job.origins if item.stands is not None],
    }


def plan_json(plan: Plan, *, word: Word) -> bytes:
    """Return the bytes of ``plan.json``: the same plan gives the same bytes.

    Parameters
    ----------
    plan : Plan
        The plan, in SI. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    bytes
        UTF-8, indented, with a newline at the end.
    """
    text = json.dumps(plan_document(plan, word=word), indent=1, ensure_ascii=False, allow_nan=False)
    return (text + "\n").encode("utf-8")


def _number(value: float | None, unit: str = "") -> float | None:
    if value is None:
        return None
    number = significant(from_si(value, unit))
    return number if number != 0.0 else 0.0


def _job(info: JobInfo) -> dict[str, object]:
    return {
        "name": info.name,
        "reference": info.reference,
        "client": info.client,
        "currency": info.currency,
        "units": info.units,
        "language": info.language,
        "first_day": None if info.first_day is None else info.first_day.isoformat(),
        "time_zone": info.time_zone,
    }


def _assumed(item: Assumed, word: Word) -> dict[str, object]:
    value = significant(item.value) if isinstance(item.value, float) else item.value
    return {"what": item.what, "value": value, "unit": item.unit, "because": word(item.because)}


def _warning(item: PlanWarning, word: Word) -> dict[str, object]:
    return {
        "code": item.code,
        "where_from_m": _number(item.start),
        "where_to_m": _number(item.end),
        "text": word(item.text),
        "severity": item.severity,
    }


def _source_text(source: Source) -> str:
    return ", ".join(part for part in (source.title, source.edition, source.clause) if part)


def _source(source: Source) -> dict[str, object]:
    return {"title": source.title, "edition": source.edition, "clause": source.clause, "status": source.status}


def _suitability(item: Suitability, word: Word) -> dict[str, object]:
    return {
        "from_m": _number(item.start),
        "to_m": _number(item.end),
        "verdict": item.verdict,
        "reasons": [
            {
                "rule": word(reason.rule),
                "found": word(reason.found),
                "limit": word(reason.limit),
                "source": _source_text(reason.source),
                "source_status": reason.source.status,
                "verdict": reason.verdict,
            }
            for reason in item.reasons
        ],
        "measures": [word(measure) for measure in item.measures],
    }


def _stretch(item: LinedStretch) -> dict[str, object]:
    return {
        "from_m": _number(item.start),
        "to_m": _number(item.end),
        "dn": item.dn,
        "bore_clean_mm": _number(item.bore_clean, "mm"),
        "bore_source": item.bore_source,
        "lining_nominal_mm": _number(item.nominal, "mm"),
        "lining_minimum_mm": _number(item.minimum, "mm"),
        "lining_mean_minimum_mm": _number(item.mean_minimum, "mm"),
        "lining_maximum_mm": _number(item.maximum, "mm"),
        "lining_aim_mm": _number(item.aim, "mm"),
        "bore_lined_mm": _number(item.bore_lined, "mm"),
        "deposits_l_per_m": _number(item.deposits, "l_m"),
        "document": item.document,
    }


def _hydraulics(item: HydraulicResult) -> dict[str, object]:
    return {
        "from_m": _number(item.start),
        "to_m": _number(item.end),
        "flow_l_s": _number(item.flow, "l_s"),
        "velocity_before_m_s": _number(item.velocity_before),
        "velocity_after_m_s": _number(item.velocity_after),
        "reynolds_after": _number(item.reynolds_after),
        "friction_before": _number(item.friction_before),
        "friction_after": _number(item.friction_after),
        "headloss_before_m": _number(item.head_loss_before),
        "headloss_after_m": _number(item.head_loss_after),
        "local_loss_after_m": _number(item.local_loss_after),
        "hazen_williams_after": _number(item.hazen_williams_after),
        "capacity_gain": _number(item.capacity_gain),
        "roughness_before_mm": _number(item.roughness_before, "mm"),
        "roughness_after_mm": _number(item.roughness_after, "mm"),
    }


def _opening(item: Opening, word: Word) -> dict[str, object]:
    return {
        "chainage_m": _number(item.chainage),
        "reason": [word(reason) for reason in item.reasons],
        "surface": item.surface,
        "cover_m": _number(item.cover),
        "pump_here": item.pump_here,
        "cost": _number(item.cost),
        "must": item.must,
        "cautions": [{"code": caution.code, "text": word(caution.text)} for caution in item.cautions],
    }


def _run(item: Run, word: Word) -> dict[str, object]:
    return {
        "id": item.id,
        "from_m": _number(item.start),
        "to_m": _number(item.end),
        "direction": item.direction,
        "length_m": _number(item.length),
        "dn": item.dn,
        "bends_total_deg": _number(item.bends_total, "deg"),
        "connections": item.connections,
        "aim_mm": _number(item.aim, "mm"),
        "mortar_l_per_m": _number(item.mortar_per_length, "l_m"),
        "mortar_l": _number(item.mortar, "l"),
        "hose_filling_l": _number(item.hose_filling, "l"),
        "batches": item.batches,
        "last_batch_l": _number(item.last_batch, "l"),
        "cement_kg": _number(item.cement),
        "bags": item.bags,
        "sand_kg": _number(item.sand),
        "water_l": _number(item.water, "l"),
        "pump_setting": _number(item.pump_setting),
        "pump_setting_low": _number(item.setting_low),
        "pump_setting_high": _number(item.setting_high),
        "flow_l_min": _number(item.flow, "l_min"),
        "speed_m_min": _number(item.speed, "m_min"),
        "speed_low_m_min": _number(item.speed_low, "m_min"),
        "speed_high_m_min": _number(item.speed_high, "m_min"),
        "lining_minutes": _number(item.lining_time, "minutes"),
        "longest_stop_minutes": _number(item.longest_stop, "minutes"),
        "limit": item.limit,
        "limit_text": word(item.limit_text),
        "coats": item.coats,
        "hose_pressure_bar": _number(item.hose_pressure, "bar"),
        "pump": item.pump,
        "hose": item.hose,
        "lining_head": item.lining_head,
        "rope": item.rope,
        "mixer": item.mixer,
        "done": item.done,
        "settings": _settings(item.settings),
        "marks": _marks(item.marks),
        "coat_cards": [
            {"coat": number, "settings": _settings(coat), "marks": _marks(marks(coat, item.direction))}
            for number, coat in enumerate(item.coat_settings, start=1)
        ],
        "batch_clock": [
            {
                "batch": batch.number,
                "volume_l": _number(batch.volume, "l"),
                "cement_kg": _number(batch.cement),
                "sand_kg": _number(batch.sand),
                "water_l": _number(batch.water, "l"),
                "mixing_s": _number(batch.mixing),
                "placed_from_s": _number(batch.placed_from),
                "placed_to_s": _number(batch.placed_to),
                "latest_s": _number(batch.latest),
            }
            for batch in item.batch_clock
        ],
        "connection_windows": [
            {
                "chainage_m": _number(window.chainage),
                "ref": window.ref,
                "pass_s": _number(window.pass_at),
                "earliest_s": _number(window.earliest),
                "latest_s": _number(window.latest),
            }
            for window in item.windows
        ],
        "hold_points": [{"code": point.code, "text": word(point.text)} for point in item.hold_points],
        "cautions": [{"code": caution.code, "text": word(caution.text)} for caution in item.cautions],
    }


def _settings(settings: Sequence[RunSetting]) -> list[dict[str, object]]:
    return [
        {
            "from_m": _number(setting.start),
            "to_m": _number(setting.end),
            "bore_mm": _number(setting.bore, "mm"),
            "aim_mm": _number(setting.aim, "mm"),
            "mortar_l_per_m": _number(setting.mortar_per_length, "l_m"),
            "speed_m_min": _number(setting.speed, "m_min"),
            "speed_low_m_min": _number(setting.speed_low, "m_min"),
            "speed_high_m_min": _number(setting.speed_high, "m_min"),
        }
        for setting in settings
    ]


def _marks(found: Sequence[Mark]) -> list[dict[str, object]]:
    return [{"chainage_m": _number(mark.chainage), "elapsed_s": _number(mark.elapsed)} for mark in found]


def _layout(layout: Layout) -> dict[str, object]:
    return {
        "total_cost": _number(layout.total_cost),
        "openings": layout.openings,
        "runs": layout.runs,
        "candidates": layout.candidates,
        "alternatives": [
            {
                "name": item.name,
                "openings": len(item.openings),
                "runs": len(item.runs),
                "total_cost": _number(item.total_cost),
                "longest_closing_h": _number(item.longest_closing, "hours"),
                "openings_m": [_number(chainage) for chainage in item.openings],
                "between": [{"from_m": _number(start), "to_m": _number(end), "direction": way} for start, end, way in item.runs],
            }
            for item in layout.alternatives
        ],
        "limit_prices": [
            {"limit": item.limit, "step": _number(item.step, item.unit), "unit": item.unit, "saves": _number(item.saves)}
            for item in layout.limit_prices
        ],
    }


def _cleaning(item: Cleaning, word: Word) -> dict[str, object]:
    return {
        "run": item.run,
        "method": item.method,
        "method_text": word(item.method_text),
        "source": _source_text(item.source),
        "source_status": item.source.status,
        "passes": item.passes,
        "deposits_l": _number(item.deposits, "l"),
        "deposits_t": _number(item.deposits_mass, "t"),
        "loads": item.loads,
        "water_l": _number(item.water, "l"),
        "pull_low_n": _number(item.pull_low),
        "pull_high_n": _number(item.pull_high),
        "rope_working_load_n": _number(item.rope_working_load),
    }


def _origin(item: Origin) -> dict[str, object]:
    return {
        "what": item.dotted,
        "entry": item.entry,
        "revision": item.revision,
        "day": None if item.day is None else item.day.isoformat(),
        "status": item.status,
        "author": item.author,
        "origin": item.origin,
        "as_taken": item.stands,
    }


def _bill_line(item: BillLine, word: Word) -> dict[str, object]:
    amounts = [None if price is None else item.quantity * price for price in (item.low, item.rate, item.high)]
    return {
        "item": item.item,
        "text": word(item.text),
        "unit": item.unit,
        "quantity": _number(item.quantity),
        "low": _number(item.low),
        "rate": _number(item.rate),
        "high": _number(item.high),
        "amount_low": _number(amounts[0]),
        "amount": _number(amounts[1]),
        "amount_high": _number(amounts[2]),
        "basis": word(item.basis),
    }


def _comparison(item: Comparison, word: Word) -> dict[str, object]:
    return {
        "name": item.name,
        "text": word(item.text),
        "cost_low": _number(item.cost_low),
        "cost": _number(item.cost),
        "cost_high": _number(item.cost_high),
        "bore_mm": _number(item.bore, "mm"),
        "capacity_gain": _number(item.capacity_gain),
        "missing": list(item.missing),
    }


def _ask_first(item: AskFirst, word: Word) -> dict[str, object]:
    return {
        "subject": word(item.subject),
        "chainage_m": _number(item.chainage),
        "probability": _number(item.probability),
        "consequence": _number(item.consequence),
        "expected": _number(item.expected),
        "cost_of_asking": _number(item.cost_of_asking),
        "worth": item.worth,
    }
