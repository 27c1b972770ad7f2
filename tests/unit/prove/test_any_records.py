"""Any records that can be read give a proof, and always the same one."""

from datetime import UTC, datetime, timedelta
from typing import Any, get_args, get_type_hints

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from mainwright.job import records as nouns
from mainwright.job.records import Records
from mainwright.paper.proof_json import proof_json
from mainwright.prove.proof import prove
from mainwright.words.wording import Wording
from tests.unit.prove.demo_plan import demo_plan

_BEGIN = datetime(2026, 5, 4, tzinfo=UTC)
_TIMES = st.integers(0, 4_000_000).map(lambda seconds: _BEGIN + timedelta(seconds=seconds))
_NAMES = st.sampled_from(
    ["R01", "R02", "R99", "S01", "S07", "", "crack", "bare wall", "standing water", "pH", "E. coli", "212-478", "lined", "water release: x"]
)
_NUMBERS = st.one_of(st.sampled_from([0.0, 1.0, 12.0, 212.0, 1236.0]), st.floats(0.0, 2000.0), st.floats(0.0, 0.02))
_KINDS = {"events": nouns.Event, "batches": nouns.Batch, "thickness": nouns.ThicknessReading, "observations": nouns.Observation,
          "curing": nouns.CuringReading, "strength": nouns.Specimen, "connections": nouns.ConnectionCleared,
          "obstructions": nouns.Obstruction, "connections_found": nouns.ConnectionFound, "water_tests": nouns.WaterTest,
          "pressure_test": nouns.PressureReading, "signatures": nouns.Signature, "quantities": nouns.SiteQuantity}  # fmt: skip


def _value(name: str, hint: object) -> st.SearchStrategy[Any]:
    options = get_args(hint) or (hint,)
    found: list[st.SearchStrategy[Any]] = []
    for one in options:
        if one is float:
            found.append(
                {"temperature": st.floats(213.0, 373.0), "humidity": st.floats(0.0, 1.0), "clock": st.floats(0.0, 12.0)}.get(name, _NUMBERS)
            )
        elif one is str:
            kinds = ["stop", "alarm", "ends_closed", "hold_point", "returned_l", "remark"]
            found.append(
                st.one_of(_NAMES, st.sampled_from(kinds))
                if name == "kind"
                else st.sampled_from(["l", "", "mg/l"])
                if name == "unit"
                else _NAMES
            )
        elif one is bool:
            found.append(st.booleans())
        elif one is int:
            found.append(st.integers(1, 3))
        elif one is datetime:
            found.append(_TIMES)
        elif one is type(None):
            found.append(st.none())
        else:
            found.append(st.sampled_from(get_args(one) or [one]))
    return st.one_of(found)


def _rows(kind: type) -> st.SearchStrategy[Any]:
    hints = get_type_hints(kind)
    return st.lists(st.builds(kind, **{name: _value(name, hint) for name, hint in hints.items()}), max_size=4).map(tuple)


@st.composite
def _readings(draw: st.DrawFn) -> tuple[nouns.RunReadings, ...]:
    found = []
    for run in draw(st.lists(st.sampled_from(["R01", "R03", "R99"]), unique=True, max_size=2)):
        time, rows = _BEGIN, []
        for _ in range(draw(st.integers(0, 12))):
            time += timedelta(seconds=draw(st.integers(1, 400)))
            rows.append(
                nouns.Reading(
                    time=time,
                    odometer=draw(st.one_of(st.none(), st.floats(0.0, 150.0))),
                    flow=draw(st.one_of(st.none(), st.floats(0.0, 0.001))),
                    coat=draw(st.sampled_from([None, 1, 2])),
                )
            )
        found.append(nouns.RunReadings(run, tuple(rows)))
    return tuple(found)


@st.composite
def _runs_done(draw: st.DrawFn) -> tuple[nouns.RunDone, ...]:
    rows = []
    for _ in range(draw(st.integers(0, 3))):
        low = draw(st.floats(0.0, 1200.0))
        rows.append(
            nouns.RunDone(
                run=draw(st.sampled_from(["R01", "R03", "R99"])),
                start=low,
                end=low + draw(st.floats(0.5, 100.0)),
                coat=draw(st.sampled_from([None, 1, 2])),
                direction=draw(st.sampled_from([None, "increasing", "decreasing"])),
                time_to=draw(st.one_of(st.none(), _TIMES)),
            )
        )
    return tuple(rows)


@settings(max_examples=60, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(st.fixed_dictionaries({name: _rows(kind) for name, kind in _KINDS.items()}), _readings(), _runs_done())
def test_any_records_give_one_proof(
    tables: dict[str, Any], readings: tuple[nouns.RunReadings, ...], done: tuple[nouns.RunDone, ...]
) -> None:
    plan = demo_plan()
    records = Records(**tables, readings=readings, runs_done=done)
    word = Wording("de").word

    def made() -> bytes:
        proof = prove(plan.job, runs=plan.runs, stretches=plan.stretches, records=records, issued=None, bill=plan.bill)
        assert all(one.verdict in ("meets", "does_not_meet", "incomplete") for one in proof.runs)
        assert proof.water.verdict in ("released", "not_released", "missing")
        return proof_json(proof, word=word)

    assert made() == made()
