"""What a run was meant to be, at the head of its record."""

import json

import pytest

from mainwright.errors import InputError
from mainwright.line.alarms import AlarmRules
from mainwright.line.plan_codec import header_document, read_header
from mainwright.line.run_plan import PlannedBatch, PlannedLength, next_part
from mainwright.plan.result import ConnectionWindow
from tests.unit.line.plans import AIM, plan

LENGTHS = (
    PlannedLength(0.0, 20.0, 0.2, AIM, 0.005, None, 0.13, 0.1, 0.2),
    PlannedLength(20.0, 60.0, 0.203, AIM, 0.005, None, 0.12, 0.1, 0.2),
)


def test_the_header_comes_back_through_json() -> None:
    whole = plan(
        lengths=LENGTHS,
        windows=(ConnectionWindow(110.0, "S1", 80.0, 1200.0, None),),
        batches=(PlannedBatch(1, 0.24, -900.0),),
        stroke=0.00042,
        cycle=360.0,
    )
    document = json.loads(json.dumps(header_document(whole, rules=AlarmRules(slack=0.05), bin_length=0.2, lag=4.0)))
    assert read_header(document) == (whole, AlarmRules(slack=0.05), 0.2, 4.0)


def test_a_newer_or_broken_header_is_refused() -> None:
    document = header_document(plan(), rules=AlarmRules(), bin_length=0.1, lag=0.0)
    with pytest.raises(InputError, match="a newer program wrote it"):
        read_header({**document, "format": 2})
    with pytest.raises(InputError, match="header of a run"):
        read_header({**document, "plan": {"id": "R01"}})


@pytest.mark.parametrize("direction", ["increasing", "decreasing"])
def test_the_next_part_is_what_is_left_from_either_end(direction: str) -> None:
    whole = plan(lengths=LENGTHS, direction=direction)
    on = next_part(whole, way=15.0, turned=False)
    assert (on.length, on.direction, [(one.start, one.end) for one in on.lengths]) == (45.0, direction, [(0.0, 5.0), (5.0, 45.0)])
    assert on.chainage(0.0) == whole.chainage(15.0)
    assert on.chainage(45.0) == whole.chainage(60.0)
    back = next_part(whole, way=15.0, turned=True)
    assert back.direction != direction
    assert [(one.start, one.end, one.bore) for one in back.lengths] == [(0.0, 40.0, 0.203), (40.0, 45.0, 0.2)]
    assert back.chainage(0.0) == whole.chainage(60.0)
    assert back.chainage(45.0) == whole.chainage(15.0)
    with pytest.raises(InputError, match="way of the head"):
        next_part(whole, way=60.0, turned=False)
