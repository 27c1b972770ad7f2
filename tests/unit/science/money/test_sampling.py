"""Draws against closed forms."""

import math
from random import Random
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.money.sampling import (
    binomial_quantile,
    common_cause,
    normal_probability,
    normal_strata,
    poisson_quantile,
    quantile,
    replicate_error,
    strata,
)
from mainwright.science.money.three_point import (
    lognormal_quantile,
    pert_mean,
    pert_variance,
    triangular_mean,
    triangular_quantile,
    triangular_variance,
)

ACTIVITIES = {"A": (1, 2, 3), "B": (2, 3.5, 8), "C": (6, 9, 18), "E": (1, 4.5, 5), "F": (4, 4, 10), "J": (3, 9, 9), "L": (1, 5.5, 7), "N": (5, 5.5, 9)}  # fmt: skip


@pytest.mark.outside("Hillier and Lieberman, Introduction to Operations Research, construction case: mean 44, variance 9, 0.84 by week 47")
def test_critical_path_of_three_times() -> None:
    mean = sum(pert_mean(low=a, likely=b, high=c) for a, b, c in ACTIVITIES.values())
    variance = sum(pert_variance(low=a, likely=b, high=c) for a, b, c in ACTIVITIES.values())
    assert mean == pytest.approx(44.0)
    assert variance == pytest.approx(9.0)
    assert normal_probability((47.0 - mean) / math.sqrt(variance)) == pytest.approx(0.84, abs=0.005)


def test_sum_of_normals_is_normal() -> None:
    generator = Random(5)
    count = 4000
    first, second = normal_strata(count, generator), normal_strata(count, generator)
    total = sorted(3.0 * a + 4.0 * b for a, b in zip(first, second, strict=True))
    for share in (0.1, 0.5, 0.9):
        assert quantile(total, share) == pytest.approx(5.0 * NormalDist().inv_cdf(share), abs=5 * 5.0 * 2.0 / math.sqrt(count))


def test_sum_of_two_equal_triangles_is_exact() -> None:
    """Two triangles 0, 1, 2 are four even amounts: their sum has the Irwin-Hall distribution with n = 4."""

    def irwin_hall(value: float) -> float:
        return math.fsum(math.copysign(1.0, 0.5 - k % 2) * math.comb(4, k) * (value - k) ** 4 for k in range(math.floor(value) + 1)) / 24.0

    generator = Random(11)
    count = 8000
    draws = [[triangular_quantile(p, low=0.0, likely=1.0, high=2.0) for p in strata(count, generator)] for _ in range(2)]
    total = sorted(a + b for a, b in zip(*draws, strict=True))
    for value in (1.0, 1.5, 2.0, 2.7, 3.2):
        below = sum(one <= value for one in total) / count
        assert below == pytest.approx(irwin_hall(value), abs=4 * 0.5 / math.sqrt(count))


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_variance_of_a_sum_with_a_cause_in_common(share: float) -> None:
    generator = Random(3)
    count, terms = 4000, 12
    shared = normal_strata(count, generator)
    columns = [common_cause(shared, normal_strata(count, generator), share=share) for _ in range(terms)]
    normal = NormalDist().inv_cdf
    totals = [sum(normal(min(max(p, 1e-12), 1 - 1e-12)) for p in row) for row in zip(*columns, strict=True)]
    mean = sum(totals) / count
    variance = sum((one - mean) ** 2 for one in totals) / count
    assert variance == pytest.approx(terms + share * terms * (terms - 1), rel=0.1)


def test_a_cause_in_common_leaves_each_amount_its_distribution() -> None:
    generator = Random(8)
    found = sorted(common_cause(normal_strata(4000, generator), normal_strata(4000, generator), share=0.6))
    assert max(abs(one - (place + 0.5) / 4000) for place, one in enumerate(found)) < 1.63 / math.sqrt(4000)


def test_error_falls_with_the_root_of_the_count() -> None:
    """The error of plain draws of a mean: sixteen times the draws, a quarter of the error."""

    def error(count: int) -> float:
        results = []
        for seed in range(120):
            generator = Random(seed)
            results.append(sum(triangular_quantile(generator.random(), low=0, likely=1, high=5) for _ in range(count)) / count)
        return replicate_error(results) * math.sqrt(120)

    assert error(25) / error(400) == pytest.approx(4.0, rel=0.35)
    assert error(400) == pytest.approx(math.sqrt(triangular_variance(low=0, likely=1, high=5) / 400), rel=0.25)


def test_even_draws_beat_plain_ones() -> None:
    means = []
    for seed in range(50):
        draws = [triangular_quantile(p, low=0, likely=1, high=5) for p in strata(100, Random(seed))]
        means.append(sum(draws) / 100)
    assert max(abs(one - 2.0) for one in means) < 0.02
    assert replicate_error(means) * math.sqrt(50) < 0.1 * math.sqrt(triangular_variance(low=0, likely=1, high=5) / 100)


@given(st.integers(0, 10**6), st.integers(1, 200))
def test_each_share_is_drawn_once_and_again(seed: int, count: int) -> None:
    found = strata(count, Random(seed))
    assert sorted(int(one * count) for one in found) == list(range(count))
    assert found == strata(count, Random(seed))


@given(st.floats(-1e6, 1e6), st.floats(0, 1e6), st.floats(0, 1e6), st.floats(0, 1))
def test_triangle_stays_within_its_ends(low: float, left: float, right: float, probability: float) -> None:
    value = triangular_quantile(probability, low=low, likely=low + left, high=low + left + right)
    assert low - 1e-6 <= value <= low + left + right + 1e-6


def test_moments_of_a_triangle() -> None:
    draws = [triangular_quantile((k + 0.5) / 20000, low=1, likely=2, high=7) for k in range(20000)]
    mean = sum(draws) / len(draws)
    assert mean == pytest.approx(triangular_mean(low=1, likely=2, high=7), rel=1e-5)
    assert sum((one - mean) ** 2 for one in draws) / len(draws) == pytest.approx(triangular_variance(low=1, likely=2, high=7), rel=1e-3)


@pytest.mark.outside("tables of the Poisson and binomial laws: P(X <= 3 | 2) = 0.8571; P(X <= 2 | 10, 0.1) = 0.9298")
def test_counts() -> None:
    assert poisson_quantile(0.8571, 2.0) == 3
    assert poisson_quantile(0.8572, 2.0) == 4
    assert poisson_quantile(0.9, 0.0) == 0
    assert binomial_quantile(0.9298, tries=10, chance=0.1) == 2
    assert binomial_quantile(0.9299, tries=10, chance=0.1) == 3
    assert binomial_quantile(0.999, tries=4, chance=0.0) == 0


def test_lognormal_holds_its_ends() -> None:
    z = NormalDist().inv_cdf(0.9)
    assert lognormal_quantile(z, low=2.0, high=8.0) == pytest.approx(8.0)
    assert lognormal_quantile(-z, low=2.0, high=8.0) == pytest.approx(2.0)
    assert lognormal_quantile(0.0, low=2.0, high=8.0) == pytest.approx(4.0)


def test_what_cannot_be() -> None:
    with pytest.raises(InputError, match="between low"):
        triangular_mean(low=3, likely=2, high=5)
    with pytest.raises(InputError, match="0 to 1"):
        triangular_quantile(1.5, low=0, likely=1, high=2)
    with pytest.raises(InputError, match="at least 1"):
        strata(0, Random(1))
    with pytest.raises(InputError, match="at least 2"):
        replicate_error([1.0])
    with pytest.raises(InputError, match="at least one"):
        quantile([], 0.5)
    with pytest.raises(InputError, match="0 to 1"):
        quantile([1.0], -0.5)
    with pytest.raises(InputError, match="0 to 1"):
        common_cause([0.0], [0.0], share=2.0)
    with pytest.raises(InputError, match="0 to 700"):
        poisson_quantile(0.5, -1.0)
    with pytest.raises(InputError, match="less than 1"):
        binomial_quantile(0.5, tries=3, chance=1.0)
    with pytest.raises(InputError, match="more than 0"):
        lognormal_quantile(0.0, low=0.0, high=1.0)
