"""Loads and areas to strengths, and the rule for outliers."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.mortar.strength import compressive_strength, flexural_strength, set_mean


@pytest.mark.outside(
    "EN 196-1: with 40 mm prisms the compressive strength is the load by 1600, the flexural one 0.00234 of the load (from memory)"
)
def test_the_factors_of_the_standard_prism() -> None:
    assert compressive_strength(load=1600.0, area=1600e-6) == pytest.approx(1e6)
    assert flexural_strength(load=1.0, side=0.04, span=0.1) / 1e6 == pytest.approx(0.00234, abs=5e-6)


def test_flexure_is_the_moment_by_the_section_modulus() -> None:
    load, side, span = 2900.0, 0.038, 0.12
    assert flexural_strength(load=load, side=side, span=span) == pytest.approx((load * span / 4.0) / (side**3 / 6.0))


def test_one_outlier_goes_and_two_throw_the_set_away() -> None:
    one = set_mean([50.0, 51.0, 49.0, 50.0, 50.0, 60.0])
    assert one.usable
    assert one.discarded == (60.0,)
    assert one.mean == pytest.approx(50.0)
    two = set_mean([50.0, 51.0, 49.0, 50.0, 62.0, 38.0])
    assert not two.usable
    assert two.kept == ()
    assert len(two.discarded) == 6


def test_exactly_a_tenth_stays() -> None:
    # Mean 50; 45 and 55 are exactly a tenth away.
    assert set_mean([45.0, 55.0, 50.0, 50.0, 50.0, 50.0]).discarded == ()


def test_a_small_set_is_taken_whole() -> None:
    assert set_mean([30.0, 50.0]).mean == pytest.approx(40.0)


@given(st.lists(st.floats(1e6, 1e8), min_size=1, max_size=12))
def test_the_mean_lies_among_the_results_and_nothing_is_lost(values: list[float]) -> None:
    found = set_mean(values)
    assert min(values) * (1 - 1e-12) <= found.mean <= max(values) * (1 + 1e-12)
    assert sorted([*found.kept, *found.discarded]) == sorted(values)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_refused(bad: float) -> None:
    with pytest.raises(InputError, match="load"):
        compressive_strength(load=bad, area=1600e-6)
    with pytest.raises(InputError, match="strengths"):
        set_mean([bad])
    with pytest.raises(InputError, match="one result"):
        set_mean([])
