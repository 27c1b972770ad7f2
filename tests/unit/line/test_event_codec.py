"""Events as plain values, of this version and of older ones."""

import dataclasses
import json
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.line.event_codec import Values, from_kept, to_kept
from mainwright.line.events import BatchPoured, Ended, Event, HandMark, ReadingTaken, Started

FINITE = st.floats(allow_nan=False, allow_infinity=False)


@given(st.sampled_from(get_args(Event)).flatmap(st.from_type))
def test_every_event_comes_back_through_json(event: Event) -> None:
    if any(isinstance(value, float) and not -1e300 < value < 1e300 for value in dataclasses.astuple(event)):
        return
    kind, time, values = json.loads(json.dumps(to_kept(event)))
    assert from_kept(kind, time, values) == event


@given(st.integers(0, 2**60), FINITE, st.none() | FINITE, st.none() | FINITE)
def test_readings_come_back(number: int, time: float, odometer: float | None, flow: float | None) -> None:
    reading = ReadingTaken(number, time, odometer, flow, strokes=odometer, source=3)
    assert from_kept(*to_kept(reading)) == reading


def test_kinds_are_spelled_in_words() -> None:
    assert to_kept(BatchPoured(1.0, 2, 0.5, 0.2))[0] == "batch_poured"
    assert to_kept(ReadingTaken(0, 0.0, 0.0, None))[0] == "reading"


def test_what_an_older_version_wrote_is_upgraded_step_by_step() -> None:
    def first(values: Values) -> Values:
        return {"way_m": values["way_mm"]}

    def second(values: Values) -> Values:
        return {"number": 0, "way": values["way_m"]}

    upgrades = {("hand_mark", 1): first, ("hand_mark", 2): second}
    found = from_kept("hand_mark", 5.0, {"way_mm": 3.0}, versions={"hand_mark": 3}, upgrades=upgrades)
    assert found == HandMark(0, 5.0, 3.0)
    assert from_kept("hand_mark.2", 5.0, {"way_m": 3.0}, versions={"hand_mark": 3}, upgrades=upgrades) == found
    assert from_kept("started", 5.0, {"who": "lead"}) == Started(5.0, "lead")


def test_what_is_not_known_or_wrong_is_refused() -> None:
    with pytest.raises(InputError, match=r"kind of an event is hand_mark.2; .* a newer program wrote it"):
        from_kept("hand_mark.2", 0.0, {})
    with pytest.raises(InputError, match="kind of an event is danced"):
        from_kept("danced", 0.0, {})
    with pytest.raises(InputError, match="way of an event hand_mark is missing"):
        from_kept("hand_mark", 0.0, {"number": 1})
    with pytest.raises(InputError, match="outcome of an event ended is 'eaten'"):
        from_kept("ended", 0.0, {"outcome": "eaten", "who": "lead"})
    with pytest.raises(InputError, match="value of a reading is far"):
        from_kept("reading", 0.0, {"number": 1, "odometer": "far"})
    assert from_kept("ended", 0.0, {"outcome": "split", "who": "lead"}) == Ended(0.0, "split", "lead")
