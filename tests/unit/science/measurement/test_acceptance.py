"""Acceptance by variables: the published example, the operating characteristic against simulation, and how many readings are needed."""

import math
import random
import statistics

import pytest
from scipy import stats

from mainwright.errors import InputError
from mainwright.science.measurement.acceptance import (
    acceptance_probability,
    acceptance_probability_known,
    quality_statistic,
    readings_needed,
)
from mainwright.science.measurement.noncentral import noncentral_t_probability
from mainwright.science.measurement.tolerance import one_sided_factor, one_sided_factor_known


@pytest.mark.outside("MIL-STD-414 (1957), example B-1: five readings, upper limit 209, Q 1.59 over k 1.53, accepted (numbers from memory)")
def test_the_published_example_of_the_k_method() -> None:
    sample = [197.0, 188.0, 184.0, 205.0, 201.0]
    mean, deviation = statistics.fmean(sample), statistics.stdev(sample)
    assert mean == pytest.approx(195.0)
    assert deviation == pytest.approx(8.81, abs=0.01)
    q = quality_statistic(mean=mean, deviation=deviation, limit=209.0, upper=True)
    assert q == pytest.approx(1.59, abs=0.005)
    assert q >= 1.53


def test_a_lower_limit_is_the_mirror_of_an_upper_one() -> None:
    up = quality_statistic(mean=195.0, deviation=8.8, limit=209.0, upper=True)
    assert quality_statistic(mean=-195.0, deviation=8.8, limit=-209.0, upper=False) == pytest.approx(up)


@pytest.mark.outside("scipy.stats.nct, noncentral t distribution")
@pytest.mark.parametrize("freedom", [1, 3, 9, 40])
@pytest.mark.parametrize("delta", [-2.0, 0.0, 1.5, 6.0])
def test_the_noncentral_t(freedom: int, delta: float) -> None:
    for t in (0.0, 0.5, 2.0, 8.0):
        found = noncentral_t_probability(t=t, freedom=freedom, delta=delta)
        assert found == pytest.approx(float(stats.nct.cdf(t, freedom, delta)), abs=2e-8)


def test_a_tolerance_factor_accepts_the_limiting_quality_as_seldom_as_it_says() -> None:
    for count in (3, 8, 20):
        k = one_sided_factor(count=count, share=0.95, confidence=0.9)
        assert acceptance_probability(share_beyond=0.05, count=count, k=k) == pytest.approx(0.10, abs=1e-9)
        known = one_sided_factor_known(count=count, share=0.95, confidence=0.9)
        assert acceptance_probability_known(share_beyond=0.05, count=count, k=known) == pytest.approx(0.10, abs=1e-9)


@pytest.mark.parametrize("share_beyond", [0.002, 0.02, 0.10])
def test_the_operating_characteristic_agrees_with_simulation(share_beyond: float) -> None:
    count, k, lots = 6, 1.6, 20_000
    source = random.Random(7)
    mean = statistics.NormalDist().inv_cdf(1.0 - share_beyond)  # the limit is zero, the deviation one
    accepted = accepted_known = 0
    for _ in range(lots):
        sample = [source.gauss(mean, 1.0) for _ in range(count)]
        here = statistics.fmean(sample)
        accepted += here >= k * statistics.stdev(sample)
        accepted_known += here >= k
    for simulated, computed in (
        (accepted, acceptance_probability(share_beyond=share_beyond, count=count, k=k)),
        (accepted_known, acceptance_probability_known(share_beyond=share_beyond, count=count, k=k)),
    ):
        assert simulated / lots == pytest.approx(computed, abs=4.0 * math.sqrt(computed * (1.0 - computed) / lots) + 1e-4)


def test_worse_lots_are_accepted_less_often() -> None:
    found = [acceptance_probability(share_beyond=share, count=8, k=2.0) for share in (0.001, 0.01, 0.05, 0.2, 0.5)]
    assert found == sorted(found, reverse=True)
    assert found[0] > 0.9
    assert found[-1] < 1e-3


def test_how_many_readings_are_needed() -> None:
    for count in (3, 7, 30):
        k = one_sided_factor(count=count, share=0.95, confidence=0.95)
        assert readings_needed(k=k + 1e-9, share=0.95, confidence=0.95, most=1000) == count
        assert readings_needed(k=k - 1e-6, share=0.95, confidence=0.95, most=1000) == count + 1
    assert readings_needed(k=1.64, share=0.95, confidence=0.95, most=1000) is None
    assert readings_needed(k=1.66, share=0.95, confidence=0.95, most=1000) is None
    assert readings_needed(k=math.inf, share=0.95, confidence=0.95, most=1000) == 2


def test_refused() -> None:
    with pytest.raises(InputError, match="deviation"):
        quality_statistic(mean=1.0, deviation=0.0, limit=0.0, upper=False)
    with pytest.raises(InputError, match="count"):
        acceptance_probability(share_beyond=0.1, count=1, k=1.0)
    with pytest.raises(InputError, match="share_beyond"):
        acceptance_probability_known(share_beyond=0.0, count=1, k=1.0)
    with pytest.raises(InputError, match="k "):
        acceptance_probability(share_beyond=0.1, count=2, k=math.inf)
    with pytest.raises(InputError, match="t "):
        noncentral_t_probability(t=-1.0, freedom=2, delta=0.0)
