"""The pressure test by the rule that was entered."""

from dataclasses import replace

import pytest

from mainwright.job.lining import PressureTest
from mainwright.plan.host import resolve_host
from mainwright.prove.pressure import PressureProof, judge_pressure
from tests.unit.prove.demo_plan import demo_plan, read

OWN = PressureTest("own", 6e5)
HEAD = "section,time,pressure_bar,added_l\n"


def judged(rows: str, test: PressureTest | None = OWN) -> PressureProof:
    plan = demo_plan()
    job = replace(plan.job, test=test)
    return judge_pressure(
        job, read({"pressure_test.csv": HEAD + rows}), runs=plan.runs, stretches=plan.stretches, host=resolve_host(job).stretches
    )


def hours(section: str, added: float) -> str:
    return f"{section},2026-06-01T08:00:00Z,6,\n{section},2026-06-01T10:00:00Z,5.9,{added}\n"


def test_an_own_rule_is_left_to_the_client() -> None:
    found = judged(hours("whole", 1.5))
    assert found.verdict == "incomplete"
    (one,) = found.sections
    assert [one.first, one.last, one.highest] == pytest.approx([6e5, 5.9e5, 6e5])
    assert one.added == pytest.approx(1.5e-3)
    assert one.duration == 7200.0
    assert one.allowed is None


def test_pressure_over_the_limit_of_this_pipe_does_not_meet_whatever_the_rule() -> None:
    for rule in ("own", "EN 805", "AWWA C600"):
        assert judged("whole,2026-06-01T08:00:00Z,6.1,\n", PressureTest(rule, 6e5)).verdict == "does_not_meet"
    assert judged("whole,2026-06-01T08:00:00Z,6.1,\n", PressureTest(None, 6e5)).verdict == "does_not_meet"


def test_nothing_entered_and_nothing_read() -> None:
    assert judged("", None).verdict == "not_asked"
    assert judged("whole,2026-06-01T08:00:00Z,6,\n", None).verdict == "not_asked"
    assert judged("").verdict == "incomplete"


def test_rules_judge_by_their_own_formula_and_lie_far_apart() -> None:
    european = judged(hours("212-478", 1.0), PressureTest("EN 805", 6e5)).sections[0]
    american = judged(hours("212-478", 1.0), PressureTest("AWWA C600", 6e5)).sections[0]
    assert european.allowed is not None
    assert american.allowed is not None
    # Trade tables: for the same main the two rules are about twenty times apart (at 10 bar and with other bores; here at 6 bar).
    assert 8.0 < american.allowed / european.allowed < 40.0
    assert european.verdict == "does_not_meet"
    assert american.verdict == "meets"
    assert judged(hours("212-478", 0.1), PressureTest("EN 805", 6e5)).sections[0].verdict == "meets"


def test_what_is_missing_leaves_it_incomplete() -> None:
    short = "212-478,2026-06-01T08:00:00Z,6,\n212-478,2026-06-01T08:30:00Z,6,0.1\n"
    assert judged(short, PressureTest("EN 805", 6e5)).sections[0].because[0].text == "the test is shorter than an hour"
    dry = "212-478,2026-06-01T08:00:00Z,6,\n212-478,2026-06-01T10:00:00Z,6,\n"
    assert judged(dry, PressureTest("EN 805", 6e5)).sections[0].because[0].text == "the water that was added is not on record"


def test_the_make_up_is_split_into_soaking_and_leak() -> None:
    rows = "whole,2026-06-01T08:00:00Z,6,\n"
    before = 0.0
    for hour in (1, 2, 4, 8, 12):
        total = 0.5 * hour + 3.0 * hour**0.5
        rows += f"whole,2026-06-01T{8 + hour:02d}:00:00Z,6,{total - before:.6f}\n"
        before = total
    (one,) = judged(rows).sections
    assert one.make_up is not None
    assert one.make_up.leak * 3.6e6 == pytest.approx(0.5, rel=1e-3)
