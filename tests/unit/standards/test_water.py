"""Classes of water and limits of mortar."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.standards.published import value
from mainwright.standards.water import AlkalinityClass, alkalinity_class, as_calcite, cement_limits, time_over_ph

CLASSES: tuple[AlkalinityClass, ...] = ("to_10", "to_25", "to_55", "over_55")
WEEK = 604800.0


@pytest.mark.outside(
    "Report DWI0785 (October 1988): over 55 mg/l nothing after the first week; about 35 up to a month; about 10 several years"
)
def test_durations_of_the_field_trials() -> None:
    assert time_over_ph("over_55").value <= WEEK
    assert time_over_ph("to_55").high == pytest.approx(30 * 86400, rel=0.01)
    low = time_over_ph("to_10").low
    assert low is not None
    assert low > 100 * WEEK


@pytest.mark.outside("Report DWI0284 (November 1988): 10 to 11 weeks at about 22 mg/l")
def test_ten_to_eleven_weeks_at_22() -> None:
    found = time_over_ph(alkalinity_class(22.0 / 50.04))
    assert (found.low, found.high) == (10 * WEEK, 11 * WEEK)


def test_edges_belong_to_the_softer_class() -> None:
    for edge, inside, outside in ((10, "to_10", "to_25"), (25, "to_25", "to_55"), (55, "to_55", "over_55")):
        at = edge / 1000 / as_calcite(1.0)
        assert alkalinity_class(at * (1 - 1e-12)) == inside
        assert alkalinity_class(at * (1 + 1e-9)) == outside


@given(st.floats(min_value=0, max_value=20), st.floats(min_value=0, max_value=20))
def test_softer_water_is_never_shorter_over_the_limit(one: float, other: float) -> None:
    soft, hard = sorted((one, other))
    assert CLASSES.index(alkalinity_class(soft)) <= CLASSES.index(alkalinity_class(hard))
    assert time_over_ph(alkalinity_class(soft)).value >= time_over_ph(alkalinity_class(hard)).value


def test_each_better_cement_withstands_more() -> None:
    order = [{limit.parameter: limit for limit in cement_limits(cement)} for cement in ("portland", "slag", "high_alumina")]
    for weak, strong in itertools.pairwise(order):
        for name, limit in strong.items():
            if limit.kind == "minimum":
                assert limit.published.value <= weak[name].published.value
            else:
                assert limit.published.value >= weak[name].published.value
    assert all(limit.published.source.status == "memory" for one in order for limit in one.values())


@pytest.mark.outside("Client specification section C10: blow-back at most 20 psi, 1.38 bar")
def test_blow_back() -> None:
    assert value("return_to_use", "blow_back").value == pytest.approx(1.38e5, rel=2e-3)


@pytest.mark.outside("EPA/600/R-11/017 (2011): camera at most 30 ft/min, 9.1 m/min")
def test_camera_speed() -> None:
    assert value("return_to_use", "camera_speed").value == pytest.approx(9.144 / 60)
