"""What must shrink so that an aim keeps its limits."""

from dataclasses import replace

import pytest

from mainwright.errors import InputError
from mainwright.science.placement.aim import aim_thickness
from mainwright.science.placement.confidence import AimLength
from mainwright.science.placement.remedy import what_must_shrink
from mainwright.science.placement.scatter import Scatter

LOOSE = Scatter(flow_bias=0.03, flow=0.06, speed=0.05, bore=0.001, eccentricity=0.0003, pit_allowance=0.0, correlation=1.0)
PART = AimLength(length=150.0, bore=0.15, nominal=0.006, minimum=0.005, maximum=0.0072)


def test_each_remedy_is_enough_and_not_more_than_enough() -> None:
    found = what_must_shrink(lengths=[PART], scatter=LOOSE, confidence=0.95)
    assert not found.kept
    assert found.alone
    fields = {"flow_deviation": "flow", "speed_deviation": "speed", "bore_deviation": "bore"}
    for one in found.alone:
        field = fields.get(one.cause, one.cause)
        assert getattr(LOOSE, field) == one.present
        enough = replace(LOOSE, **{field: one.needed})
        assert not aim_thickness(lengths=[PART], scatter=enough, confidence=0.95).exceeded
        more = replace(LOOSE, **{field: one.needed * 1.0001 + 1e-5 * one.present})
        assert aim_thickness(lengths=[PART], scatter=more, confidence=0.95).exceeded == ("maximum",)


def test_all_together_shrink_less_than_one_alone() -> None:
    found = what_must_shrink(lengths=[PART], scatter=LOOSE, confidence=0.95)
    assert found.together is not None
    assert found.together > max(one.needed / one.present for one in found.alone)


def test_nothing_helps_where_the_nominal_is_over_the_maximum() -> None:
    found = what_must_shrink(lengths=[replace(PART, nominal=0.008)], scatter=LOOSE, confidence=0.95)
    assert (found.kept, found.alone, found.together) == (False, (), None)


def test_nothing_must_shrink_where_all_is_kept() -> None:
    assert what_must_shrink(lengths=[replace(PART, maximum=None)], scatter=LOOSE, confidence=0.95).kept


def test_confidence_out_of_range_is_told() -> None:
    with pytest.raises(InputError, match="confidence is 0"):
        what_must_shrink(lengths=[PART], scatter=LOOSE, confidence=0.0)
