"""The document of a plan: every promised key, the right unit, the same bytes."""

import json
import math
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from mainwright.paper.plan_json import plan_document, plan_json
from mainwright.plan.result import (
    Alternative,
    AskFirst,
    Batch,
    BillLine,
    Caution,
    Change,
    Cleaning,
    Comparison,
    ConnectionWindow,
    ContractGap,
    Cost,
    HoldPoint,
    HydraulicResult,
    Layout,
    LimitPrice,
    LinedStretch,
    Mark,
    Opening,
    Plan,
    PlanWarning,
    Run,
    RunSetting,
    Suitability,
)
from mainwright.standards.source import Assumed, Reason, Source
from mainwright.words.message import Message, Quantity, message
from tests.unit.plan.small_job import small_job

PRACTICE = Source("Common practice", "", "", "practice")


def word(text: Message) -> str:
    return text.text.format(**{name: value.value if isinstance(value, Quantity) else value for name, value in text.values})


def sample_run() -> Run:
    return Run(
        id="R01", start=0.0, end=120.0, direction="decreasing", length=120.0, dn=150, bends_total=math.radians(11.25), connections=2,
        aim=0.0061, mortar_per_length=0.0028, mortar=0.55, hose_filling=0.204, batches=3, last_batch=0.07, cement=500.0, sand=515.0,
        water=0.185, pump_setting=59.4, setting_low=57.0, setting_high=61.8, flow=0.0005, speed=0.18, speed_low=0.17, speed_high=0.19,
        lining_time=667.0, limit="must_opening", limit_text=message("must be opened at {place}", place=Quantity(120.0, "m", 1)), coats=1,
        hose_pressure=12e5, pump="P1", hose="H1", lining_head="A", rope="R1", mixer="M1",
        settings=(RunSetting(0.0, 120.0, 0.152, 0.0061, 0.0028, 0.18, 0.17, 0.19),),
        marks=(Mark(0.0, 667.0), Mark(120.0, 0.0)),
        windows=(ConnectionWindow(31.0, "S1", 494.0, None, None),),
        hold_points=(HoldPoint("bore_accepted", message("Cleaned bore accepted and dry")),),
        cautions=(Caution("rope_under_load", message("Nobody in the line of the rope")),),
        batch_clock=(Batch(1, 0.24, 215.0, 222.0, 0.08, -1000.0, 0.0, 80.0, None),),
    )  # fmt: skip


def sample_plan() -> Plan:
    reason = Reason(message("host"), message("grey iron"), message("grey iron, ductile iron or steel"), PRACTICE, "suitable")
    return Plan(
        job=small_job(),
        issued=None,
        assumed=(Assumed("lining.confidence", 0.95, "-", message("documented default")), Assumed("x", None, "", message("not known"))),
        warnings=(PlanWarning("not_built", None, None, message("{part} is not built yet", part="supply"), "note"),),
        suitability=(Suitability(0.0, 240.0, "suitable", (reason,), (message("nothing"),)),),
        stretches=(LinedStretch(0.0, 240.0, 150, 0.152, "record", 0.006, 0.005, None, None, 0.0061, 0.1398, 0.0064, "Contract"),),
        hydraulics=(
            HydraulicResult(0.0, 240.0, 0.008, 0.69, 0.52, 55000.0, 0.05, 0.021, 3.2, 0.5, 0.01, 128.0, 2.4, 0.002, 0.0001),
            HydraulicResult(
                240.0, 300.0, None, None, None, None, None, None, None, None, None, None, None, None, 0.0001,
            ),
        ),
        openings=(Opening(0.0, (message("end of the main"),), "verge", 1.2, pump_here=True, cost=2200.0, must=True),),
        runs=(sample_run(),),
        layout=Layout(12345.5, 2, 1, 7, (Alternative("least_cost", (0.0, 120.0), ((0.0, 120.0, "decreasing"),), 12345.5, 7200.0),),
                      (LimitPrice("hose_length", 10.0, "m", 1200.0),)),
        cleaning=(Cleaning("R01", "drag_scraping", message("scrape"), PRACTICE, 3, 0.75, 1350.0, 1, 2.0, 4000.0, 9000.0, 16000.0),),
        bill=(BillLine("set_up_run", message("Set up a run"), "each", 1.0, 900.0, 1200.0, 1500.0, message("runs")),
              BillLine("camera", message("Camera"), "m", 240.0, None, None, None, message("twice"))),
        comparisons=(Comparison("lined", message("lined"), 1.0, 2.0, 3.0, 0.1398, 2.4, ("camera",)),),
        ask_first=(AskFirst(message("bore"), 100.0, 0.3, 1000.0, 300.0, 250.0, worth=True),),
        contract_gaps=(ContractGap("strength", message("strength of the mortar")),),
        changes=(Change("openings", message("one more"), 2.0, 3.0),),
        cautions=(Caution("trench", message("support the trench")),),
        sources=(PRACTICE,),
        cost=Cost(900.0, 1200.0, 1500.0, ("camera",)),
        retired=("R07",),
    )  # fmt: skip


N, S, B, NS, NN = (int, float), str, bool, (str, type(None)), (int, float, type(None))
PROMISED: Mapping[str, Mapping[str, Any]] = {
    "assumed": {"what": S, "value": (int, float, str, type(None)), "unit": S, "because": S},
    "warnings": {"code": S, "where_from_m": NN, "where_to_m": NN, "text": S, "severity": S},
    "suitability": {"from_m": N, "to_m": N, "verdict": S, "reasons": list},
    "stretches": {
        "from_m": N, "to_m": N, "dn": N, "bore_clean_mm": N, "lining_nominal_mm": N, "lining_minimum_mm": N, "lining_maximum_mm": NN,
        "lining_aim_mm": NN, "bore_lined_mm": NN, "deposits_l_per_m": NN,
    },
    "hydraulics": {
        "from_m": N, "to_m": N, "flow_l_s": NN, "velocity_before_m_s": NN, "velocity_after_m_s": NN, "reynolds_after": NN,
        "friction_before": NN, "friction_after": NN, "headloss_before_m": NN, "headloss_after_m": NN, "hazen_williams_after": NN,
        "capacity_gain": NN,
    },
    "openings": {"chainage_m": N, "reason": list, "surface": NS, "pump_here": B, "cost": NN},
    "runs": {
        "id": S, "from_m": N, "to_m": N, "direction": S, "length_m": N, "dn": N, "bends_total_deg": N, "connections": N, "aim_mm": N,
        "mortar_l_per_m": N, "mortar_l": N, "batches": N, "cement_kg": N, "sand_kg": N, "water_l": N, "pump_setting": NN, "flow_l_min": N,
        "speed_m_min": N, "speed_low_m_min": N, "speed_high_m_min": N, "lining_minutes": N, "limit": S, "settings": list, "marks": list,
        "hold_points": list, "pump": NS, "hose": NS, "lining_head": NS, "rope": NS, "mixer": NS,
    },
    "cleaning": {
        "method": S, "passes": N, "deposits_l": NN, "deposits_t": NN, "loads": NN, "pull_low_n": NN, "pull_high_n": NN,
        "rope_working_load_n": NN,
    },
}  # fmt: skip


def check_promises(document: Mapping[str, Any]) -> None:
    """Fail where a key of the file contract is missing or has another type."""
    for key in ("mainwright", "revision"):
        assert isinstance(document[key], str)
    assert set(document["job"]) >= {"name", "reference", "client", "currency", "units", "language", "first_day", "time_zone"}
    for section, keys in PROMISED.items():
        for item in document[section]:
            for key, kinds in keys.items():
                assert isinstance(item[key], kinds), f"{section}: {key} is {item[key]!r}"
    for run in document["runs"]:
        for setting in run["settings"]:
            assert set(setting) >= {"from_m", "to_m", "bore_mm", "aim_mm", "mortar_l_per_m", "speed_m_min"}
        for mark in run["marks"]:
            assert set(mark) == {"chainage_m", "elapsed_s"}
    layout = document["layout"]
    assert isinstance(layout["total_cost"], NN)
    assert all(isinstance(layout[key], int) for key in ("openings", "runs", "candidates"))
    assert all(set(item) >= {"name", "openings", "runs", "total_cost"} for item in layout["alternatives"])
    assert all(set(item) >= {"limit", "step", "unit", "saves"} for item in layout["limit_prices"])
    for section in ("supply", "return_to_service", "programme", "cost"):
        assert isinstance(document[section], dict)
    assert set(document["supply"]) >= {"pipes", "nodes", "cost", "closed_blocks", "without_supply"}


def test_every_promised_key_is_there() -> None:
    check_promises(plan_document(sample_plan(), word=word))


def test_units_are_those_of_the_names() -> None:
    document = json.loads(plan_json(sample_plan(), word=word))
    run = document["runs"][0]
    assert run["bends_total_deg"] == 11.25
    assert run["aim_mm"] == 6.1
    assert run["mortar_l_per_m"] == 2.8
    assert run["flow_l_min"] == 30.0
    assert run["speed_m_min"] == 10.8
    assert run["water_l"] == 185.0
    assert run["hose_pressure_bar"] == 12.0
    assert run["limit_text"] == "must be opened at 120.0"
    assert document["cleaning"][0]["deposits_t"] == 1.35
    assert document["stretches"][0]["lining_maximum_mm"] is None
    assert document["layout"]["alternatives"][0]["longest_closing_h"] == 2.0
    assert document["hydraulics"][1]["flow_l_s"] is None
    assert document["hydraulics"][1]["roughness_after_mm"] == 0.1
    assert document["bill"][0]["amount"] == 1200.0
    assert document["bill"][1]["amount"] is None


def test_bytes_are_the_same_each_time_and_end_with_a_newline() -> None:
    first = plan_json(sample_plan(), word=word)
    assert first == plan_json(sample_plan(), word=word)
    assert first.endswith(b"}\n")
    assert b"Marrowby" in first


def test_text_in_other_letters_stays_readable() -> None:
    assert "Ölmühle".encode() in plan_json(sample_plan(), word=lambda text: "Ölmühle " + text.text)


def test_a_number_that_is_not_finite_is_an_error() -> None:
    sick = Cost(float("nan"), None, None, ())
    plan = sample_plan()
    broken = type(plan)(**{name: getattr(plan, name) for name in plan.__slots__} | {"cost": sick})
    with pytest.raises(ValueError, match="JSON compliant"):
        plan_json(broken, word=word)


def keys_of(content: object) -> set[str]:
    if isinstance(content, Mapping):
        return set(content) | {key for value in content.values() for key in keys_of(value)}
    return {key for value in content for key in keys_of(value)} if isinstance(content, list) else set()


def test_every_key_is_documented() -> None:
    page = (Path(__file__).parents[3] / "docs" / "reference" / "plan-json.md").read_text(encoding="utf-8")
    document = plan_document(sample_plan(), word=word)
    later = {key for section in ("supply", "return_to_service", "programme") for key in keys_of(document[section])}
    missing = [key for key in sorted(keys_of(document) - later) if not re.search(rf"\b{key}\b", page)]
    assert missing == []
