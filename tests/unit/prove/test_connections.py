"""Connections: listed, seen, cleared."""

import pytest

from mainwright.prove.connections import ConnectionProof, ConnectionsProof, judge_connections
from mainwright.prove.timeline import timelines
from tests.unit.prove.demo_plan import a_run, demo_plan, read
from tests.unit.prove.records import BEGIN

HEAD = "ref,stop_tap_holds,flow_before_l_min,time_cleared,method,air_bar,flow_after_l_min\n"


def services() -> list[tuple[str, float]]:
    run = a_run()
    return [
        (one.ref or "", one.chainage) for one in demo_plan().job.services if run.start <= one.chainage < run.end and one.live is not False
    ]


def judged(rows: str, found: str = "") -> ConnectionsProof:
    run, job = a_run(), demo_plan().job
    files = {"connections.csv": HEAD + rows}
    if found:
        files["connections_found.csv"] = "chainage_m,clock,seen_by,ref\n" + found
    records = read(files, run)
    return judge_connections(job, run, records, timelines(run, records.readings[0].readings), last=False)


def row(ref: str, *, after: str = "14", air: str = "1.1", when: str = "2026-05-04T08:50:00Z") -> str:
    return f"{ref},yes,12,{when},air,{air},{after}\n"


def one(proof: ConnectionsProof, ref: str) -> ConnectionProof:
    return next(part for part in proof.connections if part.ref == ref)


def test_all_cleared_meets_and_the_minutes_since_the_pass_are_told() -> None:
    run = a_run()
    proof = judged("".join(row(ref) for ref, _ in services()))
    assert proof.verdict == "meets"
    ref, chainage = services()[0]
    found = one(proof, ref)
    assert found.since_pass == pytest.approx(50 * 60.0 - (chainage - run.start) / run.settings[0].speed, abs=30.0)
    assert found.flow_before == pytest.approx(12e-3 / 60)
    assert found.flow_after == pytest.approx(14e-3 / 60)
    assert found.camera is None
    assert BEGIN.hour == 8


def test_one_without_a_record_is_named() -> None:
    (first, _), *others = services()
    proof = judged("".join(row(ref) for ref, _ in others))
    assert proof.verdict == "incomplete"
    assert one(proof, first).problems[0].text == "no record that it is clear"


@pytest.mark.parametrize(
    ("change", "text", "verdict"),
    [
        ({"after": "0"}, "no flow after the works", "does_not_meet"),
        ({"after": "5"}, "less flow after the works ({after}) than before ({before})", "incomplete"),
        ({"air": "1.6"}, "air {air}; at most {limit} is published ({source}), and the contract's own number goes first", "does_not_meet"),
        ({"when": "2026-05-04T07:00:00Z"}, "cleared before the head passed: the time cannot be right", "incomplete"),
        (
            {"when": "2026-05-04T16:00:00Z"},
            "cleared {since} after the pass; by the job's own set time it was to be within {limit}",
            "meets",
        ),
    ],
)
def test_what_is_wrong_with_one(change: dict[str, str], text: str, verdict: str) -> None:
    (first, _), *others = services()
    proof = judged(row(first, **change) + "".join(row(ref) for ref, _ in others))
    found = one(proof, first)
    assert text in [problem.text for problem in found.problems]
    assert found.verdict == verdict


def test_three_ways_are_reconciled() -> None:
    run = a_run()
    listed = services()
    (first, at), (second, _) = listed[0], listed[1]
    # The first by its place without a name, the second not at all, one that nobody knows.
    seen = f"{at + 0.4:.2f},,camera,\n{run.start + 1.0:.2f},3,camera,\n" + "".join(
        f"{place:.2f},,camera,{ref}\n" for ref, place in listed[2:]
    )
    proof = judged("".join(row(ref) for ref, _ in listed), seen)
    assert one(proof, first).camera is True
    assert one(proof, first).street is None
    assert "listed, and not seen by the camera" in [problem.text for problem in one(proof, second).problems]
    strangers = [part for part in proof.connections if not part.listed]
    assert [part.chainage for part in strangers] == [pytest.approx(run.start + 1.0)]
    assert proof.verdict == "incomplete"


def test_two_sightings_are_two_connections() -> None:
    first, at = services()[0]
    proof = judged("", f"{at:.2f},,camera,\n{at + 0.2:.2f},,camera,\n")
    assert sum(not part.listed for part in proof.connections) == 1
    assert one(proof, first).camera is True
