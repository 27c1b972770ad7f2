"""Signatures: they change no verdict, and are good for the state that was signed."""

from typing import Any

import pytest

from mainwright.folder.records import read_record_files
from mainwright.paper.proof_json import proof_document
from mainwright.prove.proof import Proof, prove
from mainwright.prove.revision import records_revision
from mainwright.words.wording import Wording
from tests.unit.prove.demo_plan import a_run, demo_plan, read

_HEAD = "what,run,decision,name,role,verdict,state,note,time,who\n"


def _proof(**files: str) -> Proof:
    plan, run = demo_plan(), a_run()
    records = read({f"{name}.csv": text for name, text in files.items()}, run)
    return prove(plan.job, runs=[run], stretches=plan.stretches, records=records, issued=None)


def _row(state: str, *, what: str = "run", decision: str = "accepts", note: str = "", hour: int = 12) -> str:
    run = a_run().id if what == "run" else ""
    return f"{what},{run},{decision},Ada Lane,client,incomplete,{state},{note},2026-05-06T{hour}:00:00Z,Bo\n"


def _document(proof: Proof) -> dict[str, Any]:
    return proof_document(proof, word=Wording().word)


def test_a_signature_changes_neither_verdict_nor_revision_nor_state() -> None:
    bare = _proof()
    state = bare.runs[0].signing.state
    signed = _proof(signatures=_HEAD + _row(state, note="camera follows"))
    (one,) = signed.runs[0].signing.signatures
    assert one.current
    assert one.notes == ()
    assert signed.runs[0].verdict == bare.runs[0].verdict
    assert signed.records == bare.records
    assert signed.runs[0].signing.state == state


def test_another_row_of_the_run_makes_it_one_for_an_earlier_state() -> None:
    state = _proof().runs[0].signing.state
    gauge = f"run,chainage_m,thickness_mm\n{a_run().id},{a_run().start + 1},5.1\n"
    (one,) = _proof(signatures=_HEAD + _row(state, note="fine"), thickness=gauge).runs[0].signing.signatures
    assert not one.current
    assert "earlier state" in one.notes[0].text


def test_what_belongs_to_another_run_leaves_it_as_it_is() -> None:
    state = _proof().runs[0].signing.state
    proof = _proof(
        thickness="run,chainage_m,thickness_mm\nR99,3,5.1\n", water_tests="point,time,parameter,value\nS1,2026-05-09T08:00:00Z,E. coli,0\n"
    )
    assert proof.runs[0].signing.state == state


@pytest.mark.parametrize("decision", ["accepts", "dissents"])
def test_a_reason_is_asked_where_the_proof_does_not_show_it(decision: str) -> None:
    signing = _proof().runs[0].signing
    assert signing.needs_reason
    (one,) = _proof(signatures=_HEAD + _row(signing.state, decision=decision)).runs[0].signing.signatures
    assert [note.text for note in one.notes] == ["signed without a reason, although one is needed"]


def test_the_latest_counts_and_the_earlier_ones_stay() -> None:
    state = _proof().runs[0].signing.state
    rows = _row(state, note="now", hour=15) + _row(state, decision="dissents", note="thin at 40 m", hour=11)
    document = _document(_proof(signatures=_HEAD + rows))["runs"][0]["signature"]
    assert document["signed"]["reason"] == "now"
    assert document["signed"]["record"] == "signatures.csv:1"
    assert [one["decision"] for one in document["earlier"]] == ["dissents"]


def test_the_water_is_signed_for_itself_and_its_gate_stays() -> None:
    bare = _proof()
    signed = _proof(signatures=_HEAD + _row(bare.signing.state, what="water", note="boil notice given"))
    document = _document(signed)["water"]
    assert document["verdict"] == "missing"
    assert document["signature"]["needs_reason"]
    assert document["signature"]["signed"]["for_this_state"]
    assert signed.runs[0].signing.signatures == ()
    sampled = _proof(
        signatures=_HEAD + _row(bare.signing.state, what="water", note="x"),
        water_tests="point,time,parameter,value\nS1,2026-05-09T08:00:00Z,E. coli,3\n",
    )
    assert sampled.signing.last is not None
    assert not sampled.signing.last.current


def test_a_signature_without_name_or_decision_is_a_fault() -> None:
    found = read_record_files({"signatures.csv": b"what,run,decision,name,time\nrun,R01,maybe,,2026-05-06T12:00:00Z\n"})
    assert {fault.column for fault in found.faults} == {"decision", "name"}


def test_the_revision_of_the_records_says_what_happened_not_who_signed() -> None:
    run = a_run()
    assert records_revision(read({}, run)) == records_revision(read({"signatures.csv": _HEAD + _row("x")}, run))
