"""The pressure test by the client's own rule."""

from dataclasses import replace

import pytest

from mainwright.job.lining import PressureTest
from mainwright.prove.pressure import PressureProof, judge_pressure
from tests.unit.prove.demo_plan import demo_plan, read

OWN = PressureTest("own", 6e5)
HEAD = "section,time,pressure_bar,added_l\n"


def judged(rows: str, test: PressureTest | None = OWN) -> PressureProof:
    return judge_pressure(replace(demo_plan().job, test=test), read({"pressure_test.csv": HEAD + rows}))


def test_an_own_rule_is_left_to_the_client() -> None:
    found = judged("whole,2026-06-01T08:00:00Z,6,\nwhole,2026-06-01T10:00:00Z,5.9,1.5\n")
    assert found.verdict == "incomplete"
    (one,) = found.sections
    assert [one.first, one.last, one.highest] == pytest.approx([6e5, 5.9e5, 6e5])
    assert one.added == pytest.approx(1.5e-3)
    assert one.duration == 7200.0


def test_pressure_over_the_limit_of_this_pipe_does_not_meet() -> None:
    assert judged("whole,2026-06-01T08:00:00Z,6.1,\n").verdict == "does_not_meet"


def test_nothing_entered_and_nothing_read() -> None:
    assert judged("", None).verdict == "not_asked"
    assert judged("whole,2026-06-01T08:00:00Z,6,\n", None).verdict == "not_asked"
    assert judged("").verdict == "incomplete"
